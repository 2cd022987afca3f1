"""A brushless servo, or one whose drive limits its current: its sheet read, and what it does, by hand.

At stall the lead gives V x I_stall as heat of the winding; the winding carries more than the lead.
"""

from math import pi

import numpy as np
import pytest

from featherbench.bench.legs import Ending
from featherbench.bench.servo_run import run_servo
from featherbench.bench.servo_test import servo_test
from featherbench.bench.statics import static_curves
from featherbench.scenario import ScenarioError
from featherbench.scenario.schema import Servo
from featherbench.servo import servo_drive
from featherbench.servo.available_torque import full_duty_current, standing_supply
from featherbench.servo.supply import Supply

INF = float("inf")
SHEET = {
    "voltage": "7.4 V",
    "stall_torque": "1.1 N*m",
    "transit_60": "0.045 s",
    "stall_current": "2.6 A",
    "idle_current": "100 mA",
    "gear_ratio": 260,
    "drive": "brushless",
    "chopping_rate": "1 MHz",
    "travel": "60 deg",
}
"""25.6 W of torque x speed out of 18.5 W at stall: no motor at full voltage can be that."""
SPEED = (pi / 3.0) / 0.045


def servo(**changes):
    return Servo.model_validate({**SHEET, **changes})


def drive_of(**changes):
    return servo_drive(servo(**changes))


def test_such_a_sheet_is_refused_of_a_brushed_motor_with_what_to_write():
    with pytest.raises(ScenarioError, match=r'servo\.drive = "brushless" or "current-limited"'):
        drive_of(drive="brushed")


def test_constants_by_hand_without_ripple():
    """Gear efficiency 1/1.3, friction 0.044 N m; K from K w + R I_run = V with R = V I / I_lim^2."""
    drive, efficiency = drive_of(), 1.0 / 1.3
    total = 1.1 + 0.044
    constant = 7.4 / (SPEED + 7.4 * 2.5 * efficiency * 0.044 / total**2)
    limit = total / (efficiency * constant)
    assert drive.motor.torque_constant == pytest.approx(constant, rel=1e-6)
    assert drive.chopper.limit == pytest.approx(limit, rel=1e-6)
    assert drive.motor.resistance == pytest.approx(7.4 * 2.5 / limit**2, rel=1e-4)
    assert drive.running_current == pytest.approx(0.044 / (efficiency * constant), rel=1e-6)
    assert limit > 4.0
    assert drive.motor.resistance < 1.0


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"chopping_rate": "20 kHz"},
        {"chopping_rate": "3 kHz", "drive": "current-limited"},
        {"chopping_rate": "8 kHz", "inductance": "90 uH"},
        {"running_current": "300 mA"},
        {"running_current": "300 mA", "gear_friction": "0.03 N*m"},
        {"gear_load_friction": 0.2},
        {"current_limit": "5 A"},
        {"current_limit": "5 A", "running_current": "250 mA"},
        {"current_limit": "5 A", "gear_load_friction": 0.3},
        {"current_limit": "5 A", "gear_friction": "0.05 N*m", "output_friction": "0.002 N*m"},
    ],
)
def test_every_stated_point_comes_out(changes):
    drive = drive_of(**changes)
    stated = servo(**changes)
    supply = Supply(7.4, 0.0, INF, 0.1)
    assert drive.stall_torque(7.4) == pytest.approx(1.1, rel=1e-9)
    assert full_duty_current(drive.motor, supply, drive.chopper) == pytest.approx(drive.chopper.limit)
    test = servo_test(drive, supply, 0.3)
    assert test.stalled == pytest.approx(2.6, rel=1e-6)
    assert test.transit == pytest.approx(0.045, rel=1e-9)
    if stated.current_limit is not None:
        assert drive.chopper.limit == pytest.approx(stated.current_limit)
    if stated.running_current is not None:
        assert drive.running_current == pytest.approx(stated.running_current - 0.1)
    assert 0.0 < drive.efficiency <= 1.0
    assert drive.motor.coulomb > 0.0


def test_a_limit_that_is_that_of_full_voltage_is_the_plain_motor():
    """The same figures with a stall current that a motor at full voltage takes: the limit no longer counts."""
    plain = drive_of(drive="brushed", stall_current="6.1 A", gear_load_friction=0.3)
    same = drive_of(stall_current="6.1 A", gear_load_friction=0.3)
    assert same.chopper.limit == INF
    assert same.motor == plain.motor
    assert any(one.key == "servo.drive" and "no room" in one.why for one in same.assumed)


