"""Unified inch threads: the machine screws of model aircraft, coarse and fine, by diameter and threads to the inch.

Basic diameters and pitches: ASME B1.1, MEM (from memory); class 2A and 2B limits are worked out by its formulas, of
which allowance and pitch tolerance were FOUND in open programs that cite it, the others MEM. The basic profile is the
metric one's, so that pitch and core diameters follow the same formulas.
"""

from __future__ import annotations

from math import sqrt
from typing import NamedTuple

INCH = 25.4
INCH_THREADS = {
    "2-56": (0.086, 56),
    "4-40": (0.112, 40),
    "5-40": (0.125, 40),
    "6-32": (0.138, 32),
    "8-32": (0.164, 32),
    "10-24": (0.190, 24),
    "10-32": (0.190, 32),
    "1/4-20": (0.250, 20),
    "1/4-28": (0.250, 28),
}
"""Basic diameter, inch, and threads to the inch: UNC but for those that are UNF."""
FINE = ("10-32", "1/4-28")


class ClassTwo(NamedTuple):
    """mm: least outside and pitch diameter of a 2A screw; greatest pitch and inside diameter of a 2B nut."""

    outside: float
    bolt_pitch: float
    nut_pitch: float
    nut_inside: float


def class_two(size: str) -> ClassTwo:
    """Limits at an engagement of one diameter; raises KeyError for a size that is not in the table.

    Inches: T = 0.0015 D^(1/3) + 0.0015 D^(1/2) + 0.015 P^(2/3), allowance 0.3 T; outside tolerance 0.060 P^(2/3); 2B
    pitch tolerance 1.3 T; 2B inside tolerance 0.05 P^(2/3) + 0.03 P/D - 0.002 below 1/4 inch, within 0.25 P - 0.4 P^2
    and 0.394 P, and 0.25 P - 0.4 P^2 from there on.
    """
    wide, count = INCH_THREADS[size]
    pitch = 1.0 / count
    two_thirds = pitch ** (2.0 / 3.0)
    tolerance = 0.0015 * wide ** (1.0 / 3.0) + 0.0015 * sqrt(wide) + 0.015 * two_thirds
    low = 0.25 * pitch - 0.4 * pitch**2
    inside = low
    if wide < 0.25:
        inside = min(max(0.05 * two_thirds + 0.03 * pitch / wide - 0.002, low), 0.394 * pitch)
    effective = wide - 0.649519 * pitch
    limits = (
        wide - 0.3 * tolerance - 0.060 * two_thirds,
        effective - 1.3 * tolerance,
        effective + 1.3 * tolerance,
        wide - 1.082532 * pitch + inside,
    )
    return ClassTwo(*(INCH * limit for limit in limits))
