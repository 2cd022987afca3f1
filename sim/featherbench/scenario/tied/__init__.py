"""Rules that tie several keys of one table together."""
