"""What the bench would have read of a build: only the tests that the data is about, seen through the instruments.

The same gauge and servo tests as a prediction; what no reading needs is left out, and air loads are kept where nothing
that shapes them changes. Logs are set against the simulation in time by the lag of best correlation.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from featherbench.bench.gauge import GaugeRun
from featherbench.bench.instruments import gauge_peaks, moving_mean
from featherbench.bench.logs import Log
from featherbench.bench.readings import BenchData
from featherbench.bench.setup import GRID_SPACING
from featherbench.fitting.hand_readings import forces_at_pitch, left_open
from featherbench.fitting.lags import course_of, lag_of, logged_roles, reference, score
from featherbench.fitting.simulated import SPOTS_OF_GAUGE, SPOTS_OF_RELEASE, Simulated, simulate, with_values
from featherbench.rotor.build import Air, build_air
from featherbench.rotor.doubted_air import AirFamily
from featherbench.sampling.doubts import AIR_KEYS
from featherbench.sampling.inputs import varied_inputs
from featherbench.sampling.samples import AXIS, LEAST_SWEEP, TABLE, family_within, moves_air
from featherbench.scenario import Scenario
from featherbench.scenario.bench_tables import SpinStep

Series = NDArray[np.float64]

ALIKE = 0.95
"""A log whose correlation with the simulation, times its overlap, is lower does not follow the programme."""
SPEED_KNOTS = 0.25
"""s between the points of a rotor-speed course taken from a log."""
STEADY = 0.003
"""A logged rotor speed that varies by less than this share (standard deviation) is taken as its mean."""
UNFELT = (
    "servo.gear",
    "servo.stall",
    "servo.transit",
    "servo.idle",
    "servo.rotor",
    "servo.running",
    "supply.",
    "meter.",
)
"""Keys that a gauge test does not feel, the servo being off: its run is kept while only these change."""
WIDER = 1.7
"""A fit may go beyond a doubt's even range: to three standard deviations."""


@dataclass(frozen=True)
class BenchModel:
    """A scenario set up as the bench ran it. tests: which of gauge, servo, release the data needs; lags (s): simulated
    less logged time, by number of the log."""

    scenario: Scenario
    data: BenchData
    tests: frozenset[str]
    air: Air | AirFamily | None
    lags: tuple[float, ...] = ()
    smooth: bool = False
    longer: dict[str, float] = field(default_factory=dict)
    known: dict[tuple[tuple[str, float], ...], GaugeRun] = field(
        default_factory=dict, compare=False, repr=False
    )

    def air_of(self, changed: Scenario, keys: tuple[str, ...]) -> Air | None:
        """The air loads of a scenario in which these keys were changed; None where they are to be solved anew."""
        if any(moves_air(key) for key in keys):
            return None
        if isinstance(self.air, AirFamily):
            return self.air.at(changed)
        return None if any(key in AIR_KEYS or key == AXIS for key in keys) else self.air

    def at(
        self,
        keys: tuple[str, ...],
        values: tuple[float, ...],
        *,
        step_share: float = 1.0,
        verdicts: bool = True,
    ) -> Simulated:
        """The tests with the scenario's keys at these values, SI; verdicts: of the releases, too, which no fit of
        numbers asks for. Raises ScenarioError where no build can be.
        """
        changed = with_values(self.scenario, keys, values)
        air = self.air_of(changed, keys)
        released = "release" in self.tests
        if step_share != 1.0 or (released and verdicts):
            return self._smoothed(simulate(changed, self.tests, air, step_share))
        felt = tuple(
            (key, value) for key, value in zip(keys, values, strict=True) if not key.startswith(UNFELT)
        )
        table = TABLE if self.smooth and not released else GRID_SPACING
        found = simulate(
            changed, self.tests, air, gauge=self.known.get(felt), spacing=table, verdicts=verdicts
        )
        if found.gauge is not None:
            self.known[felt] = found.gauge
        return self._smoothed(found)

    def _smoothed(self, found: Simulated) -> Simulated:
        """The same with the gauge's peaks as its samples catch them in the mean, where jumps would stop a fit."""
        run = found.gauge
        if run is None:
            return found
        by_hand: dict[str, float | str | None] = {**forces_at_pitch(run, self.data)}
        found = replace(
            found, spots=found.spots | by_hand, sampling=found.sampling | left_open(run, self.data)
        )
        if not self.smooth:
            return found
        low, high = self.scenario.rotor.pitch_range
        within = np.where((run.pitch_series >= low) & (run.pitch_series <= high), run.force, 0.0)
        (push, doubt), (pull, other) = (
            gauge_peaks(run.time, side * within, self.scenario.gauge) for side in (1.0, -1.0)
        )
        spots = found.spots | {"gauge_push": push, "gauge_pull": pull}
        for name, more in self.longer.items():
            spots[name] = float(spots[name] or 0.0) + more
        sampling = found.sampling | {"gauge_push": doubt, "gauge_pull": other}
        return replace(found, spots=spots, sampling=sampling)


