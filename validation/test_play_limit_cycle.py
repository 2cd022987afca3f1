"""Friction-dominated play: its describing function, and the limit cycle it makes in a loop.

Describing function: python-control (general control library) 0.10.2, `friction_backlash_nonlinearity`, after Gelb &
Vander Velde, *Multiple-Input Describing Functions* (1968), entry 48 (F for the formula, RAN for the rows).
Limit cycle: x'' + x' = -K play(x), half gap h: the yaw loop in lumped form (first-order servo, play in the linkage,
pure yaw inertia, rate feedback). Amplitude and frequency by a midpoint-rule simulation with an exact play operator (D,
given to 0.1 %), and by harmonic balance (D), which is 3 % off in amplitude.
"""

import control
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numba import njit

from featherbench.plant.contact import contact, contact_force
from featherbench.plant.friction import after_friction
from kinematic_play import follow
from source import About
from table import check

ABOUT = About(
    kind="closed form",
    title="play with friction: describing function and limit cycle",
    mapping="the library's play is the whole gap b = 2 h",
    left_out="the smallest gain that keeps a cycle going: harmonic balance is 12 % off there and decay is very slow",
)
LOOP = "x'' + x' = -K play(x)"
CYCLES = {  # K: (A/h and omega simulated, A/h and omega by harmonic balance)
    4.0: (1.63532, 1.21515, 1.6666, 1.2223),
    np.pi**2 / 2: (1.94025, 1.55284, 2.0000, 1.5708),
    5.0: (1.959706, 1.573232, 2.0206, 1.5914),
    6.0: (2.23897, 1.85571, 2.3129, 1.8749),
    10.0: (3.14645, 2.69906, 3.2416, 2.7161),
}


@njit
def _first_harmonic(half_play, count, cycles):
    """First harmonic (in phase, in quadrature) of the follower under sin(angle), once settled."""
    follower, real, quadrature = 0.0, 0.0, 0.0
    for tick in range(count * cycles):
        angle = 2.0 * np.pi * (tick + 0.5) / count
        follower = follow(np.sin(angle), follower, half_play)
        if tick >= count * (cycles - 1):
            real += follower * np.sin(angle) * 2.0 / count
            quadrature += follower * np.cos(angle) * 2.0 / count
    return real, quadrature


