"""Air from what a scenario may state of it."""

from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from featherbench.rotor.atmosphere import air_state, density


def test_nothing_stated_is_standard_sea_level():
    rho, nu, sound = density(SimpleNamespace(density=None, altitude=None, temperature=None))
    assert rho == pytest.approx(1.225, rel=1e-5)
    assert nu == pytest.approx(1.4607e-5, rel=1e-4)
    assert sound == pytest.approx(340.294, rel=1e-5)


def test_a_given_density_is_taken_as_it_is():
    assert air_state(1.18, None, None).density == 1.18
    assert air_state(1.18, 1500.0, 300.0).density == 1.18


@given(st.floats(-400.0, 5000.0), st.floats(10.0, 3000.0))
def test_thinner_higher_up(altitude, rise):
    assert air_state(None, altitude + rise, None).density < air_state(None, altitude, None).density


@given(st.floats(250.0, 300.0), st.floats(1.0, 20.0))
def test_warmer_is_thinner_and_more_viscous(temperature, warmer):
    cold, warm = air_state(None, 300.0, temperature), air_state(None, 300.0, temperature + warmer)
    assert warm.density < cold.density
    assert warm.viscosity > cold.viscosity
    assert warm.sound_speed > cold.sound_speed


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((None, 20_000.0, None), "troposphere"),
        ((None, 11_001.0, None), "troposphere"),
        ((None, -5_001.0, None), "troposphere"),
        ((None, None, 0.0), "temperature"),
        ((-1.0, None, None), "density"),
    ],
)
def test_impossible_air_is_refused(arguments, words):
    with pytest.raises(ValueError, match=words):
        air_state(*arguments)


def test_the_ends_of_the_troposphere_are_air_too():
    """ICAO Doc 7488: 216.77 K at 11 km and 320.68 K at -5 km of geometric altitude (MEM)."""
    assert air_state(None, 11_000.0, None).temperature == pytest.approx(216.77, abs=0.01)
    assert air_state(None, -5_000.0, None).temperature == pytest.approx(320.68, abs=0.01)
