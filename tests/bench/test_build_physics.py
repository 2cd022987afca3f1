"""What must hold of any build: scaling with speed, signs, mirror images, neutral weights, limits, units."""

from dataclasses import replace
from math import inf

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from featherbench.bench.gauge import run_gauge
from featherbench.bench.servo_run import run_servo
from featherbench.bench.statics import static_curves
from featherbench.linkage.geometry import pitch_rod_travel

FREE = {
    "bearing": {"coefficient": 0.0, "starting_moment": "0 N*m"},
    "linkage": {"slider_friction": "0 N", "rod_friction": "0 N"},
}
EVEN = {"rotor": {"pitch_range": ["-25 deg", "25 deg"]}}
few = settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def straight(setup):
    """With a rod so long that its tilt costs no travel: the one thing that tells push from pull in a linkage."""
    linkage = setup.plant.linkage._replace(rod_length=inf)
    return replace(setup, plant=setup.plant._replace(linkage=linkage))


def in_vacuum(setup):
    """Without the air's moment, damping and apparent inertia."""
    loads = setup.plant.loads
    values = loads.values.copy()
    values[:, 5] = 0.0
    axis = setup.plant.pitch._replace(damping=0.0)
    return replace(setup, plant=setup.plant._replace(loads=loads._replace(values=values), pitch=axis))


@few
@given(st.floats(3000.0, 9000.0), st.floats(1.1, 2.0))
def test_centrifugal_rod_force_goes_with_speed_squared_exactly(setup_of, speed, factor):
    one, two = (
        static_curves(in_vacuum(setup_of(rotor={"speed": f"{value!r} rpm"}, **FREE)))
        for value in (speed, speed * factor)
    )
    assert two.rod_force == pytest.approx(factor**2 * one.rod_force, rel=1e-12, abs=1e-12)
    assert two.moment == pytest.approx(factor**2 * one.moment, rel=1e-12, abs=1e-14)
    # and at one and the same air table the air's share does, too
    setup = setup_of(**FREE)
    base = static_curves(setup)
    other = static_curves(setup, factor * float(setup.scenario.rotor.speed))
    assert other.rod_force == pytest.approx(factor**2 * base.rod_force, rel=1e-12, abs=1e-12)


def test_the_gauge_reads_speed_squared_too(setup_of):
    """Elastic give of the linkage is no error of the force: frictionless, it is on statics at any speed."""
    pushes = [
        run_gauge(in_vacuum(setup_of(rotor={"speed": f"{rpm} rpm"}, **FREE))).push for rpm in (5000, 10000)
    ]
    assert pushes[1] == pytest.approx(4.0 * pushes[0], rel=2e-3)


@few
@given(st.floats(6.0, 25.0), st.floats(0.1, 4.0))
def test_neutral_weights_leave_no_moment_at_any_pitch(setup_of, weight, height, chord):
    """Masses m on the chord normal and a pair ahead of it: 2 m (h^2 - c^2) = I_c - I_n of the rest."""
    plain = setup_of()
    left = plain.moments.chordwise - plain.moments.normal
    mass = left / (2.0 * ((height * 1e-3) ** 2 - (chord * 1e-3) ** 2)) * 1e3
    setup = in_vacuum(setup_of(part=weight(mass, height, chord)))
    assert static_curves(setup).moment == pytest.approx(0.0, abs=1e-9 * left * plain.scenario.rotor.speed**2)
    # what is left is constant when the weights stand off the normal line on one side: I_cn, the bias
    assert setup.moments.product == pytest.approx(0.0, abs=1e-18)


def test_signs_of_a_flat_blade(setup_of, weight):
    """Plain: rotation takes pitch off, so the rod pushes to hold high pitch. Weights do the opposite."""
    plain, heavy = in_vacuum(setup_of()), in_vacuum(setup_of(part=weight(2.0, 15.0)))
    for setup, sign in ((plain, -1.0), (heavy, 1.0)):
        curves = static_curves(setup)
        off_zero = np.abs(curves.pitch) > 1e-3
        assert np.all(curves.moment[off_zero] * curves.pitch[off_zero] * sign > 0.0)
        assert np.all(curves.rod_force[off_zero] * curves.pitch[off_zero] * sign < 0.0)
    assert np.all(np.diff(static_curves(plain).servo_angle) > 0.0)  # push raises pitch


def test_a_running_servo_pushes_to_raise_pitch_and_holds_in_push(setup_of):
    run = run_servo(setup_of())
    high, low, _ = run.legs
    assert high.final_pitch > 0.0 > low.final_pitch
    assert high.rod_hold > 0.0 > low.rod_hold
    assert high.motor_hold > 0.0 > low.motor_hold


