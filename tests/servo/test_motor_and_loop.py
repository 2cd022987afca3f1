"""Winding, gear friction, holding band, position loop and supply lead: the laws one at a time."""

from math import exp, inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from featherbench.servo.motor import Motor, advance_current, gear_friction_limit, holding_band, winding_for
from featherbench.servo.position_loop import PositionLoop, dead_zone, duty, filter_speed
from featherbench.servo.supply import Supply, current_ceiling, supply_current, supply_voltage

MOTOR = Motor(5.0, 300e-6, 0.25, 2e-5, 0.007, 0.2, 1e-4, 1.0)
LOOP = PositionLoop(0.005, 0.035, 0.003, 1 / 333, 1 / 333)
amperes = st.floats(-3.0, 3.0)
speeds = st.floats(-20.0, 20.0)
loads = st.floats(-0.3, 0.3)


@given(amperes, st.floats(-9.0, 9.0), speeds, st.floats(1e-6, 1e-3))
def test_the_winding_is_exact_whatever_the_step(current, voltage, speed, step):
    settled = (voltage - MOTOR.torque_constant * speed) / MOTOR.resistance
    after, mean, square = advance_current(current, voltage, speed, MOTOR, winding_for(MOTOR, step))
    time = (np.arange(2000) + 0.5) / 2000 * step
    course = settled + (current - settled) * np.exp(-time * MOTOR.resistance / MOTOR.inductance)
    assert after == pytest.approx(
        settled + (current - settled) * exp(-step * MOTOR.resistance / MOTOR.inductance), abs=1e-12
    )
    quadrature = 1e-5 * (
        abs(current) + abs(settled) + 1e-6
    )  # of the midpoint rule, on at most 17 decay times
    assert mean == pytest.approx(course.mean(), abs=quadrature)
    assert square == pytest.approx((course**2).mean(), abs=quadrature * (abs(current) + abs(settled) + 1e-6))
    assert square >= mean * mean * (1.0 - 1e-12)


def test_steps_of_the_winding_compose():
    """Two half steps are one whole step: nothing is lost by stepping."""
    whole = advance_current(1.0, 3.0, 4.0, MOTOR, winding_for(MOTOR, 2e-5))
    half = winding_for(MOTOR, 1e-5)
    first = advance_current(1.0, 3.0, 4.0, MOTOR, half)
    second = advance_current(first[0], 3.0, 4.0, MOTOR, half)
    assert second[0] == pytest.approx(whole[0], rel=1e-13)
    assert 0.5 * (first[1] + second[1]) == pytest.approx(whole[1], rel=1e-12)
    assert 0.5 * (first[2] + second[2]) == pytest.approx(whole[2], rel=1e-12)


def test_no_inductance_is_the_limit_of_a_small_one():
    bare, little = MOTOR._replace(inductance=0.0), MOTOR._replace(inductance=1e-12)
    assert advance_current(1.0, 3.0, 4.0, bare, winding_for(bare, 1e-5)) == pytest.approx(
        advance_current(1.0, 3.0, 4.0, little, winding_for(little, 1e-5)), rel=1e-5
    )


@given(loads, st.floats(0.1, 1.0))
def test_back_driving_efficiency_is_two_less_one_over_efficiency(load, efficiency):
    """With loss proportional to what the mesh carries, both ways: eta_rev = 2 - 1/eta (derivable)."""
    motor = MOTOR._replace(coulomb=0.0, load_friction=1.0 / efficiency - 1.0)
    left = abs(load) - gear_friction_limit(load, motor)
    assert left == pytest.approx((2.0 - 1.0 / efficiency) * abs(load), abs=1e-15)
    driven = abs(load) + gear_friction_limit(load, motor)
    assert abs(load) == pytest.approx(efficiency * driven, abs=1e-15)


@given(loads, st.floats(1.0, 2.0))
def test_holding_band_is_where_friction_can_make_up_the_difference(load, breakaway):
    motor = MOTOR._replace(breakaway_ratio=breakaway)
    least, most = holding_band(load, motor)
    limit = breakaway * gear_friction_limit(load, motor)
    for current, inside in ((least, 0.999), (most, 0.999), (least, 1.001), (most, 1.001)):
        middle = 0.5 * (least + most)
        unbalanced = abs(motor.torque_constant * (middle + inside * (current - middle)) - load)
        assert (unbalanced <= limit) == (inside < 1.0)
    assert 0.5 * (least + most) == pytest.approx(load / motor.torque_constant, abs=1e-12)
    mirrored = holding_band(-load, motor)
    assert mirrored == pytest.approx((-most, -least), abs=1e-15)


