"""How to swing a body for its inertia with calipers, a scale and cord; what comes of the readings.

The small-swing formulas and their uncertainty are those of `assembly.pendulum`; here they meet people.
"""

from __future__ import annotations

from math import pi, sqrt
from typing import NamedTuple

from featherbench.assembly.pendulum import GRAVITY, pendulum_inertia, suspended_inertia, suspended_uncertainty
from featherbench.quantities import Measured

RECIPES: dict[str, tuple[str, ...]] = {
    "bifilar": (
        "Weigh the body to a hundredth of a gram or so.",
        "Hang it from two equal cords, upright and side by side, so that the axis you want stands vertical. For the "
        "feathering axis the blade assembly hangs lengthwise, root or tip up, from a light yoke; weigh and swing the "
        "yoke alone, too, and take its inertia off.",
        "Make the cords long, ten times their spacing or more, and the spacing about twice the radius of gyration you "
        "expect, so that the period comes to about a second. Measure the cord between its two ends, and the spacing "
        "between the cords, with calipers.",
        "Both cords must be upright and equally loaded: the centre of mass lies midway between them. Cords that slant "
        "or share the load unequally make the result too small, by a third and more in published student work.",
        "Twist it by less than 10 degrees and let go so that it turns without swinging sideways. Time 20 or more full "
        "swings and divide; repeat five times, take the mean, and half the spread as +/-.",
    ),
    "trifilar": (
        "Weigh the body, and the plate that carries it.",
        "Hang a light plate from three equal cords fixed evenly on a circle; level it. Put the body on it with "
        "the axis you want upright through the middle of the circle.",
        "Measure the cords and the diameter of the circle with calipers; cords ten times as long or more.",
        "Twist by less than 10 degrees; time 20 or more full swings, five times. Swing the empty plate as well: enter "
        "mass and period of both together, and take the plate's inertia off the result.",
    ),
    "compound": (
        "Weigh the body and balance it on an edge for its centre of mass.",
        "Let it swing like a pendulum from a knife edge or a needle through a hole; the axis you want is parallel to "
        "the pivot. Measure from the pivot to the centre of mass with calipers.",
        "The inertia is the small difference of two large figures when the pivot is far off: choose a pivot about one "
        "radius of gyration from the centre of mass, where the period is least and the distance "
        "counts least.",
        "Swing by less than 10 degrees; time 20 or more full swings, five times.",
    ),
}
"""What to do, in steps, by method."""

NEEDED = {
    "bifilar": ("mass", "period", "cord_length", "spacing"),
    "trifilar": ("mass", "period", "cord_length", "spacing"),
    "compound": ("mass", "period", "pivot_distance"),
}
"""Readings of each method; spacing is the full distance of two cords, or the diameter of the circle of three."""


class SwungInertia(NamedTuple):
    """inertia about the centre of mass and its standard uncertainty, kg m^2; share of its square by reading."""

    inertia: float
    standard: float
    shares: dict[str, float]


def standard_uncertainty(reading: Measured) -> float:
    """Of a reading with +/- as a bound within which every value is equally likely: half-width / sqrt 3."""
    return reading.tolerance / sqrt(3.0)


def swung_inertia(method: str, readings: dict[str, Measured]) -> SwungInertia:
    """Inertia from the readings of a method, SI, and what their +/- do to it (law of propagation, JCGM 100:2008, 5.1).

    Raises ValueError, in words, for readings that contradict each other.
    """
    mass, period = readings["mass"].value, readings["period"].value
    own = {name: standard_uncertainty(readings[name]) for name in NEEDED[method]}
    if method == "compound":
        distance = readings["pivot_distance"].value
        inertia = pendulum_inertia(mass, period, distance)
        if inertia <= 0.0:
            raise ValueError(
                "period and pivot_distance contradict each other: no body swings that fast so far from its pivot"
            )
        swing = mass * GRAVITY * distance * period**2 / (4.0 * pi**2)
        parts = {
            "mass": inertia * own["mass"] / mass,
            "period": 2.0 * swing * own["period"] / period,
            "pivot_distance": (swing / distance - 2.0 * mass * distance) * own["pivot_distance"],
        }
        standard = sqrt(sum(part**2 for part in parts.values()))
    else:
        cord, spacing = readings["cord_length"].value, readings["spacing"].value
        inertia = suspended_inertia(mass, period, cord, spacing)
        relative = {name: own[name] / readings[name].value for name in own}
        standard = suspended_uncertainty(inertia, **relative)
        weight = {"mass": 1.0, "period": 2.0, "cord_length": 1.0, "spacing": 2.0}
        parts = {name: inertia * weight[name] * relative[name] for name in relative}
    shares = {name: (part / standard) ** 2 if standard > 0.0 else 0.0 for name, part in parts.items()}
    return SwungInertia(inertia, standard, shares)
