"""The uncertainty of bench data, and the residuals of a simulation in units of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import hypot, sqrt

import numpy as np
from numpy.typing import NDArray

from featherbench.bench.logs import Log
from featherbench.bench.own_instruments import Instrument
from featherbench.bench.readings import BenchData, Reading
from featherbench.fitting.model import BenchModel, as_logged, logged_roles
from featherbench.fitting.simulated import Simulated
from featherbench.scenario import Scenario

Series = NDArray[np.float64]

UNSTATED = 0.03
"""Relative standard uncertainty taken for an instrument that states none (judgement)."""
SPEED_UNSTATED = 0.005
LEAST_NOISE = {"rod_force": 5e-3, "supply_current": 1e-3, "pitch": 1e-3}
"""SI; a log is not taken as quieter than this."""
BLOCK = 0.5
"""s; parts of a log are kept aside in blocks of this length, every fourth."""
EVERY = 4
LEAST_BY_HAND = 6
"""Forces by hand from which on their scatter is looked at."""
_KINDS = {"rod_force": "force", "supply_current": "current", "pitch": "angle"}


@dataclass(frozen=True)
class Channel:
    """One logged column as data. noise: standard deviation of a sample, SI; offset: standard uncertainty of the
    instrument's zero and of its drift over the log, SI; autocorrelation_time: of what the fit leaves,
    in samples: effective samples are this many times fewer; kept (n,): rows that are fitted; aside (n,): rows that
    are only predicted."""

    log: int
    role: str
    kind: str
    noise: float
    offset: float
    autocorrelation_time: float
    kept: NDArray[np.bool_]
    aside: NDArray[np.bool_]

    @property
    def name(self) -> str:
        """As it is reported."""
        return f"{self.role} (log {self.log + 1})"


def reading_uncertainty(reading: Reading, scenario: Scenario) -> float:
    """Standard uncertainty of a reading, SI: the instrument's statement (95 %, k = 2), the repeats' scatter, and the
    display's rounding (rectangular, JCGM 100:2008 4.3.7)."""
    stated, step = reading.uncertainty, 0.0
    if reading.kind in ("force", "current"):
        uncertainty, resolution = instrument(reading.kind, reading.instrument, scenario)
        stated = uncertainty if stated is None else stated
        step = resolution or 0.0
    standard = UNSTATED * abs(float(reading.value)) if stated is None else stated / 2.0
    return sqrt(standard**2 + reading.scatter**2 + step**2 / 12.0)


def instrument(kind: str, own: Instrument | None, scenario: Scenario) -> Instrument:
    """What forces or currents were read with: as the scenario states it, but for what the file of readings says."""
    table = scenario.gauge if kind == "force" else scenario.meter
    stated = own or Instrument()
    uncertainty = table.uncertainty if stated.uncertainty is None else stated.uncertainty
    return Instrument(uncertainty, table.resolution if stated.resolution is None else stated.resolution)


def unstated(data: BenchData, scenario: Scenario) -> list[str]:
    """Which readings have no uncertainty of their own or of an instrument."""
    without = [
        name
        for name, reading in data.readings.items()
        if reading.kind in ("force", "current", "time")
        and reading.uncertainty is None
        and (reading.kind == "time" or instrument(reading.kind, reading.instrument, scenario).uncertainty is None)
    ]  # fmt: skip
    return (
        [f"no uncertainty is stated for {', '.join(without)}: {100.0 * UNSTATED:g} % is taken"]
        if without
        else []
    )


def channels(model: BenchModel, simulated: Simulated, *, keep_aside: bool = False) -> tuple[Channel, ...]:
    """Every column that is compared, its noise taken from the log's own fast changes."""
    found = []
    for number, log in enumerate(model.data.logs):
        for role in logged_roles(log):
            values = as_logged(model, simulated, number, role)
            usable = np.isfinite(values) & np.isfinite(log.columns[role])
            block = (log.time / BLOCK).astype(int) % EVERY == EVERY - 1
            aside = usable & block if keep_aside else np.zeros_like(usable)
            scenario = model.of_log(number, simulated)[0].scenario
            noise, offset = _noise(log, role, scenario), _offset(log, role, scenario)
            found.append(Channel(number, role, _KINDS[role], noise, offset, 1.0, usable & ~aside, aside))
    return tuple(found)


def _noise(log: Log, role: str, scenario: Scenario) -> float:
    """Standard deviation of one sample: from second differences, robustly, and not below the display's rounding."""
    if role == "rod_force" and scenario.log.force_noise:
        return scenario.log.force_noise
    values = log.columns[role]
    bends = np.diff(values[np.isfinite(values)], n=2)
    robust = 1.4826 * float(np.median(np.abs(bends))) / sqrt(6.0) if len(bends) else 0.0
    steps = np.diff(np.unique(values[np.isfinite(values)]))
    rounding = float(steps.min()) / sqrt(12.0) if len(steps) else 0.0
    return max(robust, rounding, LEAST_NOISE[role])


def _offset(log: Log, role: str, scenario: Scenario) -> float:
    kind = _KINDS[role]
    stated = None if kind == "angle" else instrument(kind, log.instruments.get(kind), scenario).uncertainty
    size = float(np.nanmax(np.abs(log.columns[role])))
    return stated / 2.0 if stated else UNSTATED * size