@njit
def _read(places, step):
    """(amplitude, frequency) of the second half of a course, from turning points and upward crossings of its mean."""
    half = places[places.shape[0] // 2 :]
    middle = 0.5 * (half.max() + half.min())
    first, last, count = 0.0, 0.0, 0
    for tick in range(1, half.shape[0]):
        before, after = half[tick - 1] - middle, half[tick] - middle
        if before < 0.0 <= after:
            last = (tick - after / (after - before)) * step
            if count == 0:
                first = last
            count += 1
    if count < 2:
        return 0.5 * (half.max() - half.min()), 0.0
    return 0.5 * (half.max() - half.min()), 2.0 * np.pi * (count - 1) / (last - first)


@njit
def _loop_with_follower(gain, half_play, step, steps, start):
    """The loop with the kinematic play; midpoint rule."""
    place, speed, follower = start, 0.0, start - half_play
    places = np.zeros(steps)
    for tick in range(steps):
        middle = place + 0.5 * step * speed
        follower = follow(middle, follower, half_play)
        speed = (speed * (1.0 - 0.5 * step) - step * gain * follower) / (1.0 + 0.5 * step)
        place = middle + 0.5 * step * speed
        places[tick] = place
    return _read(places, step)


@njit
def _loop_with_body(gain, law, mass, friction, step, steps, start):
    """The loop with a light body, held by Coulomb friction, that the contact law pushes to and fro across its play."""
    place, speed = start, 0.0
    body, body_speed = start - law.half_play, 0.0
    places = np.zeros(steps)
    for tick in range(steps):
        middle = place + 0.5 * step * speed
        push = contact_force(middle - body, speed - body_speed, law)[0]
        free = body_speed + step * push / mass
        body_speed = after_friction(free, body_speed, friction * step / mass, 1.0)
        body += step * body_speed
        speed = (speed * (1.0 - 0.5 * step) - step * gain * body) / (1.0 + 0.5 * step)
        place = middle + 0.5 * step * speed
        places[tick] = place
    return _read(places, step)


@pytest.mark.parametrize(
    ("share", "real", "quadrature"),
    [
        (0.05, 0.981307, -0.060479),
        (0.1, 0.947956, -0.114592),
        (0.2, 0.857622, -0.203718),
        (0.3, 0.747684, -0.267380),
        (0.5, 0.500000, -0.318310),
        (0.7, 0.252316, -0.267380),
        (0.9, 0.052044, -0.114592),
    ],
)
def test_first_harmonic_of_play(share, real, quadrature):
    got = _first_harmonic(share, 20_000, 3)
    # the reference model: nothing of the program in it, so no row
    assert got == pytest.approx((real, quadrature), abs=1e-3)
    live = control.friction_backlash_nonlinearity(2.0 * share).describing_function(1.0)
    assert complex(*got) == pytest.approx(live, abs=1e-3)


def test_harmonic_at_twice_the_half_gap_is_known_exactly():
    """A = 2 h: N = 1/2 - j/pi."""
    got = _first_harmonic(0.5, 20_000, 3)
    assert got == pytest.approx((0.5, -1.0 / np.pi), abs=1e-6)


@pytest.mark.parametrize("gain", CYCLES)
def test_limit_cycle_of_the_kinematic_play(gain):
    amplitude, frequency, balanced, balanced_frequency = CYCLES[gain]
    got = _loop_with_follower(gain, 1.0, 1e-3, 400_000, 3.0)
    # the reference model, at the stated accuracy; harmonic balance leaves out the third harmonic
    assert got == pytest.approx((amplitude, frequency), rel=1e-3)
    assert got == pytest.approx((balanced, balanced_frequency), rel=0.05)


@pytest.mark.parametrize("gain", CYCLES)
def test_limit_cycle_of_contact_and_friction(gain):
    """The stepper's own laws: the body stops where friction holds it, friction / stiffness (1e-4 h) past the edge."""
    mass, friction = 1e-8, 1e-4
    law = contact(1.0, 2.0, 0.1, mass, 1e-9)
    got = _loop_with_body(gain, law, mass, friction, 3e-5, 5_000_000, 1.1 * CYCLES[gain][0])
    case = f"K = {gain:.4g}, contact and friction laws"
    why = "stated accuracy of the simulation"
    check(LOOP, "D", f"A/h, {case}", CYCLES[gain][0], got[0], 1e-3, why)
    check(LOOP, "D", f"omega, rad/s, {case}", CYCLES[gain][1], got[1], 1e-3, why)


@pytest.mark.parametrize("half_play", [0.1, 0.01])
def test_the_cycle_scales_with_the_gap_and_keeps_its_pace(half_play):
    """Exact: everything in the loop is homogeneous of degree one."""
    one = _loop_with_follower(5.0, 1.0, 1e-3, 400_000, 3.0)
    other = _loop_with_follower(5.0, half_play, 1e-3, 400_000, 3.0 * half_play)
    assert other[0] == pytest.approx(half_play * one[0], rel=1e-6)
    assert other[1] == pytest.approx(one[1], rel=1e-6)


def test_every_start_outside_ends_on_the_same_cycle():
    inner = _loop_with_follower(5.0, 1.0, 1e-3, 400_000, 1.3)
    outer = _loop_with_follower(5.0, 1.0, 1e-3, 400_000, 6.0)
    assert inner == pytest.approx(outer, rel=1e-4)
    # and without play there is none: the loop is damped for any gain
    assert _loop_with_follower(5.0, 0.0, 1e-3, 400_000, 3.0)[0] < 1e-6


@given(st.lists(st.floats(-5.0, 5.0), min_size=1, max_size=30), st.floats(0.0, 2.0), st.floats(-1.0, 1.0))
def test_a_follower_stays_within_the_gap_and_moves_no_more_than_it_must(course, half, start):
    follower = start
    for lead in course:
        moved = follow(lead, follower, half)
        assert abs(moved - lead) <= half + 1e-12
        # it rests when it may
        if abs(follower - lead) <= half:
            assert moved == pytest.approx(follower, abs=1e-12)
        assert follow(lead, moved, half) == moved
        assert follow(-lead, -follower, half) == -moved
        follower = moved


@given(st.floats(-3.0, 3.0), st.floats(-3.0, 3.0))
def test_a_follower_without_play_is_its_leader(lead, follower):
    assert follow(lead, follower, 0.0) == lead
