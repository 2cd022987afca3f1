"""Prediction against bench data: what differs by more than both sides' uncertainty.

The prediction's tolerances are sampled as by every study (`spread_samples`), and what the samples come to is said by
the one rule for all (`sample_departures`). For every quantity the comparison error E = simulated - measured, and the
normalised error E_n = E / sqrt(U_sim^2 + U_meas^2) with expanded uncertainties (k = 2): |E_n| <= 1 agrees (ISO 13528,
from memory). The standard uncertainty of the simulation is that of its inputs (their tolerances, sampled) and of its
time step; with the instrument's it makes the validation uncertainty u_val = sqrt(u_num^2 + u_input^2 + u_D^2) in the
sense of ASME V&V 20 (from memory): the model's own error lies within E -/+ 2 u_val.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import partial
from math import inf, sqrt
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from featherbench.bench.readings import BenchData
from featherbench.bench.sessions import at_one_speed, of_one_build
from featherbench.fitting.data import channels, reading_uncertainty, unstated
from featherbench.fitting.drift import Trend, drift
from featherbench.fitting.match_samples import match_sample, match_task, written_spots
from featherbench.fitting.model import BenchModel, as_logged, bench_model
from featherbench.fitting.simulated import Simulated
from featherbench.guide.findings import in_words
from featherbench.libraries import needed
from featherbench.notebook import HtmlDisplay, frame, unit
from featherbench.sampling.checkpoint import Values
from featherbench.sampling.departures import Interval, finding_departures, shifted_intervals
from featherbench.sampling.inputs import Input
from featherbench.sampling.interval import interval
from featherbench.sampling.samples import (
    sample_places,
)
from featherbench.scenario import Scenario
from featherbench.studies.ensemble import run_many

if TYPE_CHECKING:
    import pandas as pd

Series = NDArray[np.float64]

RUNS = 64


@dataclass(frozen=True)
class Matched:
    """One quantity, SI or a verdict. u_simulated, u_measured, u_validation: standard; e_n: None for a verdict.

    low, high: 95 % of what the tolerances make of the simulated one, the instrument's own error apart; None where they
    are not known.
    """

    name: str
    kind: str
    simulated: float | str | None
    measured: float | str
    u_simulated: float | None
    u_measured: float | None
    u_validation: float | None
    e_n: float | None
    verdict: str
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class MatchedSeries:
    """One logged column. Arrays (n,) SI over the log's time, nan where nothing is compared; low, high: 95 % of the
    prediction; bias: mean of simulated - measured; scatter: standard deviation about it; lag s; inside: share of
    samples within both sides' 95 %."""

    name: str
    kind: str
    test: str
    time: Series
    measured: Series
    simulated: Series
    low: Series
    high: Series
    bias: float
    scatter: float
    lag: float
    inside: float

    def to_frame(self) -> pd.DataFrame:
        """Over the log's time, SI, units in the column names (e.g. "measured [N]")."""
        columns = {name: getattr(self, name) for name in ("measured", "simulated", "low", "high")}
        return frame({"time": self.time, **columns}, {"time": "time", **dict.fromkeys(columns, self.kind)})


@dataclass(frozen=True)
class Match(HtmlDisplay):
    """The comparison of one scenario with bench data; verdict in words; notes: what was taken, skipped, assumed;
    trends: over the days."""

    scenario: Scenario
    data: BenchData
    quantities: tuple[Matched, ...]
    series: tuple[MatchedSeries, ...]
    runs: int
    seed: int
    interrupted: bool
    verdict: str
    notes: tuple[str, ...]
    trends: tuple[Trend, ...] = ()

    def to_frame(self) -> pd.DataFrame:
        """Every quantity, SI, a row each: both values, standard uncertainties, E_n, unit, verdict."""
        pd = needed("pandas")

        names = ["simulated", "measured", "u_simulated", "u_measured", "e_n"]
        rows = [
            (*(getattr(quantity, name) for name in names), unit(quantity.kind), quantity.verdict)
            for quantity in self.quantities
        ]
        index = pd.Index([quantity.name for quantity in self.quantities], name="quantity")
        return pd.DataFrame(rows, columns=[*names, "unit", "verdict"], index=index)


