"""What a program reads of a bench run or of several: SI, the same names for ever."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from featherbench.guide.findings import FINDINGS_TABLE
from featherbench.numerals import unit_of
from featherbench.views.sampled_notes import sampled_part, with_spread

if TYPE_CHECKING:
    from featherbench.checks import Check
    from featherbench.sampling.sampled import BuildSpread, Sampled
    from featherbench.scenario import Scenario
    from featherbench.studies.run import Change, Comparison, Run


def run_data(
    run: Run,
    checks: Sequence[Check],
    cautions: Sequence[str],
    *,
    seed: int | None = None,
    sampled: Sampled | None = None,
) -> dict[str, Any]:
    """Everything one run found. sampled: what its tolerances do, for low and high (95 %) beside every value."""
    spread = sampled.builds[0] if sampled else None
    data = {**seeded(seed), **_run_part(run, checks, cautions, spread)}
    return {**data, "spread": sampled_part(sampled)} if sampled else data


def comparison_data(
    comparison: Comparison,
    checks: Sequence[Sequence[Check]],
    cautions: Sequence[str],
    *,
    seed: int | None = None,
    sampled: Sampled | None = None,
) -> dict[str, Any]:
    """All runs under "runs", and each later run's changes against the first under "changes".

    sampled: what the tolerances of these runs do, for low and high (95 %) beside values and differences.
    """
    count = len(comparison.changes)
    builds = sampled.builds if sampled else [None] * (count + 1)
    spreads = sampled.changes if sampled else [{}] * count
    data = {
        **seeded(seed),
        "runs": [
            _run_part(run, check, cautions, spread)
            for run, check, spread in zip(comparison.runs, checks, builds, strict=True)
        ],
        "changes": [
            {
                "base": 0,
                "run": number,
                "findings": with_spread({change.name: _change(change) for change in changes}, spread, {}),
            }
            for number, (changes, spread) in enumerate(zip(comparison.changes, spreads, strict=True), start=1)
        ],
        "cautions": list(cautions),
    }
    return {**data, "spread": sampled_part(sampled)} if sampled else data


def seeded(seed: int | None) -> dict[str, Any]:
    """The seed, where one was used."""
    return {} if seed is None else {"seed": seed}


def scenario_data(scenario: Scenario) -> dict[str, Any]:
    """Which scenario it is about."""
    source = scenario.source
    return {
        "title": scenario.title,
        "files": [str(name) for name in source.files],
        "reference": source.reference,
        "digest": source.digest,
    }


def _run_part(
    run: Run, checks: Sequence[Check], cautions: Sequence[str], spread: BuildSpread | None = None
) -> dict[str, Any]:
    findings = {
        name: {"value": finding.value, "unit": unit_of(finding.kind)}
        for name, finding in run.findings.items()
    }
    return {
        "scenario": scenario_data(run.scenario),
        "findings": with_spread(findings, spread.intervals, spread.outcomes) if spread else findings,
        "curves": dict(run.curves),
        "checks": [
            {
                "name": check.name,
                "demand": check.demand,
                "allowable": check.allowable,
                "unit": unit_of(check.kind),
                "margin": check.margin,
                "safety": check.safety,
                "section": check.section,
                "load_path": check.load_path,
                "source": check.source,
                "verdict": check.verdict,
            }
            for check in checks
        ],
        "cautions": list(cautions),
        "assumed": [{"key": item.key, "value": item.value, "why": item.why} for item in run.assumed],
        "notes": list(run.notes),
        "left_out": list(run.left_out),
    }


def _change(change: Change) -> dict[str, Any]:
    return {
        "before": change.before,
        "after": change.after,
        "difference": change.difference,
        "share": change.share,
        "unit": unit_of(FINDINGS_TABLE[change.name].kind),
    }
