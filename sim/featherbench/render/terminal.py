"""A view as plain text for a terminal or a pipe: what has to be read first, the answer, its tables, then the rest."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from typing import TYPE_CHECKING

from featherbench.plain_text import plain
from featherbench.render.brief import print_brief
from featherbench.render.columns import split
from featherbench.render.layout import laid_out, strips_of
from featherbench.render.printing import (
    print_cautions,
    print_first,
    print_heading,
    print_line,
    print_list,
    say,
    usable_width,
)
from featherbench.views.view import POINT, UNIT, Column, Row, Table

if TYPE_CHECKING:
    from rich.console import Console

    from featherbench.scenario import Assumed
    from featherbench.views.view import Checks, View


def print_view(view: View, console: Console, everything: bool = False) -> None:
    """Print a view; everything: all of it, else what matters in 25 lines."""
    if not everything:
        print_brief(view, console)
        return
    print_first(console, view.first)
    several = len(view.builds) > 1
    if not several:
        say(console, view.title, "bold")
    for sentence in view.answer:
        say(console, sentence)
    if several:
        _print_builds(console, view)
    _print_steps(console, view.steps)
    for table in view.tables:
        print_section(console, table, True)
    if view.paste:
        print_heading(console, f"To paste into {view.paste_into}")
        for line in view.paste.splitlines():
            print_line(console, line)
    if view.ranges:
        console.print()
        say(console, view.ranges)
    told = [f"{note.build}: {note.text}" if note.build else note.text for note in view.told_notes()]
    print_list(console, "Notes", [*told, *view.rests_on])
    print_list(console, "Left out", view.left_out)
    _print_checks(console, view.checks, [build.name for build in view.builds])
    for name, assumed in view.assumed:
        _print_assumed(console, assumed, f", {name}" if name else "")
    _print_next(console, view)
    print_cautions(console, view.cautions)


def _print_steps(console: Console, steps: Sequence[str]) -> None:
    for number, step in enumerate(steps, start=1):
        if number == 1:
            console.print()
        say(console, f"{number}. {plain(step)}", hang=3)


def _print_next(console: Console, view: View) -> None:
    for said in view.next_steps:
        console.print()
        say(console, said, hang=6)


def _print_builds(console: Console, view: View) -> None:
    """The short name of each, and its title."""
    console.print()
    indent = max(len(build.name) for build in view.builds) + 2
    for build in view.builds:
        say(console, f"{build.name}:".ljust(indent) + build.title, hang=indent)


def print_section(console: Console, table: Table, everything: bool) -> None:
    """A table under its title, unless its rows have headings of their own; then its remarks."""
    rows = [row for row in table.rows if everything or not row.detail]
    if rows and rows[0].heads:
        console.print()
    elif rows or table.remarks:
        print_heading(console, table.title)
    print_table(console, table, everything)
    for remark in table.remarks:
        say(console, remark, hang=2)
    if everything and table.detail_remarks:
        console.print()
        for remark in table.detail_remarks:
            say(console, remark, hang=4)


def print_table(console: Console, table: Table, everything: bool = False) -> None:
    """Print a table, in blocks below one another where it is too wide."""
    for number, block in enumerate(laid_out(table, usable_width(console), everything)):
        if number:
            console.print()
        for line in block.top:
            print_line(console, line, "bold")
        for place, (row, lines) in enumerate(block.rows):
            if row.heads and place:
                console.print()
            for line in lines:
                print_line(console, line, "bold" if row.heads else "bold red" if row.stops else "")


def _print_checks(console: Console, checks: Checks, names: list[str]) -> None:
    """What was checked, the worst first, one line each; what could not be, and what to state for it."""
    if checks.rows:
        print_heading(console, "Checks: allowed over demanded")
        tables = functools.partial(_check_table, checks, names)
        width = usable_width(console)
        for some in split(range(len(names)), width, lambda some: strips_of(tables(some))):
            if some[0]:
                console.print()
            print_table(console, tables(some))
    for words, missing in (
        ("Unknown, do not run before it is stated and holds", checks.unknown),
        ("Not checked, data missing", checks.unchecked),
    ):
        if missing:
            console.print()
            say(console, f"{words}: {'; '.join(missing)}.")


def _check_table(checks: Checks, names: Sequence[str], some: Sequence[int]) -> Table:
    """Name; verdict on each of some builds; demand (of a single build), allowed and unit, of these builds only."""
    single = len(some) == 1
    verdicts = tuple(Column(names[number]) for number in some)
    demand = (Column("demand", POINT),) if single else ()
    rows = []
    for row in checks.rows:
        known = [cell for number in some if (cell := row.cells[number]) is not None]
        first = next((cell for cell in known if cell.limit is not None), known[0] if known else None)
        alike = len({cell.limit for cell in known}) <= 1
        figures = (
            (first.demand, first.allowed if alike else "differs", first.unit) if first else ("-", "-", "")
        )
        told = ("-" if (cell := row.cells[number]) is None else cell.verdict for number in some)
        cells = (row.name, *told, *figures[0 if single else 1 :])
        rows.append(Row(cells, stops=any(cell is not None and cell.stops for cell in row.cells)))
    return Table("", (Column(), *verdicts, *demand, Column("allowed", POINT), Column("", UNIT)), tuple(rows))


def _print_assumed(console: Console, assumed: tuple[Assumed, ...], suffix: str) -> None:
    print_list(
        console,
        f"Assumed (not in your file){suffix}",
        [f"{item.key} = {item.value}: {item.why}" for item in assumed],
    )
