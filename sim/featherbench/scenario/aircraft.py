"""The aircraft that the tail steers, its gyro, and what disturbs its hover, as a person may write them."""

from __future__ import annotations

from math import radians
from typing import Annotated

from pydantic import Field

from featherbench.scenario.fields import (
    PLAIN_NUMBER,
    NonNegativeMoment,
    NonNegativeRotation,
    NonNegativeTime,
    PositiveAngle,
    PositiveFrequency,
    PositiveInertia,
    PositiveLength,
    PositiveMass,
    PositiveMoment,
    PositiveRotation,
    PositiveTime,
)
from featherbench.scenario.parts import Table

NOISE = radians(0.08)
"""rad/s."""


class Gyro(Table):
    """aircraft.gyro: what is left out of its gains is set as pilots do, by raising them until the tail just hunts."""

    rate_gain: PositiveTime | None = Field(
        default=None,
        description="blade pitch it asks for per yaw rate; if left out, raised until the tail just hunts without any "
        "play, then backed off",
        examples=["0.10 s"],
    )
    hold_gain: Annotated[float, Field(ge=0.0), PLAIN_NUMBER] | None = Field(
        default=None,
        description="blade pitch it asks for per heading error; if left out beside a rate_gain, none; without one, by "
        "how fast the tail hunts",
        examples=["0.5"],
    )
    back_off: Annotated[float, Field(ge=0.0, le=0.95), PLAIN_NUMBER] = Field(
        default=0.4,
        description="share of the gain at which the tail just hunts that the pilot takes back; if left out, 0.4, which "
        "leaves about 6 dB as flown, and drawn from 0.3 (tuning by hand, as an autopilot's manual has it) to 0.5 (half "
        "of it, Ziegler and Nichols) where a hover is flown over draws",
    )
    rate: PositiveFrequency = Field(default=250.0, description="how often it reads and commands")
    delay: NonNegativeTime = Field(
        default=4e-3, description="by which its readings are late (one period of 250 Hz: judgement)"
    )
    filter: NonNegativeTime = Field(
        default=5e-3,
        description='time constant of the filter on its readings (32 Hz: judgement); "0 s": none',
        examples=["5 ms"],
    )
    noise: NonNegativeRotation = Field(
        default=NOISE,
        description="rms of each rate reading, drawn up to twice and down to half of it (0.08 deg/s: 0.007 deg/s in a "
        "root hertz, data sheets of such sensors having 0.003 to 0.014, over half of 250 Hz; what shaking of the frame "
        'adds is not in it); "0 deg/s": none',
        examples=["0.1 deg/s"],
    )
    limit: PositiveAngle | None = Field(
        default=None,
        description="greatest correction of blade pitch, each way; if left out, as far as the pitch range goes",
    )


class Aircraft(Table):
    """[aircraft]: only for hover trim and wag. Main torque is given, or follows from mass, disc and merit."""

    tail_arm: PositiveLength
    yaw_inertia: PositiveInertia
    main_torque: PositiveMoment | None = None
    mass: PositiveMass | None = None
    main_radius: PositiveLength | None = None
    main_speed: PositiveRotation | None = None
    figure_of_merit: Annotated[float, Field(gt=0.0, lt=1.0), PLAIN_NUMBER] | None = None
    gyro: Gyro = Gyro()
    buffet: NonNegativeMoment = Field(
        default=0.0,
        description="what the main rotor's wake adds in hover to shaking.passing, as often a turn; leave it out unless "
        "the blades are known to shake more in hover than on the bench, where shaking.passing alone acts",
    )
    gust: NonNegativeMoment | None = Field(
        default=None,
        description="rms yaw moment of gusts; if left out, that of the draught in a room (0.06 m/s rms at the tail: "
        "mean 0.15 m/s, turbulence 40 %, the usual figures of ISO 7730, from memory)",
        examples=["0.01 N*m"],
    )
    gust_bandwidth: PositiveFrequency = 1.0
    trim_noise: Annotated[float, Field(ge=0.0, le=0.2), PLAIN_NUMBER] = Field(
        default=0.005,
        description="rms by which the main rotor's torque wanders in hover, as a share of it, within gust_bandwidth "
        "(speed held to 0.25 %, torque with its square: judgement)",
    )
