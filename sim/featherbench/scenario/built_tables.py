"""What is built, as a person may write it: rotor, air about it, blade, bearing and what holds them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from featherbench.handed import typed
from featherbench.scenario.fields import (
    PLAIN_NUMBER,
    TOLERANCED_NUMBER,
    WHOLE_NUMBER,
    Altitude,
    Angle,
    Length,
    Moment,
    Name,
    NonNegativeLength,
    NonNegativeMoment,
    PositiveDensity,
    PositiveForce,
    PositiveLength,
    PositiveRotation,
    Quantity,
    Strength,
    Temperature,
    refuse_number,
)
from featherbench.scenario.parts import Table


class Rotor(Table):
    """[rotor]"""

    blades: Annotated[int, Field(ge=2, le=8), WHOLE_NUMBER]
    speed: PositiveRotation
    pitch_range: tuple[Angle, Angle] = Field(description="at the blade, low end then high end")
    coning: Angle = 0.0


class Air(Table):
    """[air]: a density, or an altitude and a temperature; ISA sea level when the table is left out."""

    density: PositiveDensity | None = None
    altitude: Altitude | None = None
    temperature: Temperature | None = None


def _constant_along_radius(given: object) -> object:
    """One value stands for the same at every radius; [radius, value] rows stay as they are.

    A bare number is refused for its lack of a unit, not for being no list.
    """
    given = typed(given, "length")
    if isinstance(given, int | float):
        refuse_number(given, "length")
    return [("0 m", given)] if isinstance(given, str) else given


AlongRadius = Annotated[
    list[tuple[NonNegativeLength, PositiveLength]],
    Field(min_length=1, description="one value, or rows of [radius, value]"),
    BeforeValidator(_constant_along_radius),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "string", "examples": ["27 mm"]},
                {
                    "type": "array",
                    "minItems": 1,
                    "items": {"type": "array", "items": {"type": "string"}, "minItems": 2, "maxItems": 2},
                },
            ],
            "description": "one value, or rows of [radius, value]",
        }
    ),
]


class Blade(Table):
    """[blade]: the aerofoil part of one blade and how it is held.

    `chord` and `thickness` are rows (radius, value), metres, linear between rows and constant beyond them.
    """

    root: PositiveLength
    tip: PositiveLength
    chord: AlongRadius
    section: str = Field(examples=["NACA 0012"], description="NACA 4-digit symmetric, or a coordinate file")
    thickness: AlongRadius | None = Field(
        default=None, description="greatest section thickness, overrides the section's"
    )
    axis_at: Annotated[float, Field(ge=-0.5, le=1.5), TOLERANCED_NUMBER] = Field(
        description="feathering axis behind the leading edge, in chords, blade straight out"
    )
    swing: Literal["free", "clamped"] = "clamped"
    swing_angle: Angle = Field(
        default=0.0, description="clamped only: set angle, tip toward the leading edge positive"
    )
    bolt_radius: PositiveLength
    bolt_chord: Length = 0.0
    drag_moment: Moment | None = Field(
        default=None, description="about the bolt at rotor speed; omitted: from the air loads"
    )
    polar: str | None = Field(
        default=None, description="section polar table, a CSV file of alpha, c_l, c_d, c_m"
    )


class Bearing(Table):
    """[bearing], per blade."""

    kind: str | None = Field(default=None, examples=["thrust ball"])
    coefficient: Annotated[float, Field(le=1.0), Quantity("ratio", at_least=0.0, example="0.0013")] | None = (
        None
    )
    mean_diameter: PositiveLength | None = None
    starting_moment: NonNegativeMoment = 0.0
    static_rating: PositiveForce | None = None
    breakaway_ratio: Annotated[float, Field(ge=1.0, le=3.0), PLAIN_NUMBER] = 1.0


class Joint(Table):
    """[joint]: the blade's root between the cheeks of its grip, where the parts do not show it."""

    root_thickness: PositiveLength | None = Field(
        default=None, description="of the blade root that the bolt passes through; from its part if left out"
    )
    cheek_thickness: PositiveLength | None = Field(
        default=None, description="of one cheek of the grip; from the grip's part if left out"
    )
    clearance: NonNegativeLength = Field(
        default=1e-4, description="between root and cheek, each side", examples=["0.1 mm"]
    )
    thread_in_grip: PositiveLength | None = Field(
        default=None, description="length of full thread, where the bolt screws into a cheek and has no nut"
    )


class Retention(Table):
    """[retention]: the screw, nut or spindle that holds one grip, and all on it, against flying outward.

    It carries the whole centrifugal load, whatever takes the moment. State its thread, or the diameter of a plain neck.
    """

    thread: str | None = Field(default=None, description="size of its thread", examples=["M4"])
    diameter: PositiveLength | None = Field(
        default=None, description="of a plain neck thinner than the thread, or without one"
    )
    engagement: PositiveLength | None = Field(
        default=None, description="length of full thread in what it is screwed into"
    )
    into: Name | None = Field(
        default=None, description="material of what it is screwed into", examples=["steel", "aluminium 7075"]
    )
    into_yield: Strength | None = Field(default=None, description="its yield strength, if known")
    number: Annotated[int, Field(ge=1, le=8), WHOLE_NUMBER] = 1
    property_class: Name | None = Field(default=None, examples=["12.9"])
    material: Name | None = Field(default=None, description="of one that is turned", examples=["steel"])
    proof_strength: Strength | None = None
    yield_strength: Strength | None = None
    ultimate_strength: Strength | None = None
