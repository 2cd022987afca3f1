"""Chosen unknowns of a scenario from bench data: best values, 95 % intervals, what the data cannot tell, a test of it.

What is held beside the unknowns is not exact: tolerances, the model's doubts and figures of a data sheet are fitted
along (`fitting_nuisances`), and intervals are marginal over them. Part of the data is kept aside and only predicted: of
logs every fourth half second, of spot readings every fourth when there are enough.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from featherbench.bench.readings import BenchData
from featherbench.fitting.data import (
    Channel,
    channel_residuals,
    channels,
    reweighted,
    scatter_by_hand,
    spot_count,
    spot_residuals,
    spots_off,
)
from featherbench.fitting.drift import Trend
from featherbench.fitting.fit import Fitted, fit
from featherbench.fitting.fit_in_words import DOUBTFUL, MORE, fit_in_words, scattered, still_off
from featherbench.fitting.fitted_file import variant_text
from featherbench.fitting.joint_parameters import parameters
from featherbench.fitting.kept_aside import Predicted, predicted_aside
from featherbench.fitting.left_over import BuildFit, fit_of_builds, patterns_left, trends_of, unstated_of
from featherbench.fitting.model import BenchModel, aligned, bench_model
from featherbench.fitting.simulated import Simulated
from featherbench.fitting.unknowns import (
    FREE_CURRENT,
    FREE_FORCE,
    Unknown,
    listed_unknowns,
    unknowns,
)
from featherbench.libraries import needed
from featherbench.notebook import HtmlDisplay, unit
from featherbench.scenario import Problem, Scenario, ScenarioError

if TYPE_CHECKING:
    import pandas as pd

Vector = NDArray[np.float64]

FAR = 30.0
"""Residual of every reading where no build can be."""


@dataclass(frozen=True)
class Calibration(HtmlDisplay):
    """What the data says of the unknowns. before, after: sum of squared data residuals over their effective number, at
    the start and at the best; aside: what was kept aside and predicted; notes in words; trends: over the days; builds:
    how well each fits, where several were fitted together."""

    scenario: Scenario
    data: BenchData
    model: BenchModel
    fitted: Fitted
    channels: tuple[Channel, ...]
    spots: tuple[str, ...]
    before: float
    after: float
    aside: tuple[Predicted, ...]
    notes: tuple[str, ...]
    trends: tuple[Trend, ...] = ()
    builds: tuple[BuildFit, ...] = ()

    def to_frame(self) -> pd.DataFrame:
        """Every unknown, SI, a row each: what it was, the fitted value, its 95 % interval, unit, if it was found."""
        pd = needed("pandas")

        fitted = self.fitted
        columns = {
            "was": [unknown.start for unknown in fitted.unknowns],
            "value": fitted.values,
            "low": fitted.low,
            "high": fitted.high,
            "unit": [unit(unknown.kind) for unknown in fitted.unknowns],
            "identified": list(fitted.identified),
        }
        return pd.DataFrame(columns, index=pd.Index([unknown.key for unknown in fitted.unknowns], name="key"))


def calibrate(
    scenario: Scenario,
    data: BenchData,
    free: tuple[str, ...] = (),
    *,
    keep_aside: bool = True,
    executor: Executor | None = None,
    progress: Callable[[str], None] | None = None,
) -> Calibration:
    """Fit the keys in `free` (the usual ones for this data when empty). Raises ScenarioError.

    executor: what runs several builds at a time, threads of this process if None; the values are the same.

    >>> import featherbench as fb
    >>> plain = fb.read(fb.example("survey-3kg/plain"))
    >>> data = fb.read_bench_data([fb.example("survey-3kg/bench/plain-readings")], plain)
    >>> found = fb.calibrate(plain, data, ("linkage.slider_friction",))
    >>> found.to_frame().loc["linkage.slider_friction", "unit"]
    'N'
    """
    if not data.builds:
        unknowns(scenario, free)  # refuses what is none before anything is run
    model, said = bench_model(scenario, data, smooth=True)
    data = model.data
    found, beside, known = parameters(scenario, model, free or usual_free(data, scenario))
    simulated = model.at((), ())
    logged = channels(model, simulated, keep_aside=keep_aside)
    spots, later = _split_spots(data, len(found), keep_aside)
    notes = [*data.said, *said, *unstated_of(model)]
    if not spots and not logged:
        raise ScenarioError(
            [Problem("data", None, "", "nothing to fit", "readings of force or current, or a log")]
        )
    residuals = Residuals.of(model, (*found, *beside), spots, logged)
    fitted = partial(fit, progress=progress, executor=executor)
    best = fitted(residuals, found, beside=beside, before=known, intervals=not logged)
    raw = logged
    if not best.interrupted:
        model, logged, best = _with_scatter_as_left(model, spots, logged, best, fitted)
    aside = predicted_aside(model, best, later, logged, executor) if not best.interrupted else ()
    notes += [*scattered(model.scatter), *fit_in_words(best, aside, keep_aside)]
    trends: tuple[Trend, ...] = ()
    if not best.interrupted:
        there = _there(model, best)
        notes = [*patterns_left(model, there, (*spots, *later), raw), *notes]
        trends = trends_of(model, there, (*spots, *later))
    before, after = (
        _misfit(model, one, spots, raw, logged) for one in (model.at((), ()), _there(model, best))
    )
    notes = list(dict.fromkeys((*still_off(after), *notes)))
    builds = () if best.interrupted else fit_of_builds(model, _there(model, best), (*spots, *later))
    return Calibration(
        scenario, data, model, best, logged, spots, before, after, aside, tuple(notes), trends, builds
    )


def _with_scatter_as_left(
    model: BenchModel,
    spots: tuple[str, ...],
    logged: tuple[Channel, ...],
    best: Fitted,
    fitted: Callable[..., Fitted],
) -> tuple[BenchModel, tuple[Channel, ...], Fitted]:
    """Model, channels and fit once more, with the scatter that a first fit left: of logs, and of forces by hand where
    it is more than it should be."""
    scatter = scatter_by_hand(model, spots, best.residuals, best.jacobian, best.whole)
    if not logged and scatter <= MORE:
        return model, logged, best
    model = replace(aligned(model, _there(model, best)), scatter=scatter if scatter > MORE else 1.0)
    there = _there(model, best)
    logged = tuple(reweighted(model, there, channel) for channel in logged)
    residuals = Residuals.of(model, best.parameters, spots, logged)
    again = fitted(residuals, best.unknowns, beside=best.beside, before=best.before, begin=best.places)
    return model, logged, replace(again, unfelt=(*best.unfelt, *again.unfelt))


def _there(model: BenchModel, best: Fitted) -> Simulated:
    return model.at(tuple(parameter.key for parameter in best.parameters), tuple(best.best.tolist()))


def _misfit(
    model: BenchModel,
    simulated: Simulated,
    spots: tuple[str, ...],
    raw: tuple[Channel, ...],
    logged: tuple[Channel, ...],
) -> float:
    """Mean square of what is left over in the instruments' whole uncertainty: a reading counts once, a log by its
    effective samples. raw: the channels with their noise as the log's own jitter shows it; logged: as they were fitted.
    """
    total = float(np.sum(spots_off(model, simulated, spots) ** 2))
    count = float(len(spots))
    for own, fitted in zip(raw, logged, strict=True):
        effective = float(own.kept.sum()) / fitted.autocorrelation_time
        total += effective * float(np.mean(channel_residuals(model, simulated, own)[:-2] ** 2))
        count += effective
    return total / count


def usual_free(data: BenchData, scenario: Scenario | None = None) -> tuple[str, ...]:
    """What is freed when nobody says: of the scenario's keys those that have a value to start from."""
    forces = any("rod_force" in log.columns for log in data.logs)
    currents = any("supply_current" in log.columns for log in data.logs)
    kinds = {reading.kind for reading in data.readings.values()}
    free: tuple[str, ...] = ()
    if forces or "force" in kinds:
        free += FREE_FORCE
    if currents or "current" in kinds:
        free += FREE_CURRENT
    free = free or FREE_FORCE
    if scenario is None:
        return free
    there = {unknown.key for unknown in listed_unknowns(scenario)}
    return tuple(key for key in free if key in there) or FREE_FORCE[:1]


