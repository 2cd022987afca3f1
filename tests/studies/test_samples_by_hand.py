"""What becomes of samples, by hand: an instrument's error, a sign that no sample turns, the deviation of a few."""

from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.sampling.departures import Interval, _shifted
from featherbench.sampling.inputs import Input
from featherbench.sampling.samples import sample_values
from featherbench.sampling.spread import _finding_spread


def test_an_instruments_error_is_put_on_what_it_reads_alone():
    """A gauge known within 0.2 N, halfway out: 0.1 N on what the gauge shows, nothing on the force itself."""
    task = SimpleNamespace(inputs=(Input("gauge.uncertainty", -0.2, 0.2, "force"),))
    values = {"gauge_push": 5.0, "gauge_pull": 4.0, "rod_force_push": 5.0, "meter_peak": 0.4}
    run = SimpleNamespace(findings={name: SimpleNamespace(value=value) for name, value in values.items()})
    assert sample_values(task, (0.5,), run) == pytest.approx(values | {"gauge_push": 5.1, "gauge_pull": 4.1})
    assert sample_values(task, (-1.0,), run)["gauge_push"] == pytest.approx(4.8)
    assert sample_values(task, None, run) == values


def test_a_range_turns_no_sign_that_no_sample_turns():
    """0.1 less 0.3 is below zero: kept at zero where every sample stays above it."""
    assert _shifted(0.1, -0.3, 0.2, np.array([0.02, 0.4])) == pytest.approx((0.0, 0.3))
    assert _shifted(0.1, -0.3, 0.2, np.array([-0.02, 0.4])) == pytest.approx((-0.2, 0.3))
    assert _shifted(-0.1, -0.2, 0.3, np.array([-0.02, -0.4])) == pytest.approx((-0.3, 0.0))


def test_the_deviation_of_a_few_samples_is_over_one_less():
    """1, 2 and 3 g: squares about the mean add up to 2, over two of them 1 g."""
    samples = {index: {"mass": value} for index, value in enumerate((1e-3, 2e-3, 3e-3))}
    places, inputs = np.array([[-1.0], [0.0], [1.0]]), (Input("part.blade.mass", 0.0, 1.0, "mass"),)
    found = _finding_spread("mass", 2e-3, Interval(1e-3, 3e-3), samples, places, inputs, None)
    assert found.standard == pytest.approx(1e-3)
    assert (found.low, found.high, found.share_known) == (1e-3, 3e-3, 1.0)
