"""All checks that a bench prediction can make."""

from __future__ import annotations

from featherbench.checks.balance import balance_check
from featherbench.checks.check import Check
from featherbench.checks.load_path import load_path_checks
from featherbench.checks.rod import rod_checks
from featherbench.checks.servo import servo_checks
from featherbench.checks.stroke import stroke_check
from featherbench.studies.run import Run


def bench_checks(run: Run, *, within: bool = True) -> tuple[Check, ...]:
    """Demand against allowable for what a bench run shows; a missing allowable is said, not assumed.

    within: what fails at the worse end of the build's tolerances fails; False for a sample, which lies within them.

    >>> import featherbench as fb
    >>> run = fb.predict(fb.read(fb.example("survey-3kg/plain")))
    >>> {check.verdict for check in fb.bench_checks(run)} <= {"holds", "fails", "unknown", "not checked"}
    True
    """
    return (
        *load_path_checks(run.setup, within=within),
        *rod_checks(run),
        *servo_checks(run, within=within),
        stroke_check(run),
        balance_check(run),
    )