def bench_model(scenario: Scenario, data: BenchData, *, smooth: bool) -> tuple[BenchModel, tuple[str, ...]]:
    """The model as the bench ran it, and what was taken from the data for it, in words.

    smooth: displays are not rounded (for fits; the rounding is then in the uncertainty).
    """
    scenario, said = _as_run(scenario, data)
    if smooth:
        scenario = with_values(scenario, ("gauge.resolution", "meter.resolution"), (0.0, 0.0))
    tests = {log.test for log in data.logs}
    for name in data.readings:
        if data.readings[name].pitch is not None:
            tests.add("gauge")
        elif name in SPOTS_OF_RELEASE:
            tests |= {"release", "gauge"}
        elif name != "rotor_speed":
            tests.add("gauge" if name in SPOTS_OF_GAUGE else "servo")
    inputs = varied_inputs(scenario)
    doubted = any(own.key in AIR_KEYS or own.key == AXIS for own in inputs)
    often = smooth or bool(data.logs)
    air = family_within(scenario, inputs, WIDER) if doubted and often else build_air(scenario)
    model = BenchModel(scenario, data, frozenset(tests), air, smooth=smooth)
    if smooth and not any(log.test == "gauge" for log in data.logs) and scenario.gauge.sweep > LEAST_SWEEP:
        model = _shortened(model)
    there = model.at((), ())
    model = aligned(model, there)
    return model, (*said, *_out_of_step(model, there))


def _shortened(model: BenchModel) -> BenchModel:
    """The model with a quicker gauge sweep, its readings moved by what this changes in the build as written."""
    gauge = model.scenario.gauge
    faster = gauge.model_copy(update={"sweep": LEAST_SWEEP, "rate": gauge.rate * gauge.sweep / LEAST_SWEEP})
    quick = replace(model, scenario=model.scenario.model_copy(update={"gauge": faster}), known={})
    slow, fast = (
        one._smoothed(simulate(one.scenario, frozenset({"gauge"}), one.air_of(one.scenario, ()))).spots
        for one in (model, quick)
    )
    longer = {
        name: value - short
        for name, value in slow.items()
        if isinstance(value, float) and isinstance(short := fast[name], float)
    }
    return replace(quick, longer=longer)


def aligned(model: BenchModel, simulated: Simulated) -> BenchModel:
    """The model with the lags that fit this simulation best."""
    return replace(
        model, lags=tuple(lag_of(log, simulated, model.scenario.log.window) for log in model.data.logs)
    )


def _out_of_step(model: BenchModel, simulated: Simulated) -> list[str]:
    """Logs that do not follow the simulated programme in time, with what to set."""
    said = []
    for log, lag in zip(model.data.logs, model.lags, strict=True):
        role = reference(log)
        values = log.columns[role]
        good = np.isfinite(values)
        likeness = score(log.time[good] + lag, values[good], *course_of(simulated, log.test, role))
        if likeness < ALIKE:
            key = "[gauge] sweep" if log.test == "gauge" else "[bench] programme"
            said.append(
                f"{Path(log.file).name} hardly follows the simulated {log.test} test in time (correlation times "
                f"overlap {likeness:.2f}): set {key} as it was run, or cut the log to it; till then little follows"
            )
    return said


def as_logged(model: BenchModel, simulated: Simulated, number: int, role: str) -> Series:
    """What log `number` would hold in a column (n,), SI, nan outside the simulated time."""
    log, style = model.data.logs[number], model.scenario.log
    clock, course = course_of(simulated, log.test, role)
    time = log.time + model.lags[number]
    window = style.window or log.interval
    if role == "supply_current":
        course = moving_mean(clock, course, max(window, 2e-3))
        if style.zero_idle:
            course = course - simulated.setup.plant.supply.idle
    return np.asarray(np.interp(time, clock, course, left=np.nan, right=np.nan), dtype=float)


def _as_run(scenario: Scenario, data: BenchData) -> tuple[Scenario, list[str]]:
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


__all__ = [
    "BenchModel",
    "Simulated",
    "as_logged",
    "bench_model",
    "lag_of",
    "logged_roles",
    "simulate",
    "with_values",
]
