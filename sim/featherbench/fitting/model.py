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
from featherbench.bench.readings import BenchData
from featherbench.bench.sessions import by_speed, only
from featherbench.bench.setup import GRID_SPACING
from featherbench.fitting.as_run import as_run
from featherbench.fitting.hand_readings import forces_at_pitch, left_open
from featherbench.fitting.lags import course_of, lag_of, logged_roles, reference, score
from featherbench.fitting.several_builds import BuildModel, at_builds, labelled, whole_data
from featherbench.fitting.simulated import SPOTS_OF_GAUGE, SPOTS_OF_RELEASE, Simulated, simulate, with_values
from featherbench.rotor.build import Air, build_air
from featherbench.rotor.doubted_air import AirFamily
from featherbench.sampling.doubts import AIR_KEYS
from featherbench.sampling.inputs import varied_inputs
from featherbench.sampling.samples import AXIS, LEAST_SWEEP, TABLE, family_within, moves_air
from featherbench.scenario import Scenario

Series = NDArray[np.float64]

ALIKE = 0.95
"""A log whose correlation with the simulation, times its overlap, is lower does not follow the programme."""
SPEED_KEY = "rotor.speed"
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
    less logged time, by number of the log. others: the same build with the forces that were read at other rotor speeds,
    by their share of the scenario's. builds: of several, the first one's and the others' models; `data` is then that of
    all (`whole_data`). scatter: of readings by hand, over what display and angle make likely."""

    scenario: Scenario
    data: BenchData
    tests: frozenset[str]
    air: Air | AirFamily | None
    lags: tuple[float, ...] = ()
    smooth: bool = False
    longer: dict[str, float] = field(default_factory=dict)
    others: tuple[tuple[float, BenchModel], ...] = ()
    builds: tuple[BuildModel, ...] = ()
    scatter: float = 1.0
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
        if self.builds:
            return at_builds(self.builds, keys, values, step_share, verdicts)
        changed = with_values(self.scenario, keys, values)
        air = self.air_of(changed, keys)
        if self.others:
            return self._with_others(keys, values, step_share, verdicts)
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

    def of_log(self, number: int, simulated: Simulated) -> tuple[BenchModel, Simulated, int]:
        """The model of the build that a log is of, what is simulated of it, and the log's number there."""
        if not self.builds:
            return self, simulated, number
        for one, there in zip(self.builds, simulated.builds, strict=True):
            if number < len(one.model.data.logs):
                return one.model, there, number
            number -= len(one.model.data.logs)
        raise IndexError(number)

    def scenario_of(self, name: str) -> Scenario:
        """The build that a reading is of, as the bench ran it."""
        for one in self.builds[1:]:
            if name.endswith(labelled("", one.name)):
                return one.model.scenario
        return self.scenario

    def _with_others(
        self, keys: tuple[str, ...], values: tuple[float, ...], step_share: float, verdicts: bool
    ) -> Simulated:
        """All speeds' readings, on the run at the scenario's own speed."""
        found = replace(self, others=()).at(keys, values, step_share=step_share, verdicts=verdicts)
        for ratio, other in self.others:
            own = tuple(
                ratio * value if key == SPEED_KEY else value for key, value in zip(keys, values, strict=True)
            )
            there = other.at(keys, own, step_share=step_share, verdicts=False)
            spots = {name: there.spots[name] for name in other.data.readings}
            sampling = {name: value for name, value in there.sampling.items() if name in spots}
            found = replace(found, spots=found.spots | spots, sampling=found.sampling | sampling)
        return found

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
    if data.builds:
        return _of_builds(scenario, data, smooth=smooth)
    scenario, said = as_run(scenario, data)
    apart = by_speed(data, float(scenario.rotor.speed))
    if apart:
        return _at_speeds(scenario, data, apart, said, smooth=smooth)
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


def _of_builds(scenario: Scenario, data: BenchData, *, smooth: bool) -> tuple[BenchModel, tuple[str, ...]]:
    """The model of several builds' readings, the one that was asked about first."""
    first = Path(scenario.source.files[0]).name if scenario.source.files else scenario.title
    names = (first, *(build.name for build in data.builds))
    pairs = ((scenario, replace(data, builds=())), *((build.scenario, build.data) for build in data.builds))
    builds, said = [], []
    for name, (written, its) in zip(names, pairs, strict=True):
        model, words = bench_model(written, its, smooth=smooth)
        builds.append(BuildModel(name, written, model))
        said += [f"{name}: {one}" for one in words]
    whole = replace(builds[0].model, data=whole_data(data), builds=tuple(builds))
    return whole, tuple(dict.fromkeys(said))


def _at_speeds(
    scenario: Scenario, data: BenchData, apart: dict[float, tuple[str, ...]], said: list[str], *, smooth: bool
) -> tuple[BenchModel, tuple[str, ...]]:
    """The model of readings at several rotor speeds."""
    away = {name for names in apart.values() for name in names}
    near = tuple(name for name in data.readings if name not in away)
    base, more = bench_model(scenario, replace(only(data, near), logs=data.logs), smooth=smooth)
    others = []
    for ratio, names in apart.items():
        speed = ratio * float(scenario.rotor.speed)
        there = with_values(scenario, (SPEED_KEY,), (speed,))
        others.append((ratio, bench_model(there, only(data, names), smooth=smooth)[0]))
    words = f"forces at {1 + len(apart)} rotor speeds, each against its own"
    whole = replace(base, data=data, others=tuple(others))
    return whole, tuple(dict.fromkeys((*said, words, *more)))


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
    if model.builds:
        both = zip(model.builds, simulated.builds, strict=True)
        builds = tuple(replace(one, model=aligned(one.model, there)) for one, there in both)
        return replace(model, builds=builds)
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
    model, simulated, number = model.of_log(number, simulated)
    log, style = model.data.logs[number], model.scenario.log
    clock, course = course_of(simulated, log.test, role)
    time = log.time + model.lags[number]
    window = style.window or log.interval
    if role == "supply_current":
        course = moving_mean(clock, course, max(window, 2e-3))
        if style.zero_idle:
            course = course - simulated.setup.plant.supply.idle
    return np.asarray(np.interp(time, clock, course, left=np.nan, right=np.nan), dtype=float)


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
