"""Consistency of a published small-motor data sheet with the motor algebra we use.

Source: data sheet of a 15 mm brushed motor in six windings (F: scribd.com/document/444504963); each winding lists
resistance, no-load current, constants and, separately, no-load speed, stall torque, slope and mechanical time constant.
Our direction is the reverse: from voltage, stall torque, speed and stall current of a train without loss to R and K.
The no-load current is left to the last row: with it the rounded figures make an efficiency of 1.00 to 1.01, which the
program rightly refuses.
"""

import numpy as np
import pytest

from featherbench.scenario.schema import Servo
from featherbench.servo import servo_drive
from source import About
from table import check

ABOUT = About(
    kind="standard",
    title="small-motor data sheet",
    uncertainty="Sheet rounds to three figures",
    left_out="The 3 V winding: its resistance is printed to two figures",
)

# volts, ohm, no-load A, N m/A, no-load rpm, stall N m, rotor g cm^2, mechanical time constant ms
WINDINGS = {
    "6 V": (6.0, 5.1, 0.013, 6.0e-3, 9500.0, 6.98e-3, 0.58, 8.2),
    "9 V": (9.0, 10.6, 0.009, 8.55e-3, 10000.0, 7.18e-3, 0.57, 8.3),
    "12 V": (12.0, 19.8, 0.007, 11.5e-3, 9800.0, 6.92e-3, 0.56, 8.3),
    "18 V": (18.0, 43.9, 0.005, 17.4e-3, 9800.0, 7.07e-3, 0.57, 8.2),
    "24 V": (24.0, 79.3, 0.004, 23.1e-3, 9800.0, 6.91e-3, 0.56, 8.3),
}


def _as_servo(volts, ohm, stall, rpm):
    """The bare motor entered as a servo with a ratio near 1 would be: the algebra knows no difference."""
    return Servo.model_construct(
        voltage=volts,
        stall_torque=stall,
        transit_60=(np.pi / 3) / (rpm * np.pi / 30),
        stall_current=volts / ohm,
        running_current=None,
        idle_current=0.0,
        gear_ratio=1.0001,
        gear_friction=None,
        gear_load_friction=0.0,
        breakaway_ratio=1.0,
        rotor_inertia=None,
        inductance=None,
        gear_stiffness=None,
        gear_play=0.0,
        output_friction=0.0,
    )


@pytest.mark.parametrize("name", WINDINGS)
def test_motor_data_sheet(name):
    volts, ohm, idle, constant, rpm, stall, inertia, time_constant = WINDINGS[name]
    drive = servo_drive(_as_servo(volts, ohm, stall, rpm))
    source = f"15 mm brushed motor data sheet, {name} winding"
    why = "the sheet rounds to three figures"
    check(source, "F", "torque constant, N m/A", constant, drive.motor.torque_constant, 0.012, why)
    less_idle = drive.motor.torque_constant * (volts / ohm - idle)
    check(source, "F", "stall torque less no-load friction, N m", stall, less_idle, 0.015, why)
    check(
        source,
        "F",
        "mechanical time constant, ms",
        time_constant,
        ohm * inertia * 1e-7 / drive.motor.torque_constant**2 * 1e3,
        0.025,
        why,
    )


def test_supply_current_by_power_balance():
    """F: roboteq.freshdesk.com article 70000628006, motor amperes times duty are battery amperes."""
    from featherbench.servo.supply import Supply, supply_current

    supply = Supply(24.0, 0.0, np.inf, 0.0)
    source = "motor-controller maker's note on battery and motor amperes"
    check(source, "F", "10 A at 20 % duty, A", 2.0, supply_current(0.2, 10.0, supply), 1e-12, "exact")
    check(source, "F", "2 A at 95 % duty, A", 1.9, supply_current(0.95, 2.0, supply), 1e-12, "exact")
    check(
        source,
        "D",
        "holding 0.5 A in 5.1 ohm from 6 V, A",
        0.2125,
        supply_current(0.5 * 5.1 / 6.0, 0.5, supply),
        1e-12,
        "exact",
    )
    assert supply_current(-0.3, 2.0, supply) == 0.0