def test_a_mirrored_programme_runs_in_mirror_image(setup_of):
    """A symmetric build does not know which way is up."""
    one, two = (
        run_servo(straight(setup_of(bench={"programme": [{"go": go, "hold": "0.5 s"}]}, **EVEN)))
        for go in (1.0, -1.0)
    )
    assert two.pitch == pytest.approx(-one.pitch, abs=1e-9)
    assert two.rod_force == pytest.approx(-one.rod_force, abs=1e-6)
    assert two.motor_current == pytest.approx(-one.motor_current, abs=1e-6)
    assert two.supply_current == pytest.approx(one.supply_current, abs=1e-6)
    assert two.legs[0].hold == pytest.approx(one.legs[0].hold, rel=1e-6)


def test_statics_of_a_symmetric_build_are_odd(setup_of):
    curves = static_curves(straight(setup_of(**EVEN)))
    assert curves.moment == pytest.approx(-curves.moment[::-1], abs=1e-9)
    assert curves.rod_force == pytest.approx(-curves.rod_force[::-1], abs=1e-7)
    loop = run_gauge(straight(setup_of(**EVEN)))
    assert loop.push == pytest.approx(loop.pull, rel=2e-3)


def test_a_reversed_linkage_turns_the_rod_force_round_and_nothing_else(setup_of):
    right, wrong = straight(setup_of()), straight(setup_of(linkage={"reversed": True}))
    one, two = run_servo(right), run_servo(wrong)
    assert np.array_equal(two.rod_force, -one.rod_force)
    assert np.array_equal(two.servo_angle, -one.servo_angle)
    assert np.array_equal(two.motor_current, -one.motor_current)
    for same in ("pitch", "supply_current", "command_pitch"):
        assert getattr(two, same) == pytest.approx(getattr(one, same), abs=1e-12)
    assert [leg.arrival for leg in two.legs] == [leg.arrival for leg in one.legs]
    ahead, back = run_gauge(right), run_gauge(wrong)
    assert (back.push, back.pull) == (ahead.pull, ahead.push)
    assert back.width == ahead.width
    assert back.width > 0.0
    assert np.array_equal(static_curves(wrong).moment, static_curves(right).moment)
    assert np.array_equal(static_curves(wrong).rod_force, -static_curves(right).rod_force)
    assert np.array_equal(static_curves(wrong).servo_force, static_curves(right).servo_force)


def test_without_mass_there_is_no_force(setup_of):
    """Everything that pitches a thousandth as heavy: a thousandth of the moment, and the servo moves it for nothing."""
    light = {"part": {"blade": {"mass": "5.6 mg"}, "grip": {"mass": "5.4 mg"}}}
    setup = in_vacuum(setup_of(**light, **FREE))
    heavy = static_curves(in_vacuum(setup_of(**FREE)))
    assert static_curves(setup).moment == pytest.approx(1e-3 * heavy.moment, rel=1e-12, abs=1e-15)
    # what weighs nothing and rubs nowhere rattles in its play: at twice the step its energies add up only by chance
    assert run_gauge(setup, step_share=0.5).push == pytest.approx(1e-3 * heavy.rod_force.max(), abs=0.01)


def test_a_clamped_blade_with_more_swing_freedom_is_another_blade(setup_of):
    """A free blade swings its mass onto the bolt's radius line; that is seen in I_c and nothing of it in I_n."""
    free = setup_of(blade={"swing": "free"})
    clamped = setup_of()
    assert free.lead_lag != 0.0
    assert clamped.lead_lag == 0.0
    assert free.moments.normal == pytest.approx(clamped.moments.normal, rel=1e-9)
    assert free.moments.chordwise != pytest.approx(clamped.moments.chordwise, rel=1e-6)


@few
@given(st.floats(0.5, 3.0))
def test_a_longer_lever_needs_less_force_for_the_same_moment(setup_of, factor):
    """Virtual work: rod force times travel per pitch is the moment of all blades, whatever the arms."""
    setup = setup_of(linkage={"lever_in": f"{12.0 * factor} mm", "servo_arm": "25 mm"})
    curves = static_curves(setup)
    slope = np.array([pitch_rod_travel(pitch, setup.plant.linkage)[1] for pitch in curves.pitch])
    work = curves.rod_force * slope + setup.plant.pitch.blades * curves.moment
    assert work == pytest.approx(0.0, abs=1e-12)
    assert slope == pytest.approx(factor * 12.0 / 14.0 * 13e-3, rel=0.25)