def normalised_error(simulated: float, measured: float, u_simulated: float, u_measured: float) -> float:
    """E_n of ISO 13528 from standard uncertainties (k = 2); infinite where a difference has no uncertainty."""
    spread = 2.0 * sqrt(u_simulated**2 + u_measured**2)
    error = simulated - measured
    return error / spread if spread > 0.0 else (0.0 if error == 0.0 else inf if error > 0.0 else -inf)


def match(
    scenario: Scenario,
    data: BenchData,
    *,
    runs: int = RUNS,
    seed: int = 0,
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Match:
    """Set a prediction against bench data. runs: samples of the scenario's tolerances. Raises ScenarioError.

    >>> import featherbench as fb
    >>> plain = fb.read(fb.example("survey-3kg/plain"))
    >>> data = fb.read_bench_data([fb.example("survey-3kg/bench/plain-readings")], plain)
    >>> found = fb.match(plain, data, runs=4)
    >>> found.to_frame().loc["release", "verdict"]
    'agrees'
    """
    data = of_one_build(data, scenario)
    data = at_one_speed(data, float(scenario.rotor.speed))
    model, said = bench_model(scenario, data, smooth=False)
    nominal = model.at((), ())
    finer = model.at((), (), step_share=0.5)
    task = match_task(model)
    points = sample_places(len(task.inputs), runs, seed) if task.inputs else np.zeros((0, 0))
    places: list[tuple[float, ...]] = [tuple(row) for row in points.tolist()]
    done = run_many(
        partial(match_sample, task), places, executor=executor, progress=progress, refused=lambda _: None
    )
    samples = {index: result for index, result in done.results.items() if result is not None}
    notes = [*data.said, *said, *unstated(data, scenario)]
    if not task.inputs:
        notes.append(
            "nothing is varied, neither tolerance nor doubt: the prediction's own uncertainty is that of the time step "
            "only"
        )
    elif len(samples) < len(places):
        notes.append(f"{len(samples)} of {len(places)} samples of the tolerances were run")
    spots = {index: sample.spots for index, sample in samples.items()}
    numbers = {name: value for name, value in nominal.spots.items() if isinstance(value, float)}
    intervals = shifted_intervals(
        numbers, *finding_departures(written_spots(task), spots), points, task.inputs
    )
    found = [
        _matched(model, name, nominal, finer, list(spots.values()), intervals.get(name))
        for name in data.readings
        if name != "rotor_speed"
    ]
    series = []
    logged = {index: sample.logged for index, sample in samples.items() if sample.logged is not None}
    for number, role in [(channel.log, channel.role) for channel in channels(model, nominal)]:
        where = (points[list(logged)], task.inputs)
        one, peaks = _series(model, (number, role), nominal, where, list(logged.values()))
        series.append(one)
        found += peaks
    return Match(scenario, data, tuple(found), tuple(series), len(samples), seed, done.interrupted,
                 _verdict(found, series), tuple(notes), drift(model, nominal, tuple(data.readings)))  # fmt: skip


def _matched(
    model: BenchModel,
    name: str,
    nominal: Simulated,
    finer: Simulated,
    samples: list[Values],
    laid: Interval | None,
) -> Matched:
    reading, value = model.data.readings[name], nominal.spots.get(name)
    if isinstance(reading.value, str):
        agrees = value == reading.value
        share = (
            np.mean([sample.get(name) == reading.value for sample in samples]) if samples else float(agrees)
        )
        words = "agrees" if agrees else f"differs; {100.0 * share:.0f} % of the samples say {reading.value}"
        return Matched(name, "text", value, reading.value, None, None, None, None, words)
    if not isinstance(value, float):
        return Matched(
            name, reading.kind, None, reading.value, None, None, None, None, "not given by the run"
        )
    fine = finer.spots.get(name)
    step = abs(value - fine) / sqrt(3.0) if isinstance(fine, float) else 0.0
    numbers = [number for sample in samples if isinstance(number := sample.get(name), float)]
    spread = float(np.std(numbers, ddof=1)) if len(numbers) > 1 else 0.0
    made = _judged(name, reading.kind, value, reading.value, sqrt(spread**2 + step**2),
                   reading_uncertainty(reading, model.scenario))  # fmt: skip
    return replace(made, low=laid.low, high=laid.high) if laid else made


def _judged(name: str, kind: str, simulated: float, measured: float, u_sim: float, u_meas: float) -> Matched:
    error = normalised_error(simulated, measured, u_sim, u_meas)
    if abs(error) <= 1.0:
        words = "agrees"
    else:
        side = "large" if abs(simulated) > abs(measured) else "small"
        words = f"simulated too {side}: {abs(error):.1f} times what both allow"
    return Matched(name, kind, simulated, measured, u_sim, u_meas, sqrt(u_sim**2 + u_meas**2), error, words)


def _series(
    model: BenchModel,
    which: tuple[int, str],
    nominal: Simulated,
    where: tuple[Series, tuple[Input, ...]],
    samples: list[Simulated],
) -> tuple[MatchedSeries, list[Matched]]:
    """A logged column over its time, and its largest values either way as quantities; where: places, and of what."""
    number, role = which
    log = model.data.logs[number]
    channel = next(one for one in channels(model, nominal) if (one.log, one.role) == which)
    measured = np.where(channel.kept, log.columns[role], np.nan)
    course = np.where(channel.kept, as_logged(model, nominal, number, role), np.nan)
    runs = np.array([as_logged(model, sample, number, role) for sample in samples] or [course])
    good = channel.kept & np.isfinite(runs).all(axis=0)
    low, high = course.copy(), course.copy()
    if samples:
        less, more = interval(where[0], runs[:, good] - course[good], where[1])
        low[good], high[good] = course[good] + less, course[good] + more
    low[~good] = high[~good] = np.nan
    u_meas = sqrt(channel.noise**2 + channel.offset**2)
    error = (course - measured)[good]
    within = (measured >= low - 2.0 * u_meas) & (measured <= high + 2.0 * u_meas)
    made = MatchedSeries(channel.name, channel.kind, log.test, log.time, measured, course, low, high,
                         float(error.mean()), float(error.std()), model.lags[number],
                         float(within[good].mean()))  # fmt: skip
    peaks = []
    for words, pick in (("largest", np.max), ("least", np.min)):
        spread = float(np.std(pick(runs[:, good], axis=1), ddof=1)) if len(samples) > 1 else 0.0
        peaks.append(
            _judged(f"{role}_{words} (log {number + 1})", channel.kind, float(pick(course[good])),
                    float(pick(measured[good])), spread, u_meas)
        )  # fmt: skip
    return made, peaks if role != "supply_current" else peaks[:1]


def _verdict(quantities: list[Matched], series: list[MatchedSeries]) -> str:
    judged = [one for one in quantities if one.e_n is not None]
    apart = [judgement for judgement in judged if abs(judgement.e_n or 0.0) > 1.0]
    differ = [one for one in quantities if one.kind == "text" and one.verdict != "agrees"]
    said = [f"{len(judged) - len(apart)} of {len(judged)} quantities agree within both sides' uncertainty"]
    if apart:
        worst = max(apart, key=lambda one: abs(one.e_n or 0.0))
        said.append(f"furthest off: {in_words(worst.name)}, E_n {worst.e_n:+.1f}")
    said += [
        f"{in_words(one.name)}: the model says {one.simulated}, the bench {one.measured}" for one in differ
    ]
    for course in series:
        said.append(
            f"{in_words(course.name)}: {100.0 * course.inside:.0f} % of the samples lie within both sides' 95 %"
        )
    return "; ".join(said) + "."
