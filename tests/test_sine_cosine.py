"""Sine and cosine of a march's step, against the library's, and a link's tilt on either side of its series."""

from math import cos, inf, nextafter, pi, sin, sqrt, ulp

import numpy as np
import pytest

from featherbench.linkage.geometry import BARELY, tilt_shortening
from featherbench.sine_cosine import EIGHTH, sine_cosine


def test_within_the_last_digit_up_to_an_eighth_of_a_turn():
    for angle in [*np.linspace(-EIGHTH, EIGHTH, 4001), 0.0, 1e-300, 1e-9, -1e-5]:
        sine, cosine = sine_cosine(angle)
        assert abs(sine - sin(angle)) <= 2.0 * ulp(sin(angle))
        assert abs(cosine - cos(angle)) <= ulp(cos(angle))


def test_odd_and_even_to_the_last_digit():
    for angle in np.linspace(0.0, EIGHTH, 333):
        sine, cosine = sine_cosine(angle)
        assert sine_cosine(-angle) == (-sine, cosine)


@pytest.mark.parametrize("angle", [nextafter(EIGHTH, 1.0), -1.0, 0.5 * pi, 2.5, -7.0, 1e6])
def test_beyond_it_is_the_librarys(angle):
    assert sine_cosine(angle) == (sin(angle), cos(angle))


def test_what_is_no_number_stays_none():
    assert np.isnan(sine_cosine(float("nan"))).all()


@pytest.mark.parametrize("share", [1e-9, 0.1, 0.5, 0.99, 1.01, 3.0])
def test_a_tilt_is_the_same_by_its_series_and_by_its_root(share):
    length, slope = 0.42, 0.013
    for side in (1.0, -1.0):
        offset = side * length * sqrt(share * BARELY)
        shortening, along = tilt_shortening(offset, slope, length)
        span = sqrt(length * length - offset * offset)
        assert shortening == pytest.approx(offset * offset / (length + span), rel=4e-16)
        assert along == pytest.approx(offset * slope / span, rel=4e-16)


def test_a_link_without_end_does_not_tilt():
    assert tilt_shortening(0.01, 0.02, inf) == (0.0, 0.0)
