"""Data sheet -> motor: exact at the stated points for every combination of keys, contradictions refused."""

import re
from math import pi

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from featherbench.scenario import ScenarioError
from featherbench.scenario.schema import Servo
from featherbench.servo import servo_drive

SHEET = {
    "voltage": "5 V",
    "stall_torque": "0.19 N*m",
    "transit_60": "0.06 s",
    "stall_current": "1 A",
    "gear_ratio": 230,
    "dead_band": "0.3 deg",
    "proportional_band": "2 deg",
    "drive_rate": "333 Hz",
    "travel": "60 deg",
}

COMBINATIONS = {
    "nothing more": {},
    "running current": {"running_current": "0.12 A"},
    "gear friction": {"gear_friction": "0.006 N*m"},
    "load friction": {"gear_load_friction": 0.15},
    "running current and gear friction": {"running_current": "0.15 A", "gear_friction": "0.006 N*m"},
    "running current and load friction": {"running_current": "0.15 A", "gear_load_friction": 0.11},
    "both frictions": {"gear_friction": "0.006 N*m", "gear_load_friction": 0.15},
}


def servo(**changes):
    return Servo.model_validate({**SHEET, **changes})


def stalled(drive, voltage):
    """(torque at the output, winding current) as the output just stops, from the static equations."""
    motor = drive.motor
    current = voltage / motor.resistance
    mesh = (motor.torque_constant * current - motor.coulomb) / (1.0 + motor.load_friction)
    return mesh - drive.output_friction, current


def unloaded(drive, voltage):
    """(speed at the output, winding current) moving without load: two linear equations in speed and current."""
    motor = drive.motor
    dragged = drive.output_friction * (1.0 + motor.load_friction) + motor.coulomb
    rows = [[motor.torque_constant, motor.resistance], [-motor.viscous, motor.torque_constant]]
    return np.linalg.solve(rows, [voltage, dragged])


@pytest.mark.parametrize("output_friction", ["0 N*m", "1 N*mm"])
@pytest.mark.parametrize("idle", ["0 A", "12 mA"])
@pytest.mark.parametrize("keys", COMBINATIONS.values(), ids=COMBINATIONS)
def test_the_stated_points_are_met(keys, idle, output_friction):
    stated = servo(idle_current=idle, output_friction=output_friction, **keys)
    drive = servo_drive(stated)
    torque, current = stalled(drive, stated.voltage)
    assert torque == pytest.approx(stated.stall_torque, rel=1e-9)
    assert current + stated.idle_current == pytest.approx(stated.stall_current, rel=1e-9)
    speed, current = unloaded(drive, stated.voltage)
    assert speed == pytest.approx((pi / 3) / stated.transit_60, rel=1e-9)
    assert current == pytest.approx(drive.running_current, rel=1e-9)
    if stated.running_current is not None:
        assert current + stated.idle_current == pytest.approx(stated.running_current, rel=1e-9)
    if stated.gear_load_friction is not None:
        assert drive.motor.load_friction == pytest.approx(stated.gear_load_friction, rel=1e-9)
    if stated.gear_friction is not None:
        at_output = drive.motor.coulomb * drive.efficiency
        assert at_output == pytest.approx(stated.gear_friction, rel=1e-9)
    assert drive.stall_torque(stated.voltage) == pytest.approx(stated.stall_torque, rel=1e-9)


def test_running_current_is_told_from_what_coulomb_friction_explains():
    """The speed-proportional loss appears only when more is stated than Coulomb friction can meet."""
    for name, keys in COMBINATIONS.items():
        viscous = servo_drive(servo(**keys)).motor.viscous
        assert (viscous > 1e-6) == (" and " in name or name == "both frictions"), name


def test_three_friction_keys_are_one_too_many():
    with pytest.raises(ScenarioError) as caught:
        servo_drive(servo(running_current="0.12 A", gear_friction="6 N*mm", gear_load_friction=0.15))
    (problem,) = caught.value.problems
    assert problem.key == "servo.gear_load_friction"
    assert "0.15" in problem.given


@pytest.mark.parametrize(
    ("changes", "wrong"),
    [
        ({"stall_torque": "0.4 N*m"}, ["6.98 W", "5 W"]),  # more power out than in
        ({"transit_60": "0.03 s"}, ["6.63 W", "5 W"]),
        ({"gear_load_friction": 0.9, "stall_torque": "0.25 N*m"}, ["4.36 W", "2.63 W", "0.526"]),
        # the friction of the output alone needs more than the unloaded current brings
        ({"running_current": "0.02 A", "output_friction": "0.02 N*m"}, ["0.02 N*m", "0.00388 N*m"]),
        ({"running_current": "0.05 A", "gear_friction": "0.02 N*m"}, ["0.0259 N*m", "0.0136 N*m"]),
    ],
)
def test_a_contradictory_sheet_is_refused_with_its_numbers(changes, wrong):
    stated = servo(**changes)
    with pytest.raises(ScenarioError) as caught:
        servo_drive(stated)
    (problem,) = caught.value.problems
    assert problem.key == "servo"
    for number in (stated.stall_torque, stated.stall_current, stated.transit_60):
        assert f"{number:.4g}" in problem.given
    for number in wrong:
        assert number in problem.expected


