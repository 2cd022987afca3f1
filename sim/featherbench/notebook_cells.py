"""A result in short for the cell of a notebook: whether it may be run, then the answer, main findings, notes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from featherbench.checks import bench_checks
from featherbench.numerals import quantity, row_texts
from featherbench.render.notebook import element
from featherbench.views.first_lines import (
    NOTHING,
    FirstLines,
)
from featherbench.views.view import Column, Row, Table, View

if TYPE_CHECKING:
    from featherbench.bench.statics import StaticCurves
    from featherbench.fitting.calibrate import Calibration
    from featherbench.fitting.match import Match
    from featherbench.hovering.bias import Bias
    from featherbench.hovering.wag import Wag
    from featherbench.ranking.outcome import Ranking
    from featherbench.sampling.sampled import Sampled
    from featherbench.sampling.spread import Spread
    from featherbench.scenario import Scenario
    from featherbench.sizing import Sizing
    from featherbench.studies.run import Comparison, Run
    from featherbench.sweeping.sweep import Sweep

FEWEST = 16
"""Runs for a range; fewer say next to nothing of where 95 % lies."""
SURE = "Single figures, without the range that tolerances and doubts leave them: fb.sampled({}) says how sure each is."
"""Under what a cell shows of a bench run."""


def as_html(result: Any, units: str = "metric") -> str:
    """A scenario or a result as an HTML element, everything in it escaped. units: "metric" or "trade".

    Raises TypeError for what it does not know, ValueError for other units.

    >>> import featherbench as fb
    >>> fb.as_html(fb.read(fb.example("survey-3kg/plain")))[:40]
    '<div style="max-width:50em"><p><b>Survey'
    """
    return element(view_of(result, units))


def view_of(result: Any, units: str = "metric") -> View:
    """What a scenario or a result has to say. Raises TypeError for another, ValueError for other units."""
    if units not in ("metric", "trade"):
        raise ValueError(f'units are "metric" or "trade", not {units!r}')
    for kind in type(result).__mro__:
        if kind.__module__.startswith("featherbench.") and kind.__name__ in WRITERS:
            return WRITERS[kind.__name__](result, units)
    raise TypeError(f"{type(result).__name__} is no result of featherbench")


def page_view(result: Any, units: str, runs: int | None, seed: int) -> View:
    """The same with cautions and, for a run, a comparison or a sizing, with ranges: see `from_python.page`."""
    from featherbench.checks import CAUTIONS, run_cautions
    from featherbench.sampling.sampled import COUNT, sampled
    from featherbench.studies import compared, predict
    from featherbench.views.bench import comparison_view, run_view
    from featherbench.views.sampled_notes import sampled_note
    from featherbench.views.size import sized_view

    view = replace(view_of(result, units), cautions=CAUTIONS)
    kind = type(result).__name__
    count = COUNT if runs is None else runs
    if count and count < FEWEST:
        raise ValueError(f"runs {count}: expected 0, or {FEWEST} or more")
    if kind not in ("Run", "Comparison", "Sizing") or not count:
        return view
    beside = compared([predict(result.plain), result.run]) if kind == "Sizing" else result
    all_runs = (result,) if kind == "Run" else beside.runs
    found = sampled(all_runs, count, seed=seed)
    checks, cautions = [bench_checks(run) for run in all_runs], run_cautions(*all_runs)
    if kind == "Run":
        view = run_view(result, checks[0], cautions, units, sampled=found, seed=seed)
    elif kind == "Comparison":
        view = comparison_view(result, checks, cautions, units, sampled=found, seed=seed)
    else:
        view = sized_view(result, beside, checks, cautions, units, found)
    return view if found is not None else replace(view, ranges=sampled_note(all_runs, None))


def piece(
    title: str,
    answer: Sequence[str] = (),
    headings: Sequence[str] = (),
    rows: Sequence[tuple[str, ...]] = (),
    notes: Sequence[str] = (),
    first: FirstLines = NOTHING,
) -> View:
    """A view of one table, of plain texts."""
    width = max((len(row) for row in rows), default=0)
    headed = (*headings, *[""] * (width - len(headings)))
    table = Table("", tuple(Column(text) for text in headed), tuple(Row(row) for row in rows))
    return View(title, answer=tuple(answer), tables=(table,), rests_on=tuple(notes), first=first)


def _scenario(scenario: Scenario, units: str) -> View:
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
        return piece(scenario.title, tuple(answer), notes=(f"cannot be built: {error}", *notes))
    rows = [(part.name, part.group, quantity(part.moments.mass, "mass", units), part.how) for part in parts]
    return piece(
        scenario.title, tuple(answer), ("part of one blade", "group", "mass", ""), tuple(rows), tuple(notes)
    )


def _statics(curves: StaticCurves, units: str) -> View:
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
    return piece("Static curves over pitch, rotor at speed", headings=headings, rows=tuple(rows))


def _run(run: Run, units: str) -> View:
    from featherbench.views.bench import run_view

    return replace(run_view(run, bench_checks(run), (), units), ranges=SURE.format("[run]"))


def _comparison(comparison: Comparison, units: str) -> View:
    from featherbench.views.bench import comparison_view

    checks = [bench_checks(run) for run in comparison.runs]
    return replace(comparison_view(comparison, checks, (), units), ranges=SURE.format("both.runs"))


def _spread(found: Spread, units: str) -> View:
    from featherbench.views.spread import spread_view

    return spread_view(found, bench_checks(found.nominal), (), units)


def _sampled(found: Sampled, units: str) -> View:
    """The leading findings of each build, from where to where."""
    from featherbench.guide.findings import FINDINGS_TABLE, in_words
    from featherbench.views.spread_summary import LEADING

    rows = []
    for name in LEADING:
        intervals = [one.intervals.get(name) for one in found.builds]
        ends = [end for own in intervals for end in (own or ())]
        if not ends:
            continue
        texts, unit, _ = row_texts(ends, FINDINGS_TABLE[name].kind, units)
        pairs = iter(zip(texts[::2], texts[1::2], strict=True))
        cells = [" to ".join(next(pairs)) if own else "" for own in intervals]
        rows.append((in_words(name), *cells, unit))
    numbers = (f"build {number}" for number in range(1, len(found.builds) + 1))
    headings = ("95 % lie from .. to", *(numbers if len(found.builds) > 1 else ("",)), "")
    notes = () if found.complete else ("interrupted: these are the ranges of the samples that were done",)
    said = f"{found.asked} samples of each build within the tolerances of {len(found.inputs)} figures."
    return piece("What the tolerances allow", (said,), headings, tuple(rows), notes)


def _match(found: Match, units: str) -> View:
    from featherbench.studies import predict
    from featherbench.views.fitted.match import match_view

    run = predict(found.scenario)
    return match_view(found, run, bench_checks(run), (), units)


def _calibration(done: Calibration, units: str) -> View:
    from featherbench.studies import predict
    from featherbench.views.fitted.match import calibration_view

    run = predict(done.scenario)
    return calibration_view(done, None, run, bench_checks(run), (), units)


def _ranking(found: Ranking, units: str) -> View:
    from featherbench.views.rank import rank_view

    return rank_view(found, bench_checks(found.base), (), units)


def _sizing(found: Sizing, units: str) -> View:
    from featherbench.views.size import size_view

    return replace(size_view(found, bench_checks(found.run), (), units), ranges=SURE.format("[found.run]"))


def _wag(found: Wag, units: str) -> View:
    from featherbench.studies import predict
    from featherbench.views.hover import wag_view

    run = predict(found.scenario)
    return wag_view(found, run, bench_checks(run), (), units)


def _bias(found: Bias, units: str) -> View:
    from featherbench.studies import predict
    from featherbench.views.hover import bias_view

    run = predict(found.scenario)
    return bias_view(found, run, bench_checks(run), (), units)


def _sweep(found: Sweep, units: str) -> View:
    from featherbench.views.swept.answer import sweep_view

    return sweep_view(found, (), units)


WRITERS: dict[str, Callable[[Any, str], View]] = {
    "Scenario": _scenario,
    "StaticCurves": _statics,
    "Run": _run,
    "Comparison": _comparison,
    "Spread": _spread,
    "Sampled": _sampled,
    "Match": _match,
    "Calibration": _calibration,
    "Ranking": _ranking,
    "Sizing": _sizing,
    "Wag": _wag,
    "Bias": _bias,
    "Sweep": _sweep,
}
"""By the name of the class, so that showing one result does not load the others."""
