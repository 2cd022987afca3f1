"""The page of a bench run, of several side by side, and of a sizing: the plain build against the sized one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from featherbench.report.answer import comparison_answer, comparison_question, run_answer, run_question
from featherbench.report.numerals import unit_in_print
from featherbench.report.pages.frame import (
    Frame,
    depth,
    frame_of,
    minus,
    numeral_at,
    picture,
    render,
    typeset,
)
from featherbench.report.pictures import bench_pictures, size_pictures
from featherbench.report.sampled_notes import sampled_note, unsure_outcomes
from featherbench.report.summary import LABEL_NOTES, Case, cases_of, sections

if TYPE_CHECKING:
    from featherbench.checks import Check
    from featherbench.studies.run import Comparison, Run
    from featherbench.studies.sampled import Sampled
    from featherbench.studies.sizing import Sizing


def run_page(
    run: Run,
    checks: Sequence[Check],
    cautions: Sequence[str],
    system: str,
    command: str = "",
    sampled: Sampled | None = None,
) -> str:
    """HTML of one bench prediction. system: "metric" or "trade"; command: how it was asked for; sampled: what its
    tolerances do, for the range beside each figure and bands in pictures.
    """
    cases = cases_of([run], sampled)
    frame = frame_of(
        run_question(run), run_answer(run, system, sampled), cases, [checks], cautions, system, command
    )
    return _bench_page(frame, cases, system, sampled)


def comparison_page(
    comparison: Comparison,
    checks: Sequence[Sequence[Check]],
    cautions: Sequence[str],
    system: str,
    command: str = "",
    sampled: Sampled | None = None,
) -> str:
    """HTML text of the page of a comparison; checks: those of each run, in order; sampled: what tolerances do."""
    cases = cases_of(comparison.runs, sampled)
    question, answer = comparison_question(comparison), comparison_answer(comparison, system, sampled)
    frame = frame_of(question, answer, cases, checks, cautions, system, command)
    return _bench_page(frame, cases, system, sampled)


def size_page(
    found: Sizing,
    comparison: Comparison,
    checks: Sequence[Sequence[Check]],
    cautions: Sequence[str],
    system: str,
    command: str = "",
    sampled: Sampled | None = None,
) -> str:
    """HTML of a sizing. comparison: the build without weights, then the sized one; sampled: what tolerances do."""
    from featherbench.report.sheet_block import cut_list, tolerance_words
    from featherbench.report.sheet_text import alternatives_sheet, make_heading, size_answer

    cases = cases_of(comparison.runs, sampled)
    question = f"What weights to make for “{found.plain.title}”?"
    answer = [
        *size_answer(found, checks[-1], system),
        *comparison_answer(comparison, system)[1:],
    ]  # the force is said once
    frame = frame_of(question, answer, cases, checks, cautions, system, command)
    frame = frame._replace(attention=[*(("", note) for note in found.notes), *frame.attention])
    make = {
        "heading": {"To make": "What to make"}.get(heading := make_heading(found, checks[-1]), heading),
        "lines": [*cut_list(found), *tolerance_words(found)],
        "drawing": picture(size_pictures(found, cases, system)[0]),
        "alternatives": typeset(alternatives_sheet(found, system)),
    }
    return _bench_page(frame, cases, system, sampled, make)


def _bench_page(
    frame: Frame,
    cases: Sequence[Case],
    system: str,
    sampled: Sampled | None,
    make: dict[str, Any] | None = None,
) -> str:
    runs = [case.run for case in cases]
    frame = frame._replace(attention=[*unsure_outcomes(cases), *frame.attention])
    frame = frame._replace(
        pictures=bench_pictures(cases, system),
        first_said=[f"Left out: {'; '.join(frame.left_out)}."] if frame.left_out else [],
    )
    facts: dict[str, Any] = {
        "make": make,
        "sections": _typeset(sections(runs, system, sampled=sampled)),
        "others": _typeset([part._replace(title="") for part in sections(runs, system, True, sampled)[-1:]]),
        "spread_note": sampled_note(runs, sampled),
        "label_notes": LABEL_NOTES,
    }
    return render("bench.html", frame, facts)


def _typeset(parts: Sequence[Any]) -> list[dict[str, Any]]:
    """Sections with numbers set for print: true minus signs, points under one another, units as signs."""
    rows = [row for part in parts for row in part.rows]
    deepest = max((depth(cell) for row in rows for cell in (*row.cells, *row.changes)), default=0)
    return [
        {
            "title": part.title,
            "rows": [
                {
                    "label": row.label,
                    "cells": [numeral_at(cell, deepest) for cell in row.cells],
                    "changes": [numeral_at(cell, deepest) for cell in row.changes],
                    "shares": [minus(cell) for cell in row.shares],
                    "spreads": [minus(cell) for cell in _padded(row, "spreads", len(row.cells))],
                    "change_spreads": [
                        minus(cell) for cell in _padded(row, "change_spreads", len(row.changes))
                    ],
                    "unit": unit_in_print(row.unit),
                }
                for row in part.rows
            ],
        }
        for part in parts
    ]


def _padded(row: Any, name: str, count: int) -> list[str]:
    """The row's texts, or empty ones."""
    given = list(getattr(row, name, ()))
    return given or [""] * count
