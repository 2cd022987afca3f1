"""One sample of a build within its tolerances: a bench run of its own, made shorter where that changes little.

Samples lie at the places of a scrambled Sobol sequence: its points fill the tolerances more evenly than random ones, so
that the same number of runs says more. The one sampler of every study: `sampling.spread` asks it for thousands of
samples, `sampling.sampled` and `fitting.match` for a few dozen; at the same seed, number and inputs all have the same.
What they come to is for `sample_departures` to say.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, log2

import numpy as np
from numpy.typing import NDArray

from featherbench.bench.setup import Setup, build_setup
from featherbench.front_door import handed_in
from featherbench.rotor.build import Air, build_air
from featherbench.rotor.doubted_air import AirFamily, air_family
from featherbench.sampling.checkpoint import Values
from featherbench.sampling.doubts import AIR_KEYS
from featherbench.sampling.inputs import INSTRUMENTS, Input, values_at, varied
from featherbench.scenario import Scenario, ScenarioError
from featherbench.studies.bench_tests import BenchTests
from featherbench.studies.prediction import bench_run
from featherbench.studies.run import Run

Array = NDArray[np.float64]

LEAST_HOLD, LEAST_SWEEP = 0.9, 4.0
"""s; holds and gauge sweeps are not shortened below these.

Of a gauge's sweep of 8 s the peaks that it shows scatter by 0.02 N when it is made in 4 s, but by 0.11 to 0.16 N in
2.5 s, which is as much as the tolerances of a shipped build make of them.
"""
GAUGE_SHARE = 1.6
"""Of the step, while gauge and release test are marched, 0.2 ms then: of six shipped builds no force moves by more than
0.5 % of the largest, and what moves is in the build as written too.
"""
COARSE, TABLE = np.deg2rad(1.5), np.deg2rad(0.75)
"""Spacing of the static curves and of the load table over pitch, rad."""
Place = tuple[float, ...] | None
"""Where a sample lies in the tolerances, (inputs,) in [-1, 1]; None: the build as written."""
AXIS = "blade.axis_at"
AUDITS = ("energy_error", "step_error")


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
class SampleTask:
    """What every sample needs: the scenario with its programme shortened, the inputs, and air loads where they stay.

    also: what else is to be kept of a sample's run, by names that are no findings; a function of a module, so that it
    can go to other processes. like: the build as written, of which a sample takes over the parts it leaves alone.
    """

    scenario: Scenario
    inputs: tuple[Input, ...]
    air: Air | AirFamily | None
    also: Callable[[Run], Values] | None = None
    like: Setup | None = None


def sample_places(inputs: int, runs: int, seed: int) -> Array:
    """Places (runs, inputs) in [-1, 1]: a scrambled Sobol sequence; more runs continue the same sequence."""
    from scipy.stats import qmc  # a second to load, which a prediction without samples need not wait for

    sequence = qmc.Sobol(inputs, scramble=True, rng=np.random.default_rng(seed))
    return np.asarray(2.0 * sequence.random_base2(ceil(log2(max(runs, 2))))[:runs] - 1.0)


def shortened_task(nominal: Run, inputs: tuple[Input, ...], air: Air | AirFamily | None = None) -> SampleTask:
    """The nominal scenario made quick to run many times: the air loads kept where no input changes them, holds and
    gauge sweep as short as they can be without changing what is read.

    air: the air loads, where they are known already from a build with the same rotor, air and blade. The meter's
    refresh keeps its phase against every move; the gauge its number of samples over the range.
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
    faster = gauge.sweep / sweep
    quick = gauge.model_copy(
        update={"sweep": sweep, "rate": gauge.rate * faster, "pause": gauge.pause / faster}
    )
    bench = scenario.bench.model_copy(update={"programme": moves})
    if scenario.bench.spin:  # a course of rotor speed is tied to the moves by time
        bench = scenario.bench
    shorter = scenario.model_copy(update={"bench": bench, "gauge": quick})
    kept = _kept_air(nominal, inputs) if air is None else air
    return SampleTask(shorter, inputs, kept, like=nominal.setup)


def _kept_air(nominal: Run, inputs: tuple[Input, ...]) -> Air | AirFamily | None:
    """The air loads that samples need not solve anew; None where an input changes them in no simple way."""
    by_key = {own.key: own for own in inputs}
    if any(moves_air(key) for key in by_key):
        return None
    if not any(key in by_key for key in (*AIR_KEYS, AXIS)):
        return nominal.setup.air
    return family_within(nominal.scenario, inputs)


def family_within(scenario: Scenario, inputs: tuple[Input, ...], wider: float = 1.0) -> AirFamily:
    """The air loads of all builds within the doubts of the air laws, and so much beyond, without solving each anew."""
    stall = next((own for own in inputs if own.key == "doubt.air_stall"), None)
    return air_family(scenario, wider * stall.reach if stall else 0.0)


def sample_checks() -> Callable[[Run], Values]:
    """What the checks say of a sample, handed in by the front door of the package: this room must not know theirs."""
    return handed_in("sample_checks")


def moves_air(key: str) -> bool:
    """Whether the air table depends on a key. Rotor speed only scales it, Reynolds and Mach number apart."""
    return key.startswith(("air.", "blade.", "rotor.")) and key not in (
        AXIS,
        "rotor.speed",
        "blade.bolt_radius",
        "blade.bolt_chord",
        "blade.swing_angle",
        "blade.drag_moment",
    )


def run_sample(task: SampleTask, place: Place, *, instruments: bool = True) -> Values:
    """Findings of one sample at its place; {"refused": why} when it cannot be built.

    instruments: as read by instruments with their own errors at that place; else as they are.
    """
    try:
        run = sample_run(task, place)
    except ScenarioError as error:
        return refused_sample(str(error))
    values = sample_values(task, place if instruments else None, run)
    return values if task.also is None else values | task.also(run)


def refused_sample(why: str) -> Values:
    """What stands for a sample that was refused."""
    return {"refused": why}


def sample_run(task: SampleTask, place: Place) -> Run:
    """The bench run of one sample at its place. Raises ScenarioError when it cannot be built."""
    return bench_run(sample_setup(task, place), groups=False, gauge_share=GAUGE_SHARE)


def sample_tests(setup: Setup) -> BenchTests:
    """The tests of a sample that is ready to run, of which no more is run than what is asked for."""
    return BenchTests(setup, gauge_share=GAUGE_SHARE, groups=False, every_way=False)


def sample_setup(task: SampleTask, place: Place) -> Setup:
    """One sample at its place, ready to run. Raises ScenarioError when it cannot be built."""
    scenario = task.scenario
    if place is not None:
        scenario = varied(scenario, task.inputs, values_at(task.inputs, place))
    air = build_air(scenario) if task.air is None else task.air
    if isinstance(air, AirFamily):
        air = air.at(scenario)
    return CoarseSetup(**vars(build_setup(scenario, air, spacing=TABLE, like=task.like)))


def sample_values(task: SampleTask, place: Place, run: Run) -> Values:
    """Findings of a sample's run, SI, as the instruments with their own errors at that place would have them."""
    found = {name: one.value for name, one in run.findings.items() if name not in AUDITS}
    if place is None:
        return found
    for own, value in zip(task.inputs, values_at(task.inputs, place), strict=True):
        for name in INSTRUMENTS.get(own.key, ()):
            reading = found.get(name)
            found[name] = reading + value if isinstance(reading, float) else reading
    return found
