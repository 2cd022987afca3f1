"""One finding has one interval, whichever study says it: of the same samples, by the same rule."""

from pathlib import Path

import numpy as np
import pytest

from featherbench.bench.readings import BenchData, Reading
from featherbench.bench.setup import build_setup
from featherbench.fitting.match import match
from featherbench.sampling.inputs import INSTRUMENTS, spread_inputs, varied
from featherbench.sampling.interval import FEW, interval
from featherbench.sampling.sampled import sampled
from featherbench.sampling.samples import run_sample, shortened_task, values_at
from featherbench.sampling.spread import sample_places, spread
from featherbench.scenario import read
from featherbench.scenario.doubt import TAKEN_OUT, Doubt
from featherbench.studies import predict
from featherbench.studies.prediction import bench_run

ROOT = Path(__file__).parents[2] / "scenarios" / "survey-3kg"
RUNS, SEED = 16, 3
READ = ("rod_force_breakout", "rod_force_loop", "current_hold_high", "current_peak_low", "current_raw_peak")
"""Findings that a bench reads and that no instrument's own error is put on."""


@pytest.fixture(scope="module")
def plain():
    return read(ROOT / "plain.toml")


@pytest.fixture(scope="module")
def run(plain):
    return predict(plain)


@pytest.fixture(scope="module")
def found(plain):
    return spread(plain, runs=RUNS, seed=SEED)


def test_spread_and_prediction_say_the_same(run, found):
    beside = sampled([run], RUNS, seed=SEED).builds[0]
    assert len(beside.intervals) > 30
    for name, own in beside.intervals.items():
        one = found.findings.get(name)
        if one is not None:
            assert (one.low, one.high) == pytest.approx(tuple(own), rel=1e-9, abs=1e-15), name
    assert beside.outcomes["release"] == found.findings["release"].outcomes


def test_spread_and_match_say_the_same(plain, found):
    kinds = {name: "force" if name.startswith("rod") else "current" for name in READ}
    readings = {
        name: Reading(name, kinds[name], float(found.findings[name].value), None, 0.0, 1, None)
        for name in READ
    }
    data = BenchData(
        {**readings, "release": Reading("release", "text", "stays", None, 0.0, 1, None)}, (), {}, ()
    )
    for one in match(plain, data, runs=RUNS, seed=SEED).quantities:
        own = found.findings[one.name]
        if one.name == "release":
            share = f"{100.0 * own.outcomes.get('stays', 0.0):.0f} % of the samples say stays"
            assert share in one.verdict
            continue
        assert one.simulated == own.value
        assert (one.low, one.high) == pytest.approx((own.low, own.high), rel=1e-9, abs=1e-15), one.name
        assert one.u_simulated >= own.standard * (1.0 - 1e-9), one.name  # the time step's is in it


def test_shortening_adds_no_scatter_of_its_own_to_what_a_gauge_shows():
    """Read as it stands still at the ends: else when its samples fall is luck, worth 0.1 N beside so steep a peak."""
    plain = read(ROOT / "plain.toml", {"gauge.pause": "0.3 s"})
    run = predict(plain)
    inputs = tuple(own for own in spread_inputs(plain) if own.key not in INSTRUMENTS)
    task = shortened_task(run, inputs)
    away = []
    for place in sample_places(len(inputs), 8, SEED).tolist():
        full = bench_run(build_setup(varied(plain, inputs, values_at(inputs, tuple(place)))), groups=False)
        quick = run_sample(task, tuple(place))
        away.append([quick[name] - full.value(name) for name in ("gauge_push", "gauge_pull")])
    assert np.std(away, axis=0).max() < 0.075  # N, a step and a half of its display


def test_a_figure_lies_within_its_own_range(found):
    """Unless every sample moves it the same way: then the build as written lies at the edge of what may be."""
    for name, one in found.findings.items():
        if one.low is None or not isinstance(one.value, float) or one.low <= one.value <= one.high:
            continue
        written = [row[name] for row in found.samples.values() if isinstance(row.get(name), float)]
        side = np.mean(np.array(written) > one.value)
        assert min(side, 1.0 - side) < 0.06, (name, one.low, one.value, one.high)


def test_what_can_only_get_worse_puts_the_figure_aside_and_says_so(plain):
    from featherbench.views.spread_summary import spread_notes

    off = Doubt(**TAKEN_OUT)
    worse = spread(plain.model_copy(update={"doubt": off}), runs=40, seed=SEED, bearing_doubt=True)
    assert worse.findings["rod_force_loop"].aside
    assert not worse.findings["current_hold_high"].aside
    (said,) = [note for note in spread_notes(worse) if "outside the range" in note]
    assert "mean width of the force loop" in said


def test_intervals_of_many_samples_are_those_of_the_samples():
    """A bent law leaves 4 % of the variance: a few samples are helped by a straight line, many are not bent by it."""
    law = lambda places: places[:, :1] + 0.25 * places[:, :1] ** 2 + places[:, 1:2]  # noqa: E731
    truth = np.quantile(law(sample_places(3, 2**16, 9)), [0.025, 0.975])
    errors = {}
    for count in (FEW // 4, 8 * FEW):
        ends = [np.ravel(interval(p, law(p))) for p in (sample_places(3, count, seed) for seed in range(8))]
        errors[count] = np.abs(np.array(ends) - truth).max() / (truth[1] - truth[0])
    assert errors[FEW // 4] < 0.06
    assert errors[8 * FEW] < 0.006
