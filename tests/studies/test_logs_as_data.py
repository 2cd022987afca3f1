"""How much a log is worth: noise, what hangs together, the instrument's zero; what is said of it in a match."""

from dataclasses import replace

import numpy as np
import pytest

from featherbench.bench.instruments import moving_mean
from featherbench.bench.logs import Log
from featherbench.bench.readings import BenchData, Reading
from featherbench.fitting.data import (
    LEAST_NOISE,
    _noise,
    channel_residuals,
    channels,
    reading_uncertainty,
    reweighted,
    spot_residuals,
    unstated,
)
from featherbench.fitting.fit import WEAK, fit
from featherbench.fitting.match import match
from featherbench.fitting.model import as_logged, bench_model, lag_of
from featherbench.fitting.unknowns import Unknown

RIG = {
    "bench": {"programme": [{"go": 1.0, "hold": "2 s"}, {"go": -1.0, "hold": "2 s"}]},
    "meter": {"uncertainty": "0.02 A"},
    "gauge": {"uncertainty": "0.2 N", "resolution": "0.06 N"},
    "servo": {"idle_current": "20 +/- 6 mA"},
}
NOISE = 0.03
"""A, standard deviation of the made-up noise."""


@pytest.fixture(scope="module")
def rig(scenario_of):
    return scenario_of(**RIG)


@pytest.fixture(scope="module")
def own(rig):
    """The model's own course of current, as a logger of 4 ms would write it, begun 0.2 s after the first command."""
    data = BenchData({"meter_hold": Reading("meter_hold", "current", 0.4, None, 0.0, 1, None)}, (), {}, ())
    model, _ = bench_model(rig, data, smooth=True)
    run = model.at((), ()).servo
    time = np.arange(0.2, run.time[-1] - 0.01, 4e-3)
    return time - time[0], np.interp(time, run.time, moving_mean(run.time, run.supply_current, 4e-3))


def logged(rig, own, error):
    """A log with an error put on, and the model that it is held against."""
    time, course = own
    log = Log("own", "", "servo", time, {"supply_current": course + error}, (), ())
    model, _ = bench_model(rig, BenchData({}, (log,), {}, ()), smooth=True)
    return log, model, model.at((), ())


def hanging_together(count, share, seed=4):
    """Noise of standard deviation 1 of which each sample keeps a share of the last."""
    white = np.random.default_rng(seed).normal(size=count)
    out = np.zeros(count)
    for row in range(count):
        out[row] = (share * out[row - 1] if row else 0.0) + np.sqrt(1.0 - share**2) * white[row]
    return out


def test_noise_is_read_from_the_logs_own_jitter(rig, own):
    white = NOISE * np.random.default_rng(1).normal(size=len(own[0]))
    _, model, there = logged(rig, own, white)
    (channel,) = channels(model, there)
    assert channel.noise == pytest.approx(NOISE, rel=0.15)
    assert channel.offset == pytest.approx(0.01)  # of 0.02 A at 95 %
    assert channel.autocorrelation_time == 1.0
    left = channel_residuals(model, there, channel)
    assert left[:-2].std() == pytest.approx(1.0, rel=0.15)
    assert len(left) == channel.kept.sum() + 2


def test_a_log_that_never_changes_is_as_quiet_as_a_log_may_be(rig):
    """No step tells its display's rounding, no bend its jitter: what is left is the least of any log."""
    for count in (2, 100):
        still = Log(
            "own", "", "servo", 4e-3 * np.arange(count), {"supply_current": np.full(count, 0.4)}, (), ()
        )
        assert _noise(still, "supply_current", rig) == LEAST_NOISE["supply_current"]


def test_residuals_that_hang_together_count_for_fewer(rig, own):
    """Samples that keep 0.9 of the last: (1 + 0.9) / (1 - 0.9) = 19 of them are worth one; white ones count each."""
    count = len(own[0])
    _, model, there = logged(rig, own, NOISE * hanging_together(count, 0.9))
    (before,) = channels(model, there)
    after = reweighted(model, there, before)
    assert 9.0 < after.autocorrelation_time < 30.0
    assert before.noise < 0.5 * NOISE  # jitter alone does not show it
    assert after.noise == pytest.approx(NOISE, rel=0.25)
    # so the same residuals count for as much less
    ratio = (
        channel_residuals(model, there, before)[:-2].std() / channel_residuals(model, there, after)[:-2].std()
    )
    assert ratio == pytest.approx(after.noise / before.noise * np.sqrt(after.autocorrelation_time), rel=0.3)
    _, model, there = logged(rig, own, NOISE * hanging_together(count, 0.0))
    (white,) = channels(model, there)
    assert reweighted(model, there, white).autocorrelation_time < 1.5


def test_what_the_model_lacks_widens_the_noise(rig, own):
    """A course that departs by a slow wave of 0.05 A, which neither zero nor drift of the meter takes out."""
    time, _ = own
    _, model, there = logged(rig, own, 0.05 * np.sin(2.0 * np.pi * 2.0 * time))
    (channel,) = channels(model, there)
    assert reweighted(model, there, channel).noise == pytest.approx(0.05 / np.sqrt(2.0), rel=0.15)


def test_a_drift_within_the_instrument_is_taken_out(rig, own):
    time, _ = own
    _, model, there = logged(rig, own, 0.01 * (2.0 * time / time[-1] - 1.0))
    (channel,) = channels(model, there)
    *rest, zero, drift = channel_residuals(model, there, channel)
    assert drift == pytest.approx(
        -1.0, abs=0.05
    )  # one standard uncertainty, the model below the log at its end
    assert zero == pytest.approx(0.0, abs=0.05)
    assert np.abs(rest).mean() < 0.5


