"""The bench run of one build: forces, currents, release; and the same of several, side by side."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import PurePath

import numpy as np

from featherbench.aircraft import HoverTrim
from featherbench.bench.gauge import GaugeRun
from featherbench.bench.landings import landings
from featherbench.bench.setup import Setup, build_setup
from featherbench.bench.statics import StaticCurves, static_curves
from featherbench.scenario import Scenario
from featherbench.studies.bench_tests import BenchTests
from featherbench.studies.findings import Finding, finding
from featherbench.studies.run import Change, Comparison, Run
from featherbench.studies.run_curves import run_curves
from featherbench.studies.servo_notes import servo_notes

LEFT_OUT = (
    "tail wag in flight is not in these numbers, nor which tolerance matters: see the commands wag and spread",
    "strength is judged only as far as the checks go: see what each of them assumes",
    "air loads are those of still air at steady speed: no gusts, no flow from the main rotor or from flight",
)


def moments(scenario: Scenario) -> StaticCurves:
    """Static curves over pitch: blade moment by cause, rod force, the servo's force.

    >>> import featherbench as fb
    >>> curves = fb.moments(fb.read(fb.example("survey-3kg/plain")))
    >>> f"{curves.rod_force[-1]:.1f} N at the high end, without friction"
    '9.4 N at the high end, without friction'
    >>> list(curves.to_frame())[:2]
    ['pitch [rad]', 'moment [N*m]']
    """
    return static_curves(build_setup(scenario))


def predict(scenario: Scenario, *, step_share: float = 1.0, check_step: bool = False) -> Run:
    """Gauge test, servo test and release test of one build.

    step_share < 1 shortens every time step; check_step repeats the runs at half the step and reports the largest
    change of a force or current as the finding step_error. Raises ScenarioError when the build cannot be.

    >>> import featherbench as fb
    >>> run = fb.predict(fb.read(fb.example("survey-3kg/plain")))
    >>> f"{run.value('rod_force_push'):.1f} N"
    '11.5 N'
    >>> run.findings["release"].value
    'returns'
    >>> list(run.to_frame("force_loop"))[:2]
    ['pitch [rad]', 'rod_force_up [N]']
    """
    setup = build_setup(scenario)
    run = bench_run(setup, step_share)
    if check_step:
        finer = bench_run(setup, 0.5 * step_share)
        run.findings["step_error"] = finding("step_error", step_error(run, finer))
    return run


def compare(base: Scenario, *others: Scenario) -> Comparison:
    """Predict every scenario and set the others against the first.

    >>> import featherbench as fb
    >>> plain, weighted = (fb.read(fb.example(f"survey-3kg/{name}")) for name in ("plain", "weighted"))
    >>> changes = fb.compare(plain, weighted).to_frame()
    >>> changes.loc[(1, "release"), ["before", "after"]].tolist()
    ['returns', 'stays']
    """
    return compared([predict(scenario) for scenario in (base, *others)])


def compared(runs: Sequence[Run]) -> Comparison:
    """Changes of every run against the first, in all that either of the two found; None where one did not."""
    first = runs[0].findings
    return Comparison(
        tuple(runs),
        tuple(
            tuple(
                _change(name, first.get(name), after.findings.get(name))
                for name in dict.fromkeys((*first, *after.findings))
            )
            for after in runs[1:]
        ),
    )


def step_error(coarse: Run, fine: Run) -> float:
    """Largest change of a force or current finding, relative to the largest of its kind."""
    names = [
        "rod_force_push",
        "rod_force_pull",
        "rod_force_breakout",
        "current_peak_high",
        "current_peak_low",
        "current_hold_high",
        "current_hold_low",
    ]
    worst = 0.0
    for kind in ("force", "current"):
        values = [
            (coarse.value(name), fine.value(name)) for name in names if coarse.findings[name].kind == kind
        ]
        scale = max(abs(value) for _, value in values) + 1e-12
        worst = max([worst, *(abs(one - two) / scale for one, two in values)])
    return worst


def bench_run(setup: Setup, step_share: float = 1.0, *, groups: bool = True, gauge_share: float = 1.0) -> Run:
    """Everything a bench prediction consists of, from a build that is ready to run.

    groups: with what no finding needs: curves of each part group, more ways and places from which a hold is reached.
    gauge_share: of the step, where the servo is off.
    """
    tests = BenchTests(setup, step_share, gauge_share, groups=groups, every_way=groups)
    findings = tests.findings()
    landed = landings(setup, step_share=step_share) if groups else ()
    return Run(
        setup=setup,
        statics=tests.statics,
        gauge=tests.gauge,
        servo=tests.servo,
        release_high=tests.release_high,
        release_low=tests.release_low,
        hover=tests.hover,
        findings=findings,
        curves=run_curves(tests),
        notes=(
            *_gauge_notes(tests.gauge),
            *servo_notes(setup, tests.statics, tests.servo, tests.at_ends, landed),
            *_air_notes(findings, tests.hover),
            *_reference_notes(setup.scenario),
        ),
        left_out=LEFT_OUT,
        landings=landed,
    )


def _gauge_notes(gauge: GaugeRun) -> tuple[str, ...]:
    return () if gauge.snap is None else (gauge.snap.note(),)


def _reference_notes(scenario: Scenario) -> list[str]:
    """What compensation counts from, where that is not this build without its weights."""
    if not scenario.other_bolts:
        return []
    plain_build = PurePath(scenario.source.reference).name or "the plain build"
    return [
        f"compensation counts from the bolts of {plain_build}: what {', '.join(sorted(scenario.other_bolts))} "
        'weighs more or less than they do is in it (reference = "itself" counts from this build\'s own).'
    ]


def _air_notes(findings: dict[str, Finding], hover: HoverTrim | None) -> list[str]:
    notes = []
    sides = [findings[name].value for name in ("stall_low", "stall_high")]
    stalled = [f"{np.rad2deg(value):.0f} deg" for value in sides if isinstance(value, float)]
    if stalled:
        notes.append(
            f"past {' and '.join(stalled)} the blade is stalled: the air is known least there; ranges hold that doubt "
            "(doubt.air_stall, doubt.air_moment)."
        )
    if hover is not None and not hover.found:
        notes.append(f"no hover trim: {hover.advice}.")
    return notes


def _change(name: str, before: Finding | None, after: Finding | None) -> Change:
    one, two = (found.value if found is not None else None for found in (before, after))
    if not isinstance(one, float) or not isinstance(two, float):
        return Change(name, one, two, None, None)
    share = (two - one) / abs(one) if abs(one) > 0.0 else None
    return Change(name, one, two, two - one, share)
