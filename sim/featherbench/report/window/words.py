"""What stands at the foot of the window about the build that is shown."""

from __future__ import annotations

from featherbench.report.numerals import quantity
from featherbench.scenario import ScenarioError
from featherbench.studies.exploring import Look, overlaps


def refusal(error: Exception) -> str:
    """Why a build cannot be shown."""
    if isinstance(error, ScenarioError):
        first = error.problems[0]
        return f"This cannot be built: {first.key}, {first.given}; it should be {first.expected}."
    return f"This cannot be computed ({error})."


def verdict(look: Look, base: Look, system: str) -> tuple[str, str]:
    """Metal inside metal, and once the look is exact what the checks say; with the role of its colour."""
    found = overlaps(look.setup.assembly, base.setup.assembly)
    if found:
        first = found[0]
        depth = quantity(first.depth, "length", system)
        return (
            f"This cannot be put together: {first.weight} would stand {depth} deep in {first.part}.",
            "orange",
        )
    if look.run is None:
        return "...", "ink"
    from featherbench.checks import bench_checks

    failed = [check.name for check in bench_checks(look.run) if check.verdict == "fails"]
    if failed:
        words = f"Fails: {', '.join(failed)}. See featherbench predict for the demand and what is allowed."
        return words, "orange"
    return "No check of strength or balance fails, as far as the file states limits.", "ink"
