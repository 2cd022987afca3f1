"""What a person may write for one part of a blade assembly: a closed set of shapes, each with its own keys.

All quantities are SI floats once the model is built. Coordinates follow the blade frame: radius outboard
along the feathering axis, chord toward the leading edge, normal toward the thrust side.
"""

from __future__ import annotations

from typing import Annotated, Literal, get_args

from pydantic import ConfigDict, Field

from featherbench.scenario.fields import (
    PLAIN_NUMBER,
    Length,
    NonNegativeLength,
    PositiveLength,
    PositiveTime,
)
from featherbench.scenario.part_base import Axis, Extent, PartBase, Table
from featherbench.scenario.part_base import Place as Place


class AerofoilPart(PartBase):
    """The blade proper; takes its outline from [blade]."""

    shape: Literal["aerofoil"]


class BoxPart(PartBase):
    """A rectangular block centred on `at`."""

    shape: Literal["box"]
    size: Extent


class CylinderPart(PartBase):
    """A solid round bar centred on `at`."""

    shape: Literal["cylinder"]
    axis: Axis
    diameter: PositiveLength
    length: PositiveLength
    thread: str | None = Field(
        default=None,
        description="outside thread over its whole length, whose core carries; diameter is what it weighs as",
        examples=["M3"],
    )


class Gripped(Table):
    """How a round piece is gripped by a tool, cut off at one end of it."""

    flats: PositiveLength | None = Field(
        default=None, description="width across two flats for a spanner", examples=["5.5 mm"]
    )
    slot: PositiveLength | None = Field(
        default=None, description="width of a slot for a screwdriver", examples=["0.8 mm"]
    )
    cut_length: PositiveLength | None = Field(
        default=None, description="how far flats or slot reach along the axis", examples=["2.5 mm"]
    )
    cut_at: Literal["+", "-"] = Field(default="+", description="which end of the axis they are at")


class TubePart(PartBase, Gripped):
    """A round bar with a through bore, centred on `at`."""

    shape: Literal["tube"]
    axis: Axis
    diameter: PositiveLength
    bore: PositiveLength
    length: PositiveLength
    tapped: str | None = Field(
        default=None, description="thread in its bore; bore is what it weighs as", examples=["M3"]
    )


class HexPart(PartBase):
    """A hexagonal prism, optionally bored, centred on `at`."""

    shape: Literal["hex"]
    axis: Axis
    across_flats: PositiveLength
    length: PositiveLength
    bore: NonNegativeLength = 0.0
    tapped: str | None = Field(
        default=None, description="thread in its bore; bore is what it weighs as", examples=["M3"]
    )


class StackPiece(Gripped):
    """One coaxial piece of a turned part; round by `diameter` or hexagonal by `across_flats`."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, populate_by_name=True)

    from_: Length = Field(
        alias="from", description="where the piece starts, along the axis, from the part's `at`"
    )
    length: PositiveLength
    diameter: PositiveLength | None = None
    across_flats: PositiveLength | None = None
    bore: NonNegativeLength = 0.0
    thread: str | None = Field(
        default=None,
        description="outside thread, in place of diameter: weighs as its pitch diameter, carries with its core",
        examples=["M3"],
    )
    tapped: str | None = Field(
        default=None, description="thread in the bore, in place of bore", examples=["M3"]
    )


class StackPart(PartBase):
    """A turned part: coaxial pieces along one axis through `at`."""

    shape: Literal["stack"]
    axis: Axis
    pieces: Annotated[list[StackPiece], Field(min_length=1)]


class ScrewPart(PartBase):
    """A standard screw by its standard and size, e.g. ISO 4762, M3x14."""

    shape: Literal["screw"]
    standard: str
    size: str = Field(examples=["M3x14"])
    axis: Axis = "normal"
    head: Literal["+", "-"] = Field(default="+", description="which end of the axis the head is on")
    under_head: Length | None = Field(
        default=None,
        description="along the axis, from `at`, to the face under the head; omitted: shank centred on `at`",
    )
    shank_length: NonNegativeLength = Field(
        default=0.0, description="plain length under the head, without thread; none if left out"
    )
    shank_diameter: PositiveLength | None = Field(
        default=None, description="of the plain length; the thread's own if left out"
    )


class NutPart(PartBase):
    """A standard nut by its standard and size, centred on `at`."""

    shape: Literal["nut"]
    standard: str
    size: str = Field(examples=["M3"])
    axis: Axis = "normal"


class WasherPart(PartBase):
    """A standard washer by its standard and size, centred on `at`."""

    shape: Literal["washer"]
    standard: str
    size: str = Field(examples=["M3"])
    axis: Axis = "normal"


class PointPart(PartBase):
    """A point mass at `at`."""

    shape: Literal["point"]


class MeshPart(PartBase):
    """A closed surface from an STL file; its x, y, z are radius, chord, normal, offset by `at`."""

    shape: Literal["mesh"]
    file: str
    unit: Literal["mm", "cm", "m", "inch"] = "mm"


class PendulumSwing(Table):
    """One pendulum measurement of the inertia about an axis through the centre of mass.

    bifilar: two equal cords `cord_length` long, `spacing` apart (full distance between the cords).
    trifilar: three cords on a circle whose diameter is `spacing`.
    compound: swung as a pendulum about a parallel pivot `pivot_distance` from the centre of mass.
    """

    about: Axis = "radius"
    method: Literal["bifilar", "trifilar", "compound"] = "bifilar"
    period: PositiveTime
    cord_length: PositiveLength | None = None
    spacing: PositiveLength | None = None
    pivot_distance: PositiveLength | None = None


class MeasuredPart(PartBase):
    """A weighed body with a balanced centre of mass (`at`) and swung inertias.

    The short form gives one bifilar swing about the radius: `period`, `cord_length`, `spacing`. With a swing
    about one axis only, `normal_share` says what part of I_c + I_n about the centre of mass is I_n.
    """

    shape: Literal["measured"]
    period: PositiveTime | None = None
    cord_length: PositiveLength | None = None
    spacing: PositiveLength | None = None
    swings_measured: list[PendulumSwing] = Field(default_factory=list)
    normal_share: Annotated[float, Field(ge=0.0, le=1.0), PLAIN_NUMBER] | None = None


Part = Annotated[
    AerofoilPart
    | BoxPart
    | CylinderPart
    | TubePart
    | HexPart
    | StackPart
    | ScrewPart
    | NutPart
    | WasherPart
    | PointPart
    | MeshPart
    | MeasuredPart,
    Field(discriminator="shape"),
]

SHAPES: tuple[str, ...] = tuple(
    get_args(one.model_fields["shape"].annotation)[0] for one in get_args(get_args(Part)[0])
)
"""What may be typed as `shape`."""
