"""What stands at the foot of the window about the build that is shown."""

from __future__ import annotations

from featherbench.checks import Verdict, bench_checks
from featherbench.exploring import ADDED, Snapshot, WholeRange, overlaps
from featherbench.judging.judgement import release_lines
from featherbench.numerals import quantity
from featherbench.scenario import Scenario, ScenarioError
from featherbench.views.first_lines import of_run

LOOSE = (
    "Nothing is said to hold the added weights: state held_by for each in the variant file, or let featherbench size "
    "choose weights and what holds them."
)


def refusal(error: Exception) -> str:
    """Why a build cannot be shown."""
    if isinstance(error, ScenarioError):
        first = error.problems[0]
        return f"This cannot be built: {first.key}, {first.given}; it should be {first.expected}."
    return f"This cannot be computed ({error})."


def verdict(snapshot: Snapshot, base: Snapshot, system: str) -> tuple[str, str]:
    """Metal inside metal, weights that nothing holds yet, and where to see the checks; with the role of its colour."""
    found = overlaps(snapshot.setup.assembly, base.setup.assembly)
    if found:
        first = found[0]
        depth = quantity(first.depth, "length", system)
        return (
            f"This cannot be put together: {first.weight} would stand {depth} deep in {first.part}.",
            "orange",
        )
    parts = snapshot.scenario.part
    if any(name in parts and parts[name].held_by is None for name in ADDED):
        return LOOSE, "orange"
    if snapshot.run is None:
        return "...", "ink"
    lacking = sum(check.verdict is Verdict.NOT_CHECKED for check in bench_checks(snapshot.run))
    more = f", {lacking} could not be made, data missing" if lacking else ""
    return (
        f"Checks as featherbench predict makes them{more}: see it for each demand and what is allowed.",
        "ink",
    )


def judged(snapshot: Snapshot, whole: WholeRange | None = None) -> tuple[str, str]:
    """Whether the build that is shown may be run, and the role of its colour; the words tell it without colour. whole:
    what its tolerances and doubts make of it.
    """
    lines = [
        *of_run(snapshot.bench).lines,
        *([] if whole is None else release_lines(*whole.shares, whole.samples)),
    ]
    if lines:
        return " ".join(lines), "orange"
    return "No check of strength or balance fails, as far as the file states limits.", "green"


def named(scenario: Scenario) -> str:
    """What a build is called in a command to copy."""
    files = scenario.source.files
    return str(files[0]) if files else "FILE"
