"""Neutral or a slight bias, with what each amount of weight does to bolt, bearing and all else that holds it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from featherbench.assembly import moments_at
from featherbench.bench.setup import Setup, build_setup
from featherbench.bench.statics import static_curves
from featherbench.checks.bolt_joint import Case, fastest
from featherbench.checks.check import Check, unknown
from featherbench.checks.load_path import case_checks
from featherbench.checks.servo import stroke_torque
from featherbench.hovering import bias as study
from featherbench.hovering.bias import Bias, Strength
from featherbench.hovering.bias_robust import with_choices
from featherbench.judging.judgement import judge
from featherbench.scenario import Scenario

HELD = "what holds the weights of the sweep"
MAKE = "the sweep has no parts for them: `featherbench size` finds some that hold, to be checked again"


def bias(scenario: Scenario, **options: Any) -> Bias:
    """Sweep compensation and the weights' phase, fly each build, judge what holds each amount, and choose.

    options: compensations (n,) -, phases (m,) rad, margin -, limits, seed, draws, executor, progress, as of
    `hovering.bias.bias`. An amount at which something fails is not chosen where another will do. Raises ValueError, in
    words, when the build cannot hover.

    >>> import featherbench as fb
    >>> import numpy as np
    >>> worn = fb.read(fb.example("survey-3kg/worn"))
    >>> swept = fb.bias(worn, compensations=np.array([0.0, 0.5]), phases=np.array([0.0]), draws=2)
    >>> [point.strength for point in swept.points]
    ['holds', 'holds']
    """
    found = study.bias(scenario, **options)
    base = build_setup(scenario)
    amounts = dict.fromkeys(point.compensation for point in found.points)
    chosen = study.judged(found, {kappa: strength_at(base, kappa) for kappa in amounts})
    return with_choices(chosen, seed=options.get("seed", 0), executor=options.get("executor"))


def strength_at(base: Setup, kappa: float) -> Strength:
    """Of the build with the weights of a compensation: its own, so many times as heavy where they stand; and its servo.

    Those of a build that has none are points of mass, which nothing holds: what pulls is checked, the rest not known.
    """
    said = judge((*amount_checks(base, kappa), servo_check(base, kappa)))
    word = study.FAILS if said.failing else study.UNKNOWN if said.unknown else study.HOLDS
    return Strength(word, said.reasons)


def servo_check(base: Setup, kappa: float) -> Check:
    """The servo's torque over the stroke at a compensation, the weights not turned."""
    setup = study.varied(base, kappa, 0.0)
    return stroke_torque(setup, static_curves(setup, fastest(base.scenario), groups=False))


def amount_checks(base: Setup, kappa: float) -> tuple[Check, ...]:
    """All that carries blades and weights, at a compensation."""
    weights, factor = study.amount(base, kappa)
    parts = tuple(
        replace(part, moments=part.moments.times(factor)) if part.group == "counterweight" else part
        for part in base.assembly.parts
    )
    fitted = any(part.group == "counterweight" for part in parts)
    added = 0.0 if fitted else factor * float(weights.radial)
    assembly = replace(base.assembly, parts=parts)
    case = Case(base.scenario, assembly, float(moments_at(assembly, base.lead_lag).radial) + added)
    checks = case_checks(case)
    if fitted or factor == 0.0:
        return checks
    return (*checks, unknown(HELD + case.at, "force", MAKE, added * case.squared))
