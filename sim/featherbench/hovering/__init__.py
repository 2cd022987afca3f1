"""Hover over the plausible: whether the tail wags and from what, and how much weight to choose."""
