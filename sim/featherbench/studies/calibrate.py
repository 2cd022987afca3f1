"""Chosen unknowns of a scenario from bench data: best values, 95 % intervals, what the data cannot tell, a test of it.

Part of the data is kept aside and only predicted: of logs every fourth half second, of spot readings every fourth when
there are enough. The fitted scenario is a variant of the one it started from.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import sqrt
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from featherbench import quantities
from featherbench.bench.readings import BenchData
from featherbench.notebook import Shown, unit
from featherbench.scenario import Problem, Scenario, ScenarioError
from featherbench.scenario.toml_writer import toml_value
from featherbench.studies.fitting import Fitted, fit
from featherbench.studies.fitting_data import (
    Channel,
    channel_residuals,
    channels,
    reading_uncertainty,
    reweighted,
    spot_residuals,
    unstated,
)
from featherbench.studies.fitting_model import BenchModel, Simulated, aligned, as_logged, bench_model
from featherbench.studies.fitting_unknowns import FREE_CURRENT, FREE_FORCE, Unknown, unknowns
from featherbench.studies.match import normalised_error
from featherbench.studies.variant_file import differing_tables, own_file, typed_key, variant_file

if TYPE_CHECKING:
    import pandas as pd

Vector = NDArray[np.float64]

FAR = 30.0
"""Residual of every reading where no build can be."""


@dataclass(frozen=True)
class Predicted:
    """Data that was kept aside, SI, standard uncertainties (of a log's column: of its mean error, with rms beside)."""

    name: str
    kind: str
    simulated: float
    measured: float
    u_simulated: float
    u_measured: float
    e_n: float


@dataclass(frozen=True)
class Calibration(Shown):
    """What the data says of the unknowns. before, after: sum of squared data residuals over their effective number, at
    the start and at the best; aside: what was kept aside and predicted; notes in words."""

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

    def to_frame(self) -> pd.DataFrame:
        """Every unknown, SI, a row each: what it was, the fitted value, its 95 % interval, unit, if it was found."""
        import pandas as pd

        fitted = self.fitted
        columns = {
            "was": [one.start for one in fitted.unknowns],
            "value": fitted.values,
            "low": fitted.low,
            "high": fitted.high,
            "unit": [unit(one.kind) for one in fitted.unknowns],
            "identified": list(fitted.identified),
        }
        return pd.DataFrame(columns, index=pd.Index([one.key for one in fitted.unknowns], name="key"))


def calibrate(
    scenario: Scenario,
    data: BenchData,
    free: tuple[str, ...] = (),
    *,
    keep_aside: bool = True,
    progress: Callable[[str], None] | None = None,
) -> Calibration:
    """Fit the keys in `free` (the usual ones for this data when empty). Raises ScenarioError.

    >>> import featherbench as fb
    >>> plain = fb.read("scenarios/survey-3kg/plain.toml")
    >>> data = fb.read_bench_data(["scenarios/survey-3kg/bench/plain-readings.toml"], plain)
    >>> found = fb.calibrate(plain, data, ("linkage.slider_friction",))
    >>> found.to_frame().loc["linkage.slider_friction", "unit"]
    'N'
    """
    found = unknowns(scenario, free or usual_free(data))
    model, said = bench_model(scenario, data, smooth=True)
    found = tuple(_at_model(one, model) for one in found)
    keys = tuple(one.key for one in found)
    simulated = model.at((), ())
    logged = channels(model, simulated, keep_aside=keep_aside)
    spots, later = _split_spots(data, len(keys), keep_aside)
    notes = [*data.said, *said, *unstated(data, scenario)]
    if not spots and not logged:
        raise ScenarioError(
            [Problem("data", None, "", "nothing to fit", "readings of force or current, or a log")]
        )
    residuals = _residuals(model, keys, spots, logged)
    first = residuals(np.array([one.start for one in found]))
    best = fit(residuals, found, progress=progress, intervals=not logged)
    if logged and not best.interrupted:
        model = aligned(model, model.at(keys, tuple(best.values.tolist())))
        there = model.at(keys, tuple(best.values.tolist()))
        logged = tuple(reweighted(model, there, channel) for channel in logged)
        residuals = _residuals(model, keys, spots, logged)
        first = residuals(np.array([one.start for one in found]))
        best = fit(residuals, found, progress=progress, begin=best.values)
    if best.interrupted:
        notes.append(
            "interrupted: the values are the best found so far, the intervals only those of the curvature"
        )
    count = len(spots) + sum(float(channel.kept.sum()) / channel.apart for channel in logged)
    values = tuple(best.values.tolist())
    aside = _aside(model, keys, best, later, logged) if not best.interrupted else ()
    notes += _words(best, aside, keep_aside)
    last = residuals(np.array(values)) if not best.interrupted else first
    return Calibration(scenario, data, model, best, logged, spots, float(first @ first) / count,
                       float(last @ last) / count, aside, tuple(notes))  # fmt: skip


def usual_free(data: BenchData) -> tuple[str, ...]:
    """What is freed when nobody says."""
    forces = any("rod_force" in log.columns for log in data.logs)
    currents = any("supply_current" in log.columns for log in data.logs)
    kinds = {reading.kind for reading in data.readings.values()}
    free: tuple[str, ...] = ()
    if forces or "force" in kinds:
        free += FREE_FORCE
    if currents or "current" in kinds:
        free += FREE_CURRENT
    return free or FREE_FORCE


def variant_text(done: Calibration, path: Path, comments: Sequence[str] = ()) -> str:
    """The fitted scenario as a variant file for `path`: its base and the keys that were found, where from in notes.

    Unknowns that the data could not tell are written too, marked as such: the others hold only together with them.
    comments: lines to begin with.
    """
    files = [f"{Path(name).name} (sha256 {digest[:16]})" for name, digest in done.data.digests.items()]
    told = [key for key, good in zip(_keys(done), done.fitted.identified, strict=True) if good]
    vague = [key for key in _keys(done) if key not in told]
    note = f"Fitted to {', '.join(files)}: {', '.join(told) or 'nothing'}."
    if vague:
        note += f" Not told by this data, but belonging to the fit: {', '.join(vague)}."
    changes: dict[str, Any] = {"notes": toml_value(note)}
    remarks = {}
    for one, value, low, high, good in zip(done.fitted.unknowns, done.fitted.values, done.fitted.low,
                                           done.fitted.high, done.fitted.identified, strict=True):  # fmt: skip
        changes[typed_key(done.scenario, one.key)] = _typed(one, float(value))
        span = f"{quantities.text(low, one.kind, digits=5)} to {quantities.text(high, one.kind, digits=5)}"
        remarks[one.key] = f"95 %: {span}" if good else "not told by this data: goes with the others"
    return variant_file(
        done.scenario,
        path.parent,
        heading="Written by featherbench calibrate: what was fitted to bench data; the rest is as in the base.",
        title=f"{done.scenario.title}, fitted to bench data",
        tables=differing_tables(own_file(done.scenario), changes),
        remarks=remarks,
        comments=comments,
    )


def _at_model(one: Unknown, model: BenchModel) -> Unknown:
    """Rotor speed starts from what was read on the bench."""
    if one.key != "rotor.speed":
        return one
    speed = float(model.scenario.rotor.speed)
    return replace(one, start=speed, low=0.9 * speed, high=1.1 * speed)


def _split_spots(data: BenchData, unknown: int, keep_aside: bool) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Numeric readings to fit, and those kept aside: every fourth, when enough are left."""
    names = tuple(name for name, one in data.readings.items() if one.kind != "text" and name != "rotor_speed")
    if not keep_aside or (len(names) < unknown + 2 and not data.logs):
        return names, ()
    later = names[3::4]
    return tuple(name for name in names if name not in later), later


def _residuals(
    model: BenchModel, keys: tuple[str, ...], spots: tuple[str, ...], logged: tuple[Channel, ...]
) -> Callable[[Vector], Vector]:
    count = len(spots) + sum(int(channel.kept.sum()) + 2 for channel in logged)

    def residuals(values: Vector) -> Vector:
        try:
            simulated = model.at(keys, tuple(values.tolist()))
        except ScenarioError:
            return np.full(count, FAR)
        parts = [channel_residuals(model, simulated, channel) for channel in logged]
        return np.concatenate([spot_residuals(model, simulated, spots), *parts])

    return residuals


def _aside(
    model: BenchModel,
    keys: tuple[str, ...],
    best: Fitted,
    later: tuple[str, ...],
    logged: tuple[Channel, ...],
) -> tuple[Predicted, ...]:
    """What was kept aside, predicted at the best values; u_simulated from the unknowns' covariance."""
    values, spread = best.values, best.deviations
    there = model.at(keys, tuple(values.tolist()))
    shifted = [
        model.at(keys, tuple((values + 0.5 * spread * (np.arange(len(keys)) == k)).tolist()))
        for k in range(len(keys))
    ]
    channels_aside = [channel for channel in logged if channel.aside.any()]

    def read(one: Simulated) -> Vector:
        spots = [float(one.spots[name] or 0.0) for name in later]
        means = [float(np.nanmean(as_logged(model, one, c.log, c.role)[c.aside])) for c in channels_aside]
        return np.array([*spots, *means])

    base = read(there)
    slopes = np.array([(read(one) - base) / 0.5 for one in shifted])  # per standard deviation
    u_simulated = np.sqrt(np.einsum("ki,kl,li->i", slopes, best.correlation, slopes))
    measured, u_measured, names, kinds = [], [], [], []
    for name in later:
        reading = model.data.readings[name]
        measured.append(float(reading.value))
        u_measured.append(reading_uncertainty(reading, model.scenario))
        names.append(name)
        kinds.append(reading.kind)
    for channel in channels_aside:
        rows = model.data.logs[channel.log].columns[channel.role][channel.aside]
        measured.append(float(np.nanmean(rows)))
        effective = max(1.0, float(channel.aside.sum()) / channel.apart)
        u_measured.append(sqrt(channel.offset**2 + channel.noise**2 / effective))
        names.append(f"mean of {channel.name}, kept aside")
        kinds.append(channel.kind)
    return tuple(
        Predicted(name, kind, float(s), m, float(us), um, normalised_error(float(s), m, float(us), um))
        for name, kind, s, m, us, um in zip(
            names, kinds, base, measured, u_simulated, u_measured, strict=True
        )
    )


def _words(best: Fitted, aside: tuple[Predicted, ...], keep_aside: bool) -> list[str]:
    said = []
    for group in best.alike:
        if len(group) > 1:
            said.append(
                f"this data cannot tell apart: {' and '.join(group)}; fix one, or see what to measure next"
            )
        elif group:
            said.append(f"this data says little about {group[0]}")
    for one, value in zip(best.unknowns, best.values, strict=True):
        if min(value - one.low, one.high - value) < 1e-3 * (one.high - one.low):
            said.append(f"{one.key} ran into its bound: the model lacks something, or the bound is wrong")
    if aside:
        good = sum(abs(one.e_n) <= 1.0 for one in aside)
        said.append(f"kept aside and predicted: {good} of {len(aside)} quantities agree (|E_n| <= 1)")
    else:
        said.append("nothing was kept aside" + (": too few readings" if keep_aside else ""))
    return said


def _keys(done: Calibration) -> list[str]:
    return [one.key for one in done.fitted.unknowns]


def _typed(one: Unknown, value: float) -> str | float:
    """A value as it is typed into a file."""
    return float(f"{value:.6g}") if one.kind == "ratio" else quantities.text(value, one.kind, digits=6)
