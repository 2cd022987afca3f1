"""A run or a comparison as plain text for a terminal or a pipe: the answer, one table, then the rest."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.console import Console

from featherbench.checks import Verdict, lacking, verdict_text, worst_first
from featherbench.report.answer import comparison_answer, run_answer
from featherbench.report.columns import Column, in_short_lines, split
from featherbench.report.first_lines import FirstLines, of_cases, of_run
from featherbench.report.numerals import MISSING, row_texts
from featherbench.report.plain_text import plain
from featherbench.report.printing import (
    print_cautions,
    print_first,
    print_heading,
    print_list,
    print_table,
    say,
    usable_width,
)
from featherbench.report.sampled_notes import sampled_note
from featherbench.report.summary import (
    LABEL_NOTES,
    Case,
    Section,
    assumed_by_case,
    cases_of,
    sections,
    title_of,
)

if TYPE_CHECKING:
    from featherbench.bench.setup import Setup
    from featherbench.checks import Check
    from featherbench.scenario import Assumed, Scenario
    from featherbench.studies.run import Comparison, Run
    from featherbench.studies.sampled import Sampled


SIGNS = tuple("+-0123456789")


def print_run(
    run: Run,
    checks: Sequence[Check],
    cautions: Sequence[str],
    system: str,
    console: Console,
    verbose: bool = False,
    sampled: Sampled | None = None,
    first: FirstLines | None = None,
) -> None:
    """Print one bench prediction. system: "metric" or "trade"; verbose: every finding, not the key ones.

    sampled: what its tolerances and doubts do, for the range beside each figure; first: what is to be read first, where
    it is known already.
    """
    print_first(console, of_run(run, checks, sampled) if first is None else first)
    say(console, title_of(run), "bold")
    for sentence in run_answer(run, system, sampled):
        say(console, sentence)
    _print_sections(console, sections([run], system, verbose, sampled), [""], verbose)
    if sampled is not None:
        console.print()
        say(console, sampled_note([run], sampled))
    _print_notes(console, [Case("", run)])
    _print_checks(console, [("", checks)], system)
    _print_assumed(console, run.assumed)
    print_cautions(console, cautions if verbose else ())


def print_comparison(
    comparison: Comparison,
    checks: Sequence[Sequence[Check]],
    cautions: Sequence[str],
    system: str,
    console: Console,
    verbose: bool = False,
    sampled: Sampled | None = None,
    first: FirstLines | None = None,
) -> None:
    """Print several builds side by side, the first as the base; checks: those of each run, in order.

    sampled: what their tolerances and doubts do, for the range under each figure and each change; first: what is to be
    read first, where it is known already.
    """
    cases = cases_of(comparison.runs, sampled)
    print_first(console, of_cases(cases, checks) if first is None else first)
    for sentence in comparison_answer(comparison, system, sampled):
        say(console, sentence)
    console.print()
    indent = max(len(case.name) for case in cases) + 2
    for case in cases:
        say(console, f"{case.name}:".ljust(indent) + title_of(case.run), hang=indent)
    shown = sections(comparison.runs, system, verbose, sampled)
    _print_sections(console, shown, [case.name for case in cases], verbose)
    if sampled is not None:
        console.print()
        say(console, sampled_note(comparison.runs, sampled))
    _print_notes(console, cases)
    _print_checks(console, [(case.name, row) for case, row in zip(cases, checks, strict=True)], system)
    if verbose:
        for name, assumed in assumed_by_case(cases):
            _print_assumed(console, assumed, f", {name}")
    print_cautions(console, cautions if verbose else ())


def print_background(scenario: Scenario, console: Console) -> None:
    """Print what was assumed of a build, for who asked for everything."""
    from featherbench.bench.setup import build_setup

    _print_assumed(console, build_setup(scenario).assumed)


def print_check(setup: Setup, system: str, console: Console) -> None:
    """Print what was understood of a scenario, what was assumed and what is missing."""
    from featherbench.report.explained import explained
    from featherbench.report.first_lines import of_setup

    print_first(console, of_setup(setup))
    for heading, columns, remarks in explained(setup, system):
        print_heading(console, heading)
        if columns:
            print_table(console, columns)
        for remark in remarks:
            say(console, remark, hang=2)
    _print_assumed(console, setup.assumed)


def _print_sections(console: Console, shown: Sequence[Section], names: Sequence[str], verbose: bool) -> None:
    """The key table; with many builds in blocks of as many as fit, the base in each."""
    marks, at = set(), 0
    for section in shown:
        marks.add(at)
        at += len(section.rows) + 1
    later = range(1, len(names))
    for columns in split(later, usable_width(console), lambda which: _section_columns(shown, names, which)):
        console.print()
        print_table(console, columns, frozenset(marks))
    if verbose:
        console.print()
        for note in LABEL_NOTES:
            say(console, note, hang=4)


def _with_range(texts: Sequence[str], ranges: Sequence[str], number: int) -> str:
    """A cell with its range in brackets under it, where it has one; long words in short lines."""
    text = texts[number] if texts[number][:1] in SIGNS else in_short_lines(texts[number])
    return f"{text}\n({ranges[number]})" if ranges and ranges[number] else text


def _section_columns(shown: Sequence[Section], names: Sequence[str], which: range) -> list[Column]:
    """Label, base, and for each build in `which` its value, change and share; then the unit."""
    rows = [row for section in shown for row in (None, *section.rows)]
    titles = iter(section.title for section in shown)

    def cells(of: object) -> tuple[str, ...]:
        return tuple("" if row is None else of(row) for row in rows)  # type: ignore[operator]

    with_ranges = any(row is not None and any(row.change_spreads) for row in rows)
    labels = tuple(next(titles) if row is None else f"  {row.label}" for row in rows)
    columns = [
        Column("", labels, shrinks=True),
        Column(
            names[0], cells(lambda row: _with_range(row.cells, row.spreads[1:] and row.spreads, 0)), "point"
        ),
    ]
    if len(names) == 1:  # there is room for them beside the figures
        ranges = cells(lambda row: row.spreads[0] if row.spreads else "")
        columns.append(Column("95 % range" if any(ranges) else "", ranges, shrinks=True))
    for number in which:
        alone = len(which) == 1
        columns.append(
            Column(
                names[number], cells(lambda row, n=number: _with_range(row.cells, row.spreads, n)), "point"
            )
        )
        if alone:
            columns.append(
                Column(
                    "change",
                    cells(lambda row, n=number: _with_range(row.changes, row.change_spreads, n - 1)),
                    "point",
                    gives_way=1 + with_ranges,
                )
            )
        columns.append(
            Column("", cells(lambda row, n=number: row.shares[n - 1]), "right", gives_way=2 - with_ranges)
        )
    columns.append(Column("", cells(lambda row: row.unit)))
    return columns


def _print_notes(console: Console, cases: Sequence[Case]) -> None:
    notes = [f"{case.name}: {note}" if case.name else note for case in cases for note in case.run.notes]
    print_list(console, "Notes", notes)
    print_list(
        console, "Left out", tuple(dict.fromkeys(item for case in cases for item in case.run.left_out))
    )


def _print_checks(console: Console, per_case: Sequence[tuple[str, Sequence[Check]]], system: str) -> None:
    """What was checked, the worst first, one line each; what could not be, and what to state for it."""
    every = worst_first([check for _, checks in per_case for check in checks])
    names = dict.fromkeys(check.name for check in every if check.verdict is not Verdict.NOT_CHECKED)
    if names:
        print_heading(console, "Checks: allowed over demanded")
        tables = split(
            range(len(per_case)),
            usable_width(console),
            lambda which: _check_columns(tuple(names), [per_case[number] for number in which], system),
        )
        for number, columns in enumerate(tables):
            if number:
                console.print()
            print_table(console, columns)
    for words, verdict in (
        ("Unknown, do not run before it is stated and holds", Verdict.UNKNOWN),
        ("Not checked, data missing", Verdict.NOT_CHECKED),
    ):
        missing = lacking(check for check in every if check.verdict is verdict)
        if missing:
            console.print()
            say(console, f"{words}: {plain('; '.join(missing))}.")


def _check_columns(
    names: Sequence[str], per_case: Sequence[tuple[str, Sequence[Check]]], system: str
) -> list[Column]:
    """Name; verdict of each case; demand (of a single case), allowable and unit."""
    rows = [
        [next((check for check in row if check.name == name), None) for _, row in per_case] for name in names
    ]
    texts = [_check_texts(row, system) for row in rows]
    columns = [Column("", tuple(plain(name) for name in names), shrinks=True)]
    for number, (case, _) in enumerate(per_case):
        cells = tuple(MISSING if (check := row[number]) is None else verdict_text(check) for row in rows)
        columns.append(Column(case, cells))
    if len(per_case) == 1:
        columns.append(Column("demand", tuple(text[0] for text in texts), "point"))
    return [
        *columns,
        Column("allowed", tuple(text[1] for text in texts), "point"),
        Column("", tuple(text[2] for text in texts)),
    ]


def _check_texts(row: Sequence[Check | None], system: str) -> tuple[str, str, str]:
    """Demand of the first case, the allowable if it is the same in all, unit."""
    known = [check for check in row if check is not None]
    if not known:
        return MISSING, MISSING, ""
    first = next((check for check in known if check.allowable is not None), known[0])
    (demand, allowed), unit, _ = row_texts([first.demand, first.allowable], first.kind, system)
    alike = len({check.allowable for check in known}) == 1
    return demand, allowed if alike else "differs", unit


def _print_assumed(console: Console, assumed: Sequence[Assumed], suffix: str = "") -> None:
    print_list(
        console,
        f"Assumed (not in your file){suffix}",
        [f"{item.key} = {item.value}: {item.why}" for item in assumed],
    )
