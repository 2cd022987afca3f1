"""The table of outside checks as text: how far we are from what, in a dozen lines; the misses; then every row."""

from __future__ import annotations

from collections.abc import Sequence

from source import KINDS, MEASURED
from summary import Line, error, is_miss, said, summary
from table import STATUS, Row

PLACE = 40
"""Columns of a quantity in the summary."""


def listing(rows: Sequence[Row], failed: Sequence[str], skipped: Sequence[tuple[str, str]]) -> list[str]:
    """The lines of the whole table."""
    missed = sorted((row for row in rows if is_miss(row)), key=_size)
    out = [f"{len(rows)} values checked against the outside, {len(missed)} of them missed.", ""]
    if failed:
        out += [f"FAILED in this run: {len(failed)}", *(f"  {name}" for name in failed), ""]
    out += _summary(summary(rows))
    out += _not_run(skipped)
    out += ["", f"MISSES ({len(missed)}), the largest first", _head()]
    out += [f"{_line(row)}  [{row.source}]" for row in missed]
    for kind, title in KINDS.items():
        own = [row for row in rows if row.kind == kind and not is_miss(row)]
        if own:
            out += ["", f"{title.upper()}: the {len(own)} values that are met", _head(), *_by_source(own)]
    out += ["", "Status codes:", *(f"  {code:8s} {meaning}" for code, meaning in STATUS.items())]
    return out


def readme_lines(rows: Sequence[Row]) -> list[str]:
    """Rows of the README's table: what was measured and is missed somewhere; quantity, values, bias, scatter, worst."""
    return [
        " | ".join(
            [one.quantity, str(one.values), *(_whole(one, name) for name in ("bias", "scatter", "worst"))]
        )
        for one in summary(rows)
        if one.kind in MEASURED and one.misses
    ]


def _whole(one: Line, name: str) -> str:
    """Whole per cent, for a page that is not printed anew at every change."""
    value = getattr(one, name)
    if value is None:
        return "-"
    sign = "" if name == "scatter" else "+"
    if one.absolute:
        return f"{value:{sign}.2f}"
    share = round(100.0 * value)
    return f"{share:{sign}d} %" if share else "0 %"


def _summary(lines: Sequence[Line]) -> list[str]:
    out = [
        "Bias: mean of got over expected, less one; scatter: its standard deviation. All that was",
        "measured counts, misses included, and counts once. What is marked * is stated in its own unit.",
        "",
        f"{'MEASURED':{PLACE}s}{'sources':>7s}{'values':>7s}{'bias':>9s}{'scatter':>9s}{'worst':>9s}"
        f"{'misses':>7s}  the worst",
    ]
    measured = True
    for one in lines:
        if measured and one.kind not in MEASURED:
            measured = False
            out += ["", "NOT MEASURED"]
        out.append(_summed(one, one.quantity, str(one.sources)))
        out += [_summed(part, f"  {part.quantity}", "") for part in one.parts]
    return out


def _summed(one: Line, name: str, sources: str) -> str:
    name = f"{name[: PLACE - 3]} *" if one.absolute else name[: PLACE - 1]
    scatter = said(one.scatter, one.absolute, signed=False)
    return (
        f"{name:{PLACE}s}{sources:>7s}{one.values:7d}{said(one.bias, one.absolute):>9s}{scatter:>9s}"
        f"{said(one.worst, one.absolute):>9s}{one.misses:7d}{said(one.worst_miss, one.absolute):>11s}"
    )


def _not_run(skipped: Sequence[tuple[str, str]]) -> list[str]:
    """What was skipped, each reason once."""
    if not skipped:
        return []
    reasons: dict[str, int] = {}
    for _, why in skipped:
        reasons[why] = reasons.get(why, 0) + 1
    return ["", f"NOT RUN: {len(skipped)} checks", *(f"  {count} x {why}" for why, count in reasons.items())]


def _size(row: Row) -> float:
    found = error(row)
    return -abs(found) if found is not None else 0.0


def _by_source(rows: Sequence[Row]) -> list[str]:
    out = []
    last = ""
    for row in sorted(rows, key=lambda one: one.source):
        if row.source != last:
            out += ["", row.source]
            last = row.source
        out.append(_line(row))
    return out


def _head() -> str:
    numbers = f"{'expected':>13s} {'got':>13s} {'difference':>11s}"
    return f"  {'status':8s} {'':58s} {numbers}  {'allowed':9s} {'their own':9s} reason for it"


def _line(row: Row) -> str:
    share = row.relative and row.expected != 0.0
    size = f"{100 * row.difference / abs(row.expected):+.2g} %" if share else f"{row.difference:+.2g}"
    allowed, own = (_allowance(row, value) for value in (row.tolerance, row.sigma))
    again = " (the same measurement as in another row)" if row.repeats else ""
    return (
        f"  {row.status:8s} {row.case[:58]:58s} {row.expected:13.6g} {row.got:13.6g} {size:>11s}  "
        f"{allowed:9s} {own:9s} {row.reason}{again}"
    )


def _allowance(row: Row, value: float | None) -> str:
    if value is None:
        return "-"
    return f"{100 * value:.2g} %" if row.relative else f"{value:.2g}"
