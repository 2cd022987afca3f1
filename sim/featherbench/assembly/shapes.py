"""Masses and second moments of simple solids about their own point of reference.

Every turned or prismatic piece is one `Piece`; a bar, tube, hexagon, stack, screw, nut or washer is a tuple
of them along one axis. Formulas are the textbook ones for area and volume moments.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np

from featherbench.assembly.mass_moments import C, MassMoments, N, R, Vector
from featherbench.assembly.refusal import PartRefused

AXIS_INDEX = {"radius": R, "chord": C, "normal": N}


class Area(NamedTuple):
    """A plane figure with at least threefold symmetry: area, m^2, and second moment about any centroidal
    axis, m^4.
    """

    area: float
    second: float

    def less(self, hole: Area) -> Area:
        """With a concentric hole."""
        return Area(self.area - hole.area, self.second - hole.second)


def circle(diameter: float) -> Area:
    """A disc: pi d^2/4, pi d^4/64."""
    return Area(math.pi * diameter**2 / 4.0, math.pi * diameter**4 / 64.0)


def hexagon(across_flats: float) -> Area:
    """A regular hexagon of width s across flats: sqrt(3)/2 s^2, 5 sqrt(3)/144 s^4."""
    return Area(math.sqrt(3.0) / 2.0 * across_flats**2, 5.0 * math.sqrt(3.0) / 144.0 * across_flats**4)


def segment(diameter: Any, across: Any) -> Area:
    """What one of two flats `across` apart takes off a disc; m, floats or arrays; nothing where none reaches it.

    Area r^2 a - h s with h = across/2, a = acos(h/r), s = sqrt(r^2 - h^2); second moment the mean over all diameters of
    the disc, half its polar one: (r^4 a/2 - s h^3/2 - s^3 h/6)/2 (a sector less its triangle).
    """
    r = np.asarray(diameter, dtype=float) / 2.0
    h = np.minimum(np.asarray(across, dtype=float) / 2.0, r)
    angle = np.arccos(np.divide(h, r, out=np.ones(np.broadcast(h, r).shape), where=r > 0.0))
    s: Any = np.sqrt(np.maximum(r * r - h * h, 0.0))
    polar: Any = r**4 * angle / 2.0 - s * h**3 / 2.0 - s**3 * h / 6.0
    area: Any = r * r * angle - h * s
    return Area(area, polar / 2.0)


def cut_off(diameter: Any, bore: Any, across: Any, wide: Any) -> Area:
    """What two flats `across` apart take off a ring, or, where across is 0, a slot `wide` along a diameter of it.

    m, floats or arrays; second moment the mean over all diameters: how a screw stands when it is tight nobody knows.
    """
    rings = [segment(size, width) for size, width in ((diameter, across), (diameter, wide), (bore, wide))]
    flats, over, hole = (Area(2.0 * one.area, 2.0 * one.second) for one in rings)
    slot = circle(diameter).less(over).less(circle(bore).less(hole))
    flat = np.asarray(across) > 0.0
    area: Any = np.where(flat, flats.area, slot.area)
    second: Any = np.where(flat, flats.second, slot.second)
    return Area(area, second)


class Cut(NamedTuple):
    """How a tool grips a round piece: by two flats `across` apart, or, where that is 0, by a slot `wide` along a
    diameter; either reaches `long` along the axis, m, from the piece's upper end (end 1) or its lower one (-1).
    """

    across: float
    wide: float
    long: float
    end: int = 1


class Piece(NamedTuple):
    """One coaxial piece: from `start` along the axis over `length`, metres.

    Outside it is round (`diameter`) or hexagonal (`across_flats`), the other being 0; its through hole is
    round (`bore`) or hexagonal (`socket`, across flats), or there is none. density: kg/m^3, or None for the
    part's own. thread: size of an outside thread ("M3"), of which `diameter` is what it weighs as; tapped: of one
    in its bore. cut: flats or slot of a round piece.
    """

    start: float
    length: float
    diameter: float = 0.0
    across_flats: float = 0.0
    bore: float = 0.0
    socket: float = 0.0
    density: float | None = None
    thread: str = ""
    tapped: str = ""
    cut: Cut | None = None

    @property
    def section(self) -> Area:
        """The cut across the axis, with its hole; whole, without flats or slot."""
        outside = circle(self.diameter) if self.diameter else hexagon(self.across_flats)
        return outside.less(circle(self.bore)).less(hexagon(self.socket))

    @property
    def runs(self) -> tuple[tuple[float, float, Area], ...]:
        """Start, length, m, and section of each stretch of even section: one, or two where something is cut off."""
        if self.cut is None:
            return ((self.start, self.length, self.section),)
        cut, rest = self.cut, self.length - self.cut.long
        off = cut_off(self.diameter, self.bore, cut.across, cut.wide)
        left = self.section.less(Area(float(off.area), float(off.second)))
        if cut.end > 0:
            return ((self.start, rest, self.section), (self.start + rest, cut.long, left))
        return ((self.start, cut.long, left), (self.start + cut.long, rest, self.section))

    @property
    def volume(self) -> float:
        """m^3."""
        return sum(length * section.area for _, length, section in self.runs)

    @property
    def wall_left(self) -> float:
        """Width outside less width of the hole (hexagonal socket: across corners), m; must stay above 0."""
        hole = max(self.bore, self.socket * 2.0 / math.sqrt(3.0))
        return max(self.diameter, self.across_flats) - hole


def overlap(one: Piece, other: Piece) -> bool:
    """True when two coaxial pieces claim the same room (a hexagon taken as wide as its flats)."""
    allowed = 1e-9  # a nanometre of rounding
    along = min(one.start + one.length, other.start + other.length) - max(one.start, other.start)
    outside = min(max(one.diameter, one.across_flats), max(other.diameter, other.across_flats))
    return along > allowed and outside - max(one.bore, other.bore) > allowed


def coaxial(pieces: tuple[Piece, ...], axis: str, density: float) -> MassMoments:
    """Moments of coaxial pieces about the point where `start` is 0, axis along "radius", "chord" or "normal".

    density: kg/m^3, of the pieces that name none. Raises PartRefused for a hole as wide as the piece.
    """
    along = np.zeros(3)
    along[AXIS_INDEX[axis]] = 1.0
    total = MassMoments.zero()
    for piece in pieces:
        if piece.wall_left <= 0.0:
            outside = max(piece.diameter, piece.across_flats)
            raise PartRefused(
                "bore", f"{1e3 * (outside - piece.wall_left):g} mm", f"less than {1e3 * outside:g} mm"
            )
        own = density if piece.density is None else piece.density
        for start, length, section in piece.runs:
            mass = own * section.area * length
            lengthwise = mass * length**2 / 12.0
            across = own * section.second * length
            central = across * np.eye(3) + (lengthwise - across) * np.outer(along, along)
            total = total + MassMoments.of_body(mass, (start + length / 2.0) * along, central)
    return total


def box(radius: float, chord: float, normal: float, density: float) -> MassMoments:
    """Moments of a block about its centre; edges in m along the blade frame, density in kg/m^3."""
    edges = np.array([radius, chord, normal])
    mass = density * float(np.prod(edges))
    return MassMoments.of_body(mass, np.zeros(3), np.diag(mass * edges**2 / 12.0))


def point(mass: float) -> MassMoments:
    """Moments of a point mass (kg) at the origin."""
    return MassMoments.of_body(mass, np.zeros(3), np.zeros((3, 3)))


def scaled(moments: MassMoments, mass: float) -> MassMoments:
    """The same body with its density changed evenly so that it weighs `mass`, kg."""
    factor = mass / moments.mass
    return MassMoments(mass, factor * moments.first, factor * moments.second)


def inertia_tensor_to_second(inertia: Vector) -> Vector:
    """Second moments sum m p p^T (3, 3) from an inertia tensor (3, 3) about the same point: tr(I)/2 - I."""
    return 0.5 * np.trace(inertia) * np.eye(3) - inertia
