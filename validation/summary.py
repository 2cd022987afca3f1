"""How far the rows are from their sources: by quantity where it was measured, by kind where it was not."""

from __future__ import annotations

import math
import re
import statistics
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from source import KINDS, MEASURED
from table import Row

UNNAMED = "not sorted under a quantity"
SHORT = {
    "standard": "standards and handbooks",
    "program": "independent programs",
    "closed form": "closed forms",
    "trade": "facts of the trade",
}


class Line(NamedTuple):
    """One line of the summary. Errors are shares of what was measured, or plain where `absolute`; None: cannot be said.

    A measurement that is in two rows counts once. parts: the same of each source, where there are several measured.
    """

    kind: str
    quantity: str
    sources: int
    values: int
    bias: float | None
    scatter: float | None
    worst: float | None
    misses: int
    worst_miss: float | None
    absolute: bool
    parts: tuple[Line, ...] = ()


def is_miss(row: Row) -> bool:
    """Whether the source's own bar, or the band first set, is not met: by the row's bar, or because its reason says
    so.
    """
    allowed = math.inf
    if row.bar is not None:
        allowed = row.bar * (abs(row.expected) if row.relative else 1.0)
    return abs(row.difference) > allowed or re.search(r"\bMISS\b", row.reason) is not None


def error(row: Row) -> float | None:
    """got / expected - 1, or got - expected where the row counts as it stands; None where neither says anything.

    Not measured and judged on its own scale (sums that cancel, shares of next to nothing): no share of the expected.
    """
    if row.absolute:
        return row.difference
    if row.expected == 0.0 or (row.kind not in (*MEASURED, "trade") and not row.relative):
        return None
    return row.got / row.expected - 1.0


def line(rows: Sequence[Row], kind: str, quantity: str) -> Line:
    """Of the rows of one quantity or kind."""
    counted = [row for row in rows if not row.repeats]
    errors = [one for row in counted if (one := error(row)) is not None]
    missed = [one for row in counted if is_miss(row) and (one := error(row)) is not None]
    named = kind != "trade"  # of hearsay, a mean says nothing
    return Line(
        kind=kind,
        quantity=quantity,
        sources=len({row.file for row in rows}),
        values=len(counted),
        bias=statistics.fmean(errors) if errors and named else None,
        scatter=statistics.stdev(errors) if len(errors) > 1 and named else None,
        worst=max(errors, key=abs, default=None),
        misses=sum(is_miss(row) for row in counted),
        worst_miss=max(missed, key=abs, default=None),
        absolute=any(row.absolute for row in counted),
    )


def summary(rows: Iterable[Row]) -> list[Line]:
    """Lines by kind, in the order of KINDS; what was measured, logged or printed, is split by quantity."""
    rows = list(rows)
    measured = [row for row in rows if row.kind in MEASURED]
    found = []
    for quantity in sorted({row.quantity or UNNAMED for row in measured}):
        own = [row for row in measured if (row.quantity or UNNAMED) == quantity]
        files = sorted({row.file for row in own if not row.repeats})
        parts = [[row for row in own if row.file == file and not row.repeats] for file in files]
        each = tuple(line(part, part[0].kind, part[0].source) for part in parts) if len(parts) > 1 else ()
        found.append(line(own, MEASURED[0], quantity)._replace(sources=len(files), parts=each))
    for kind in KINDS:
        own = [row for row in rows if row.kind == kind]
        if own and kind not in MEASURED:
            found.append(line(own, kind, SHORT[kind]))
    return found


def said(value: float | None, absolute: bool = False, signed: bool = True) -> str:
    """An error in words: per cent, or plain where it is absolute; a dash where there is none."""
    if value is None:
        return "-"
    sign = "+" if signed else ""
    if absolute:
        return f"{value:{sign}.2g}"
    share = 100.0 * value
    if abs(share) < 0.05:
        return "0 %" if share == 0.0 else "<0.05 %"
    return f"{share:{sign}.1f} %" if abs(share) < 10.0 else f"{share:{sign}.0f} %"
