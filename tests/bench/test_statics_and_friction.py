"""The static curves hold the friction that the stepper takes: forces at rest from its own limits, by iteration."""

import numpy as np
import pytest

from featherbench.bench.holding import hold_band
from featherbench.bench.servo_test import held_supply
from featherbench.bench.statics import static_curves
from featherbench.linkage import servo_angle_for
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.plant.joint_friction import pitch_friction_limit, rod_friction_limit
from featherbench.servo.motor import holding_band

SHARES = {"slider_load_friction": 0.2, "rod_load_friction": 0.1, "breakaway_ratio": 1.3}


def at_rest(setup, load, place, ratio, side):
    """Force at the rod's end (N) where friction adds to a load (side 1) or takes off it (-1): each joint holds its
    limit, that of the force it then carries itself.
    """
    _, slope, _, slider = pitch_rod_travel(place, setup.plant.linkage)
    spin, inner = float(setup.scenario.rotor.speed), load
    for _ in range(100):  # a share below 1 each time
        held = pitch_friction_limit(spin, slider, setup.plant.pitch, inner * slope) / abs(slope)
        inner = load + side * ratio * held
    return inner + side * rod_friction_limit(inner, setup.plant.output)


@pytest.mark.parametrize("shares", [SHARES, {**SHARES, "slider_load_friction": 0.0, "rod_friction": "3 N"}])
def test_static_curves_hold_the_limits_of_the_stepper(setup_of, shares):
    setup = setup_of(linkage=shares)
    curves, ratio = static_curves(setup, groups=False), setup.plant.pitch.breakaway_ratio
    assert ratio == pytest.approx(1.3)
    for row in range(0, len(curves.pitch), 5):
        load, place = abs(float(curves.rod_force[row])), float(curves.pitch[row])
        harder = at_rest(setup, load, place, 1.0, 1.0)
        assert load + curves.rod_friction[row] == pytest.approx(harder, rel=1e-9)
        assert load - curves.rod_friction_easier[row] == pytest.approx(
            at_rest(setup, load, place, 1.0, -1.0), rel=1e-9, abs=1e-9
        )
        starts = at_rest(setup, load, place, ratio, 1.0)
        assert load + curves.rod_breakaway[row] == pytest.approx(starts, rel=1e-9)


def test_a_hold_counts_the_same_limits(setup_of):
    """At the high end: what the motor must hold at most is friction of every joint against it."""
    setup = setup_of(linkage=SHARES)
    curves, plant = static_curves(setup, groups=False), setup.plant
    place, load = float(curves.pitch[-1]), abs(float(curves.rod_force[-1]))
    arm = abs(servo_rod_travel(float(curves.servo_angle[-1]), plant.linkage)[1])
    torque = at_rest(setup, load, place, plant.pitch.breakaway_ratio, 1.0) * arm + plant.output.friction
    assert hold_band(setup, place).winding_most == pytest.approx(holding_band(torque, plant.motor)[1])


def test_a_hold_draws_nothing_at_least_only_where_friction_can_hold_it_all(setup_of):
    """The least is what the supply gives for the least current of the winding, and 0 from where friction needs none;
    blades at rest turn against no air, however much of it there is.
    """
    bare = {"slider_friction": "0 N", "rod_friction": "0 N", "breakaway_ratio": 1.0}
    seen = set()
    for given in ({}, {"linkage": bare, "bearing": {"coefficient": 0.0, "starting_moment": "0 N*m"}}):
        setup = setup_of(**given)
        for place in (setup.scenario.rotor.pitch_range[1], 0.1):
            found = hold_band(setup, place)
            some = found.winding_least > 0.0
            seen.add(some)
            drawn = held_supply(setup.drive, setup.plant.supply, found.winding_least) if some else 0.0
            assert found.least == pytest.approx(drawn)
            curves = static_curves(setup, groups=False)
            load = abs(np.interp(place, curves.pitch, curves.rod_force))
            arm = abs(servo_rod_travel(servo_angle_for(place, setup.plant.linkage), setup.plant.linkage)[1])
            if given:  # nothing but the servo's own friction beside the load
                most = holding_band(load * arm + setup.plant.output.friction, setup.plant.motor)[1]
                assert found.winding_most == pytest.approx(most, rel=2e-3)
    assert seen == {True, False}
