"""Which of the figures that the user did not state move what is predicted: each is tried at another plausible value.

One at a time, by the shortened bench run that samples make: a figure matters when a force or a current moves by more
than MATTERS of the largest of its kind, or released blades do something else. What only a check or an instrument reads
is not tried.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, NamedTuple

from featherbench.quantities import QuantityError, parse
from featherbench.sampling.doubts import EVEN, with_doubt
from featherbench.sampling.samples import SampleTask, moves_air, sample_setup, sample_tests, shortened_task
from featherbench.scenario import ScenarioError
from featherbench.studies.ensemble import run_many
from featherbench.studies.key_paths import looked_up, with_value

if TYPE_CHECKING:
    from featherbench.scenario import Assumed, Scenario
    from featherbench.studies.bench_tests import BenchTests
    from featherbench.studies.run import Run

MATTERS = 0.05
"""Share of the largest force, or of the largest current, from which on a figure matters: what a gauge or a meter on
the bench can just tell (judgement)."""
FORCES = ("rod_force_push", "rod_force_pull", "rod_force_breakout")
CURRENTS = ("current_hold_high", "current_hold_low", "current_peak_high", "current_peak_low")
RELEASED = ("release", "release_low")
POLAR = "blade.polar"
TIMES = {
    "bearing.coefficient": 3.0,
    "servo.gear_stiffness": 0.5,
    "linkage.stiffness": 0.5,
    "air.density": 0.95,
    "servo.current_limit": 1.2,
}
"""What a figure is multiplied by to be tried; TWICE where nothing is said (judgement)."""
TWICE = 2.0
QUICK_ONLY = frozenset(
    {
        "linkage.damping_ratio",
        "linkage.slider_mass",
        "linkage.rod_mass",
        "servo.inductance",
        "servo.output_inertia",
    }
)
"""Not tried: they act in quick movements only, below 1 % at twice their size in each shipped build."""
INSTEAD = {
    "linkage.slider_load_friction": 0.05,
    "linkage.rod_load_friction": 0.05,
    "linkage.slider_friction": 0.3,
    "linkage.rod_friction": 0.2,
    "bearing.starting_moment": 2e-4,
    "servo.output_friction": 1e-3,
    "servo.gear_play": 0.005,
    "servo.idle_current": 0.01,
    "servo.chopping_rate": 2000.0,
    "supply.resistance": 0.1,
}
"""SI; tried where the figure taken is none or nothing (judgement)."""


class Trial(NamedTuple):
    """An assumed key and the build with another value there; air: whether that changes the air loads."""

    key: str
    scenario: Scenario
    air: bool


def assumptions_that_matter(run: Run) -> tuple[str, ...]:
    """Keys of what was assumed for a finished run that moves a result, the one that moves most first.

    >>> import featherbench as fb
    >>> run = fb.predict(fb.read("scenarios/survey-3kg/plain.toml"))
    >>> from featherbench.sampling.assumptions import assumptions_that_matter
    >>> set(assumptions_that_matter(run)) <= {one.key for one in run.assumed}
    True
    """
    task = shortened_task(run, ())
    trials = [trial for one in run.assumed if (trial := _trial(task.scenario, one)) is not None]
    written = _ready(task)
    base = _read(written)
    if base is None:
        return ()
    done = run_many(partial(_tried, task, written), trials).all_or_stop()
    moved = {trial.key: _moved(base, one) for trial, one in zip(trials, done, strict=True)}
    return tuple(
        sorted((key for key, share in moved.items() if share > MATTERS), key=lambda key: -moved[key])
    )


def _trial(scenario: Scenario, assumed: Assumed) -> Trial | None:
    """None for what cannot be tried: words, and what no force or current hangs on."""
    key = assumed.key
    if key == POLAR:
        half = EVEN * scenario.doubt.air_stall
        return Trial(key, with_doubt(scenario, "doubt.air_stall", half), True) if half > 0.0 else None
    if key in QUICK_ONLY or key.startswith(("gauge.", "meter.", "limits.", "joint.", "aircraft.", "bench.")):
        return None
    try:
        _, field = looked_up(with_value(scenario, key, 0.0), key)
        taken = parse(assumed.value, field.kind if field else "ratio").value
    except (QuantityError, StopIteration, AttributeError, KeyError, ValueError):
        taken = 0.0
    other = TIMES.get(key, TWICE) * taken if taken else INSTEAD.get(key)
    return None if other is None else Trial(key, with_value(scenario, key, other), moves_air(key))


def _tried(
    task: SampleTask, written: BenchTests | None, trial: Trial
) -> dict[str, float | str | None] | None:
    """Findings of a trial; None when it cannot be built."""
    tests = _ready(SampleTask(trial.scenario, (), None if trial.air else task.air, like=task.like))
    if tests is not None and written is not None:
        tests.take_over(written)
    return _read(tests)


def _ready(task: SampleTask) -> BenchTests | None:
    """The tests of a task's own build; None when it cannot be built."""
    try:
        return sample_tests(sample_setup(task, None))
    except ScenarioError:
        return None


def _read(tests: BenchTests | None) -> dict[str, float | str | None] | None:
    """Findings that tell whether anything matters, and no test run that they do not need; None of a build that cannot
    be tested.
    """
    if tests is None:
        return None
    try:
        found = tests.findings((*FORCES, *CURRENTS, *RELEASED))
    except ScenarioError:
        return None
    return {name: one.value for name, one in found.items()}


def _moved(base: dict[str, float | str | None], other: dict[str, float | str | None] | None) -> float:
    """The largest change, as a share of the largest of its kind; 1 and more when released blades do another thing."""
    if other is None:
        return 0.0
    share = 1.0 if any(base.get(name) != other.get(name) for name in RELEASED) else 0.0
    largest = 0.0
    for names in (FORCES, CURRENTS):
        pairs = [(base.get(name), other.get(name)) for name in names]
        known = [(one, two) for one, two in pairs if isinstance(one, float) and isinstance(two, float)]
        most = max((abs(one) for one, _ in known), default=0.0)
        if most > 0.0:
            largest = max(largest, *(abs(two - one) / most for one, two in known))
    return share + largest
