"""Text, tables, figures and the page."""