def test_just_below_it_the_limit_joins_on():
    """Where torque, speed and efficiency leave hardly any room, limit and stall current are nearly one."""
    full = drive_of(drive="brushed", stall_current="6.1 A", gear_load_friction=0.3, idle_current="0 A")
    limit = (1.1 + full.efficiency * full.motor.coulomb) / (full.efficiency * full.motor.torque_constant)
    near = drive_of(
        stall_current=f"{0.999 * limit} A",
        gear_load_friction=0.3,
        idle_current="0 A",
        gear_friction=f"{full.efficiency * full.motor.coulomb} N*m",
    )
    assert near.chopper.limit == pytest.approx(limit, rel=2e-3)
    assert near.motor.torque_constant == pytest.approx(full.motor.torque_constant, rel=2e-3)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"drive": "brushed", "stall_current": "8 A", "current_limit": "9 A"}, r"servo\.drive"),
        ({"current_limit": "2 A"}, "more than .*A: the winding"),
        ({"current_limit": "3 A"}, "gears without loss"),
        ({"current_limit": "5 A", "gear_load_friction": 0.3, "gear_friction": "0.04 N*m"}, "left out"),
        ({"current_limit": "5 A", "gear_load_friction": 0.3, "running_current": "0.3 A"}, "left out"),
        ({"decay": "fast"}, "slow"),
        ({"inductance": "0 uH"}, "left out"),
    ],
)
def test_what_cannot_be_is_refused_with_what_to_enter(changes, words):
    with pytest.raises(ScenarioError, match=words):
        drive_of(**changes)


def test_a_supply_that_gives_less_than_the_limit_takes_counts():
    """At full duty the lead carries what the winding carries: less than the limit, and less than the lead at stall."""
    drive = drive_of()
    assert full_duty_current(drive.motor, Supply(7.4, 0.0, 2.7, 0.1), drive.chopper) == pytest.approx(
        drive.chopper.limit
    )
    assert full_duty_current(drive.motor, Supply(7.4, 0.0, 2.0, 0.1), drive.chopper) == pytest.approx(1.9)
    weak = Supply(2.0, 0.0, INF, 0.1)  # volts over ohms below the limit
    assert full_duty_current(drive.motor, weak, drive.chopper) == pytest.approx(2.0 / drive.motor.resistance)


def test_a_hold_draws_by_the_square_of_the_torque():
    """Heat of the winding, whatever its limit: half the winding current, a quarter of the lead's."""
    drive, supply = drive_of(), Supply(7.4, 0.0, INF, 0.1)
    full = standing_supply(drive.chopper.limit, drive.motor, drive.chopper, supply)
    half = standing_supply(0.5 * drive.chopper.limit, drive.motor, drive.chopper, supply)
    assert full == pytest.approx(2.5, rel=1e-3)
    assert half == pytest.approx(2.5 / 4.0, rel=1e-3)


LIMITED = {
    "drive": "current-limited",
    "stall_torque": "0.19 N*m",
    "transit_60": "0.06 s",
    "stall_current": "0.5 A",
    "rotor_inertia": "0.35 g*mm^2",
}


def test_in_a_run_the_winding_never_carries_more_and_a_plain_motor_does(setup_of):
    """A rotor of ten times the inertia stays at the limit for some milliseconds; the lead carries less, and no less
    than the winding's heat and the motor's power take.
    """
    limited = setup_of(servo={**LIMITED, "rotor_inertia": "3.5 g*mm^2"})
    run = run_servo(limited)
    motor, limit = limited.plant.motor, limited.plant.chopper.limit
    assert limit > 0.6
    assert np.abs(run.motor_current).max() <= limit * (1.0 + 1e-9)
    assert np.abs(run.motor_current).max() == pytest.approx(limit, rel=0.01)
    first = np.flatnonzero(run.motor_current > 0.99 * limit)[1:4]  # in the row before it may still be rising
    assert len(first) == 3
    speed = (
        run.supply_current[first] - 0.01 - motor.resistance * limit**2 / 5.0
    )  # what is left of it turns the motor
    grows = np.diff(speed * 5.0 / (limit * motor.torque_constant)) / np.diff(run.time[first])
    torque = motor.torque_constant * limit
    assert grows == pytest.approx(
        (torque - motor.coulomb) / motor.inertia, rel=0.15
    )  # gear and load still to come
    assert run.energy_error < 1e-3
    assert all(leg.ending is Ending.HELD for leg in run.legs)


def test_a_stalled_run_stands_where_statics_and_sheet_say(setup_of):
    """Too weak for the load at full pitch: the winding carries its limit, the lead the sheet's stall current."""
    setup = setup_of(
        servo={
            **LIMITED,
            "stall_torque": "0.03 N*m",
            "stall_current": "0.16 A",
            "gear_friction": "0.001 N*m",
        },
        supply={"resistance": "0 mohm"},
    )
    run = run_servo(setup)
    assert static_curves(setup).servo_torque.max() > setup.drive.available_torque(setup.plant.supply)
    stalled = [leg for leg in run.legs if leg.ending is Ending.STALLED]
    assert stalled
    for leg in stalled:
        assert abs(leg.motor_hold) == pytest.approx(setup.plant.chopper.limit, rel=1e-3)
        assert leg.drawn == pytest.approx(0.15, rel=0.01)
