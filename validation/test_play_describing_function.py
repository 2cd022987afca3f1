"""Describing function of friction-held play and the limit cycles it foretells.

Rows: python-control 0.10.2 `friction_backlash_nonlinearity` (RAN), after Gelb & Vander Velde, Multiple-Input Describing
Functions, 1968; cycles of K/(s(s+1)) closed through play by arithmetic (D).
"""

import control
import numpy as np
import pytest

from featherbench.hovering.describing import play_cycle, play_gain
from table import check


@pytest.mark.parametrize("ratio", [0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 0.9])
def test_gain_of_play_against_a_control_library(ratio):
    reference = control.friction_backlash_nonlinearity(2.0 * ratio).describing_function(1.0)
    got = play_gain(ratio)
    source = "python-control, friction-type backlash"
    check(
        source,
        "RAN",
        f"real part at h/A = {ratio:g}",
        reference.real,
        got.real,
        1e-5,
        "closed form",
        relative=False,
    )
    check(
        source,
        "RAN",
        f"imaginary part at h/A = {ratio:g}",
        reference.imag,
        got.imag,
        1e-5,
        "closed form",
        relative=False,
    )


@pytest.mark.parametrize(
    ("gain", "amplitude", "rate"),
    [
        (4.0, 1.6666, 1.2223),
        (np.pi**2 / 2, 2.0, np.pi / 2),
        (5.0, 2.0206, 1.5914),
        (6.0, 2.3129, 1.8749),
        (10.0, 3.2416, 2.7161),
    ],
)
def test_cycle_of_a_lag_and_an_integrator_through_play(gain, amplitude, rate):
    found = play_cycle(lambda s: gain / (s * (s + 1.0)), 0.05, 50.0)
    assert found is not None
    source = "limit cycle of K/(s(s+1)) with play, describing function"
    check(
        source,
        "D",
        f"amplitude over half gap at K = {gain:.4g}",
        amplitude,
        found[0],
        2e-4,
        "five printed figures",
    )
    check(source, "D", f"rad/s at K = {gain:.4g}", rate, found[1], 2e-4, "five printed figures")


def test_no_cycle_below_the_threshold():
    assert play_cycle(lambda s: 2.0 / (s * (s + 1.0)), 0.05, 50.0) is None