def told_powers(stated):
    """(power that the sheet gives, most that its figures allow), W, as the refusal has them."""
    with pytest.raises(ScenarioError) as caught:
        servo_drive(stated)
    (problem,) = caught.value.problems
    found = re.search(r"is ([\d.]+) W, and ([\d.]+) W is the most", problem.expected)
    return float(found[1]), float(found[2])


@pytest.mark.parametrize("keys", COMBINATIONS.values(), ids=COMBINATIONS)
def test_a_sheet_of_too_much_power_is_told_what_would_do(keys):
    """What is given is more than what is allowed, and just within what is allowed it is taken."""
    stated = servo(transit_60="0.03 s", **keys)
    power, allowed = told_powers(stated)
    assert power == pytest.approx(0.19 * (pi / 3) / 0.03, rel=5e-3)
    assert power > allowed
    at_limit = stated.transit_60 * power / allowed
    servo_drive(stated.model_copy(update={"transit_60": 1.01 * at_limit}))
    with pytest.raises(ScenarioError):
        servo_drive(stated.model_copy(update={"transit_60": 0.99 * at_limit}))


def test_a_hair_too_much_power_is_told_apart():
    """8.4 V and 3.96 A are 33.3 W; the four per cent of friction taken for granted leave 33.264 / 1.04^2 = 30.75 W, and
    30.8 W is more than that, though less than 33.3.
    """
    sheet = {"voltage": "8.4 V", "stall_current": "3.96 A", "transit_60": "0.07 s"}
    stated = servo(**sheet).model_copy(update={"stall_torque": 30.757 * 0.07 / (pi / 3)})
    assert told_powers(stated) == (30.76, 30.75)


sheets = st.fixed_dictionaries(
    {
        "voltage": st.floats(3.0, 9.0),
        "stall_torque": st.floats(0.05, 1.0),
        "transit_60": st.floats(0.03, 0.2),
        "stall_current": st.floats(0.5, 5.0),
        "gear_load_friction": st.one_of(st.none(), st.floats(0.0, 1.2)),
    }
)


@settings(max_examples=60, deadline=None)
@given(sheets)
def test_any_sheet_is_met_or_refused(sheet):
    """Friction is never negative and efficiency lies in 0..1, or the sheet is refused."""
    given_keys = {key: value for key, value in sheet.items() if value is not None}
    stated = servo().model_copy(update=given_keys)
    power = stated.voltage * stated.stall_current
    try:
        drive = servo_drive(stated)
    except ScenarioError:
        eta = 1.0 / (1.0 + (stated.gear_load_friction or 0.0))
        # the most that such a train can bring out: K I eta with K at most V / omega
        assert stated.stall_torque * (pi / 3) / stated.transit_60 > 0.9 * eta * power
        return
    assert 0.0 < drive.efficiency <= 1.0
    assert drive.motor.coulomb >= 0.0
    assert drive.motor.viscous >= 0.0
    assert stalled(drive, stated.voltage)[0] == pytest.approx(stated.stall_torque, rel=1e-9)
    assert unloaded(drive, stated.voltage)[0] == pytest.approx((pi / 3) / stated.transit_60, rel=1e-9)


@given(st.floats(1.0, 9.0), st.floats(1.0, 9.0))
def test_torque_rises_with_voltage_in_a_straight_line(one, two):
    """Two volts apart are two torques apart by eta K / R per volt; below the friction's voltage there is none."""
    drive = servo_drive(servo(gear_friction="0.006 N*m", output_friction="1 N*mm"))
    first, second = drive.stall_torque(one), drive.stall_torque(two)
    assume(min(first, second) > 0.0)
    per_volt = drive.efficiency * drive.motor.torque_constant / drive.motor.resistance
    assert second - first == pytest.approx(per_volt * (two - one), abs=1e-12)
    assert drive.stall_torque(0.1) == 0.0


@settings(deadline=None)
@given(st.floats(0.02, 3.0))
def test_a_train_holds_unpowered_at_half_efficiency_and_below(load_friction):
    motor = servo_drive(servo(stall_torque="0.03 N*m", gear_load_friction=load_friction))
    assert motor.efficiency == pytest.approx(1.0 / (1.0 + load_friction))
    assert motor.holds_unpowered == (load_friction >= 1.0)


def test_half_an_efficiency_just_holds():
    exactly = servo_drive(servo(stall_torque="0.03 N*m", gear_load_friction=1.0))
    assert exactly.efficiency == 0.5
    assert exactly.holds_unpowered


def test_what_was_not_given_is_said():
    drive = servo_drive(servo(idle_current="12 mA"))
    keys = {entry.key for entry in drive.assumed}
    assert keys == {
        "servo.chopping_rate",
        "servo.gear_friction",
        "servo.idle_current",
        "servo.rotor_inertia",
        "servo.inductance",
        "servo.gear_stiffness",
    }
    stated = servo(
        gear_friction="6 N*mm",
        rotor_inertia="0.4 g*mm^2",
        inductance="100 uH",
        gear_stiffness="5 N*m/rad",
        chopping_rate="3 kHz",
    )
    drive = servo_drive(stated)
    assert drive.assumed == ()
    assert drive.motor.inertia == pytest.approx(0.4e-9 * 230**2)
    assert drive.motor.inductance == pytest.approx(100e-6)
    assert drive.gear_stiffness == pytest.approx(5.0)
