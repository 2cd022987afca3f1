"""A run or a comparison as one document for other programs: SI only, never NaN, the same names for ever."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Any

import featherbench
from featherbench.report.files import write_whole
from featherbench.report.first_lines import FirstLines, of_cases, of_run
from featherbench.report.numerals import unit_of
from featherbench.report.sampled_notes import sampled_part, with_spread
from featherbench.report.summary import cases_of
from featherbench.studies.findings import MEANINGS

if TYPE_CHECKING:
    from featherbench.checks import Check
    from featherbench.studies.findings import Curves
    from featherbench.studies.run import Change, Comparison, Run
    from featherbench.studies.sampled import BuildSpread, Sampled

CURVE_DIGITS = 7
"""Significant digits of a curve's values; findings are given in full."""


def run_document(
    run: Run,
    checks: Sequence[Check],
    cautions: Sequence[str],
    *,
    seed: int | None = None,
    sampled: Sampled | None = None,
) -> dict[str, Any]:
    """Everything one run found: dictionaries, lists, numbers, texts and None (a value that is missing).

    sampled: what its tolerances do, for low and high (95 %) beside every value that has them.
    """
    spread = sampled.builds[0] if sampled else None
    document = {**heading(seed, of_run(run, checks, sampled)), **_run_part(run, checks, cautions, spread)}
    return {**document, "spread": sampled_part(sampled)} if sampled else document


def comparison_document(
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
    document = {
        **heading(seed, of_cases(cases_of(comparison.runs, sampled), checks)),
        "runs": [
            _run_part(run, own, cautions, spread)
            for run, own, spread in zip(comparison.runs, checks, builds, strict=True)
        ],
        "changes": [
            {
                "base": 0,
                "run": number,
                "findings": with_spread(
                    {change.name: _change(change, MEANINGS[change.name].kind) for change in changes},
                    spread,
                    {},
                ),
            }
            for number, (changes, spread) in enumerate(zip(comparison.changes, spreads, strict=True), start=1)
        ],
        "cautions": list(cautions),
    }
    return {**document, "spread": sampled_part(sampled)} if sampled else document


def json_text(document: Mapping[str, Any]) -> str:
    """The document as JSON, a list of plain values on one line; raises ValueError for NaN or infinity."""
    return _json(document, 0) + "\n"


def write_json(path: Path | str, document: Mapping[str, Any], force: bool = False) -> None:
    """Write the document to a file, whole or not at all; raises OutputRefused."""
    write_whole(path, json_text(document), force)


def heading(seed: int | None, first: FirstLines) -> dict[str, Any]:
    """What every document of a result begins with: whether the build may be run, and what is to be read first; the
    program, its version, and the seed where one was used.
    """
    program: dict[str, Any] = {
        **first.document(),
        "tool": "featherbench",
        "version": featherbench.__version__,
    }
    return program if seed is None else {**program, "seed": seed}


def _run_part(
    run: Run, checks: Sequence[Check], cautions: Sequence[str], spread: BuildSpread | None = None
) -> dict[str, Any]:
    source = run.scenario.source
    findings = {
        name: {"value": finite(found.value), "unit": unit_of(found.kind)}
        for name, found in run.findings.items()
    }
    return {
        "scenario": {
            "title": run.scenario.title,
            "files": [str(name) for name in source.files],
            "digest": source.digest,
        },
        "findings": with_spread(findings, spread.intervals, spread.outcomes) if spread else findings,
        "curves": {name: _curves(curves) for name, curves in run.curves.items()},
        "checks": [
            {
                "name": check.name,
                "demand": finite(check.demand),
                "allowable": finite(check.allowable),
                "unit": unit_of(check.kind),
                "margin": finite(check.margin),
                "safety": finite(check.safety),
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


def _curves(curves: Curves) -> dict[str, Any]:
    return {
        "columns": {
            name: [finite(float(f"{value:.{CURVE_DIGITS}g}")) for value in column.tolist()]
            for name, column in curves.columns.items()
        },
        "units": {name: unit_of(kind) for name, kind in curves.kinds.items()},
    }


def _change(change: Change, kind: str) -> dict[str, Any]:
    return {
        "before": finite(change.before),
        "after": finite(change.after),
        "difference": finite(change.difference),
        "share": finite(change.share),
        "unit": unit_of(kind),
    }


def finite(value: float | str | None) -> float | str | None:
    """The value, or None for NaN and infinity, which JSON does not know."""
    return None if isinstance(value, float) and not isfinite(value) else value


def _json(value: Any, depth: int) -> str:
    """JSON text, dictionaries and lists of them over several lines."""
    pad, end = "  " * (depth + 1), "  " * depth
    if isinstance(value, Mapping) and value:
        items = [f"{pad}{json.dumps(str(key))}: {_json(item, depth + 1)}" for key, item in value.items()]
        return "{\n" + ",\n".join(items) + f"\n{end}}}"
    if isinstance(value, list) and any(isinstance(item, Mapping | list) for item in value):
        return "[\n" + ",\n".join(pad + _json(item, depth + 1) for item in value) + f"\n{end}]"
    return json.dumps(value, allow_nan=False)