def test_the_band_holds_at_no_current_only_when_the_train_locks():
    for load_friction in (0.9, 1.1):
        motor = MOTOR._replace(coulomb=0.0, load_friction=load_friction)
        least, _ = holding_band(0.1, motor)
        assert (least <= 0.0) == (load_friction >= 1.0)


@given(st.floats(-0.5, 0.5), speeds)
def test_duty_is_odd_bounded_and_nothing_in_the_dead_band(error, speed):
    value = duty(error, speed, LOOP)
    assert -1.0 <= value <= 1.0
    assert duty(-error, -speed, LOOP) == -value
    if abs(error) <= 0.5 * LOOP.dead_band:
        assert duty(error, 0.0, LOOP) == 0.0
    if abs(error) >= 0.5 * LOOP.dead_band + LOOP.proportional_band + 1e-12:
        assert abs(duty(error, 0.0, LOOP)) == 1.0


@given(st.floats(-1.0, 1.0), st.floats(-1.0, 1.0), st.floats(0.0, 0.3))
def test_dead_zone_is_continuous_and_never_steeper_than_one(one, two, half):
    assert abs(dead_zone(one, half) - dead_zone(two, half)) <= abs(one - two) + 1e-15


def test_filtered_speed_settles_on_a_steady_speed():
    filtered = 0.0
    for tick in range(1, 60):
        filtered = filter_speed(filtered, 3.0 * tick * 0.003, 3.0 * (tick - 1) * 0.003, 0.003)
    assert filtered == pytest.approx(3.0, rel=1e-9)


@given(st.floats(-1.0, 1.0), amperes)
def test_the_lead_carries_the_power_balance_and_never_less_than_idle(share, current):
    supply = Supply(6.0, 0.0, inf, 0.012)
    drawn = supply_current(share, current, supply)
    assert drawn >= supply.idle
    if share * current > 0.0:
        # lossless bridge: V_s I_s = V_m i
        assert supply.voltage * (drawn - supply.idle) == pytest.approx(share * supply.voltage * current)


@given(st.floats(0.01, 1.0), amperes, st.floats(0.0, 2.0))
def test_a_resistive_lead_droops_by_its_own_current(share, current, resistance):
    supply = Supply(6.0, resistance, inf, 0.012)
    drop = supply.voltage - supply_voltage(share, current, supply)
    assert drop == pytest.approx(min(6.0, resistance * supply_current(share, current, supply)))


@given(st.floats(-1.0, 1.0).filter(lambda share: abs(share) > 1e-3))
def test_the_ceiling_is_the_motor_current_that_draws_the_limit(share):
    supply = Supply(6.0, 0.0, 0.8, 0.012)
    at_ceiling = np.copysign(current_ceiling(share, supply), share)
    assert supply_current(share, at_ceiling, supply) == pytest.approx(0.8)


def test_no_limit_means_no_ceiling():
    assert current_ceiling(1.0, Supply(6.0, 0.0, inf, 0.0)) >= 1e6
    assert current_ceiling(0.5, Supply(6.0, 0.0, 0.01, 0.012)) == 0.0


def test_braking_draws_nothing():
    """A drive that pushes back against the winding's current takes nothing from the lead, and returns nothing."""
    supply = Supply(6.0, 0.0, inf, 0.012)
    assert supply_current(-0.5, 0.6, supply) == supply_current(0.5, -0.6, supply) == 0.012
    assert supply_current(-0.5, -0.6, supply) == pytest.approx(0.312)


def test_duty_by_hand():
    """Dead band 5 mrad, whole width, band 35 mrad: an error of 6 mrad is 2.5 + 3.5, so a tenth of full duty."""
    assert duty(0.006, 0.0, LOOP) == pytest.approx(0.1)
    assert duty(-0.006, 0.0, LOOP) == pytest.approx(-0.1)
    assert duty(0.002, 0.0, LOOP) == 0.0
    # 3 ms of damping at 1 rad/s take 3 mrad off
    assert duty(0.006, 1.0, LOOP) == pytest.approx(0.5 / 35.0)
