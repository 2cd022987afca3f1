"""Moments of inertia from swinging a body, and second moments from them.

bifilar, cords of length L, full distance D apart: I = m g D^2 T^2 / (16 pi^2 L). trifilar, three cords on a
circle of diameter D: the same. compound, pivot a distance l from the centre of mass: I = m g l T^2 / (4 pi^2)
- m l^2. All for small swings; I about the centre of mass. (Textbook; bifilar as in M. R. Jardin, E. R.
Mueller, AIAA 2007-6822.)
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from featherbench.assembly.mass_moments import C, N, R, Vector
from featherbench.assembly.refusal import PartRefused

GRAVITY = 9.80665


def suspended_inertia(
    mass: float, period: float, cord_length: float, spacing: float, gravity: float = GRAVITY
) -> float:
    """Bifilar or trifilar: inertia about the vertical through the centre of mass, kg m^2.

    mass kg, period s, cord_length m, spacing m: full distance between two cords, or diameter of the circle of
    three.
    """
    return mass * gravity * spacing**2 * period**2 / (16.0 * math.pi**2 * cord_length)


def pendulum_inertia(mass: float, period: float, pivot_distance: float, gravity: float = GRAVITY) -> float:
    """Compound pendulum: inertia about the centre of mass on an axis along the pivot, kg m^2; may come out
    negative.
    """
    return mass * gravity * pivot_distance * period**2 / (4.0 * math.pi**2) - mass * pivot_distance**2


def torsion_inertia(period: float, stiffness: float) -> float:
    """Torsion pendulum: I = k T^2 / (4 pi^2), kg m^2; stiffness in N m/rad, period in s."""
    return stiffness * period**2 / (4.0 * math.pi**2)


def torsion_stiffness(inertia: float, loaded: float, empty: float) -> float:
    """Stiffness of a torsion pendulum, N m/rad, from a body of known inertia: periods with it and without it,
    s.
    """
    return 4.0 * math.pi**2 * inertia / (loaded**2 - empty**2)


def suspended_uncertainty(
    inertia: float, *, mass: float, period: float, cord_length: float, spacing: float
) -> float:
    """Standard uncertainty of `suspended_inertia`, kg m^2, from the relative standard uncertainties of its
    inputs.
    """
    return inertia * math.sqrt(mass**2 + (2.0 * period) ** 2 + cord_length**2 + (2.0 * spacing) ** 2)


class Reading(NamedTuple):
    """An inertia about the centre of mass (kg m^2) and the axis it is about: "radius", "chord" or
    "normal".
    """

    about: str
    inertia: float


class CentralMoments(NamedTuple):
    """Diagonal second moments about the centre of mass, (3, 3) kg m^2, and what had to be assumed for
    them.
    """

    second: Vector
    assumed: tuple[str, ...]


def central_moments(readings: tuple[Reading, ...], normal_share: float | None) -> CentralMoments:
    """Second moments of a body swung about one to three axes through its centre of mass.

    A swing about radius gives cc + nn; about chord, rr + nn; about normal, rr + cc. The share of cc + nn that
    is nn comes from `normal_share` when given, else from three swings. Products are taken as 0. Raises
    PartRefused when the readings do not suffice, or contradict each other (a second moment below 0), with the
    numbers.
    """
    inertia = {reading.about: reading.inertia for reading in readings}
    if len(inertia) < len(readings):
        raise PartRefused(
            "swings_measured", "two swings about one axis", "at most one about each of radius, normal, chord"
        )
    for about, value in inertia.items():
        if value <= 0.0:
            raise PartRefused(
                "swings_measured",
                f"I about {about} = {value:.4g} kg m^2",
                "an inertia above 0: check pivot distance and period",
            )
    if "radius" not in inertia:
        raise PartRefused(
            "swings_measured", "no swing about radius", "a swing about the radius, which the feathering needs"
        )
    lengthwise_known = len(inertia) > 1
    nn = _normal_part(inertia, normal_share)
    cc = inertia["radius"] - nn
    if len(inertia) == 3:
        rr = 0.5 * (inertia["chord"] + inertia["normal"] - inertia["radius"])
    else:
        rr = (
            inertia["chord"] - nn
            if "chord" in inertia
            else inertia["normal"] - cc
            if "normal" in inertia
            else 0.0
        )
    second = np.zeros((3, 3))
    for index, value, name in ((R, rr, "r"), (C, cc, "c"), (N, nn, "n")):
        if value < 0.0:
            shown = ", ".join(f"I about {about} {amount:.4g}" for about, amount in inertia.items())
            raise PartRefused(
                "swings_measured",
                f"sum m {name}^2 = {value:.3g} kg m^2 from {shown}",
                "swings that agree: no second moment is below 0. For a thin body give normal_share",
            )
        second[index, index] = value
    assumed = ["products of inertia about the centre of mass taken as 0"]
    if not lengthwise_known:
        assumed.append(
            "spread along the radius taken as 0: it only matters for a part that swings on the bolt"
        )
    return CentralMoments(second, tuple(assumed))


def _normal_part(inertia: dict[str, float], normal_share: float | None) -> float:
    """sum m n^2 about the centre of mass, kg m^2."""
    if normal_share is not None:
        return normal_share * inertia["radius"]
    if len(inertia) < 3:
        raise PartRefused(
            "normal_share",
            "nothing",
            "what part of I_c + I_n is I_n (0.5 for a round part), or swings about all three axes",
        )
    return 0.5 * (inertia["radius"] + inertia["chord"] - inertia["normal"])
