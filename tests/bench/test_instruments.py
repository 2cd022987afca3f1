"""What gauge and meter show of a known course."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from featherbench.bench.instruments import gauge_display, meter_display, moving_mean, rounded
from featherbench.scenario.bench_tables import Gauge, Meter

STEP = 1e-3


def pulse(start, length=0.06, base=0.3, peak=3.0, seconds=4.0):
    """Rows of interval means of a rectangular pulse of current: (time, current)."""
    time = STEP * np.arange(1, round(seconds / STEP) + 1)
    inside = np.clip((np.minimum(time, start + length) - np.maximum(time - STEP, start)) / STEP, 0.0, 1.0)
    return time, base + (peak - base) * inside


def meter(rate, **changes):
    return Meter.model_construct(
        **{"resolution": 0.0, "window": 1.0 / rate, "rate": rate, "zero_idle": False, **changes}
    )


@pytest.mark.parametrize(
    ("rate", "inside", "split"),
    [
        (2.0, 0.624, 0.462),
        (2.5, 0.705, 0.502),
        (3.0, 0.786, 0.543),
        (4.0, 0.948, 0.624),
        (10.0, 1.920, 1.110),
    ],
)
def test_a_slow_meter_under_reads_a_short_peak(rate, inside, split):
    """3.0 A for 60 ms on 0.3 A, mean over the refresh interval: base + (peak - base) w / T, at worst w/2."""
    tick = np.ceil(2.0 * rate) / rate
    time, current = pulse(tick - 0.5 / rate - 0.03)
    assert meter_display(time, current, meter(rate), 0.0).value.max() == pytest.approx(inside, abs=5e-4)
    time, current = pulse(tick - 0.03)
    assert meter_display(time, current, meter(rate), 0.0).value.max() == pytest.approx(split, abs=5.1e-4)


def test_a_start_transient_all_but_vanishes():
    """The 15 mm motor of the motor sheet at 6 V: a 1.176 A start decaying in 8.2 ms is read 0.042 A at 3 Hz, less idle.

    Boxcar over 1/3 s of I0 + (I_stall - I0) exp(-t/tau): the mean is I0 + (I_stall - I0) tau/T, by arithmetic.
    """
    time = 1e-4 * np.arange(1, 20_001)
    start = 1.0
    course = np.where(time > start, 0.013 + (1.176 - 0.013) * np.exp(-(time - start - 5e-5) / 8.2e-3), 0.0)
    shown = meter_display(time, course, meter(3.0), 0.0)
    expected = 0.013 + (1.176 - 0.013) * 8.2e-3 * 3.0
    assert shown.value.max() == pytest.approx(expected, rel=1e-3)
    assert shown.value.max() < 0.05


@given(st.floats(-50.0, 50.0), st.sampled_from([0.01, 0.05, 0.1, 1.0]))
def test_rounding_is_to_the_nearest_step(value, step):
    shown = float(rounded(np.array([value]), step)[0])
    assert abs(shown - value) <= 0.5 * step * (1.0 + 1e-9)
    assert shown / step == pytest.approx(round(shown / step), abs=1e-6)
    assert float(rounded(np.array([value]), 0.0)[0]) == value


def test_a_zeroed_meter_takes_idle_off_and_no_more():
    time, current = pulse(1.0)
    plain = meter_display(time, current, meter(3.0), 0.3)
    zeroed = meter_display(time, current, meter(3.0, zero_idle=True), 0.3)
    assert zeroed.value == pytest.approx(plain.value - 0.3)
    assert zeroed.value.min() == pytest.approx(0.0, abs=1e-12)


def test_a_peak_between_two_samples_of_the_gauge_is_missed():
    time = STEP * np.arange(1, 3001)
    force = np.where(np.abs(time - 1.25) < 0.02, 9.0, 2.0)  # 40 ms in the middle of a 100 ms interval
    slow = Gauge.model_construct(resolution=0.05, rate=10.0)
    fast = Gauge.model_construct(resolution=0.05, rate=1000.0)
    assert gauge_display(time, force, slow).value.max() == pytest.approx(2.0)
    assert gauge_display(time, force, fast).value.max() == pytest.approx(9.0)


@given(st.floats(6.0, 50.0), st.floats(0.2, 3.0))
def test_readings_come_at_the_refresh_rate_and_inside_the_record(rate, seconds):
    time = STEP * np.arange(1, round(seconds / STEP) + 1)
    shown = meter_display(time, np.ones_like(time), meter(rate), 0.0)
    assert np.allclose(np.diff(shown.time), 1.0 / rate)
    assert time[-1] - 1.0 / rate < shown.time[-1] <= time[-1] + 1e-9
    assert shown.time[0] <= max(1.0 / rate, STEP) + 1e-9
    # a steady current is shown as it is, whatever window and rate
    assert shown.value == pytest.approx(1.0)


def test_a_record_shorter_than_a_refresh_has_no_reading():
    time = STEP * np.arange(1, 200)
    assert len(meter_display(time, np.ones_like(time), meter(3.0), 0.0).value) == 0


@given(st.floats(2e-3, 0.4), st.integers(0, 10_000))
def test_moving_mean_is_the_integral_over_its_window(window, seed):
    values = np.random.default_rng(seed).normal(size=600)
    time = STEP * np.arange(1, 601)
    mean = moving_mean(time, values, window)
    last = 500
    fine = np.repeat(values, 50)  # each row is a mean over its interval
    count = round(window / STEP * 50)
    assert mean[last] == pytest.approx(fine[(last + 1) * 50 - count : (last + 1) * 50].mean(), abs=2e-2)
    assert mean.min() >= values.min() - 1e-9
    assert mean.max() <= values.max() + 1e-9
