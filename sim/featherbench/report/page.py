"""One self-contained page: question, answer in words, table, pictures, checks, and how to repeat it."""

from __future__ import annotations

import functools
import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import featherbench
from featherbench.report.answer import comparison_answer, comparison_question, run_answer, run_question
from featherbench.report.numerals import margin_text, row_texts
from featherbench.report.plain_text import plain
from featherbench.report.summary import LABEL_NOTES, Case, assumed_by_case, cases_of, sections, title_of
from featherbench.report.svg import colour_rules, inline_svg

if TYPE_CHECKING:
    from jinja2 import Template
    from matplotlib.figure import Figure

    from featherbench.checks import Check
    from featherbench.studies.run import Comparison, Run

FIGURE_SPACE, POINT_SPACE = "\u2007", "\u2008"
"""As wide as a digit, and as a decimal point."""


class Picture(NamedTuple):
    """svg: the element, safe to set into the page; caption in words."""

    svg: str
    title: str
    caption: str


class CheckLine(NamedTuple):
    """One check of one case; name and source only on the first line of a check."""

    name: str
    source: str
    case: str
    demand: str
    allowable: str
    unit: str
    verdict: str
    fails: bool


def run_page(
    run: Run, checks: Sequence[Check], cautions: Sequence[str], system: str, command: str = ""
) -> str:
    """HTML of one bench prediction. system: "metric" or "trade"; command: how it was asked for."""
    cases = (Case("", run),)
    return _page(cases, [checks], cautions, system, command, run_question(run), run_answer(run, system))


def comparison_page(
    comparison: Comparison,
    checks: Sequence[Sequence[Check]],
    cautions: Sequence[str],
    system: str,
    command: str = "",
) -> str:
    """HTML text of the page of a comparison; checks: those of each run, in order."""
    cases = cases_of(comparison.runs)
    question, answer = comparison_question(comparison), comparison_answer(comparison, system)
    return _page(cases, checks, cautions, system, command, question, answer)


def _page(
    cases: Sequence[Case],
    checks: Sequence[Sequence[Check]],
    cautions: Sequence[str],
    system: str,
    command: str,
    question: str,
    answer: Sequence[str],
) -> str:
    runs = [case.run for case in cases]
    facts: dict[str, Any] = {
        "question": question,
        "answer": [_minus(sentence) for sentence in answer],
        "cases": [_case_facts(case) for case in cases],
        "assumed": assumed_by_case(cases),
        "sections": _typeset(sections(runs, system)),
        "others": _typeset([part._replace(title="") for part in sections(runs, system, True)[-1:]]),
        "label_notes": LABEL_NOTES,
        "pictures": _pictures(cases, system),
        "checks": _check_lines(cases, checks, system),
        "unchecked": _unchecked(checks),
        "notes": [(case.name, note) for case in cases for note in case.run.notes],
        "left_out": list(dict.fromkeys(item for run in runs for item in run.left_out)),
        "cautions": list(cautions),
        "command": command,
        "version": featherbench.__version__,
        "light": colour_rules(dark=False),
        "dark": colour_rules(dark=True),
    }
    return _template().render(facts)