def _split_spots(data: BenchData, unknown: int, keep_aside: bool) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Numeric readings to fit, and those kept aside: every fourth, when enough are left."""
    names = tuple(
        name
        for name, reading in data.readings.items()
        if reading.kind != "text" and not name.startswith("rotor_speed")
    )
    if not keep_aside or (len(names) < unknown + 2 and not data.logs):
        return names, ()
    later = names[3::4]
    return tuple(name for name in names if name not in later), later


@dataclass(frozen=True)
class Residuals:
    """What is left of the data at values of the parameters, in standard uncertainties. count: of residuals."""

    model: BenchModel
    keys: tuple[str, ...]
    spots: tuple[str, ...]
    logged: tuple[Channel, ...]
    count: int

    @classmethod
    def of(
        cls,
        model: BenchModel,
        parameters: tuple[Unknown, ...],
        spots: tuple[str, ...],
        logged: tuple[Channel, ...],
    ) -> Residuals:
        count = spot_count(model, spots) + sum(int(channel.kept.sum()) + 2 for channel in logged)
        return cls(model, tuple(parameter.key for parameter in parameters), spots, logged, count)

    def __call__(self, values: Vector) -> Vector:
        """Residuals (count,) at values (n,), SI."""
        try:
            simulated = self.model.at(self.keys, tuple(values.tolist()), verdicts=False)
        except ScenarioError:
            return np.full(self.count, FAR)
        parts = [channel_residuals(self.model, simulated, channel) for channel in self.logged]
        return np.concatenate([spot_residuals(self.model, simulated, self.spots), *parts])


__all__ = ["DOUBTFUL", "Calibration", "Predicted", "calibrate", "usual_free", "variant_text"]
