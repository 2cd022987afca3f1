"""Stiffness of the linkage, referred to the rod: the rod's own, and members in series."""

from __future__ import annotations

from math import inf, pi


def rod_section(diameter: float, bore: float = 0.0) -> float:
    """Cross section of a round rod or tube, m^2; diameters in m."""
    return 0.25 * pi * (diameter * diameter - bore * bore)


def rod_stiffness(modulus: float, section: float, length: float) -> float:
    """Stiffness E A / L of a rod in push or pull, N/m; modulus Pa, section m^2, length m."""
    return modulus * section / length


def in_series(*members: float) -> float:
    """Stiffness of springs that carry the same force one after the other, N/m; inf is a rigid member."""
    give = sum(1.0 / member for member in members)
    return 1.0 / give if give > 0.0 else inf
