"""What fails inside the tolerances that a build states: the worse end of each counts, and says so."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from featherbench.assembly import build_assembly, moments_at
from featherbench.bench.setup import Setup
from featherbench.checks.bolt_joint import Case
from featherbench.checks.check import Check, Verdict
from featherbench.scenario import Scenario, ScenarioError
from featherbench.studies.key_paths import looked_up, with_value

HEAVIER = ("mass", "density")
WEAKER = (
    "static_rating",
    "proof_strength",
    "yield_strength",
    "ultimate_strength",
    "into_yield",
    "engagement",
    "thread_in_grip",
)
"""Keys whose lower end is the worse one."""
EITHER = ("part.", "joint.", "retention.", "blade.bolt_")
"""Tables of which either end may be the worse one: each is tried."""
AT_THE_END = "at the worse end of your tolerances"


def worse_cases(setup: Setup) -> Iterator[Case]:
    """Builds at the ends of their tolerances: all loads at their greatest and strengths at their least together; then,
    with those, each other dimension at either end.
    """
    ends, others = _ends(setup.scenario)
    if not ends and not others:
        return
    loaded, assembly = setup.scenario, setup.assembly
    for key, value in ends:
        loaded = with_value(loaded, key, value)
    for other in [None, *others]:
        worst = with_value(loaded, *other) if other else loaded
        try:
            assembly = build_assembly(worst, assembly)
        except ScenarioError:  # no build there: who samples it is told
            continue
        yield Case(worst, assembly, float(moments_at(assembly, setup.lead_lag).radial))


def _ends(scenario: Scenario) -> tuple[list[tuple[str, float]], list[tuple[str, float]]]:
    """(key, SI) of what is worse at one end, and of what may be so at either."""
    ends, others = [], []
    for key, half in scenario.source.tolerances.items():
        table, *_, last = key.split(".")
        if table == "part" and key.split(".")[1] not in scenario.part:
            continue
        value, _ = looked_up(scenario, key)
        if key == "rotor.speed" or (table == "part" and last in HEAVIER):
            ends.append((key, value + half))
        elif last in WEAKER and key.startswith(("bearing.", *EITHER)):
            ends.append((key, max(value - half, 1e-9 * abs(value))))
        elif key.startswith(EITHER):
            others += [(key, value + half), (key, value - half)]
    return ends, others


def worse_of(check: Check, others: list[Check]) -> Check:
    """The check as written; where it holds, and the same of a build within the tolerances fails, the worst of those."""
    failing = [one for one in others if one.name == check.name and one.verdict is Verdict.FAILS]
    if check.verdict is not Verdict.HOLDS or not failing:
        return check
    worst = min(failing, key=lambda one: one.safety or 0.0)
    section = f"{worst.section}, {AT_THE_END}" if worst.section else AT_THE_END
    return replace(worst, section=section, within=True)
