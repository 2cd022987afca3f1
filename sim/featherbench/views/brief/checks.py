"""What was checked of one build or several, the worst first, and what could not be."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from featherbench.checks import Verdict, lacking, verdict_text, worst_first
from featherbench.numerals import row_texts
from featherbench.plain_text import plain
from featherbench.views.brief.strength import strength_note
from featherbench.views.view import CheckCell, CheckRow, Checks

if TYPE_CHECKING:
    from featherbench.checks import Check

STOPS = (Verdict.FAILS, Verdict.UNKNOWN)


def checks_of(checks: Sequence[Sequence[Check]], system: str) -> Checks:
    """checks: those of each build, in order. system: "metric" or "trade"."""
    every = worst_first([check for row in checks for check in row])
    names = dict.fromkeys(check.name for check in every if check.verdict is not Verdict.NOT_CHECKED)
    of_builds = [{check.name: check for check in reversed(row)} for row in checks]
    return Checks(
        tuple(_row(name, [of_build.get(name) for of_build in of_builds], system) for name in names),
        _lacking(every, Verdict.UNKNOWN),
        _lacking(every, Verdict.NOT_CHECKED),
        strength_note(checks),
    )


def _row(name: str, of_builds: Sequence[Check | None], system: str) -> CheckRow:
    """One check of each build."""
    known = next(check for check in of_builds if check is not None)
    source = f"{known.source}; at {known.section}" if known.section else known.source
    cells = tuple(None if check is None else _cell(check, system) for check in of_builds)
    return CheckRow(plain(name), source, cells)


def _cell(check: Check, system: str) -> CheckCell:
    (demand, allowed), unit, _ = row_texts([check.demand, check.allowable], check.kind, system)
    return CheckCell(verdict_text(check), demand, allowed, unit, check.allowable, check.verdict in STOPS)


def _lacking(every: Sequence[Check], verdict: Verdict) -> tuple[str, ...]:
    """What is missing for the checks of a verdict, each once, with what to state."""
    return tuple(plain(one) for one in lacking(check for check in every if check.verdict is verdict))
