"""Data sheet -> motor; motor and gear train; position loop; supply."""
