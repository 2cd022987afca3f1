"""Tables of a sizing."""
