"""Where the largest force lies, and by how much it changes, tolerances and the model's doubts considered."""

from __future__ import annotations

from typing import TYPE_CHECKING

from featherbench.numerals import row_texts

if TYPE_CHECKING:
    from featherbench.sampling.sampled import Interval, Sampled
    from featherbench.studies.run import Run


def largest_side(run: Run) -> tuple[float, str]:
    """The largest force, N, and which way it goes."""
    return max((_force(run, side), side) for side in ("pull", "push"))


def _force(run: Run, side: str) -> float:
    value = run.findings[f"rod_force_{side}"].value
    return value if isinstance(value, float) else 0.0


def in_doubt(interval: Interval | None, system: str) -> str:
    """Where a force lies, tolerances and doubts considered."""
    if interval is None or interval.low == interval.high:
        return ""
    (low, high), unit, _ = row_texts([interval.low, interval.high], "force", system, figures=2, least=1)
    return f", with all doubts {low} to {high} {unit}"


def change_in_doubt(before: Run, after: Run, sampled: Sampled, system: str) -> str:
    """By how much the largest force changes, tolerances and doubts considered: surer than either range, since builds
    share their doubts. Empty where the largest force goes the other way afterwards.
    """
    (_, side), (_, other) = largest_side(before), largest_side(after)
    interval = sampled.changes[0].get(f"rod_force_{side}") if side == other else None
    if interval is None or interval.low == interval.high:
        return ""
    if interval.low < 0.0 < interval.high:
        (low, high), unit, _ = row_texts([interval.low, interval.high], "force", system, figures=2, least=1)
        return f", with all doubts a change of anything from {low} to +{high} {unit}"
    ends = sorted((abs(interval.low), abs(interval.high)))
    (low, high), unit, _ = row_texts(list(ends), "force", system, figures=2, least=1)
    way = "rise" if interval.low > 0.0 else "drop"
    return f", a {way} of {low} to {high} {unit} with all doubts"
