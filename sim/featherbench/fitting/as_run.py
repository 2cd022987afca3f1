"""The scenario as the bench ran it: at the rotor speed that was read or logged."""

from __future__ import annotations

import numpy as np

from featherbench.bench.logs import Log
from featherbench.bench.readings import BenchData
from featherbench.fitting.lags import lag_of
from featherbench.fitting.simulated import simulate, with_values
from featherbench.scenario import Scenario
from featherbench.scenario.bench_tables import SpinStep

SPEED_KNOTS = 0.25
"""s between the points of a rotor-speed course taken from a log."""
STEADY = 0.003
"""A logged rotor speed that varies by less than this share (standard deviation) is taken as its mean."""


def as_run(scenario: Scenario, data: BenchData) -> tuple[Scenario, list[str]]:
    """The scenario at the speed that was read or logged."""
    said: list[str] = []
    read = data.readings.get("rotor_speed")
    if read is not None:
        scenario = with_values(scenario, ("rotor.speed",), (float(read.value),))
        said.append("rotor speed as read on the bench")
    for log in data.logs:
        if "rotor_speed" not in log.columns:
            continue
        speed = log.columns["rotor_speed"]
        good = np.isfinite(speed)
        mean, spread = float(speed[good].mean()), float(speed[good].std())
        scenario = with_values(scenario, ("rotor.speed",), (mean,))
        if log.test == "servo" and spread > STEADY * mean and not scenario.bench.spin:
            scenario = _on_course(scenario, log, lag_at_steady_speed(scenario, log))
            said.append("rotor speed follows the log")
        else:
            said.append("rotor speed as logged, its mean")
    return scenario, said


def lag_at_steady_speed(scenario: Scenario, log: Log) -> float:
    """Lag (s) of a log at constant speed."""
    return lag_of(log, simulate(scenario, frozenset({log.test}), None), scenario.log.window)


def _on_course(scenario: Scenario, log: Log, lag: float) -> Scenario:
    speed = log.columns["rotor_speed"]
    good = np.isfinite(speed)
    end = sum(move.over + move.hold for move in scenario.bench.programme)
    knots = np.arange(0.0, end + SPEED_KNOTS, SPEED_KNOTS)
    time = log.time[good] + lag
    means = [
        float(speed[good][near].mean())
        if (near := np.abs(time - knot) <= 0.5 * SPEED_KNOTS).any()
        else np.nan
        for knot in knots
    ]
    known = np.isfinite(means)
    course = np.interp(knots, knots[known], np.array(means)[known])
    steps = tuple(SpinStep.model_construct(to=float(to), over=SPEED_KNOTS, hold=0.0) for to in course[1:])
    bench = scenario.bench.model_copy(update={"spin": steps})
    return with_values(scenario.model_copy(update={"bench": bench}), ("rotor.speed",), (float(course[0]),))
