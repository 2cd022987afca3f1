"""Moments add, move and turn as rigid-body mechanics says, whatever the body."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from featherbench.assembly.mass_moments import MassMoments
from featherbench.assembly.place import feathering_turn, placed, reflection, swung

coordinate = st.floats(-0.2, 0.2)
place = st.tuples(coordinate, coordinate, coordinate)
cloud = st.lists(st.tuples(st.floats(1e-4, 1e-2), place), min_size=1, max_size=6)
angle = st.floats(-math.pi, math.pi)


def of_points(points):
    total = MassMoments.zero()
    for mass, at in points:
        total = total + MassMoments.of_body(mass, np.array(at), np.zeros((3, 3)))
    return total


def same(one, other, scale=1e-2):
    assert one.mass == pytest.approx(other.mass)
    np.testing.assert_allclose(one.first, other.first, atol=1e-13 * scale, rtol=1e-9)
    np.testing.assert_allclose(one.second, other.second, atol=1e-12 * scale, rtol=1e-9)


@given(cloud)
@settings(max_examples=30)
def test_the_sum_is_the_sum_over_the_points(points):
    total = of_points(points)
    mass = np.array([m for m, _ in points])
    at = np.array([p for _, p in points])
    assert total.chordwise == pytest.approx(np.sum(mass * at[:, 1] ** 2), abs=1e-15)
    assert total.product == pytest.approx(np.sum(mass * at[:, 1] * at[:, 2]), abs=1e-15)
    assert total.radial_normal == pytest.approx(np.sum(mass * at[:, 0] * at[:, 2]), abs=1e-15)
    assert total.feathering == pytest.approx(np.sum(mass * (at[:, 1] ** 2 + at[:, 2] ** 2)), abs=1e-15)


@given(cloud, place)
@settings(max_examples=30)
def test_parallel_axis_theorem(points, shift):
    body = of_points(points)
    moved = body.moved(np.eye(3), np.array(shift))
    about_centre = body.moved(np.eye(3), -body.centre).second
    expected = about_centre + body.mass * np.outer(moved.centre, moved.centre)
    np.testing.assert_allclose(moved.second, expected, atol=1e-14)


@given(cloud, angle)
@settings(max_examples=30)
def test_turning_about_the_feathering_axis_keeps_what_it_must(points, turn):
    body = of_points(points)
    turned = body.moved(feathering_turn(turn), np.zeros(3))
    assert turned.feathering == pytest.approx(body.feathering, rel=1e-9, abs=1e-15)
    assert turned.radial == pytest.approx(body.radial, rel=1e-9, abs=1e-15)
    assert np.trace(turned.second) == pytest.approx(np.trace(body.second))
    same(turned.moved(feathering_turn(-turn), np.zeros(3)), body)


@given(cloud, st.sampled_from(["normal", "chord"]))
@settings(max_examples=20)
def test_a_mirrored_pair_has_no_product(points, mirror):
    pair = placed(of_points(points), np.zeros(3), mirror, 0.0)
    assert pair.product == pytest.approx(0.0, abs=1e-18)
    assert pair.mass == pytest.approx(2.0 * of_points(points).mass)


def test_turn_lies_where_pitch_would_put_it():
    """A point on the chord normal turned a quarter lies toward the trailing edge, as pitch would put it."""
    weight = MassMoments.of_body(1.0, np.array([0.0, 0.0, 1.0]), np.zeros((3, 3)))
    np.testing.assert_allclose(placed(weight, np.zeros(3), None, math.pi / 2).centre, [0, -1, 0], atol=1e-15)
    nose = MassMoments.of_body(1.0, np.array([0.0, 1.0, 0.0]), np.zeros((3, 3)))
    assert placed(nose, np.zeros(3), None, 0.1).centre[2] == pytest.approx(math.sin(0.1))


@given(cloud, st.floats(-1.0, 1.0), st.tuples(coordinate, coordinate))
@settings(max_examples=20)
def test_swinging_leaves_the_bolt_and_the_normal_alone(points, lead_lag, pin):
    body = of_points(points)
    after = swung(body, pin, lead_lag)
    assert after.normal == pytest.approx(body.normal)
    to_bolt = np.array([-pin[0], -pin[1], 0.0])
    before_about = body.moved(np.eye(3), to_bolt).second
    after_about = after.moved(np.eye(3), to_bolt).second
    assert after_about[0, 0] + after_about[1, 1] == pytest.approx(
        before_about[0, 0] + before_about[1, 1], abs=1e-14
    )
    same(swung(after, pin, -lead_lag), body)


def test_swing_is_positive_toward_the_leading_edge():
    tip = MassMoments.of_body(1.0, np.array([0.1, 0.0, 0.0]), np.zeros((3, 3)))
    assert swung(tip, (0.04, 0.0), 0.1).centre[1] > 0.0


def test_reflection_is_its_own_inverse():
    np.testing.assert_allclose(reflection("chord") @ reflection("chord"), np.eye(3))
