"""How unlike the blades of a rotor may be, by balance quality grades (ISO 21940-11), and what that leaves.

A grade G is eccentricity times speed: U = G m / omega of a rotor of mass m; its force turns with the rotor, U omega^2.
"""

from __future__ import annotations

import re

_GRADE = re.compile(r"\s*G?\s*(\d+(?:\.\d+)?)\s*(?:mm/s)?\s*", re.IGNORECASE)


def grade_speed(grade: str) -> float | None:
    """m/s of a grade such as "G6.3" (eccentricity times rotor speed, mm/s); None for what is no grade."""
    found = _GRADE.fullmatch(grade)
    return float(found.group(1)) * 1e-3 if found and float(found.group(1)) > 0.0 else None


def permissible_unbalance(grade: float, mass: float, speed: float) -> float:
    """Permissible residual unbalance, kg m: grade (m/s) x mass (kg) / speed (rad/s); ISO 21940-11."""
    return grade * mass / speed


def grade_of(unbalance: float, mass: float, speed: float) -> float:
    """The grade, m/s, of an unbalance, kg m."""
    return unbalance * speed / mass


def turning_force(unbalance: float, speed: float) -> float:
    """Force, N, that an unbalance, kg m, makes once a turn."""
    return unbalance * speed**2
