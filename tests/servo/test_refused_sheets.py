"""What a sheet that contradicts itself is told: by hand, of a servo whose stall current is not one ampere."""

import re
from math import pi

import pytest

from featherbench.scenario import ScenarioError
from featherbench.scenario.schema import Servo
from featherbench.servo import servo_drive
from featherbench.servo.contradiction import refuse_contradiction
from featherbench.servo.supply import Supply, current_ceiling

SHEET = {
    "voltage": "6 V",
    "stall_torque": "0.24 N*m",
    "transit_60": "0.01 s",
    "stall_current": "2.1 A",
    "idle_current": "0.1 A",
    "gear_ratio": 230,
    "dead_band": "0.3 deg",
    "proportional_band": "2 deg",
    "drive_rate": "333 Hz",
    "travel": "60 deg",
}
"""6 V x 2 A without the idle current are 12 W; 60 deg in 10 ms with 0.24 N m would be 25.13 W."""


def servo(**changes):
    return Servo.model_validate({**SHEET, **changes})


def refusal(stated):
    with pytest.raises(ScenarioError) as refused:
        servo_drive(stated)
    (problem,) = refused.value.problems
    assert problem.key == "servo"
    return problem


@pytest.mark.parametrize(
    ("keys", "allowed", "words"),
    [
        # 4 % of friction assumed, once off the torque and once off the current it draws: 12/1.04^2
        ({}, 12.0 / 1.04**2, "0.0096 N*m of assumed friction takes"),
        # 0.3 A of 2 A moving without load: 12 x 0.85^2
        ({"running_current": "0.4 A"}, 12.0 * 0.85**2, "the unloaded current takes"),
        # 0.06 N m of friction beside 0.24: 12 x 0.8^2
        ({"gear_friction": "0.06 N*m"}, 12.0 * 0.64, "0.06 N*m of friction takes"),
        (
            {"gear_friction": "0.04 N*m", "output_friction": "0.02 N*m"},
            12.0 * 0.64,
            "0.06 N*m of friction takes",
        ),
        ({"gear_load_friction": 0.25}, 12.0 * 0.8, "a gear efficiency of 0.8 takes"),
        (
            {"running_current": "0.4 A", "gear_load_friction": 0.25},
            12.0 * 0.85 * 0.8,
            "a gear efficiency of 0.8 and the unloaded current take",
        ),
        (
            {"running_current": "0.4 A", "gear_friction": "0.03 N*m"},
            12.0 * 0.85 * 0.24 / 0.27,
            "the unloaded current and 0.03 N*m of friction take",
        ),
        (
            {"gear_load_friction": 0.25, "gear_friction": "0.06 N*m"},
            12.0 * 0.8 * 0.64,
            "a gear efficiency of 0.8 and 0.06 N*m of friction take",
        ),
    ],
)
def test_the_most_that_a_sheet_allows_by_hand(keys, allowed, words):
    """What is told is the bound itself: a hundredth slower than it is taken, a hundredth faster is not."""
    stated = servo(**keys)
    said = refusal(stated).expected
    found = re.search(r"is ([\d.]+) W, and ([\d.]+) W is the most", said)
    assert float(found[1]) == pytest.approx(0.24 * (pi / 3.0) / 0.01, rel=5e-3)
    assert float(found[2]) == pytest.approx(allowed, rel=5e-3)
    assert "12 W" in said
    assert words in said
    assert ("or state gear_friction" in said) == (not keys)
    if keys.get("gear_load_friction") and keys.get("gear_friction"):
        return  # there the loss proportional to speed takes up what is left, and the bound is not sharp
    at_bound = 0.24 * (pi / 3.0) / allowed
    servo_drive(stated.model_copy(update={"transit_60": 1.01 * at_bound}))
    refusal(stated.model_copy(update={"transit_60": 0.99 * at_bound}))


def test_more_friction_of_the_output_than_there_is_in_all():
    """0.1 A of 2 A without load: 5 % of 0.2526 N m of drive is 12.6 mN m in all, less than the output's 20."""
    said = refusal(servo(transit_60="0.06 s", running_current="0.2 A", output_friction="0.02 N*m"))
    assert "output_friction, 0.02 N*m, no more than the 0.0126 N*m of friction that" in said.expected
    assert "gear friction -0.00737 N*m" in said.given


