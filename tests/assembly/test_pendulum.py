"""Swing measurements: each method gives back the inertia of a known body, and contradictions are refused."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from featherbench.assembly.pendulum import (
    GRAVITY,
    Reading,
    central_moments,
    pendulum_inertia,
    suspended_inertia,
    suspended_uncertainty,
    torsion_inertia,
    torsion_stiffness,
)
from featherbench.assembly.refusal import PartRefused

second = st.floats(1e-9, 1e-4)


def swung_period(acceleration, start):
    """Period of an oscillator x'' = acceleration(x), released at `start`: four times its way to zero."""

    def through_zero(_, y):
        return y[0]

    through_zero.terminal = True
    run = solve_ivp(
        lambda _, y: [y[1], acceleration(y[0])],
        (0.0, 60.0),
        [start, 0.0],
        events=through_zero,
        rtol=1e-10,
        atol=1e-14,
    )
    return 4.0 * float(run.t_events[0][0])


def test_bifilar_formula_against_the_geometry_of_two_cords():
    """Two cords of length L, D apart, twisted by a: the body rises by L - sqrt(L^2 - D^2 sin^2(a/2))."""
    mass, inertia, cord, spacing = 0.02, 1.5e-5, 0.6, 0.08

    def acceleration(twist):
        half = math.sin(twist / 2.0)
        rise_slope = (
            spacing**2 * half * math.cos(twist / 2.0) / (2.0 * math.sqrt(cord**2 - spacing**2 * half**2))
        )
        return -mass * GRAVITY * rise_slope / inertia

    period = swung_period(acceleration, 0.02)
    assert suspended_inertia(mass, period, cord, spacing) == pytest.approx(inertia, rel=1e-4)


def test_compound_formula_against_a_swung_bar():
    mass, distance, own = 0.05, 0.12, 0.05 * 0.3**2 / 12.0
    about_pivot = own + mass * distance**2
    period = swung_period(lambda x: -mass * GRAVITY * distance * math.sin(x) / about_pivot, 0.01)
    assert pendulum_inertia(mass, period, distance) == pytest.approx(own, rel=1e-3)


def test_torsion_stiffness_and_inertia_undo_each_other():
    stiffness, body, cradle = 0.4, 0.02, 0.003
    loaded, empty = (2.0 * math.pi * math.sqrt(i / stiffness) for i in (body + cradle, cradle))
    assert torsion_stiffness(body, loaded, empty) == pytest.approx(stiffness)
    assert torsion_inertia(empty, stiffness) == pytest.approx(cradle)


def test_uncertainty_against_drawing_the_inputs():
    share = {"mass": 0.004, "period": 0.008, "cord_length": 0.002, "spacing": 0.005}
    nominal = {"mass": 0.02, "period": 1.1, "cord_length": 0.6, "spacing": 0.08}
    draw = np.random.default_rng(5)
    drawn = {
        name: value * (1.0 + share[name] * draw.standard_normal(40000)) for name, value in nominal.items()
    }
    spread = np.std(suspended_inertia(**drawn))
    assert suspended_uncertainty(suspended_inertia(**nominal), **share) == pytest.approx(spread, rel=0.03)


def readings_of(rr, cc, nn, about=("radius", "chord", "normal")):
    inertia = {"radius": cc + nn, "chord": rr + nn, "normal": rr + cc}
    return tuple(Reading(axis, inertia[axis]) for axis in about)


@given(second, second, second)
@settings(max_examples=30)
def test_three_swings_give_the_body_back(rr, cc, nn):
    got = central_moments(readings_of(rr, cc, nn), None)
    np.testing.assert_allclose(np.diag(got.second), [rr, cc, nn], atol=1e-15 + 1e-12 * (rr + cc + nn))


@given(second, second, second, st.sampled_from([("radius",), ("radius", "chord"), ("normal", "radius")]))
@settings(max_examples=20)
def test_fewer_swings_and_a_share_give_what_they_can(rr, cc, nn, about):
    got = central_moments(readings_of(rr, cc, nn, about), nn / (cc + nn))
    expected = [rr if len(about) > 1 else 0.0, cc, nn]
    np.testing.assert_allclose(np.diag(got.second), expected, rtol=1e-6, atol=1e-12 * (rr + cc + nn))
    assert len(got.assumed) == (1 if len(about) > 1 else 2)


@pytest.mark.parametrize(
    ("readings", "share", "says"),
    [
        ((Reading("chord", 1e-6),), 0.1, "about radius"),
        ((Reading("radius", 1e-6),), None, "normal_share"),
        ((Reading("radius", 1e-6), Reading("radius", 1e-6)), 0.1, "two swings"),
        ((Reading("radius", -1e-6),), 0.1, "above 0"),
        # a plate cannot be harder to turn about its length than about its normal and chord together
        (
            (Reading("radius", 5e-6), Reading("chord", 1e-6), Reading("normal", 2e-6)),
            None,
            "below 0|no second moment",
        ),
        ((Reading("radius", 1e-6), Reading("chord", 5e-6), Reading("normal", 7e-6)), None, "sum m n"),
    ],
)
def test_swings_that_cannot_be_are_refused_with_their_numbers(readings, share, says):
    with pytest.raises(PartRefused, match=says):
        central_moments(readings, share)
