"""The name of a section: NACA 4-digit numerals, or else a coordinate file."""

from __future__ import annotations

import re

_SYMMETRIC = re.compile(r"\s*naca[\s-]*00([0-9]{2})\s*", re.IGNORECASE)


def symmetric_thickness(name: str) -> float | None:
    """Thickness in chords that the numerals of a NACA 4-digit symmetric section state; None for any other name.

    The last two of four digits are the thickness in per cent of the chord (NACA Report 460), the first two the camber.
    """
    numerals = _SYMMETRIC.fullmatch(name)
    return int(numerals[1]) / 100.0 if numerals else None


def is_coordinate_file(name: str) -> bool:
    """Whether [blade] section names a file rather than a NACA 4-digit symmetric section."""
    return symmetric_thickness(name) is None
