"""Questions asked of one or many runs."""
