"""The servo's own two-minute test: a weight on the arm, held up and down, stalled, timed."""

from math import inf

import pytest

from featherbench.bench.servo_test import no_load_speed, servo_test
from featherbench.servo.supply import Supply


@pytest.fixture(scope="module")
def rig(setup_of):
    return setup_of(servo={"chopping_rate": "1 MHz"})


def test_stalled_and_timed_at_the_voltage_of_the_sheet_it_reads_the_sheet(rig):
    sheet = rig.scenario.servo
    found = servo_test(rig.drive, Supply(sheet.voltage, 0.0, inf, sheet.idle_current), 0.05)
    assert found.stalled == pytest.approx(sheet.stall_current)
    assert found.transit == pytest.approx(sheet.transit_60, rel=1e-9)


def test_held_up_by_hand(rig):
    """0.05 N m: K i = tau (1 + mu_g) + tau_c up, tau (1 - mu_g) - tau_c down; the supply gives i^2 R / V."""
    motor, supply = rig.drive.motor, Supply(5.0, 0.0, inf, 0.01)
    found = servo_test(rig.drive, supply, 0.05)
    bearing = rig.drive.output_friction
    up = ((0.05 + bearing) * (1.0 + motor.load_friction) + motor.coulomb) / motor.torque_constant
    down = ((0.05 - bearing) * (1.0 - motor.load_friction) - motor.coulomb) / motor.torque_constant
    assert found.held_up == pytest.approx(up**2 * motor.resistance / 5.0 + 0.01, rel=1e-3)
    assert found.held_down == pytest.approx(max(0.0, down) ** 2 * motor.resistance / 5.0 + 0.01, rel=1e-3)
    assert found.held_down < found.held_up
    assert found.down_falls == (down > 0.0)


def test_a_light_weight_is_held_by_the_gears_alone(rig):
    found = servo_test(rig.drive, rig.plant.supply, 0.004)
    assert found.held_down == pytest.approx(rig.plant.supply.idle)
    assert not found.down_falls


def test_a_slow_chop_draws_more_and_a_lead_slows(rig, setup_of):
    slow = setup_of(servo={"chopping_rate": "333 Hz"})
    one, two = (servo_test(each.drive, each.plant.supply, 0.05) for each in (rig, slow))
    assert two.held_up > 1.5 * one.held_up
    assert two.stalled == one.stalled  # full duty has no ripple
    supply = rig.plant.supply
    assert no_load_speed(rig.drive, supply) < no_load_speed(rig.drive, supply._replace(resistance=0.0))


def test_what_cannot_be_lifted_is_refused(rig):
    with pytest.raises(ValueError, match="lifts 0 to"):
        servo_test(rig.drive, rig.plant.supply, 1.0)
    with pytest.raises(ValueError, match="friction alone"):
        no_load_speed(rig.drive, Supply(0.05, 0.0, inf, 0.0))
