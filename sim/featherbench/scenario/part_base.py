"""What every shape of part has in common: where it stands, what it weighs, what holds it."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from featherbench.scenario.fields import (
    Angle,
    Length,
    Name,
    PositiveDensity,
    PositiveLength,
    PositiveMass,
    Strength,
    Truth,
)

Axis = Literal["normal", "chord", "radius"]
Group = Literal["blade", "grip", "bolt", "counterweight", "other"]
HeldBy = Literal[
    "head", "nut", "thread", "clamped under head", "clamped under nut", "screwed into the grip", "one piece"
]
"""What keeps a weight in its place. head: it is the bolt's own head, one piece with it. nut: it is itself a nut on the
bolt. thread: it is screwed onto, or into, the part named by `held_to`. clamped under head, or nut: a ring that the bolt
passes through. screwed into the grip: an arm with an outside thread. one piece: not joined at all, cut from one piece
with the part named by `held_to`."""


class Table(BaseModel):
    """Base of every scenario table: unknown keys are refused, nothing changes after reading."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class Place(Table):
    """A point in the blade frame, metres; omitted coordinates are 0."""

    radius: Length = 0.0
    chord: Length = 0.0
    normal: Length = 0.0


class Extent(Table):
    """Edge lengths of a box along the blade frame, metres."""

    radius: PositiveLength
    chord: PositiveLength
    normal: PositiveLength


class PartBase(Table):
    """Keys that every shape shares."""

    group: Group
    at: Place = Place()
    mass: PositiveMass | None = Field(default=None, description="as weighed; overrides density x volume")
    density: PositiveDensity | None = None
    material: Name | None = None
    mirror: Literal["normal", "chord"] | None = Field(
        default=None, description="adds a twin at the opposite coordinate; the mass given is of one piece"
    )
    turn: Angle = Field(
        default=0.0,
        description="turns the placed part (and its twin) about the feathering axis, as pitch does",
    )
    swings: Truth | None = Field(
        default=None, description="swings on the blade bolt with the blade; by default only group blade does"
    )
    instead_of: list[str] = Field(
        default_factory=list,
        description="names of parts whose place it takes: they are not fitted, but compensation counts against them",
    )
    property_class: Name | None = Field(
        default=None,
        description="of a bought screw or nut, as stamped on it",
        examples=["10.9", "A2-70", "10"],
    )
    proof_strength: Strength | None = Field(
        default=None, description="stress it bears without staying longer; stands for yield_strength"
    )
    yield_strength: Strength | None = Field(default=None, description="overrides the material's")
    ultimate_strength: Strength | None = Field(
        default=None, description="at which it breaks; the yield strength if left out"
    )
    held_by: HeldBy | None = Field(default=None, description="what keeps a weight in its place")
    held_to: str | None = Field(
        default=None,
        description="name of the part that carries a weight beside the blade bolt",
        examples=["grip"],
    )
    engagement: PositiveLength | None = Field(
        default=None, description="length of full thread in what it is screwed into, or onto"
    )
