"""What a person may write in a scenario file, table by table. Built models hold plain SI floats.

Rules that tie several keys together (geometry, servo travel, contradictory data) live in `scenario.rules`.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from featherbench.scenario.aircraft import Aircraft
from featherbench.scenario.bench_data import LogFormat, Scale
from featherbench.scenario.bench_tables import Bench, Gauge, Limits, Meter
from featherbench.scenario.built_tables import (
    Air,
    Bearing,
    Blade,
    Joint,
    Retention,
    Rotor,
)
from featherbench.scenario.doubt import Doubt
from featherbench.scenario.fields import (
    PLAIN_NUMBER,
    TOLERANCED_NUMBER,
    Angle,
    NonNegativeAngle,
    NonNegativeCurrent,
    NonNegativeForce,
    NonNegativeInductance,
    NonNegativeInertia,
    NonNegativeLength,
    NonNegativeMass,
    NonNegativeMoment,
    NonNegativeResistance,
    NonNegativeTime,
    Number,
    PositiveAngle,
    PositiveAngularStiffness,
    PositiveCurrent,
    PositiveForce,
    PositiveFrequency,
    PositiveInertia,
    PositiveLength,
    PositiveMass,
    PositiveMoment,
    PositivePressure,
    PositiveStiffness,
    PositiveTime,
    PositiveVoltage,
    ServoTravel,
    Truth,
)
from featherbench.scenario.fitted import FittedResult
from featherbench.scenario.own_tables import Own, Workshop
from featherbench.scenario.parts import Part, Table
from featherbench.scenario.pulse import angle_of_pulse
from featherbench.scenario.servo_kinds import USUAL, ServoKind, usual_loop
from featherbench.scenario.shaking import Shaking


class Play(Table):
    """linkage.play: peak to peak at the place where each was measured, metres."""

    rod: NonNegativeLength = 0.0
    slider: NonNegativeLength = 0.0
    horn: NonNegativeLength = 0.0


class Linkage(Table):
    """[linkage], from the servo arm's ball to the pitch horn."""

    horn_arm: PositiveLength
    pitch_link: PositiveLength | None = None
    lever_out: PositiveLength | None = None
    lever_in: PositiveLength | None = None
    rod_length: PositiveLength
    rod_diameter: PositiveLength | None = None
    rod_bore: NonNegativeLength = 0.0
    rod_material: str | None = None
    rod_mass: PositiveMass | None = None
    rod_modulus: PositivePressure | None = None
    rod_support_spacing: PositiveLength | None = Field(
        default=None, description="largest distance between guides of the rod, for the buckling check"
    )
    servo_arm: PositiveLength
    slider_mass: NonNegativeMass = 0.0
    slider_friction: NonNegativeForce = 0.0
    rod_friction: NonNegativeForce = 0.0
    slider_load_friction: Annotated[float, Field(le=0.5), TOLERANCED_NUMBER] = Field(
        default=0.08,
        ge=0.0,
        description="friction of slider, pitch link and lever that grows with what they carry, as a share of it "
        "(friction circle, 0.15 x radius over arm: 0.02 for a ball of 2.4 mm on a horn of 9 mm, 0.03 for a lever's "
        "pivot; a slider pulled off its axis 0.03 and more: judgement)",
    )
    rod_load_friction: Annotated[float, Field(le=0.5), TOLERANCED_NUMBER] = Field(
        default=0.03,
        ge=0.0,
        description="the same of the rod's two balls (friction circle, 0.15 x 1.2 mm over an arm of 13 mm: 0.014 "
        "each; judgement)",
    )
    breakaway_ratio: Annotated[float, Field(ge=1.0, le=3.0), PLAIN_NUMBER] = 1.0
    stiffness: PositiveStiffness | None = None
    arm_stiffness: PositiveStiffness | None = None
    lever_stiffness: PositiveStiffness | None = None
    damping_ratio: Annotated[float, Field(ge=0.0, le=1.0), PLAIN_NUMBER] = 0.1
    play: Play = Play()
    arm_neutral: Angle = 0.0
    lever_neutral: Angle = 0.0
    horn_neutral: Angle = 0.0
    reversed: Truth = Field(default=False, description="true when the rod pulls to raise pitch")


