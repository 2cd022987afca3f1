"""The version of this program."""

__version__ = "0.1.0"
"""Raised when what scripts and files may hold changes."""