def test_friction_that_the_unloaded_current_cannot_bring():
    """Motor torque K I without load is less than the stated friction at the motor: both are told."""
    stated = servo(transit_60="0.06 s", running_current="0.2 A", gear_friction="0.03 N*m")
    constant = (6.0 - 3.0 * 0.1) / (pi / 3.0 / 0.06)
    efficiency = 0.27 / (constant * 2.0)
    said = refusal(stated).expected
    assert f"takes {0.03 / efficiency:.3g} N*m at the motor" in said
    assert f"brings only {constant * 0.1:.3g} N*m" in said
    assert "more running_current" in said


GOOD = {"efficiency": 0.8, "friction": 0.01, "running": 0.1, "surplus": 0.0}


@pytest.mark.parametrize(
    "near",
    [
        GOOD,
        GOOD | {"efficiency": 1.0},
        GOOD | {"friction": -1e-12},
        GOOD | {"friction": 0.0, "running": 0.0},
        GOOD | {"running": -1e-12},
        GOOD | {"surplus": -1e-10},
        GOOD | {"surplus": 0.5},
    ],
)
def test_rounding_contradicts_nothing(near):
    refuse_contradiction(servo(), **near)


@pytest.mark.parametrize(
    ("far", "words"),
    [
        (GOOD | {"efficiency": 1.01}, "is the most"),
        (GOOD | {"efficiency": 0.0}, "is the most"),
        (GOOD | {"friction": -1e-6}, "is the most"),
        (GOOD | {"running": -1e-6}, "is the most"),
        (GOOD | {"surplus": -1e-6}, "is the most"),
    ],
)
def test_each_contradiction_is_one(far, words):
    """Of a sheet without running_current; with it, the friction it cannot bring is told instead of the power."""
    with pytest.raises(ScenarioError) as refused:
        refuse_contradiction(servo(), **far)
    (problem,) = refused.value.problems
    assert words in problem.expected
    with pytest.raises(ScenarioError) as refused:
        refuse_contradiction(servo(running_current="0.2 A"), **far)
    (problem,) = refused.value.problems
    assert ("more running_current" in problem.expected) == (far["surplus"] < 0.0)


def test_what_is_not_stated_of_the_motor_by_hand():
    """Time constants of 5 ms and 60 us, a train wound up 2 deg by stall torque, 4 % of it for friction."""
    sheet = {"transit_60": "0.06 s", "stall_torque": "0.3 N*m", "output_friction": "1 N*mm"}
    drive = servo_drive(servo(**sheet))
    motor = drive.motor
    assert motor.resistance == pytest.approx(3.0)
    assert motor.inductance == pytest.approx(180e-6)
    assert motor.inertia == pytest.approx(0.005 * motor.torque_constant**2 / 3.0)
    assert drive.gear_stiffness == pytest.approx(0.3 / (2.0 * pi / 180.0))
    assert motor.coulomb * drive.efficiency == pytest.approx(0.012)
    assert drive.running_current == pytest.approx(2.0 * 0.013 / 0.313)
    assert (drive.output_friction, drive.stall_current) == pytest.approx((0.001, 2.0))
    said = {entry.key: entry for entry in drive.assumed}
    assert said["servo.idle_current"].value == "100 mA"
    assert said["servo.inductance"].value == "180 uH"
    assert said["servo.gear_friction"].value == "0.012 N*m"
    assert said["servo.gear_stiffness"].value == "8.59 N*m/rad"
    inertia = float(said["servo.rotor_inertia"].value.split()[0])
    assert inertia == pytest.approx(motor.inertia / 230.0**2 * 1e9, rel=5e-3)
    both = servo_drive(servo(gear_load_friction=0.1, gear_friction="5 N*mm", **sheet))
    (running,) = [entry for entry in both.assumed if entry.key == "servo.running_current"]
    assert running.value == f"{both.running_current:.3g} A"


def test_at_no_duty_a_source_that_idles_at_its_limit_caps_nothing():
    """No duty draws nothing from the lead, so its limit says nothing of the winding; any duty leaves it no current."""
    supply = Supply(6.0, 0.0, 0.012, 0.012)
    assert current_ceiling(0.0, supply) == 1e6
    assert current_ceiling(0.5, supply) == 0.0