def channel_residuals(model: BenchModel, simulated: Simulated, channel: Channel) -> Series:
    """Residuals (k + 2,) of the fitted rows in standard uncertainties.

    The instrument's zero and drift are taken out as well as their own uncertainty allows (a linear least squares
    inside); what they had to be, in their standard uncertainty, are the last two residuals.
    """
    log = model.data.logs[channel.log]
    error = as_logged(model, simulated, channel.log, channel.role) - log.columns[channel.role]
    rows = channel.kept
    difference = np.nan_to_num(error[rows])
    size = channel.noise * sqrt(channel.autocorrelation_time)
    shape = np.column_stack([np.ones(int(rows.sum())), 2.0 * log.time[rows] / log.time[-1] - 1.0])
    held = np.vstack([shape * (channel.offset / size), np.eye(2)])
    taken, *_ = np.linalg.lstsq(held, np.concatenate([difference / size, np.zeros(2)]), rcond=None)
    return np.concatenate([(difference - shape @ (channel.offset * taken)) / size, taken])


def reweighted(model: BenchModel, simulated: Simulated, channel: Channel) -> Channel:
    """The channel with noise and effective samples as the residuals of a first fit show them.

    Residuals that hang together carry less information than their number: the integrated autocorrelation time counts
    how many make one. Noise is raised to what is left over, so that what the model lacks widens the intervals.
    """
    left = (
        channel_residuals(model, simulated, channel)[:-2] * channel.noise * sqrt(channel.autocorrelation_time)
    )
    noise = max(channel.noise, float(np.sqrt(np.mean(left**2))))
    centred = left - left.mean()
    power = float(centred @ centred) or 1.0
    total, lag = 1.0, 1
    while lag < len(centred) // 4:
        share = float(centred[:-lag] @ centred[lag:]) / power
        if share < 0.05:
            break
        total += 2.0 * share
        lag += 1
    return replace(channel, noise=noise, autocorrelation_time=max(1.0, total))


def spot_residuals(model: BenchModel, simulated: Simulated, names: tuple[str, ...]) -> Series:
    """(simulated - read) / standard uncertainty of each named reading; a value the run could not give counts as 10.

    Readings of one gauge at many pitches share its error: it is taken out as far as its statement allows, and what it
    had to be, in its standard uncertainty, is one residual more, for each gauge.
    """
    out, shared, gauges = [], [], []
    for name in names:
        reading, scenario = model.data.readings[name], model.scenario_of(name)
        value = simulated.spots.get(name)
        known = isinstance(value, float) and isinstance(reading.value, float)
        spread = reading_uncertainty(reading, scenario)
        gauge, offset = _gauge_of(reading, scenario)
        if reading.pitch is not None:
            spread = sqrt(max(spread**2 - offset**2, LEAST_NOISE["rod_force"] ** 2))
        spread = hypot(spread, simulated.sampling.get(name, 0.0) / sqrt(reading.repeats))
        spread *= 1.0 if reading.pitch is None else model.scatter
        out.append((float(value) - float(reading.value)) / spread if known else 10.0)  # type: ignore[arg-type]
        shared.append(offset / spread)
        gauges.append(gauge)
    found, taken = np.array(out), []
    for gauge in _each_gauge(gauges):
        common = np.where([one == gauge for one in gauges], shared, 0.0)
        taken.append(float(found @ common / (1.0 + common @ common)))
        found = found - taken[-1] * common
    return np.append(found, taken)


def spots_off(model: BenchModel, simulated: Simulated, names: tuple[str, ...]) -> Series:
    """Departures (n,) of readings in their whole standard uncertainty, the gauge's own error and all."""
    left = []
    for name in names:
        reading, value = model.data.readings[name], simulated.spots.get(name)
        own = reading_uncertainty(reading, model.scenario_of(name))
        doubt = hypot(own, simulated.sampling.get(name, 0.0) / sqrt(reading.repeats))
        left.append((value - float(reading.value)) / doubt if isinstance(value, float) else 10.0)
    return np.array(left)


def scatter_by_hand(
    model: BenchModel, names: tuple[str, ...], residuals: Series, jacobian: Series, whole: Series
) -> float:
    """By how much forces by hand scatter more than display and angle make likely, 1 where they do not.

    residuals (m,), jacobian (m, p) of a fit, in the order of `names` first; whole (p, p): its covariance. What the fit
    took up of each reading is no scatter of it (its leverage).
    """
    rows = [number for number, name in enumerate(names) if model.data.readings[name].pitch is not None]
    if len(rows) < LEAST_BY_HAND:
        return 1.0
    taken = float(np.einsum("ij,jk,ik->", jacobian[rows], whole, jacobian[rows]))
    free = max(len(rows) - taken, len(rows) / 3.0)
    return max(1.0, sqrt(float(np.sum(residuals[rows] ** 2)) / free))


Gauge = tuple[float | None, ...] | None
"""What tells one gauge from another; None where nothing is shared between its readings."""


def _gauge_of(reading: Reading, scenario: Scenario) -> tuple[Gauge, float]:
    """The gauge of a reading at a pitch, and the standard uncertainty of the error that its readings share, N."""
    if reading.pitch is None:
        return None, 0.0
    own = instrument("force", reading.instrument, scenario)
    offset = (own.uncertainty or 0.0) / 2.0
    return ((*own, scenario.gauge.stiffness) if offset else None), offset


def _each_gauge(gauges: Sequence[Gauge]) -> tuple[Gauge, ...]:
    return tuple(dict.fromkeys(gauge for gauge in gauges if gauge is not None))


def spot_count(model: BenchModel, names: tuple[str, ...]) -> int:
    """How many residuals `spot_residuals` gives."""
    gauges = [_gauge_of(model.data.readings[name], model.scenario_of(name))[0] for name in names]
    return len(names) + len(_each_gauge(gauges))
