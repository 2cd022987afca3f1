"""The page of every outside check: how far we are from what, what is missed, what each source is, what was left out."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import jinja2

from source import KINDS, MEASURED, About
from summary import Line, error, is_miss, line, said, summary
from table import STATUS, Row

Abouts = dict[str, tuple[About | None, str]]


def build_page(
    rows: Sequence[Row],
    abouts: Abouts,
    failed: Sequence[str] = (),
    skipped: Sequence[tuple[str, str]] = (),
) -> str:
    """The page as text. abouts: file name -> (what the file says of its source, its docstring)."""
    lines = summary(rows)
    missed = sorted((row for row in rows if is_miss(row)), key=lambda row: -abs(error(row) or 0.0))
    loader = jinja2.FileSystemLoader(Path(__file__).parent)
    inside = jinja2.Environment(
        loader=loader, autoescape=True, trim_blocks=True, undefined=jinja2.StrictUndefined
    )
    return inside.get_template("page.html").render(
        count=len(rows),
        measured=[own for one in lines if one.kind in MEASURED for own in _summed(one)],
        others=[own for one in lines if one.kind not in MEASURED for own in _summed(one)],
        misses=[_shown(row, with_source=True) for row in missed],
        parts=_parts(rows, abouts),
        failed=list(failed),
        skipped=_reasons(skipped),
        skips=len(skipped),
        codes=list(STATUS.items()),
    )


def _parts(rows: Sequence[Row], abouts: Abouts) -> list[dict[str, Any]]:
    """By kind, and in each by file: a file whose rows are of two kinds is in two parts, each with its own rows."""
    parts = []
    for kind, title in KINDS.items():
        own = [row for row in rows if row.kind == kind]
        files = sorted({row.file for row in own}, key=lambda name: _title(name, abouts).lower())
        sources = [_source(name, [row for row in own if row.file == name], abouts) for name in files]
        if sources:
            parts.append({"title": title, "sources": sources})
    return parts


def _summed(one: Line) -> list[dict[str, Any]]:
    """The line, and those of its sources."""
    return [
        {
            "quantity": own.quantity + (" (in its own unit)" if own.absolute else ""),
            "part": own is not one,
            "sources": "" if own is not one else own.sources,
            "count": own.values,
            "bias": said(own.bias, own.absolute),
            "scatter": said(own.scatter, own.absolute, signed=False),
            "worst": said(own.worst, own.absolute),
            "misses": own.misses,
            "worst_miss": said(own.worst_miss, own.absolute),
        }
        for own in (one, *one.parts)
    ]


def _reasons(skipped: Sequence[tuple[str, str]]) -> list[tuple[str, int]]:
    """Each reason once, with how many checks it kept from running."""
    reasons: dict[str, int] = {}
    for _, why in skipped:
        reasons[why] = reasons.get(why, 0) + 1
    return list(reasons.items())


def _title(name: str, abouts: Abouts) -> str:
    about = abouts.get(name, (None, ""))[0]
    return about.title if about else name.removeprefix("test_").removesuffix(".py").replace("_", " ")


def _source(name: str, rows: list[Row], abouts: Abouts) -> dict[str, Any]:
    about, text = abouts.get(name, (None, ""))
    facts = []
    if about:
        facts = [
            ("Citation", about.citation),
            ("Mapping", about.mapping),
            ("Uncertainty", about.uncertainty),
            ("Left out", about.left_out),
        ]
    if rows[0].kind in MEASURED:
        for quantity in dict.fromkeys(row.quantity for row in rows):
            facts.append((quantity, _bias(line([row for row in rows if row.quantity == quantity], "", ""))))
    facts.append(("Checked in", name))
    ordered = sorted(rows, key=lambda row: (not is_miss(row), row.source))
    several = len({row.source for row in rows}) > 1
    return {
        "title": _title(name, abouts),
        "text": _paragraphs(text),
        "facts": [(label, said_of_it) for label, said_of_it in facts if said_of_it],
        "rows": [_shown(row, with_source=several) for row in ordered],
    }


def _bias(one: Line) -> str:
    if one.bias is None or one.scatter is None:
        return ""
    scatter = said(one.scatter, one.absolute, signed=False)
    return f"bias {said(one.bias, one.absolute)}, scatter {scatter}, {one.values} values"


def _paragraphs(text: str) -> str:
    """A docstring with its lines joined and its paragraphs kept."""
    return "\n".join(" ".join(part.split()) for part in text.strip().split("\n\n"))


def _shown(row: Row, *, with_source: bool) -> dict[str, Any]:
    share = row.relative and row.expected != 0.0
    size = f"{100 * row.difference / abs(row.expected):+.2g} %" if share else f"{row.difference:+.2g}"
    return {
        "case": f"{row.source}: {row.case}" if with_source else row.case,
        "status": row.status,
        "expected": f"{row.expected:.6g}",
        "got": f"{row.got:.6g}",
        "difference": size,
        "allowed": _allowance(row, row.tolerance),
        "sigma": _allowance(row, row.sigma),
        "reason": row.reason + (" (the same measurement as in another row)" if row.repeats else ""),
        "missed": is_miss(row),
    }


def _allowance(row: Row, value: float | None) -> str:
    if value is None:
        return ""
    return f"{100 * value:.2g} %" if row.relative else f"{value:.2g}"
