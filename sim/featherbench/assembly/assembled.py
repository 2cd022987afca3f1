"""What the assembly room hands on: parts in their places, how the blade is held, and the sum of them."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal, NamedTuple

import numpy as np

from featherbench.assembly.blade import Planform
from featherbench.assembly.mass_moments import MassMoments
from featherbench.scenario import Assumed
from featherbench.scenario.parts import Part


class Solid(NamedTuple):
    """One solid as it is drawn, blade straight out and at zero pitch.

    kind: "round" and "hex" stand along `axis`; "box", "surface" (box around a mesh, or around any form whose section
    is not known) and "point" use `size` alone; "blade" is drawn from the assembly's planform. centre: (radius, chord,
    normal) m. size: full extents along radius, chord and normal before turning, m (hex: across flats). bore: through
    hole, m. turn: about the feathering axis, rad. thread: size of an outside thread, whose `size` is what it weighs as;
    tapped: of one in its bore.
    """

    kind: Literal["round", "hex", "box", "blade", "surface", "point"]
    axis: str
    centre: tuple[float, float, float]
    size: tuple[float, float, float]
    bore: float = 0.0
    turn: float = 0.0
    thread: str = ""
    tapped: str = ""


@dataclass(frozen=True)
class PlacedPart:
    """One part (with its twin, if mirrored) in the blade frame, blade straight out.

    swings: turns on the blade bolt with the blade. how: where its mass comes from. stands_in: takes the place of a part
    of the plain build. volume: m^3, as drawn, twin included; 0 for a part without an outline. assumed: what had to be,
    for it. written: the keys it was made from, of a part that is made from them alone.
    """

    name: str
    group: str
    swings: bool
    moments: MassMoments
    how: Literal["weighed", "from density"]
    solids: tuple[Solid, ...] = ()
    stands_in: bool = False
    volume: float = 0.0
    assumed: tuple[Assumed, ...] = ()
    written: Part | None = field(default=None, repr=False, compare=False)


@dataclass(frozen=True)
class BladeBolt:
    """The blade bolt: its axis stands along the chord normal through (radius, chord), m.

    free: the blade swings on it. set_angle: rad, tip toward the leading edge positive, when it is clamped. stuck: of a
    free blade, the coefficient of friction that holds it beside its balance times the pin's radius, m, positive where
    it holds the tip toward the leading edge.
    """

    free: bool
    radius: float
    chord: float
    set_angle: float
    stuck: float = 0.0


@dataclass(frozen=True)
class Assembly:
    """Everything that pitches with one blade. outline: the blade's planform, for the air loads and
    drawings. replaced: parts of the plain build that others stand in for; not fitted. scale: factor on I_c, I_n and
    I_cn of blade and grip as they are stated, which a calibration may have found; bolts and weights are what they are.
    """

    parts: tuple[PlacedPart, ...]
    bolt: BladeBolt
    outline: Planform
    assumed: tuple[Assumed, ...] = ()
    replaced: tuple[PlacedPart, ...] = ()
    scale: float = 1.0

    @cached_property
    def swinging(self) -> MassMoments:
        """Of the parts that turn on the bolt, blade straight out."""
        return sum((part.moments for part in self.parts if part.swings), MassMoments.zero())

    @cached_property
    def about_bolt(self) -> MassMoments:
        """The same about the bolt's axis in the plane of the feathering axis, not about the frame's origin."""
        return self.swinging.moved(np.eye(3), np.array([-self.bolt.radius, -self.bolt.chord, 0.0]))
