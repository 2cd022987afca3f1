"""Stripping of a thread: shear areas at the tolerance limits, and what the weaker of both sides bears.

FED-STD-H28/2B (read in an open program and a handbook page): bolt thread pi/P D1max [P/2 + (d2min - D1max)/sqrt 3], nut
thread pi/P dmin [P/2 + (dmin - D2max)/sqrt 3], per length of full thread. Limits of 6g and 6H: ISO 965-1, worked out
from its tolerances; those of inch threads, classes 2A and 2B, ASME B1.1.
"""

from __future__ import annotations

from math import pi, sqrt
from typing import NamedTuple

from featherbench.assembly.hardware import MM, is_inch, split_size, thread_of
from featherbench.assembly.inch_threads import class_two

SHEAR_OF_YIELD = 0.577
"""Shear yield over yield (von Mises)."""
ENDS = 1.0
"""Pitches of thread that carry nothing, where it runs in and out (common practice, no source)."""


class Limits(NamedTuple):
    """mm: least outside and pitch diameter of a 6g bolt; greatest pitch and inside diameter of a 6H nut."""

    outside: float
    bolt_pitch: float
    nut_pitch: float
    nut_inside: float


LIMITS = {
    "M1.6": Limits(1.496, 1.291, 1.458, 1.321),
    "M2": Limits(1.886, 1.654, 1.830, 1.679),
    "M2.5": Limits(2.380, 2.117, 2.303, 2.138),
    "M3": Limits(2.874, 2.580, 2.775, 2.599),
    "M4": Limits(3.838, 3.433, 3.663, 3.422),
    "M5": Limits(4.826, 4.361, 4.605, 4.334),
}


def thread_areas(size: str) -> tuple[float, float]:
    """Shear area of bolt thread and of nut thread, m^2 per m of full thread. size: "M3"."""
    own = split_size(size)[0]
    limits = Limits(*class_two(own)) if is_inch(size) else LIMITS[own]
    pitch = thread_of(size).pitch
    outside = (
        pi / pitch * limits.nut_inside * (0.5 * pitch + (limits.bolt_pitch - limits.nut_inside) / sqrt(3.0))
    )
    inside = pi / pitch * limits.outside * (0.5 * pitch + (limits.outside - limits.nut_pitch) / sqrt(3.0))
    return outside * MM, inside * MM


def stripping_load(size: str, length: float, bolt_yield: float, nut_yield: float) -> float:
    """Pull at which the weaker thread begins to shear, N: length of thread in the other, m, ends off; yields Pa."""
    full = max(length - ENDS * thread_of(size).pitch * MM, 0.0)
    outside, inside = thread_areas(size)
    return SHEAR_OF_YIELD * full * min(bolt_yield * outside, nut_yield * inside)
