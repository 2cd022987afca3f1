"""A match or a calibration as plain text for a terminal or a pipe."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.console import Console

from featherbench.plain_text import plain
from featherbench.render.printing import (
    print_cautions,
    print_first,
    print_heading,
    print_list,
    print_table,
    say,
)
from featherbench.report.tabled import columns
from featherbench.views.first_lines import FirstLines
from featherbench.views.match_summary import (
    advice_sheet,
    aside_sheet,
    calibration_answer,
    correlation_sheet,
    fitted_sheet,
    improved_sheet,
    matched_sheet,
    series_sheet,
    unknowns_sheet,
)
from featherbench.views.view import Table

if TYPE_CHECKING:
    from featherbench.studies.calibrate import Calibration
    from featherbench.studies.fitting_unknowns import Unknown
    from featherbench.studies.match import Match
    from featherbench.studies.next_measurement import Advice


def print_match(found: Match, first: FirstLines, system: str, console: Console) -> None:
    """Print a match. system: "metric" or "trade"."""
    print_first(console, first)
    say(console, plain(found.scenario.title), "bold")
    say(console, plain(found.verdict))
    _sheet(console, matched_sheet(found, system))
    _sheet(console, series_sheet(found, system))
    print_list(console, "Notes", found.notes)
    print_cautions(console)


def print_calibration(
    done: Calibration, advice: Advice | None, first: FirstLines, system: str, console: Console
) -> None:
    """Print a calibration and, when asked for, what to measure next."""
    print_first(console, first)
    say(console, plain(done.scenario.title), "bold")
    for sentence in calibration_answer(done, system):
        say(console, sentence)
    sheets = (fitted_sheet, improved_sheet, aside_sheet)
    for sheet in (*(make(done, system) for make in sheets), correlation_sheet(done)):
        _sheet(console, sheet)
    if advice is not None:
        _sheet(console, advice_sheet(advice, system))
    print_list(console, "Notes", done.notes)
    print_cautions(console)


def print_unknowns(found: tuple[Unknown, ...], system: str, console: Console) -> None:
    """Print what may be freed."""
    _sheet(console, unknowns_sheet(found, system))


def _sheet(console: Console, sheet: Table) -> None:
    if sheet.rows:
        print_heading(console, sheet.title)
        print_table(console, columns(sheet))