def test_every_fourth_half_second_is_kept_aside(rig, own):
    time, _ = own
    _, model, there = logged(rig, own, 0.0)
    (whole,), (split,) = channels(model, there), channels(model, there, keep_aside=True)
    assert not whole.aside.any()
    usable = whole.kept
    assert np.array_equal(split.kept | split.aside, usable)
    assert not (split.kept & split.aside).any()
    assert np.array_equal(split.aside, usable & (np.floor(time / 0.5) % 4 == 3))
    assert split.aside.mean() == pytest.approx(0.25, abs=0.05)


def test_a_log_that_reads_high_shows_a_negative_error(rig, own):
    """0.025 A put on every sample: simulated less measured is -0.025 A, without scatter, at the lag it has."""
    log, model, _ = logged(rig, own, 0.025)
    found = match(rig, BenchData({}, (log,), {}, ()), runs=12)
    (series,) = found.series
    assert series.bias == pytest.approx(-0.025, abs=1.5e-3)
    assert series.scatter < 3e-3
    assert series.lag == pytest.approx(0.2, abs=1e-3)
    # 95 % of an idle current of 20 +/- 6 mA lie within 5.7 mA: the edges are the courses of 14.3 and 25.7 mA
    good = np.isfinite(series.low)
    less, more = (
        as_logged(model, model.at(("servo.idle_current",), (idle,)), 0, "supply_current")
        for idle in (14.3e-3, 25.7e-3)
    )
    assert np.median((series.high - series.low)[good]) == pytest.approx(
        np.median((more - less)[good]), rel=0.05
    )
    assert np.median(more - less) > 6e-3
    assert np.all(series.low[good] <= series.simulated[good] + 1e-9)
    # what both sides allow: 20 mA of the meter and some 4 of the band: not 25, but 22
    assert series.inside < 0.1
    near = match(rig, BenchData({}, (logged(rig, own, 0.022)[0],), {}, ()), runs=12).series[0]
    assert near.inside > 0.9
    largest = found.quantities[0]
    assert largest.name == "supply_current_largest (log 1)"
    assert largest.measured == pytest.approx(log.columns["supply_current"].max(), abs=0.02)
    assert largest.simulated - largest.measured == pytest.approx(-0.025, abs=2e-3)


def test_a_log_begun_earlier_is_moved_the_other_way(rig, own):
    time, course = own
    late = time >= 0.3
    log = Log("own", "", "servo", time[late] - time[late][0], {"supply_current": course[late]}, (), ())
    model, _ = bench_model(rig, BenchData({}, (log,), {}, ()), smooth=True)
    there = model.at((), ())
    assert lag_of(log, there) == pytest.approx(0.5, abs=1.5e-3)
    assert np.nanmax(np.abs(as_logged(model, there, 0, "supply_current") - course[late])) < 0.1


def test_a_reading_counts_in_its_own_uncertainty_by_hand(rig):
    """0.2 N at 95 % is 0.1 N, 0.06 N of display 0.0173 N: sqrt(0.1^2 + 0.0173^2) = 0.1015 N."""
    data = BenchData({"gauge_push": Reading("gauge_push", "force", 5.0, None, 0.0, 1, None)}, (), {}, ())
    model, _ = bench_model(rig, data, smooth=False)
    assert reading_uncertainty(data.readings["gauge_push"], rig) == pytest.approx(0.10149, rel=1e-3)
    there = model.at((), ())
    (one,) = spot_residuals(model, there, ("gauge_push",))
    assert one == pytest.approx((there.spots["gauge_push"] - 5.0) / 0.10149, rel=1e-3)
    lost = replace(there, spots={**there.spots, "gauge_push": None})
    assert spot_residuals(model, lost, ("gauge_push",)) == pytest.approx([10.0])


def test_an_unstated_uncertainty_is_three_per_cent_and_said(rig):
    data = BenchData(
        {
            "arrival_high": Reading("arrival_high", "time", 0.2, None, 0.0, 1, None),
            "gauge_push": Reading("gauge_push", "force", 5.0, None, 0.0, 1, None),
        },
        (),
        {},
        (),
    )
    assert reading_uncertainty(data.readings["arrival_high"], rig) == pytest.approx(0.006)
    (said,) = unstated(data, rig)
    assert "arrival_high: 3 % is taken" in said
    assert "gauge_push" not in said


@pytest.mark.parametrize(("left", "found"), [(0.30, True), (0.47, True), (0.53, False), (0.9, False)])
def test_an_unknown_is_found_where_data_leave_less_than_half_of_what_was_open(left, found):
    """Data of slope s leave 1 / sqrt(1 + s^2) of the prior's width: a half at s^2 = 3."""
    assert WEAK == 3.0
    slope = np.sqrt(1.0 / left**2 - 1.0)
    done = fit(lambda x: slope * (x - 0.2), (Unknown("a", "ratio", 0.0, 1.0, -50.0, 50.0, ""),))
    assert done.deviations[0] == pytest.approx(left, rel=1e-4)
    assert done.identified == (found,)
    assert done.confounded == (() if found else (("a",),))


def test_a_log_whose_zero_is_the_idle_current_is_compared_without_it(rig, own, scenario_of):
    """A meter zeroed with the servo idle reads 20 mA less all along."""
    zeroed = scenario_of(**RIG, log={"zero_idle": True})
    _, model, there = logged(rig, own, 0.0)
    other = replace(model, scenario=zeroed)
    one, two = (as_logged(each, there, 0, "supply_current") for each in (model, other))
    assert np.nanmax(np.abs(one - two - 0.020)) < 1e-12
