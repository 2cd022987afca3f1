"""What a scenario may say about bench data: how its logger writes, and scale factors that a fit found."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from featherbench.scenario.fields import (
    NonNegativeForce,
    PositiveFrequency,
    PositiveTime,
    Quantity,
    Truth,
)
from featherbench.scenario.parts import Table

Factor = Annotated[float, Field(le=20.0), Quantity("ratio", at_least=0.05, example="1.1")]


class LogColumns(Table):
    """log.columns: the heading of each column, as the logger writes it."""

    time: str | None = None
    rod_force: str | None = None
    supply_current: str | None = None
    rotor_speed: str | None = None
    pitch: str | None = None


class LogUnits(Table):
    """log.units: units of columns whose headings name none."""

    time: str | None = None
    rod_force: str | None = None
    supply_current: str | None = None
    rotor_speed: str | None = None
    pitch: str | None = None


class LogFormat(Table):
    """[log]: how the bench logger writes; what is left out is read from the file or guessed, and said."""

    columns: LogColumns = LogColumns()
    units: LogUnits = LogUnits()
    sample_rate: PositiveFrequency | None = Field(default=None, description="of a log without a time column")
    delimiter: Literal[",", ";", "\t", "|", " "] | None = None
    decimal: Literal["point", "comma"] | None = None
    test: Literal["gauge", "servo"] | None = Field(default=None, description="the bench test that was logged")
    push: Literal["positive", "negative"] = Field(
        default="positive", description="sign of a push on the rod in the log"
    )
    window: PositiveTime | None = Field(
        default=None, description="averaging of the current logger; omitted: one sample interval"
    )
    zero_idle: Truth = Field(default=False, description="true when the logger was zeroed with the servo idle")
    force_noise: NonNegativeForce | None = Field(
        default=None, description="standard deviation of one force sample; omitted: from the log itself"
    )


class Scale(Table):
    """[scale]: factors on what the model computes from dimensions, 1 unless a calibration found otherwise."""

    inertia: Factor = Field(default=1.0, description="on I_c, I_n and I_cn of the groups blade and grip")
    air_moment: Factor = 1.0
