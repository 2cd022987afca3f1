"""The studies that are still told form by form; each goes when its view is written."""
