"""All checks that a bench prediction can make, and the cautions that go with every result."""

from __future__ import annotations

from featherbench.checks.balance import balance_check
from featherbench.checks.bearing import bearing_check
from featherbench.checks.bolt import bolt_checks
from featherbench.checks.check import Check
from featherbench.checks.rod import rod_checks
from featherbench.checks.servo import servo_checks
from featherbench.checks.stroke import stroke_check
from featherbench.checks.thrown import thrown_cautions
from featherbench.studies.run import Run

CAUTIONS = (
    "Spinning blades and thrown weights maim and kill. Nobody in the plane of the tail rotor; clamp the helicopter to "
    "something solid; guard or distance, and eye protection, for every run.",
    "A counterweight pulls with hundreds to thousands of times its own weight at speed. A bolt that breaks throws "
    "blade and weight: use new, rated bolts, full thread engagement, and inspect after every run.",
    "Start below the speed you mean to reach and go up in steps; weigh weights and blades in pairs.",
    "These are predictions from the figures given, not a certificate. The makers' limits, local rules and licensed "
    "practice come first. Model aircraft only: never for anything that carries a person.",
)


def bench_checks(run: Run) -> tuple[Check, ...]:
    """Demand against allowable for what a bench run shows; a missing allowable is said, not assumed.

    >>> import featherbench as fb
    >>> run = fb.predict(fb.read("scenarios/survey-3kg/plain.toml"))
    >>> {check.verdict for check in fb.bench_checks(run)} <= {"holds", "fails", "not checked"}
    True
    """
    return (
        *bolt_checks(run),
        bearing_check(run),
        *rod_checks(run),
        *servo_checks(run),
        stroke_check(run),
        balance_check(run),
    )


def run_cautions(*runs: Run) -> tuple[str, ...]:
    """The standing cautions, then what a blade or weight of these builds carries when it lets go."""
    return tuple(dict.fromkeys([*CAUTIONS, *(said for run in runs for said in thrown_cautions(run))]))
