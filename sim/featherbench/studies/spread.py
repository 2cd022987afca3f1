"""What tolerances do to every finding, and which tolerance matters.

Inputs (see `spread_inputs`) are sampled by a scrambled Sobol sequence; every sample is a bench run of its own, made
shorter where that changes nothing. The 95 % interval of a finding is between the 2.5 and 97.5 per cent quantiles of the
samples; shares of variance as in `spread_shares`. The same scenario, seed and number of runs give the same findings,
whatever the number of threads.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import partial
from importlib.metadata import version
from math import ceil, log2
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc

from featherbench.bench.setup import Setup, build_setup
from featherbench.rotor.build import Air, build_air
from featherbench.scenario import Scenario, ScenarioError
from featherbench.studies.ensemble import run_many
from featherbench.studies.findings import MEANINGS
from featherbench.studies.prediction import bench_run, predict
from featherbench.studies.run import Run
from featherbench.studies.spread_inputs import INSTRUMENTS, Input, spread_inputs, varied
from featherbench.studies.spread_kept import Kept, Values, open_kept
from featherbench.studies.spread_shares import Shares, variance_shares

Array = NDArray[np.float64]

RUNS = 2048
LEAST_HOLD, LEAST_SWEEP = 0.9, 2.5
"""s; holds and gauge sweeps are not shortened below these."""
COARSE, TABLE = np.deg2rad(1.5), np.deg2rad(0.75)
"""Spacing of the static curves and of the load table over pitch, rad."""
AUDITS = ("energy_error", "step_error")
METHOD = (
    "each tolerance taken as a bound within which every value is equally likely; shares of variance by a polynomial "
    "fitted to the samples"
)


class CoarseSetup(Setup):
    """A build whose static curves have fewer points."""

    @property
    def pitch_grid(self) -> Array:
        """Pitch (n,), rad; both ends, and zero when it lies inside, are included."""
        low, high = self.scenario.rotor.pitch_range
        return np.unique(
            np.concatenate([np.linspace(low, high, ceil((high - low) / COARSE) + 1), [low, high]])
        )


@dataclass(frozen=True)
class FindingSpread:
    """One finding over all samples, SI. value: of the nominal build; low, high: 95 %; standard: deviation.

    share_known: of the samples that gave a value; shares, total_shares: of variance, by key; unexplained: share that
    no polynomial predicts. outcomes: of a text, share of samples by text. Empty or None where it does not apply.
    """

    name: str
    value: float | str | None
    low: float | None
    high: float | None
    standard: float | None
    share_known: float
    shares: dict[str, float]
    total_shares: dict[str, float]
    unexplained: float | None
    outcomes: dict[str, float]


@dataclass(frozen=True)
class Spread:
    """nominal: the bench run as written; findings by name; asked, done: number of samples; refused: samples that could
    not be built, and why the first could not; complete: whether nothing interrupted it.
    """

    nominal: Run
    inputs: tuple[Input, ...]
    findings: dict[str, FindingSpread]
    samples: dict[int, Values]
    asked: int
    refused: int
    refusal: str
    seed: int
    complete: bool

    @property
    def done(self) -> int:
        """Number of samples run."""
        return len(self.samples)

    @property
    def scenario(self) -> Scenario:
        """The scenario as written."""
        return self.nominal.scenario


@dataclass(frozen=True)
class _Task:
    """What every sample needs: the scenario with its programme shortened, the inputs, and air loads where they stay."""

    scenario: Scenario
    inputs: tuple[Input, ...]
    air: Air | None


def spread(
    scenario: Scenario,
    *,
    runs: int = RUNS,
    seed: int = 0,
    bearing_doubt: bool = False,
    keep: Path | str | None = None,
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Spread:
    """Sample the tolerances of a scenario. keep: a file in which results are stored as they come and found again.

    Raises ScenarioError when there is nothing to vary or the build cannot be, KeptElsewhere for a file that holds
    something else. An interrupt gives what was done so far.
    """
    inputs = spread_inputs(scenario, bearing_doubt=bearing_doubt)
    nominal = predict(scenario)
    points = sample_places(len(inputs), runs, seed)
    task = partial(run_sample, economical(nominal, inputs))
    kept = None
    if keep is not None:
        kept = open_kept(keep, _belongs(scenario, inputs, seed))
    try:
        known = {index: values for index, values in kept.known.items() if index < runs} if kept else None
        done = run_many(
            task,
            [tuple(row) for row in points.tolist()],
            executor=executor,
            progress=progress,
            known=known,
            keep=kept.add if kept else None,
        )
    finally:
        _close(kept)
    return summarised(nominal, inputs, done.results, points, seed, done.complete)


def _close(kept: Kept | None) -> None:
    if kept is not None:
        kept.close()


def _belongs(scenario: Scenario, inputs: tuple[Input, ...], seed: int) -> dict[str, object]:
    return {
        "kept": "spread",
        "program version": version("featherbench"),
        "scenario": scenario.source.digest,
        "seed": seed,
        "set of inputs": [[own.key, own.low, own.high] for own in inputs],
    }


def sample_places(inputs: int, runs: int, seed: int) -> Array:
    """Places (runs, inputs) in [-1, 1]: a scrambled Sobol sequence; more runs continue the same sequence."""
    sequence = qmc.Sobol(inputs, scramble=True, rng=np.random.default_rng(seed))
    return np.asarray(2.0 * sequence.random_base2(ceil(log2(max(runs, 2))))[:runs] - 1.0)


def economical(nominal: Run, inputs: tuple[Input, ...]) -> _Task:
    """The nominal scenario made quick to run many times: the air loads kept where no input changes them, holds and
    gauge sweep as short as they can be without changing what is read.

    The meter's refresh keeps its phase against every move; the gauge its number of samples over the range.
    """
    scenario = nominal.scenario
    period = 1.0 / scenario.meter.rate
    arrivals = [leg.arrival for leg in nominal.servo.legs if np.isfinite(leg.arrival)]
    slowest = max(arrivals, default=0.5)
    least = max(LEAST_HOLD, 2.0 * slowest + scenario.meter.window)
    moves = tuple(
        move.model_copy(
            update={"hold": move.hold - max(0, int((move.hold - least) / period + 1e-9)) * period}
        )
        for move in scenario.bench.programme
    )
    gauge = scenario.gauge
    sweep = min(gauge.sweep, LEAST_SWEEP)
    quick = gauge.model_copy(update={"sweep": sweep, "rate": gauge.rate * gauge.sweep / sweep})
    bench = scenario.bench.model_copy(update={"programme": moves})
    if scenario.bench.spin:  # a course of rotor speed is tied to the moves by time
        bench = scenario.bench
    shorter = scenario.model_copy(update={"bench": bench, "gauge": quick})
    changes_air = any(_moves_air(own.key) for own in inputs)
    return _Task(shorter, inputs, None if changes_air else nominal.setup.air)


def _moves_air(key: str) -> bool:
    """Whether the air table depends on a key. Rotor speed only scales it, Reynolds and Mach number apart."""
    return key.startswith(("air.", "blade.", "rotor.")) and key not in (
        "rotor.speed",
        "blade.bolt_radius",
        "blade.bolt_chord",
        "blade.swing_angle",
        "blade.drag_moment",
    )


def run_sample(task: _Task, place: tuple[float, ...]) -> Values:
    """Findings of one sample at a place (inputs,) in [-1, 1]; {"refused": why} when it cannot be built."""
    inputs = task.inputs
    values = tuple(
        0.5 * (own.low + own.high) + own.half_width * where for own, where in zip(inputs, place, strict=True)
    )
    try:
        scenario = varied(task.scenario, inputs, values)
        air = build_air(scenario, axials=3) if task.air is None else task.air
        setup = build_setup(scenario, air, spacing=TABLE)
        run = bench_run(CoarseSetup(**vars(setup)), groups=False)
    except ScenarioError as error:
        return {"refused": str(error)}
    found = {name: one.value for name, one in run.findings.items() if name not in AUDITS}
    for own, value in zip(inputs, values, strict=True):
        for name in INSTRUMENTS.get(own.key, ()):
            reading = found.get(name)
            found[name] = reading + value if isinstance(reading, float) else reading
    return found


def summarised(
    nominal: Run,
    inputs: tuple[Input, ...],
    samples: dict[int, Values],
    points: Array,
    seed: int,
    complete: bool,
) -> Spread:
    """Intervals and shares from samples by index; points (asked, inputs) in [-1, 1]."""
    good = [index for index in sorted(samples) if "refused" not in samples[index]]
    refusals = [str(values["refused"]) for values in samples.values() if "refused" in values]
    findings = {
        name: _finding_spread(
            name, one.value, [samples[index].get(name) for index in good], points[good], inputs
        )
        for name, one in nominal.findings.items()
        if name not in AUDITS and name in MEANINGS
    }
    return Spread(
        nominal=nominal,
        inputs=inputs,
        findings=findings,
        samples=samples,
        asked=len(points),
        refused=len(refusals),
        refusal=refusals[0] if refusals else "",
        seed=seed,
        complete=complete,
    )


def _finding_spread(
    name: str,
    value: float | str | None,
    sampled: list[float | str | None],
    places: Array,
    inputs: tuple[Input, ...],
) -> FindingSpread:
    empty = FindingSpread(name, value, None, None, None, 0.0, {}, {}, None, {})
    if not sampled:
        return empty
    if MEANINGS[name].kind == "text":
        texts = [str(text) for text in sampled]
        outcomes = {text: texts.count(text) / len(texts) for text in sorted(set(texts))}
        return replace(empty, share_known=1.0, outcomes=outcomes)
    known = np.array([isinstance(one, float) for one in sampled])
    if not known.any():
        return empty
    numbers = np.array([one for one in sampled if isinstance(one, float)])
    low, high = np.quantile(numbers, [0.025, 0.975])
    shares = variance_shares(places[known], numbers)
    return replace(
        empty,
        low=float(low),
        high=float(high),
        standard=float(np.std(numbers, ddof=1)) if len(numbers) > 1 else None,
        share_known=float(known.mean()),
        shares=_by_key(inputs, shares.first) if shares else {},
        total_shares=_by_key(inputs, shares.total) if shares else {},
        unexplained=shares.unexplained if shares else None,
    )


def _by_key(inputs: tuple[Input, ...], shares: Array) -> dict[str, float]:
    return {own.key: float(share) for own, share in zip(inputs, shares, strict=True)}


__all__ = ["RUNS", "FindingSpread", "Shares", "Spread", "economical", "run_sample", "sample_places", "spread"]
