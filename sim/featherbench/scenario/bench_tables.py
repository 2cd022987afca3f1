"""How it is run and measured on the bench, as a person may write it, and the limits it is held against."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from featherbench.scenario.fields import (
    PLAIN_NUMBER,
    Angle,
    HoldTime,
    Name,
    NonNegativeCurrent,
    NonNegativeForce,
    NonNegativeMomentOfMass,
    NonNegativeRotation,
    NonNegativeTime,
    PositiveCurrent,
    PositiveForce,
    PositiveFrequency,
    PositiveMoment,
    PositiveStiffness,
    PositiveTime,
    SweepTime,
    Truth,
)
from featherbench.scenario.parts import Table


class Move(Table):
    """One line of a bench programme: go to a fraction of the pitch range (0 is zero pitch), then hold."""

    go: Annotated[float, Field(ge=-1.0, le=1.0), PLAIN_NUMBER]
    hold: HoldTime
    over: NonNegativeTime = Field(
        default=0.0, description="time over which the command is moved; 0 is a stick slam"
    )


class SpinStep(Table):
    """One line of a rotor-speed programme."""

    to: NonNegativeRotation
    over: NonNegativeTime = 0.0
    hold: NonNegativeTime = 0.0


class Bench(Table):
    """[bench]"""

    programme: Annotated[tuple[Move, ...], Field(min_length=1)] = (
        Move.model_construct(go=1.0, hold=1.5, over=0.0),
        Move.model_construct(go=-1.0, hold=1.5, over=0.0),
        Move.model_construct(go=0.0, hold=1.0, over=0.0),
    )
    release_from: Angle | None = None
    spin: tuple[SpinStep, ...] = ()
    current_window: PositiveTime = 0.005


class Gauge(Table):
    """[gauge]"""

    resolution: NonNegativeForce = 0.0
    rate: PositiveFrequency = 10.0
    stiffness: PositiveStiffness = 30e3
    uncertainty: NonNegativeForce | None = None
    pause: NonNegativeTime = Field(
        default=0.0,
        description="for which the rod is held still at each end, so that no peak falls between two readings; two or "
        "three readings will do",
        examples=["0.3 s"],
    )
    sweep: SweepTime = Field(default=8.0, description="time from one end of the pitch range to the other")


METERS: dict[str, dict[str, float]] = {
    "hand-held": {},
    "clamp": {"resolution": 0.01, "window": 0.4, "rate": 2.5, "uncertainty": 0.06},
    "shunt logger": {"resolution": 0.001, "window": 0.01, "rate": 100.0, "uncertainty": 0.01},
}
"""What is usual of kinds of ammeter beside the defaults, SI (common practice, no source)."""


class Meter(Table):
    """[meter]: kind sets what is usual for the keys that are left out."""

    kind: Literal["hand-held", "clamp", "shunt logger"] = Field(
        default="hand-held",
        description="sets what is usual of the keys left out: a clamp around the lead averages over 0.4 s and drifts "
        "by some 60 mA; a shunt in the lead with a logger reads 100 times a second to 1 mA",
    )
    resolution: NonNegativeCurrent = 0.01
    window: PositiveTime = 0.3
    rate: PositiveFrequency = 3.0
    min_max: PositiveTime | None = Field(
        default=None,
        description="shortest peak that its min/max hold catches whole, where it has one and you read peaks off that; "
        "without, a peak is the largest figure that it shows",
        examples=["100 ms"],
    )
    zero_idle: Truth = True
    uncertainty: NonNegativeCurrent | None = None

    @model_validator(mode="after")
    def _usual_of_its_kind(self) -> Meter:
        """What nobody stated of a meter is what is usual of its kind."""
        for name, value in METERS[self.kind].items():
            if name not in self.model_fields_set:
                self.__dict__[name] = value
        return self


class Limits(Table):
    """[limits]: all optional; a missing one is reported as missing."""

    rod_ball_link: PositiveForce | None = None
    bolt_class: Name | None = None
    regulator_current: PositiveCurrent | None = None
    balance_grade: str | None = None
    blade_mismatch: NonNegativeMomentOfMass | None = Field(
        default=None,
        description="largest difference of mass x radius between two blade assemblies, as balanced",
    )
    servo_continuous_torque: PositiveMoment | None = None
    over_speed: Annotated[float, Field(ge=1.0, le=2.0), PLAIN_NUMBER] = 1.2
