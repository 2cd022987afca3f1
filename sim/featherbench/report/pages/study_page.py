"""Pages of the studies: spread, match, calibrate, all from one template."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from featherbench.render.page import page
from featherbench.views.bench import about_builds
from featherbench.views.cases import Case, title_of
from featherbench.views.pictures import (
    calibration_pictures,
    match_pictures,
    size_pictures,
    spread_pictures,
)
from featherbench.views.view import Note, Table, View

if TYPE_CHECKING:
    from featherbench.checks import Check
    from featherbench.scenario import Scenario
    from featherbench.studies.calibrate import Calibration
    from featherbench.studies.match import Match
    from featherbench.studies.next_measurement import Advice
    from featherbench.studies.run import Comparison
    from featherbench.studies.sampled import Sampled
    from featherbench.studies.sizing import Sizing
    from featherbench.studies.spread import Spread


def spread_page(spread: Spread, cautions: Sequence[str], system: str, command: str = "") -> str:
    """HTML of a spread. system: "metric" or "trade"; command: how it was asked for."""
    from featherbench.checks import bench_checks
    from featherbench.views.first_lines import of_spread
    from featherbench.views.spread_summary import inputs_sheet, spread_answer, spread_notes, spread_sheet

    run = spread.nominal
    question = f"What do the tolerances do to “{title_of(run)}”?"
    checks = [bench_checks(run)]
    view = replace(
        about_builds([Case("", run)], checks, cautions, system, first=of_spread(spread, checks[0])),
        question=question,
        answer=spread_answer(spread, system),
        pictures=spread_pictures(spread, system),
        rests_on=spread_notes(spread),
    )
    return study_page(view, command, [spread_sheet(spread, system), inputs_sheet(spread, system)])


def match_page(found: Match, cautions: Sequence[str], system: str, command: str = "") -> str:
    """HTML of a match. system: "metric" or "trade"; command: how it was asked for."""
    from featherbench.views.match_summary import matched_sheet, series_sheet

    answer = [f"{said[0].upper()}{said[1:]}." for said in found.verdict.rstrip(".").split("; ")]
    view = scenario_view("Does the model agree with the bench?", answer, found.scenario, cautions, system)
    view = replace(
        view, pictures=match_pictures(found, system), rests_on=found.notes, measured=found.data.digests
    )
    return study_page(view, command, [matched_sheet(found, system), series_sheet(found, system)])


def calibration_page(
    done: Calibration, advice: Advice | None, cautions: Sequence[str], system: str, command: str = ""
) -> str:
    """HTML of a calibration, with what to measure next when that was asked for."""
    from featherbench.views.first_lines import of_calibration
    from featherbench.views.match_summary import (
        advice_sheet,
        aside_sheet,
        calibration_answer,
        correlation_sheet,
        fitted_sheet,
        improved_sheet,
    )

    view = scenario_view(
        "What does the bench say about the build?",
        calibration_answer(done, system),
        done.scenario,
        cautions,
        system,
    )
    view = replace(view, first=of_calibration(done))
    view = replace(
        view, pictures=calibration_pictures(done, system), rests_on=done.notes, measured=done.data.digests
    )
    sheets = [make(done, system) for make in (fitted_sheet, improved_sheet, aside_sheet)]
    sheets.append(correlation_sheet(done))
    if advice is not None:
        sheets.append(advice_sheet(advice, system))
    return study_page(view, command, sheets)


def study_page(view: View, command: str, sheets: Sequence[Table]) -> str:
    """Tables that say something, in the page."""
    shown = tuple(sheet for sheet in sheets if sheet.rows or sheet.remarks)
    return page(replace(view, tables=shown), command)


def scenario_view(
    question: str, answer: Sequence[str], scenario: Scenario, cautions: Sequence[str], system: str
) -> View:
    """A study of one scenario: with the strength checks of its bench run."""
    from featherbench.checks import bench_checks
    from featherbench.studies import predict

    run = predict(scenario)
    about = about_builds([Case("", run)], [bench_checks(run)], cautions, system)
    return replace(about, question=f"{question} {title_of(run)}", answer=tuple(answer), notes=())


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
    from featherbench.report.sheet_text import alternatives_sheet, make_heading, size_answer
    from featherbench.views.bench import comparison_view
    from featherbench.views.cases import cases_of
    from featherbench.workshop.title_block import cut_list, tolerance_words

    view = comparison_view(comparison, checks, cautions, system, sampled=sampled)
    heading = {"To make": "What to make"}.get(heading := make_heading(found, checks[-1]), heading)
    drawing = size_pictures(found, cases_of(comparison.runs, sampled), system)[0]
    make = Table(heading, remarks=(*cut_list(found), *tolerance_words(found)), picture=drawing)
    view = replace(
        view,
        question=f"What weights to make for “{found.plain.title}”?",
        answer=(*size_answer(found, checks[-1], system), *view.answer[1:]),  # the force is said once
        tables=(make, alternatives_sheet(found, system), *view.tables),
        notes=(*(Note(note) for note in found.notes), *view.notes),
    )
    return page(view, command)
