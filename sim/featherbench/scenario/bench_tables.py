"""How it is run and measured on the bench, as a person may write it, and the limits it is held against."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

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


class Meter(Table):
    """[meter]"""

    resolution: NonNegativeCurrent = 0.01
    window: PositiveTime = 0.3
    rate: PositiveFrequency = 3.0
    zero_idle: Truth = True
    uncertainty: NonNegativeCurrent | None = None


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
