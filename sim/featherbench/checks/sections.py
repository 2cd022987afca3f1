"""Which width of a bolt or arm carries at which height: the core where it is threaded, itself where it is plain."""

from __future__ import annotations

from collections.abc import Sequence
from math import pi
from typing import NamedTuple

from featherbench.assembly.assembled import Solid
from featherbench.assembly.hardware import MM, core_diameter, thread_of
from featherbench.checks.fasteners import round_modulus

AXES = ("radius", "chord", "normal")
RADIUS, CHORD, NORMAL = range(3)
STEP = 1e-6
"""m to either side of a height at which sections are looked up: where they change, the weaker counts."""


class Section(NamedTuple):
    """width: of what carries; bore: of its hole, m; thread: size, "" where plain; nominal: outside, m."""

    width: float
    bore: float
    thread: str
    nominal: float

    @property
    def area(self) -> float:
        """m^2."""
        return pi / 4.0 * (self.width**2 - self.bore**2)

    @property
    def modulus(self) -> float:
        """In bending, m^3."""
        return round_modulus(self.width) - pi * self.bore**4 / 32.0 / self.width

    @property
    def words(self) -> str:
        """As a builder would say it."""
        if self.thread:
            return f"thread {self.thread}, core d3 = {1e3 * self.width:.2f} mm"
        return f"plain shank, {1e3 * self.width:.2f} mm"


def section_of(solid: Solid) -> Section:
    """Of one round or hexagonal solid, across its axis."""
    across = [size for index, size in enumerate(solid.size) if AXES[index] != solid.axis]
    if solid.thread:
        nominal = thread_of(solid.thread).diameter * MM
        return Section(core_diameter(solid.thread), solid.bore, solid.thread, nominal)
    return Section(min(across), solid.bore, "", min(across))


def ends(solid: Solid) -> tuple[float, float]:
    """Lowest and highest point along the normal, m."""
    half = 0.5 * solid.size[NORMAL]
    return solid.centre[NORMAL] - half, solid.centre[NORMAL] + half


def gap_between(one: Solid, other: Solid) -> float:
    """Free way between two bodies along the axis on which they are furthest apart, m; 0 where their outlines meet."""
    return max(
        0.0,
        *(
            abs(a - b) - 0.5 * (long + wide)
            for a, b, long, wide in zip(one.centre, other.centre, one.size, other.size, strict=True)
        ),
    )


def on_axis(solid: Solid, place: tuple[float, float]) -> bool:
    """Whether the normal through (radius, chord), m, passes through it."""
    return (
        abs(solid.centre[RADIUS] - place[0]) <= 0.5 * solid.size[RADIUS]
        and abs(solid.centre[CHORD] - place[1]) <= 0.5 * solid.size[CHORD]
    )


def section_at(solids: Sequence[Solid], height: float) -> Section | None:
    """The weaker of what lies just above and just below a height, m; None where it does not reach."""
    found = []
    for side in (height - STEP, height + STEP):
        for solid in solids:
            low, high = ends(solid)
            if low <= side <= high and solid.kind in ("round", "hex"):
                found.append(section_of(solid))
    return min(found, key=lambda one: one.modulus) if found else None
