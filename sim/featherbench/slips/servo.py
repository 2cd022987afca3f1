"""Servo and supply: figures of one data sheet held against one another."""

from __future__ import annotations

from collections.abc import Iterator
from math import pi, radians
from typing import TYPE_CHECKING

from featherbench import quantities
from featherbench.slips.band import Band, Remark, within

if TYPE_CHECKING:
    from featherbench.bench.setup import Setup

LEAST_EFFICIENT = 0.15
"""Stall torque x no-load speed over volts x stall amperes: 0.3 to 0.7 of real servos (common practice, no source)."""
MOST_EFFICIENT = 0.8
"""The same, from which on the figures look like those of a servo whose electronics limit its stall current."""
TORQUE, STALL = "at this stall torque", "at this stall current"
RATIO = Band("gear_ratio", "ratio", 50.0, 1000.0)
ALONE = (
    Band("voltage", "voltage", 3.0, 14.0),
    Band("stall_torque", "moment", 0.01, 5.0, "for a servo of a model helicopter"),
    Band("transit_60", "time", 0.02, 0.4),
    RATIO,
    Band("proportional_band", "angle", radians(0.7), radians(15.0)),
    Band("dead_band", "angle", 0.0, radians(1.6)),
    Band("drive_rate", "frequency", 40.0, 2500.0),
    Band("frame_rate", "frequency", 40.0, 2500.0),
    Band("gear_play", "angle", 0.0, radians(1.6)),
    Band("damping", "time", 0.0, 0.02),
    Band("travel", "angle", radians(20.0), radians(180.0)),
)
BY_TORQUE = (
    Band("gear_friction", "moment", 0.005, 0.3, TORQUE),
    Band("output_friction", "moment", 0.0, 0.025, TORQUE),
    Band("gear_stiffness", "angular stiffness", 1.5, 600.0, TORQUE),
)
BY_CURRENT = (
    Band("idle_current", "current", 0.0, 0.05, STALL),
    Band("running_current", "current", 0.02, 0.6, STALL),
)
SUPPLY = Band("supply.voltage", "voltage", 0.6, 1.5, "beside the voltage of the data sheet")
DROP = Band("supply.resistance", "resistance", 0.0, 0.1, "at this voltage and stall current")
LIMIT = Band("supply.limit", "current", 0.5, 25.0, STALL)
MOTOR_TIME = (0.25e-3, 25e-3)
"""s, mechanical time constant R J / K^2 of the motor."""
WINDING_TIME = (5e-6, 2e-3)
"""s, L / R."""


def servo_remarks(setup: Setup) -> Iterator[Remark]:
    """Every figure of [servo] and [supply] beside what it goes with."""
    servo, supply = setup.scenario.servo, setup.scenario.supply
    yield from _power(setup)
    for bands, reference in (
        (ALONE, 1.0),
        (BY_TORQUE, servo.stall_torque),
        (BY_CURRENT, servo.stall_current),
    ):
        for band in bands:
            yield from within(band._replace(key=f"servo.{band.key}"), getattr(servo, band.key), reference)
    yield from _motor(setup)
    yield from within(SUPPLY, supply.voltage, servo.voltage)
    yield from within(DROP, supply.resistance, servo.voltage / servo.stall_current)
    yield from within(LIMIT, supply.limit, servo.stall_current)


def _power(setup: Setup) -> Iterator[Remark]:
    """What cannot be is refused where the motor is made; too little power is a slip as well, and so is hardly possible
    efficiency.
    """
    servo = setup.scenario.servo
    electrical = servo.voltage * servo.stall_current
    mechanical = servo.stall_torque * (pi / 3.0) / servo.transit_60
    if LEAST_EFFICIENT * electrical <= mechanical and (
        mechanical <= MOST_EFFICIENT * electrical or servo.drive != "brushed"
    ):
        return
    given = (
        f"{quantities.text(servo.stall_torque, 'moment')} with {servo.transit_60:.3g} s for 60 deg, "
        f"{quantities.text(servo.stall_current, 'current')} at {quantities.text(servo.voltage, 'voltage')}"
    )
    why = f"{mechanical:.2g} W out of {electrical:.2g} W: "
    why += (
        "see units of torque, current and time"
        if mechanical < electrical * LEAST_EFFICIENT
        else 'if it is brushless or limits its current, say so: servo.drive = "brushless" or "current-limited"'
    )
    yield Remark(
        "servo.stall_torque", given, "stall torque x no-load speed of 0.3 to 0.7 of volts x amperes", why
    )


def _motor(setup: Setup) -> Iterator[Remark]:
    servo, motor = setup.scenario.servo, setup.drive.motor
    if servo.rotor_inertia is not None and not list(within(RATIO, servo.gear_ratio)):
        time = motor.resistance * motor.inertia / motor.torque_constant**2
        band = Band("servo.rotor_inertia", "inertia", *MOTOR_TIME, "for this motor")
        yield from within(band, servo.rotor_inertia, servo.rotor_inertia / time)
    if servo.inductance:
        band = Band("servo.inductance", "inductance", *WINDING_TIME, "for this winding")
        yield from within(band, servo.inductance, motor.resistance)
