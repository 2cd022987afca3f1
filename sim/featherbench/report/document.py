"""A run or a comparison as one document for other programs: SI only, never NaN, the same names for ever."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Any

import featherbench
from featherbench import quantities
from featherbench.report.files import write_whole

if TYPE_CHECKING:
    from featherbench.checks import Check
    from featherbench.studies.findings import Curves
    from featherbench.studies.run import Change, Comparison, Run

CURVE_DIGITS = 7
"""Significant digits of a curve's values; findings are given in full."""


def run_document(
    run: Run, checks: Sequence[Check], cautions: Sequence[str], *, seed: int | None = None
) -> dict[str, Any]:
    """Everything one run found: dictionaries, lists, numbers, texts and None (a value that is missing)."""
    return {**_heading(seed), **_run_part(run, checks, cautions)}


def comparison_document(
    comparison: Comparison,
    checks: Sequence[Sequence[Check]],
    cautions: Sequence[str],
    *,
    seed: int | None = None,
) -> dict[str, Any]:
    """All runs under "runs", and each later run's changes against the first under "changes"."""
    return {
        **_heading(seed),
        "runs": [_run_part(run, own, cautions) for run, own in zip(comparison.runs, checks, strict=True)],
        "changes": [
            {
                "base": 0,
                "run": number,
                "findings": {
                    change.name: _change(change, comparison.runs[0].findings[change.name].kind)
                    for change in changes
                },
            }
            for number, changes in enumerate(comparison.changes, start=1)
        ],
        "cautions": list(cautions),
    }


def json_text(document: Mapping[str, Any]) -> str:
    """The document as JSON, a list of plain values on one line; raises ValueError for NaN or infinity."""
    return _json(document, 0) + "\n"


def write_json(path: Path | str, document: Mapping[str, Any], force: bool = False) -> None:
    """Write the document to a file, whole or not at all; raises OutputRefused."""
    write_whole(path, json_text(document), force)


def unit_of(kind: str) -> str:
    """SI unit of a kind of quantity; "1" for a ratio, "" for a text."""
    return "1" if kind == "ratio" else quantities.si_unit(kind)


def _heading(seed: int | None) -> dict[str, Any]:
    heading: dict[str, Any] = {"tool": "featherbench", "version": featherbench.__version__}
    return heading if seed is None else {**heading, "seed": seed}


def _run_part(run: Run, checks: Sequence[Check], cautions: Sequence[str]) -> dict[str, Any]:
    source = run.scenario.source
    return {
        "scenario": {
            "title": run.scenario.title,
            "files": [str(name) for name in source.files],
            "digest": source.digest,
        },
        "findings": {
            name: {"value": _finite(found.value), "unit": unit_of(found.kind)}
            for name, found in run.findings.items()
        },
        "curves": {name: _curves(curves) for name, curves in run.curves.items()},
        "checks": [
            {
                "name": check.name,
                "demand": _finite(check.demand),
                "allowable": _finite(check.allowable),
                "unit": unit_of(check.kind),
                "margin": _finite(check.margin),
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
            name: [_finite(float(f"{value:.{CURVE_DIGITS}g}")) for value in column.tolist()]
            for name, column in curves.columns.items()
        },
        "units": {name: unit_of(kind) for name, kind in curves.kinds.items()},
    }


def _change(change: Change, kind: str) -> dict[str, Any]:
    return {
        "before": _finite(change.before),
        "after": _finite(change.after),
        "difference": _finite(change.difference),
        "share": _finite(change.share),
        "unit": unit_of(kind),
    }


def _finite(value: float | str | None) -> float | str | None:
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
