"""Predictions held against bench data, unknowns fitted to it, and what to measure next."""
