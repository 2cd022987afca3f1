"""Coaxial columns of metal that stand along the chord normal, as sums and as things to make.

Heights are n coordinates from the feathering axis, m. A column on its axis at (radius, chord) is known by four sums:
its mass m, sum m n, sum m n^2, and the second moment about its own axis' diameter, sum m c'^2.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np

from featherbench.assembly.shapes import Area, Piece, circle


class Column(NamedTuple):
    """Sums of coaxial metal, floats or arrays (n,): mass kg, first kg m, second kg m^2, across kg m^2."""

    mass: Any
    first: Any
    second: Any
    across: Any

    def plus(self, other: Column) -> Column:
        """Of both."""
        return Column(*(one + two for one, two in zip(self, other, strict=True)))

    def less(self, other: Column) -> Column:
        """Without what the other is the sums of."""
        return Column(*(one - two for one, two in zip(self, other, strict=True)))

    def taken(self, which: Any) -> Column:
        """Those of the given indices."""
        return Column(*(np.asarray(value)[which] for value in self))

    def mirrored(self) -> Column:
        """Of it and its twin on the other side of the chord."""
        return Column(2.0 * self.mass, 0.0 * self.first, 2.0 * self.second, 2.0 * self.across)


NOTHING = Column(0.0, 0.0, 0.0, 0.0)


def bar(diameter: Any, low: Any, high: Any, density: float, bore: Any = 0.0) -> Column:
    """A round bar from n = low to high, m, with a through bore; arrays of one shape or floats."""
    return prism(circle(diameter).less(circle(bore)), low, high, density)


def prism(section: Area, low: Any, high: Any, density: float) -> Column:
    """Metal of one section from n = low to high, m."""
    mass = density * section.area * (high - low)
    second = density * section.area * (high**3 - low**3) / 3.0
    return Column(mass, mass * (low + high) / 2.0, second, density * section.second * (high - low))


def column_of(pieces: tuple[Piece, ...], density: float, shift: float = 0.0) -> Column:
    """Sums of pieces along the normal, moved by `shift`, m; pieces may name a density of their own."""
    total = NOTHING
    for piece in pieces:
        own = density if piece.density is None else piece.density
        for start, length, section in piece.runs:
            total = total.plus(prism(section, start + shift, start + shift + length, own))
    return total


@dataclass(frozen=True)
class MachinedPart:
    """One thing to make or to buy for each blade.

    name; pieces along its own axis, m, in the place they have along n (of the one above, where there are two);
    density kg/m^3; count per blade; thread "M3"; standard: its designation when it is bought, "" when it is turned;
    radius, chord: where its axis stands, m; threaded: indices of pieces that carry an outside thread; tapped: whether
    the bore is tapped; plain: indices of pieces of a plain shank, whose size the joint gives; where: in words, of
    bought pieces; screwed_in: how far a stud goes into the grip beyond its pieces, m, which counts in `beside` of its
    build; fitted: names of the scenario parts that it is.
    """

    name: str
    material: str
    density: float
    pieces: tuple[Piece, ...]
    radius: float
    chord: float = 0.0
    count: int = 1
    thread: str = ""
    standard: str = ""
    threaded: tuple[int, ...] = ()
    tapped: bool = False
    plain: tuple[int, ...] = ()
    where: str = ""
    screwed_in: float = 0.0
    fitted: tuple[str, ...] = ()

    @property
    def whole(self) -> tuple[Piece, ...]:
        """Its pieces with what goes into the grip."""
        first = self.pieces[0]
        longer = first._replace(start=first.start - self.screwed_in, length=first.length + self.screwed_in)
        return (longer, *self.pieces[1:])

    @property
    def weighed(self) -> float:
        """What one weighs on a scale, kg."""
        return float(column_of(self.whole, self.density).mass)

    @property
    def column(self) -> Column:
        """Sums of one."""
        return column_of(self.pieces, self.density)

    @property
    def mass(self) -> float:
        """Of one, kg."""
        return float(self.column.mass)

    @property
    def length(self) -> float:
        """Over all, m."""
        return max(p.start + p.length for p in self.pieces) - min(p.start for p in self.pieces)

    @property
    def diameter(self) -> float:
        """Largest, m."""
        return max(max(p.diameter, p.across_flats) for p in self.pieces)


@dataclass(frozen=True)
class Build:
    """A complete solution: what to make, and the scenario parts that say the same.

    parts: part name -> table as it stands in a scenario file (texts with units). beside: sums of hardware of the build
    that is fitted again, in its new place, and of what of studs is in the grip.
    """

    made: tuple[MachinedPart, ...]
    parts: dict[str, dict[str, Any]] = field(default_factory=dict)
    beside: Column = NOTHING


def mm(length: float) -> str:
    """A length as a scenario file has it, exact to a picometre."""
    return f"{round(length * 1e3, 9):.12g} mm"
