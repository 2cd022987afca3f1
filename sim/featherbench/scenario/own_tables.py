"""What a builder has in the drawer: [[own]], pieces that `size --route own` makes weights from."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from featherbench.scenario.fields import (
    WHOLE_NUMBER,
    NonNegativeLength,
    PositiveDensity,
    PositiveLength,
    PositiveMass,
    Strength,
)
from featherbench.scenario.parts import Table


class Workshop(Table):
    """[workshop]: what the builder's own tools can tell apart."""

    scale_step: PositiveMass = Field(
        default=1e-5,
        description="smallest step of the scale that pieces are matched on; a pocket scale's if left out",
        examples=["0.01 g"],
    )


class OwnPiece(Table):
    """Keys that every piece shares."""

    count: Annotated[int, Field(ge=1, le=1000), WHOLE_NUMBER] = Field(
        description="how many there are, for all blades together", examples=[12]
    )
    mass: PositiveMass | None = Field(
        default=None, description="of one, as weighed; overrides density x volume", examples=["0.42 g"]
    )
    material: str | None = Field(
        default=None, description="steel for standard hardware if left out", examples=["brass"]
    )
    density: PositiveDensity | None = None
    property_class: str | None = Field(default=None, description="as stamped on it", examples=["10.9"])
    yield_strength: Strength | None = Field(default=None, description="overrides the material's")


class OwnScrew(OwnPiece):
    """A standard screw."""

    shape: Literal["screw"]
    standard: str = Field(examples=["ISO 4762"])
    size: str = Field(examples=["M3x20"])
    shank_length: NonNegativeLength = Field(
        default=0.0, description="plain length under the head, without thread; none if left out"
    )


class OwnNut(OwnPiece):
    """A standard nut."""

    shape: Literal["nut"]
    standard: str = Field(examples=["ISO 4032"])
    size: str = Field(examples=["M3"])


class OwnWasher(OwnPiece):
    """A standard washer."""

    shape: Literal["washer"]
    standard: str = Field(examples=["ISO 7089"])
    size: str = Field(examples=["M3"])


class OwnTube(OwnPiece):
    """A measured ring or collar; a tapped one goes onto the thread like a nut."""

    shape: Literal["tube"]
    diameter: PositiveLength = Field(description="outside", examples=["8 mm"])
    length: PositiveLength = Field(description="along its axis: how thick it is", examples=["3 mm"])
    bore: PositiveLength | None = Field(
        default=None, description="of one that the bolt passes through", examples=["3.2 mm"]
    )
    tapped: str | None = Field(default=None, description="thread of one that is screwed on", examples=["M3"])


Own = Annotated[OwnScrew | OwnNut | OwnWasher | OwnTube, Field(discriminator="shape")]
