"""A match or a calibration as one self-contained page."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import featherbench
from featherbench.report.match_figure import match_figure
from featherbench.report.match_summary import (
    Sheet,
    advice_sheet,
    aside_sheet,
    calibration_answer,
    correlation_sheet,
    fitted_sheet,
    matched_sheet,
    series_sheet,
)
from featherbench.report.page import _minus, _unit_sign
from featherbench.report.plain_text import plain
from featherbench.report.svg import colour_rules, inline_svg

if TYPE_CHECKING:
    from jinja2 import Template

    from featherbench.bench.readings import BenchData
    from featherbench.scenario import Scenario
    from featherbench.studies.calibrate import Calibration
    from featherbench.studies.match import Match
    from featherbench.studies.next_measurement import Advice

CAPTION = (
    "What was measured, what the model predicts, and where the prediction lies for 95 % of what the scenario's "
    "tolerances allow; below, what is left between them."
)


def match_page(found: Match, system: str, command: str = "") -> str:
    """HTML of a match. system: "metric" or "trade"; command: how it was asked for."""
    pictures = [
        (inline_svg(match_figure(one, system), f"series{number}", f"{one.name}. {CAPTION}"), one.name)
        for number, one in enumerate(found.series)
    ]
    sheets = (matched_sheet(found, system), series_sheet(found, system))
    question = f"Does the model agree with the bench? {found.scenario.title}"
    answer = found.verdict.rstrip(".").split("; ")
    return _page(question, answer, sheets, pictures, found.notes, found.scenario, found.data, command)


def calibration_page(done: Calibration, advice: Advice | None, system: str, command: str = "") -> str:
    """HTML of a calibration, with what to measure next when that was asked for."""
    sheets = [fitted_sheet(done, system), correlation_sheet(done), aside_sheet(done, system)]
    if advice is not None:
        sheets.append(advice_sheet(advice, system))
    question = f"What does the bench say about the build? {done.scenario.title}"
    return _page(
        question, calibration_answer(done), sheets, [], done.notes, done.scenario, done.data, command
    )


def _page(
    question: str,
    answer: Sequence[str],
    sheets: Sequence[Sheet],
    pictures: Sequence[tuple[str, str]],
    notes: Sequence[str],
    scenario: Scenario,
    data: BenchData,
    command: str,
) -> str:
    facts: dict[str, Any] = {
        "question": question,
        "answer": [_minus(sentence) for sentence in answer],
        "sheets": [
            (sheet.title, sheet.headings, [[_unit_sign(_minus(cell)) for cell in row] for row in sheet.rows])
            for sheet in sheets
            if sheet.rows
        ],
        "pictures": pictures,
        "caption": CAPTION,
        "notes": notes,
        "files": [str(name) for name in scenario.source.files],
        "data": data.digests,
        "digest": scenario.source.digest,
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
    return environment.get_template("match.html")
