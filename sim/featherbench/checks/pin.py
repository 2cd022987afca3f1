"""A bolt that a blade swings on, as a pin in double shear: bending moment and shear along it.

EN 1993-1-8:2005, 3.13.2, figure 3.11 and table 3.10 (read in public extracts): the load spreads evenly over root and
cheeks, M = F/8 (b + 4 c + 2 a). The same even spread gives moment and shear at every height.
"""

from __future__ import annotations

from typing import NamedTuple


def pin_moment(force: float, root: float, cheek: float, clearance: float) -> float:
    """Largest bending moment of the pin, N m: F/8 (b + 4 c + 2 a); root b, one cheek a, clearance c each side, m."""
    return force / 8.0 * (root + 4.0 * clearance + 2.0 * cheek)


class PinLoad(NamedTuple):
    """moment N m and shear N at one height, both positive."""

    moment: float
    shear: float


def pin_load(force: float, root: float, cheek: float, clearance: float, away: float) -> PinLoad:
    """At a distance `away` from the middle of the root, m, either way; nothing beyond the cheek."""
    away, inner, outer = abs(away), 0.5 * root + clearance, 0.5 * root + clearance + cheek
    if away <= 0.5 * root:
        greatest = pin_moment(force, root, cheek, clearance)
        return PinLoad(greatest - force * away**2 / (2.0 * root), force * away / root)
    if away <= inner:
        return PinLoad(force * cheek / 4.0 + 0.5 * force * (inner - away), 0.5 * force)
    inside = max(outer - away, 0.0)
    return PinLoad(force * inside**2 / (4.0 * cheek), 0.5 * force * inside / cheek)