@functools.cache
def _template() -> Template:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    loader = FileSystemLoader(Path(__file__).parent / "templates")
    environment = Environment(
        loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    environment.filters["plain"] = plain
    return environment.get_template("page.html")


def _case_facts(case: Case) -> dict[str, Any]:
    source = case.run.scenario.source
    return {
        "name": case.name,
        "title": title_of(case.run),
        "notes": case.run.scenario.notes,
        "files": [str(name) for name in source.files],
        "digest": source.digest,
    }


def _typeset(parts: Sequence[Any]) -> list[dict[str, Any]]:
    """Sections with numbers set for print: true minus signs, points under one another, units as signs."""
    rows = [row for part in parts for row in part.rows]
    deepest = max((_depth(cell) for row in rows for cell in (*row.cells, *row.changes)), default=0)
    return [
        {
            "title": part.title,
            "rows": [
                {
                    "label": row.label,
                    "cells": [_numeral(cell, deepest) for cell in row.cells],
                    "changes": [_numeral(cell, deepest) for cell in row.changes],
                    "shares": [_minus(cell) for cell in row.shares],
                    "unit": _unit_sign(row.unit),
                }
                for row in part.rows
            ],
        }
        for part in parts
    ]


def _depth(cell: str) -> int:
    return len(cell) - cell.index(".") if "." in cell else 0


def _numeral(cell: str, deepest: int) -> str:
    """Padded behind the point with spaces as wide as what is not there; words stay as they are."""
    if not cell.lstrip("+-")[:1].isdigit():
        return cell
    lacking = deepest - _depth(cell)
    if "." not in cell and lacking > 0:
        return _minus(cell) + POINT_SPACE + FIGURE_SPACE * (lacking - 1)
    return _minus(cell) + FIGURE_SPACE * lacking


def _minus(text: str) -> str:
    return re.sub(r"(?<!\w)-(?=\d)", "\u2212", text).replace(" %", "\u00a0%")


def _unit_sign(unit: str) -> str:
    return unit.replace("*", "·").replace("^2", "²").replace("^3", "³")


def _pictures(cases: Sequence[Case], system: str) -> list[Picture]:
    from featherbench.report.course import course_figure
    from featherbench.report.figures import force_figure, moments_figure, release_figure

    several = len(cases) > 1
    band = "The band of each build" if several else "The band"
    drawn: list[tuple[str, Figure, str, str]] = [
        (
            "force",
            force_figure(cases, system),
            "Force on the rod over pitch",
            f"{band} is what friction makes of it: pushing pitch up takes its upper edge, pulling it down "
            "its lower edge. Where the band leaves the room between the servo's lines, the servo cannot "
            "follow.",
        ),
        (
            "moments",
            moments_figure(cases, system),
            "Where the moment comes from",
            "What each group of parts adds to the moment on one blade. Where the sum stays inside the "
            "friction band, blades that are let go stay put; where it slopes down out of the band, they "
            "return until they are inside it.",
        ),
        (
            "course",
            course_figure(cases, system),
            "The bench run over time",
            "The supply current is what a meter in the servo's lead would have to follow; the meter averages "
            "and refreshes slowly, so it misses short peaks. The winding current flows inside the servo.",
        ),
        (
            "release",
            release_figure(cases),
            "The rod let go",
            "Pitch after the rod is let go on the high and on the low side, rotor at speed.",
        ),
    ]
    return [
        Picture(inline_svg(figure, name, f"{title}. {caption}"), title, caption)
        for name, figure, title, caption in drawn
    ]


def _check_lines(cases: Sequence[Case], checks: Sequence[Sequence[Check]], system: str) -> list[CheckLine]:
    """All that has an allowable, the same check of every case together."""
    names = dict.fromkeys(check.name for row in checks for check in row if check.allowable is not None)
    made = []
    for name in names:
        first = True
        for case, row in zip(cases, checks, strict=True):
            for check in row:
                if check.name == name and check.allowable is not None:
                    made.append(_check_line(check, case.name, system, first))
                    first = False
    return made


def _check_line(check: Check, case: str, system: str, first: bool) -> CheckLine:
    (demand, allowable), unit, _ = row_texts([check.demand, check.allowable], check.kind, system)
    fails = check.verdict == "fails"
    return CheckLine(
        name=check.name if first else "",
        source=check.source if first else "",
        case=case,
        demand=_minus(demand),
        allowable=_minus(allowable),
        unit=_unit_sign(unit),
        verdict=f"{'FAILS' if fails else check.verdict} {_minus(margin_text(check.margin))}".rstrip(),
        fails=fails,
    )


def _unchecked(checks: Sequence[Sequence[Check]]) -> list[str]:
    return list(
        dict.fromkeys(
            f"{check.name} ({check.source})" for row in checks for check in row if check.allowable is None
        )
    )