class Servo(Table):
    """[servo], data-sheet figures at `voltage`."""

    voltage: PositiveVoltage
    stall_torque: PositiveMoment
    transit_60: PositiveTime
    stall_current: PositiveCurrent
    idle_current: NonNegativeCurrent = 0.0
    running_current: NonNegativeCurrent | None = Field(default=None, description="moving without load")
    drive: Literal["brushed", "brushless", "current-limited"] = Field(
        default="brushed",
        description="what the stall current on the sheet comes from: of a brushed motor the winding's resistance; of "
        "one that is brushless, or behind a drive that limits its current, its electronics",
    )
    current_limit: PositiveCurrent | None = Field(
        default=None,
        description="most that the drive lets through the winding, where it is known; more than the stall current, "
        "which is that of the lead. Only with drive; else found from stall torque and the gear train's efficiency",
        examples=["6 A"],
    )
    gear_ratio: Annotated[float, Field(gt=1.0, le=5000.0), PLAIN_NUMBER]
    gear_friction: NonNegativeMoment | None = None
    gear_load_friction: Annotated[float, Field(ge=0.0, le=5.0), PLAIN_NUMBER] | None = None
    breakaway_ratio: Annotated[float, Field(ge=1.0, le=3.0), PLAIN_NUMBER] = 1.0
    rotor_inertia: PositiveInertia | None = None
    inductance: NonNegativeInductance | None = None
    dead_band: NonNegativeAngle = Field(
        default=USUAL["digital"].dead_band,
        description="whole width, usual of its kind if left out; or as data sheets have it, "
        '"4 us" of the command pulse with travel_per_us',
        examples=["0.4 deg"],
    )
    travel_per_us: PositiveAngle | None = Field(
        default=None,
        description="how far the arm turns for a microsecond of the command pulse, for a dead_band typed in us",
        examples=["0.09 deg"],
    )
    proportional_band: PositiveAngle = Field(
        default=USUAL["digital"].proportional_band,
        description="position error, beyond the dead band, that asks for full voltage; usual of its kind if left out",
    )
    drive_rate: PositiveFrequency = Field(
        default=USUAL["digital"].drive_rate,
        description="how often the servo looks at its position and sets its drive; usual of its kind if left out",
    )
    kind: ServoKind = Field(
        default="digital",
        description="sets what is usual: of the chopping rate (an analogue one pulses its motor once a loop), and of "
        "dead_band, proportional_band, drive_rate and damping where they are left out",
    )
    chopping_rate: PositiveFrequency | None = Field(
        default=None,
        description="how often the drive switches the motor on and off; the lower it is, the more a hold draws (a "
        "scope on the motor's leads shows it, often one hears it)",
        examples=["3 kHz"],
    )
    decay: Literal["slow", "diode", "fast"] = Field(
        default="slow",
        description="what the motor sees between pulses: slow, its own short circuit; diode, that through a diode, so "
        "that its current cannot turn; fast, the supply the other way round through diodes",
    )
    frame_rate: PositiveFrequency | None = None
    gear_play: NonNegativeAngle = 0.0
    gear_stiffness: PositiveAngularStiffness | None = None
    damping: NonNegativeTime = 0.0
    output_friction: NonNegativeMoment = 0.0
    output_inertia: NonNegativeInertia | None = None
    travel: ServoTravel

    @model_validator(mode="before")
    @classmethod
    def _dead_band_as_angle(cls, given: object) -> object:
        """A dead band typed as a time of the command pulse becomes the angle the arm turns for it."""
        return angle_of_pulse(given) if isinstance(given, dict) else given

    @model_validator(mode="after")
    def _usual_loop(self) -> Servo:
        """What nobody stated of the position loop is what is usual of the servo's kind."""
        for name, value in usual_loop(self.kind, self.model_fields_set).items():
            self.__dict__[name] = value
        return self


class Supply(Table):
    """[supply]"""

    voltage: PositiveVoltage
    resistance: NonNegativeResistance = 0.0
    limit: PositiveCurrent | None = None


class Target(Table):
    """envelope.target: exactly one of the three."""

    compensation: Number | None = None
    seat_ratio: Annotated[float, Field(gt=0.0), PLAIN_NUMBER] | None = None
    rod_force: PositiveForce | None = None


class Envelope(Table):
    """[envelope]: the room and stock for weights, only for size."""

    height_above: PositiveLength
    height_below: PositiveLength
    diameter: PositiveLength
    materials: Annotated[list[str], Field(min_length=1)]
    stock: tuple[PositiveLength, ...] = ()
    lathe_step: PositiveLength = 1e-4
    target: Target
    thread: str | None = Field(
        default=None, description="of the turned parts; that of the blade bolt if left out", examples=["M3"]
    )
    seat_above: PositiveLength | None = Field(
        default=None,
        description="feathering axis to the face that the bolt's head sits on; found if left out",
    )
    seat_below: PositiveLength | None = Field(
        default=None, description="feathering axis to the face that the nut sits on; found if left out"
    )
    bolt_length: PositiveLength | None = Field(
        default=None,
        description="greatest length over all, head and nut included; the two heights if left out",
    )
    clear_inboard: NonNegativeLength | None = Field(
        default=None, description="radius that nothing may reach inside of (hub, slider, boom)"
    )
    clear_outboard: PositiveLength | None = Field(
        default=None, description="radius that nothing may reach beyond (blade root, cover)"
    )
    arm_radius: PositiveLength | None = Field(
        default=None, description="where weights on arms may stand; the grip's middle if left out"
    )
    arm_foot: PositiveLength | None = Field(
        default=None, description="feathering axis to the face that an arm stands on; found if left out"
    )
    arm_material: str = Field(default="steel", description="of the threaded arms", examples=["steel"])


class ScenarioTables(Table):
    """Everything a complete scenario file holds."""

    title: Annotated[str, Field(min_length=1)]
    notes: str = ""
    rotor: Rotor
    air: Air = Air()
    blade: Blade
    part: Annotated[dict[str, Part], Field(min_length=1)]
    bearing: Bearing
    joint: Joint = Joint()
    retention: Retention = Retention()
    linkage: Linkage
    servo: Servo
    supply: Supply
    bench: Bench = Bench()
    shaking: Shaking = Shaking()
    gauge: Gauge = Gauge()
    meter: Meter = Meter()
    log: LogFormat = LogFormat()
    scale: Scale = Scale()
    doubt: Doubt = Doubt()
    fitted: FittedResult | None = None
    limits: Limits = Limits()
    aircraft: Aircraft | None = None
    envelope: Envelope | None = None
    workshop: Workshop = Workshop()
    own: tuple[Own, ...] = ()
