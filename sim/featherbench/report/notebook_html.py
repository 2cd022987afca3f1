"""A result in short for the cell of a notebook: whether it may be run, then the answer, main findings, notes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from featherbench.checks import bench_checks
from featherbench.report.first_lines import (
    NOTHING,
    FirstLines,
    of_calibration,
    of_cases,
    of_run,
    of_scenario,
    of_sizing,
    of_spread,
)
from featherbench.report.notebook_element import Piece, element
from featherbench.report.numerals import quantity, row_texts

if TYPE_CHECKING:
    from featherbench.bench.statics import StaticCurves
    from featherbench.report.tabled import Sheet
    from featherbench.scenario import Scenario
    from featherbench.studies.bias import Bias
    from featherbench.studies.calibrate import Calibration
    from featherbench.studies.match import Match
    from featherbench.studies.run import Comparison, Run
    from featherbench.studies.sampled import Sampled
    from featherbench.studies.sizing import Sizing
    from featherbench.studies.spread import Spread
    from featherbench.studies.wag import Wag


def as_html(result: Any, units: str = "metric") -> str:
    """A scenario or a result as an HTML element, everything in it escaped. units: "metric" or "trade".

    Raises TypeError for what it does not know, ValueError for other units.

    >>> import featherbench as fb
    >>> fb.as_html(fb.read("scenarios/survey-3kg/plain.toml"))[:40]
    '<div style="max-width:50em"><p><b>Survey'
    """
    if units not in ("metric", "trade"):
        raise ValueError(f'units are "metric" or "trade", not {units!r}')
    for kind in type(result).__mro__:
        if kind.__module__.startswith("featherbench.") and kind.__name__ in WRITERS:
            return element(WRITERS[kind.__name__](result, units))
    raise TypeError(f"{type(result).__name__} is no result of featherbench")


def _of_sheet(title: str, answer: Iterable[str], sheet: Sheet, notes: Sequence[str] = ()) -> Piece:
    headings = tuple(heading for heading, _ in sheet.headings)
    return Piece(title, tuple(answer), headings, sheet.rows, (*sheet.remarks, *notes))


def _scenario(scenario: Scenario, units: str) -> Piece:
    """What was read: the rotor, the parts with their masses."""
    from featherbench.assembly import build_assembly
    from featherbench.scenario import ScenarioError

    low, high = (np.rad2deg(end) for end in scenario.rotor.pitch_range)
    speed = quantity(scenario.rotor.speed, "rotation", units)
    answer = [f"{scenario.rotor.blades} blades at {speed}, pitch {low:.3g} to {high:.3g} deg."]
    if scenario.notes.strip():
        answer.append(scenario.notes)
    assumed = len(scenario.source.assumed)
    notes = [f"{assumed} values were left to defaults (scenario.source.assumed)"] if assumed else []
    try:
        parts = build_assembly(scenario).parts
    except ScenarioError as error:
        return Piece(scenario.title, tuple(answer), notes=(f"cannot be built: {error}", *notes))
    rows = [(part.name, part.group, quantity(part.moments.mass, "mass", units), part.how) for part in parts]
    return Piece(
        scenario.title, tuple(answer), ("part of one blade", "group", "mass", ""), tuple(rows), tuple(notes)
    )


def _statics(curves: StaticCurves, units: str) -> Piece:
    """Force and moments at the ends and in the middle."""
    places = [0, int(np.argmin(np.abs(curves.pitch))), -1]
    rows = []
    for label, values, kind in (
        ("force that holds the rod, push positive", curves.rod_force, "force"),
        ("friction, half the band", curves.rod_friction, "force"),
        ("moment on one blade, up raises pitch", curves.moment, "moment"),
        ("the servo has", curves.servo_force, "force"),
    ):
        texts, unit, _ = row_texts([float(values[place]) for place in places], kind, units)
        rows.append((label, *texts, unit))
    headings = ("at a pitch of", *(f"{np.rad2deg(curves.pitch[place]):.3g} deg" for place in places), "")
    return Piece("Static curves over pitch, rotor at speed", headings=headings, rows=tuple(rows))


def _run(run: Run, units: str) -> Piece:
    from featherbench.report.answer import run_answer
    from featherbench.report.summary import title_of

    return Piece(
        title_of(run),
        run_answer(run, units),
        rows=_sections([run], units),
        notes=run.notes,
        first=of_run(run),
    )


def _comparison(comparison: Comparison, units: str) -> Piece:
    from featherbench.report.answer import comparison_answer
    from featherbench.report.summary import cases_of, titles

    cases = cases_of(comparison.runs)
    named = [f"{name}: {title}" for name, title in titles(comparison)]
    notes = [f"{case.name}: {note}" for case in cases for note in case.run.notes]
    headings = ("", *(case.name for case in cases), "")
    return Piece(
        "What changes on the bench",
        (*named, *comparison_answer(comparison, units)),
        headings,
        _sections(comparison.runs, units),
        tuple(notes),
        of_cases(cases),
    )


def _sections(runs: Sequence[Run], units: str) -> tuple[tuple[str, ...], ...]:
    from featherbench.report.summary import sections

    rows: list[tuple[str, ...]] = []
    for section in sections(runs, units):
        rows.append((section.title,))
        rows += [(row.label, *row.cells, row.unit) for row in section.rows]
    return tuple(rows)


def _spread(found: Spread, units: str) -> Piece:
    from featherbench.report.spread_summary import interval, most, shown_findings, spread_answer, spread_notes
    from featherbench.studies.findings import in_words

    rows = [(in_words(one.name), *interval(one, units), most(one)) for one in shown_findings(found)]
    headings = ("", "as written", "low (95 %)", "high (95 %)", "", "mostly from")
    return Piece(
        found.scenario.title,
        spread_answer(found, units),
        headings,
        tuple(rows),
        spread_notes(found),
        of_spread(found),
    )


def _sampled(found: Sampled, units: str) -> Piece:
    """The leading findings of each build, from where to where."""
    from featherbench.report.spread_summary import LEADING
    from featherbench.studies.findings import MEANINGS, in_words

    rows = []
    for name in LEADING:
        intervals = [one.intervals.get(name) for one in found.builds]
        ends = [end for own in intervals for end in (own or ())]
        if not ends:
            continue
        texts, unit, _ = row_texts(ends, MEANINGS[name].kind, units)
        pairs = iter(zip(texts[::2], texts[1::2], strict=True))
        cells = [" to ".join(next(pairs)) if own else "" for own in intervals]
        rows.append((in_words(name), *cells, unit))
    numbers = (f"build {number}" for number in range(1, len(found.builds) + 1))
    headings = ("95 % lie from .. to", *(numbers if len(found.builds) > 1 else ("",)), "")
    notes = () if found.complete else ("interrupted: these are the ranges of the samples that were done",)
    said = f"{found.asked} samples of each build within the tolerances of {len(found.inputs)} figures."
    return Piece("What the tolerances allow", (said,), headings, tuple(rows), notes)


def _match(found: Match, units: str) -> Piece:
    from featherbench.report.match_summary import matched_sheet

    return _of_sheet(
        found.scenario.title, [found.verdict], matched_sheet(found, units), found.notes
    )._replace(first=of_scenario(found.scenario))


def _calibration(done: Calibration, units: str) -> Piece:
    from featherbench.report.match_summary import calibration_answer, fitted_sheet

    return _of_sheet(
        done.scenario.title, calibration_answer(done, units), fitted_sheet(done, units), done.notes
    )._replace(first=of_calibration(done))


def _sizing(found: Sizing, units: str) -> Piece:
    from featherbench.report.sheet_text import size_answer

    rows = []
    for one in found.best.build.made:
        length, diameter = (quantity(value, "length", units) for value in (one.length, one.diameter))
        what = one.standard or one.material
        rows.append(
            (one.name, f"{one.count} per blade", what, diameter, length, quantity(one.mass, "mass", units))
        )
    headings = ("to make or buy", "", "of", "diameter", "length", "mass of one")
    answer = tuple(size_answer(found, bench_checks(found.run), units))
    return Piece(found.plain.title, answer, headings, tuple(rows), found.notes, of_sizing(found))


def _written(scenario: Scenario | None) -> FirstLines:
    return of_scenario(scenario) if scenario is not None else NOTHING


def _wag(found: Wag, units: str) -> Piece:
    from featherbench.report.hover_study import rows, wag_answer

    return Piece(
        "Wag in hover",
        tuple(wag_answer(found, units)),
        rows=tuple(rows(found.findings, units)),
        first=_written(found.scenario),
    )


def _bias(found: Bias, units: str) -> Piece:
    from featherbench.report.hover_study import bias_answer, bias_columns

    columns = bias_columns(found, units)
    cells = zip(*(column.cells for column in columns), strict=True)
    return Piece(
        "Neutral or a slight bias",
        tuple(bias_answer(found, units)),
        tuple(column.heading.strip() for column in columns),
        tuple(tuple(cell.strip() for cell in row) for row in cells),
        found.words if found.chosen is not None else (),
        _written(found.scenario),
    )


WRITERS: dict[str, Callable[[Any, str], Piece]] = {
    "Scenario": _scenario,
    "StaticCurves": _statics,
    "Run": _run,
    "Comparison": _comparison,
    "Spread": _spread,
    "Sampled": _sampled,
    "Match": _match,
    "Calibration": _calibration,
    "Sizing": _sizing,
    "Wag": _wag,
    "Bias": _bias,
}
"""By the name of the class, so that showing one result does not load the others."""
