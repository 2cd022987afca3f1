"""All that keeps a blade and its weights on the machine, from what stands in the scenario alone: no run is needed."""

from __future__ import annotations

from featherbench.bench.setup import Setup
from featherbench.checks.bearing import bearing_check
from featherbench.checks.bolt import bolt_checks
from featherbench.checks.bolt_joint import Case
from featherbench.checks.check import Check, Verdict
from featherbench.checks.nut import nut_checks
from featherbench.checks.pressure import pressure_checks
from featherbench.checks.retention import retention_checks
from featherbench.checks.tear_out import tear_out_checks
from featherbench.checks.weights import weight_checks
from featherbench.checks.within import worse_cases, worse_of


def load_path_checks(setup: Setup, *, within: bool = True) -> tuple[Check, ...]:
    """Blade bolt, its thread and pressures, what holds each weight, what holds the grip, and its bearing.

    within: what fails at the worse end of the build's tolerances fails; False for a sample, which lies within them.
    """
    checks = case_checks(Case(setup.scenario, setup.assembly, float(setup.moments.radial)))
    if not within:
        return checks
    worse = [check for case in worse_cases(setup) for check in case_checks(case)]
    return tuple(worse_of(check, worse) for check in checks)


def case_checks(case: Case) -> tuple[Check, ...]:
    """The same of a build whose parts are not all as the scenario has them."""
    return (
        *bolt_checks(case),
        *pressure_checks(case),
        *tear_out_checks(case),
        *nut_checks(case),
        *weight_checks(case),
        *retention_checks(case),
        bearing_check(case),
    )


def not_holding(setup: Setup) -> tuple[Check, ...]:
    """Those that fail or are not known: for what looks for builds that hold."""
    return tuple(one for one in load_path_checks(setup) if one.verdict is not Verdict.HOLDS)
