"""Matching: E_n by worked figures, alignment, weights of data, agreement of a build with itself."""

from pathlib import Path

import numpy as np
import pytest

from featherbench.bench.logs import Log
from featherbench.bench.readings import BenchData, Reading, read_bench_data
from featherbench.fitting.data import channel_residuals, channels, reading_uncertainty
from featherbench.fitting.match import match, normalised_error
from featherbench.fitting.model import bench_model, lag_of
from featherbench.scenario import read

ROOT = Path(__file__).parents[2] / "scenarios" / "survey-3kg"


@pytest.fixture(scope="module")
def plain():
    return read(ROOT / "plain.toml")


def data_of(*readings, logs=()):
    return BenchData({one.name: one for one in readings}, tuple(logs), {}, ())


def spot(name, value, kind="force", uncertainty=None, scatter=0.0):
    return Reading(name, kind, value, uncertainty, scatter, 1, None)


def test_normalised_error_by_worked_figures():
    # U_sim 0.4, U_meas 0.3 (both expanded, k = 2): E_n = 0.25 / 0.5
    assert normalised_error(5.25, 5.0, 0.2, 0.15) == pytest.approx(0.5)
    assert normalised_error(4.0, 5.0, 0.2, 0.15) == pytest.approx(-2.0)
    assert normalised_error(5.0, 5.0, 0.0, 0.0) == 0.0
    assert normalised_error(6.0, 5.0, 0.0, 0.0) == np.inf


def test_uncertainty_of_a_reading_by_worked_figures(plain):
    # [gauge] uncertainty 0.15 N at 95 %, resolution 0.05 N: sqrt(0.075^2 + 0.05^2 / 12 + 0.04^2)
    assert plain.gauge.uncertainty == pytest.approx(0.15)
    assert reading_uncertainty(spot("gauge_push", 9.0, scatter=0.04), plain) == pytest.approx(
        0.0862168, rel=1e-5
    )
    assert reading_uncertainty(spot("gauge_push", 9.0, uncertainty=1.0), plain) == pytest.approx(
        0.5002083, rel=1e-5
    )


@pytest.fixture(scope="module")
def own_log(plain):
    """A log of the model itself, shifted by 0.3 s, with an offset, without noise."""
    model, _ = bench_model(plain, data_of(spot("meter_hold", 0.4, "current")), smooth=True)
    run = model.at((), ()).servo
    time = np.arange(0.1, run.time[-1], 0.01)
    rows = np.interp(time, run.time, run.supply_current)
    from featherbench.bench.instruments import moving_mean

    rows = np.interp(time, run.time, moving_mean(run.time, run.supply_current, 0.01))
    return Log("own", "", "servo", time - time[0], {"supply_current": rows + 0.01}, (), ()), time[0]


def test_lag_is_found_between_samples(plain, own_log):
    log, start = own_log
    model, _ = bench_model(plain, data_of(logs=[log]), smooth=True)
    assert lag_of(log, model.at((), ())) == pytest.approx(start, abs=3e-4)


def test_an_offset_within_the_instrument_costs_what_it_should(plain, own_log):
    log, _ = own_log
    model, _ = bench_model(plain, data_of(logs=[log]), smooth=True)
    there = model.at((), ())
    (channel,) = channels(model, there)
    left = channel_residuals(model, there, channel)
    # 0.01 A is one standard uncertainty of the meter (0.02 A at 95 %): the offset residual is -1, nothing else is left
    assert left[-2] == pytest.approx(-1.0, abs=0.02)
    assert np.abs(left[:-2]).mean() < 0.5


def test_a_build_agrees_with_itself_and_not_with_another():
    """With the stall known within 2 deg; with 4 deg there is room for 30 % at full pitch, and no verdict."""
    stated = {"doubt.air_stall": "2 deg", "doubt.separated_centre": 0.0}
    plain = read(ROOT / "plain.toml", stated)
    model, _ = bench_model(plain, data_of(spot("gauge_push", 9.0)), smooth=False)
    true = float(model.at((), ()).spots["gauge_push"])
    same = match(plain, data_of(spot("gauge_push", true), spot("release", "returns", "text")), runs=8)
    other = match(plain, data_of(spot("gauge_push", 1.3 * true), spot("release", "stays", "text")), runs=8)
    assert same.quantities[0].e_n == pytest.approx(0.0, abs=1e-9)
    assert same.quantities[0].verdict == "agrees"
    assert other.quantities[0].e_n < -1.0
    assert "too small" in other.quantities[0].verdict
    assert other.quantities[1].verdict.startswith("differs")
    assert same.quantities[0].u_simulated > 0.0
    assert "E_n" in other.verdict
    assert "gauge shows, push" in other.verdict
    assert "_" not in other.verdict.replace("E_n", "")


def test_the_same_seed_gives_the_same_match(plain):
    data = data_of(spot("gauge_push", 9.0))
    one, two, three = (match(plain, data, runs=8, seed=seed).quantities[0].u_simulated for seed in (1, 1, 2))
    assert one == two
    assert one != three


def test_a_log_run_at_another_pace_is_noticed(plain):
    slower = read(ROOT / "plain.toml", {"gauge.sweep": "14 s"})
    said = []
    for scenario in (plain, slower):
        data = read_bench_data([ROOT / "bench" / "plain-gauge.csv"], scenario)
        said.append(" ".join(bench_model(scenario, data, smooth=True)[1]))
    assert "hardly follows" not in said[0]
    assert "hardly follows the simulated gauge test" in said[1]
    assert "[gauge] sweep" in said[1]
