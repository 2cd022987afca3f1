"""A log set against a simulation in time: the lag of best correlation."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from featherbench.bench.instruments import moving_mean
from featherbench.bench.logs import COMPARED, Log

if TYPE_CHECKING:
    from featherbench.fitting.simulated import Simulated

Series = NDArray[np.float64]

LAG_STEP = 5e-3
FINE_STEP = 5e-4
"""s; lags are tried at the first spacing, then around the best at the second, then between."""


def lag_of(log: Log, simulated: Simulated, window: float | None = None) -> float:
    """Simulated less logged time (s) at the highest correlation of force or current, between samples by a parabola.

    window: averaging of the current logger, s; one sample interval when not given.
    """
    role = reference(log)
    values = log.columns[role]
    good = np.isfinite(values)
    clock, course = course_of(simulated, log.test, role)
    if role == "supply_current":
        course = moving_mean(clock, course, max(window or log.interval, 2e-3))
    spare = 0.6 * min(float(clock[-1] - clock[0]), float(log.time[-1]))
    lags = np.arange(clock[0] - spare, clock[-1] - log.time[-1] + spare + LAG_STEP, LAG_STEP)
    if len(lags) < 3:
        lags = np.arange(clock[0] - spare, clock[0] + spare, LAG_STEP)
    coarse = [score(log.time[good] + lag, values[good], clock, course) for lag in lags]
    lags = float(lags[int(np.argmax(coarse))]) + np.arange(-10, 11) * FINE_STEP
    scores = np.array([score(log.time[good] + lag, values[good], clock, course) for lag in lags])
    best = int(np.argmax(scores))
    if not 0 < best < len(lags) - 1:
        return float(lags[best])
    one, two, three = scores[best - 1 : best + 2]
    bend = one - 2.0 * two + three
    return float(lags[best] + (0.5 * (one - three) / bend * FINE_STEP if bend < 0.0 else 0.0))


def reference(log: Log) -> str:
    """The column by which a log is set against time."""
    return next(role for role in COMPARED[log.test] if role in log.columns)


def score(time: Series, values: Series, clock: Series, course: Series) -> float:
    """Correlation over the overlap, times the share of the log that overlaps."""
    inside = (time >= clock[0]) & (time <= clock[-1])
    if inside.sum() < 10:
        return -1.0
    one = np.interp(time[inside], clock, course)
    two = values[inside]
    one, two = one - one.mean(), two - two.mean()
    size = float(np.sqrt((one @ one) * (two @ two)))
    return float(one @ two) / size * float(inside.mean()) if size > 0.0 else -1.0


def course_of(simulated: Simulated, test: str, role: str) -> tuple[Series, Series]:
    """Time (s) and what a simulated test has in a column, SI."""
    if test == "gauge":
        run = simulated.gauge
        assert run is not None
        return run.time, {"rod_force": run.force, "pitch": run.pitch_series}[role]
    served = simulated.servo
    assert served is not None
    return served.time, {
        "rod_force": served.rod_force,
        "pitch": served.pitch,
        "supply_current": served.supply_current,
    }[role]


def logged_roles(log: Log) -> tuple[str, ...]:
    """The columns of a log that a simulation is compared with."""
    return tuple(role for role in COMPARED[log.test] if role in log.columns)
