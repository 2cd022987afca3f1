"""Pitch damping and apparent inertia: sign, range, scaling."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from featherbench.rotor.blade_stations import blade_stations
from featherbench.rotor.unsteady import pitch_rate_terms, strip_damping, strip_inertia


@given(st.floats(-2.0, -0.001))
def test_damping_is_positive_ahead_of_mid_chord(axis):
    assert strip_damping(50.0, 0.013, axis, 1.2) > 0.0


@given(st.floats(0.001, 0.499))
def test_damping_is_negative_between_mid_chord_and_three_quarters(axis):
    assert strip_damping(50.0, 0.013, axis, 1.2) < 0.0


@given(st.floats(0.501, 2.0))
def test_damping_is_positive_behind_three_quarters(axis):
    assert strip_damping(50.0, 0.013, axis, 1.2) > 0.0


@given(st.floats(-1.0, 1.0))
def test_inertia_is_positive_and_least_about_mid_chord(axis):
    assert strip_inertia(0.013, axis, 1.2) >= strip_inertia(0.013, 0.0, 1.2) > 0.0


def test_axis_place_in_chords_becomes_a():
    """An axis 0.38 chord behind the leading edge lies a = -0.24 semi-chords behind mid-chord."""
    blade = blade_stations(0.04, 0.135, [(0.0, 0.027)], axis_at=0.38, annuli=400)
    damping, inertia = pitch_rate_terms(blade, 1.2)
    b, span, first = 0.0135, 0.095, 0.5 * (0.135**2 - 0.04**2)
    assert damping == pytest.approx(2.0 * math.pi * 1.2 * b**3 * 0.24 * 0.74 * first, rel=1e-9)
    assert inertia == pytest.approx(math.pi * 1.2 * b**4 * (0.125 + 0.24**2) * span, rel=1e-9)


def test_a_swung_blade_has_its_axis_further_behind():
    blade = blade_stations(0.04, 0.135, [(0.0, 0.027)], axis_at=0.30)
    straight, _ = pitch_rate_terms(blade, 1.2)
    swung, _ = pitch_rate_terms(blade, 1.2, offset=0.003)
    assert 0.0 < swung < straight
