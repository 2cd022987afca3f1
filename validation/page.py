"""The page of every outside check: what each source is, how far we are from it, what was left out, what is missed."""

from __future__ import annotations

import re
import statistics
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import jinja2

from source import KINDS, About
from table import STATUS, Row

FOUND_OUT = {"D", "DER", "RAN"}
"""Statuses that need no print and no experiment."""


def is_miss(row: Row) -> bool:
    """Whether the row's reason states a miss."""
    return re.search(r"\bMISS\b", row.reason) is not None


def bias_and_scatter(rows: Iterable[Row]) -> tuple[float, float, int] | None:
    """(mean, standard deviation, number) of got/expected - 1 over rows of relative tolerance; None below two."""
    errors = [row.got / row.expected - 1.0 for row in rows if row.relative and row.expected != 0.0]
    if len(errors) < 2:
        return None
    return statistics.fmean(errors), statistics.stdev(errors), len(errors)


def build_page(
    rows: Sequence[Row],
    abouts: dict[str, tuple[About | None, str]],
    failed: Sequence[str] = (),
    skipped: Sequence[tuple[str, str]] = (),
) -> str:
    """The page as text. abouts: file name -> (what the file says of its source, its docstring)."""
    files = sorted({row.file for row in rows}, key=lambda name: _title(name, abouts).lower())
    sources = [_source(name, [row for row in rows if row.file == name], abouts) for name in files]
    parts = []
    for kind, title in KINDS.items():
        own = [one for one in sources if one["kind"] == kind]
        if own:
            parts.append(
                {
                    "title": title,
                    "sources": own,
                    "count": sum(len(one["rows"]) for one in own),
                    "misses": sum(row["missed"] for one in own for row in one["rows"]),
                }
            )
    missed = sorted((row for row in rows if is_miss(row)), key=lambda row: (row.source, row.quantity))
    loader = jinja2.FileSystemLoader(Path(__file__).parent)
    inside = jinja2.Environment(
        loader=loader, autoescape=True, trim_blocks=True, undefined=jinja2.StrictUndefined
    )
    return inside.get_template("page.html").render(
        count=len(rows),
        misses=[_shown(row, with_source=True) for row in missed],
        parts=parts,
        failed=list(failed),
        skipped=list(skipped),
        codes=list(STATUS.items()),
    )


def _title(name: str, abouts: dict[str, tuple[About | None, str]]) -> str:
    about = abouts.get(name, (None, ""))[0]
    return about.title if about else name.removeprefix("test_").removesuffix(".py").replace("_", " ")


def _source(name: str, rows: list[Row], abouts: dict[str, tuple[About | None, str]]) -> dict[str, Any]:
    about, text = abouts.get(name, (None, ""))
    kind = about.kind if about else "exact" if all(row.status in FOUND_OUT for row in rows) else "print"
    facts = []
    if about:
        facts = [
            ("Citation", about.citation),
            ("Mapping", about.mapping),
            ("Uncertainty", about.uncertainty),
            ("Left out", about.left_out),
        ]
    spread = bias_and_scatter(row for row in rows if row.status not in {"D", "RAN"})
    if spread and kind == "experiment":
        bias, scatter, number = spread
        facts.append(("Bias, scatter", f"{100 * bias:+.1f} %, {100 * scatter:.1f} % over {number} values"))
    facts.append(("Checked in", name))
    ordered = sorted(rows, key=lambda row: (row.source, row.quantity))
    several = len({row.source for row in rows}) > 1
    return {
        "title": _title(name, abouts),
        "kind": kind,
        "text": _paragraphs(text),
        "facts": [(label, said) for label, said in facts if said],
        "rows": [_shown(row, with_source=several) for row in ordered],
    }


def _paragraphs(text: str) -> str:
    """A docstring with its lines joined and its paragraphs kept."""
    return "\n".join(" ".join(part.split()) for part in text.strip().split("\n\n"))


def _shown(row: Row, *, with_source: bool) -> dict[str, Any]:
    if row.relative and row.expected != 0.0:
        difference, allowed = (
            f"{100 * row.difference / abs(row.expected):+.2g} %",
            f"{100 * row.tolerance:.2g} %",
        )
    else:
        difference, allowed = f"{row.difference:+.2g}", f"{row.tolerance:.2g}"
    return {
        "quantity": f"{row.source}: {row.quantity}" if with_source else row.quantity,
        "status": row.status,
        "expected": f"{row.expected:.6g}",
        "got": f"{row.got:.6g}",
        "difference": difference,
        "allowed": allowed,
        "reason": row.reason,
        "missed": is_miss(row),
    }
