"""A view in at most 25 lines of a terminal: what forbids or warns, the answer, what matters, what to do next.

Nothing that warns is ever cut, nor is the first sentence of the answer; those after it stay away where the figures that
matter, which say the same, would have no room. Tables, then notes, take what room is left, and what stays away is
counted. `--verbose` prints all of it (`terminal.print_view`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from featherbench.plain_text import plain
from featherbench.render.layout import laid_out
from featherbench.render.one_line import on_one_line
from featherbench.render.printing import print_line, short_cautions, usable_width, wrapped

if TYPE_CHECKING:
    from rich.console import Console

    from featherbench.views.view import Table, View

MOST_LINES = 25
LEAST_ROWS = 3
"""Lines of a table's rows below which it is not begun."""
NAMED = 4
"""Assumptions that are spelt out."""
LONGEST_NOTE = 3
"""Lines."""
RANGES = (
    "Ranges hold 95 % of what tolerances and the model's doubts allow.",
    "Ranges: 95 % of what tolerances and doubts allow.",
)
"""What they are, and the same for a narrow terminal."""


class Line(NamedTuple):
    """One line and how it is to be seen."""

    text: str
    style: str = ""


def print_brief(view: View, console: Console) -> None:
    """Print the short form of a view."""
    for line in brief(view, console):
        print_line(console, line.text, line.style)


def brief(view: View, console: Console) -> list[Line]:
    """The lines; more than MOST_LINES only where warnings, answer and cautions alone are more."""
    top = [Line(text, "bold red") for said in view.first.lines for text in wrapped(console, said, 4)]
    several = len(view.builds) > 1
    if not several:
        top += [Line(text, "bold") for text in wrapped(console, view.title)]
    answer = [[Line(text) for text in wrapped(console, said)] for said in view.brief or view.answer]
    end = [Line(text) for said in view.next_steps for text in wrapped(console, said, 6)]
    cautions = [Line(text) for text in short_cautions(console)]
    middle = _builds(view, console) if several else []
    counted = _counted(view, console)
    pasted = _pasted(view) if view.paste else []
    fixed = len(top) + len(middle) + len(pasted) + len(cautions) + 1
    if view.short is not None:  # it says again what the later sentences say
        short = on_one_line(view.short, usable_width(console))
        rows = tuple(row for row in short.rows if row.stays or row.stops)
        least = len(_lines(replace(short, rows=rows), usable_width(console))) + 1
        if MOST_LINES - fixed - len(counted) - len(end) - len(answer[0]) < least:
            fixed -= len(middle)
            middle = _builds(view, console, whole=False) if several else []
            fixed += len(middle)
        while (
            len(answer) > 1 and MOST_LINES - fixed - len(counted) - len(end) - sum(map(len, answer)) < least
        ):
            answer.pop()
        # the figures that matter go before the names of assumptions, and these and what to do next before none at all
        left = MOST_LINES - fixed - sum(map(len, answer))
        if left - len(counted) - len(end) < least:
            end = [
                Line(text) for said in view.next_steps for text in wrapped(console, said.split("; ")[0], 6)
            ]
        if left - len(counted) - len(end) < least:
            counted = _counted(view, console, named=False)
        if left - len(counted) - len(end) < min(least, LEAST_ROWS + 3):
            end = []
    room = MOST_LINES - fixed - len(counted) - len(end)
    top += [line for sentence in answer for line in sentence]
    room -= sum(map(len, answer))
    steps = _steps(view, console, room)
    room -= len(steps)
    tables = _tables(view, console, room)
    room -= len(tables)
    notes = _notes(view, console, room - 1)
    made = [*top, *middle, *steps, *tables, *([Line(""), *notes] if notes else []), *pasted, *counted]
    return [*made, Line(""), *end, *cautions]


def _builds(view: View, console: Console, whole: bool = True) -> list[Line]:
    """The short name of each, and its title; not whole: each on one line, what all titles begin with said once."""
    indent = max(len(build.name) for build in view.builds) + 2
    told = [(f"{build.name}:".ljust(indent), build.title) for build in view.builds]
    if whole:
        return [Line(text) for name, title in told for text in wrapped(console, name + title, indent)]
    begin, sign, _ = told[0][1].rpartition(": ")
    again = len(begin + sign) if all(title.startswith(begin + sign) for _, title in told) else 0
    return [
        Line(_one_line(console, name + ("... " + title[again:] if number and again else title)))
        for number, (name, title) in enumerate(told)
    ]


def _one_line(console: Console, text: str) -> str:
    """As many whole words of a text as one line holds."""
    first, *rest = wrapped(console, text)
    while rest and len(first) + 4 > usable_width(console) and " " in first:
        first = first.rpartition(" ")[0]
    return f"{first} ..." if rest else first


def _pasted(view: View) -> list[Line]:
    heading = Line(f"To paste into {view.paste_into}", "bold")
    return [Line(""), heading, *(Line(text) for text in view.paste.splitlines())]


def _steps(view: View, console: Console, room: int) -> list[Line]:
    """What to do, step by step: whole, or where there is no room the first sentence of each, or nothing."""
    for steps in (view.steps, tuple(step.split(". ")[0].rstrip(".") + " ..." for step in view.steps)):
        told = (wrapped(console, f"{number}. {plain(step)}", 3) for number, step in enumerate(steps, start=1))
        lines = [Line(text) for step in told for text in step]
        if lines and len(lines) + 1 <= room:
            return [Line(""), *lines]
    return []


def _tables(view: View, console: Console, room: int) -> list[Line]:
    """What matters, or the tables one after another as far as there is room."""
    made: list[Line] = []
    for found in view.tables if view.short is None else (view.short,):
        table = on_one_line(found, usable_width(console))
        table = _filled(replace(table, rows=tuple(row for row in table.rows if not row.detail)))
        rows = table.rows
        remarks = [Line(text) for said in table.remarks for text in wrapped(console, said, 2)]
        titled = table.title and not (rows and rows[0].heads)
        head = [Line(""), *([Line(table.title, "bold")] if titled else [])]
        spare = room - len(made) - len(head)
        if (rows or remarks) and spare < LEAST_ROWS:
            break
        lines = _fitting(replace(table, rows=rows), usable_width(console), spare) if rows else []
        if len(remarks) > spare - len(lines):
            remarks = [] if rows else _whole(table.remarks, console, spare)
        if lines or remarks:
            made += [*head, *lines, *remarks]
    return made


def _filled(table: Table) -> Table:
    """The table without columns that have a heading and nothing under it."""
    kept = [
        place
        for place in range(len(table.columns))
        if not place
        or any(
            not row.heads and (row.cells[place] or any(row.ranges[place : place + 1])) for row in table.rows
        )
    ]
    return table.of_columns(kept)


def _whole(remarks: Sequence[str], console: Console, room: int) -> list[Line]:
    """The first remarks, as far as whole ones fit."""
    made: list[Line] = []
    for said in remarks:
        lines = [Line(text) for text in wrapped(console, said, 2)]
        if len(made) + len(lines) > room:
            break
        made += lines
    return made


def _fitting(table: Table, width: int, room: int) -> list[Line]:
    """The lines of as many rows as there is room for: the last goes first, then those that stay, then what stops, and
    what was chosen after all others.
    """
    rows = list(table.rows)
    while len(lines := _lines(replace(table, rows=tuple(rows)), width)) > room and len(rows) > 1:
        loose = [place for place, row in enumerate(rows) if not (row.stays or row.chosen)]
        loose = loose or [place for place, row in enumerate(rows) if not (row.stops or row.chosen)]
        loose = loose or [place for place, row in enumerate(rows) if not row.chosen] or [len(rows) - 1]
        del rows[loose[-1]]
        while len(rows) > 1 and rows[-1].heads:
            rows.pop()
    return lines


def _lines(table: Table, width: int) -> list[Line]:
    """A table as lines, in blocks below one another where it is too wide."""
    made = []
    for number, block in enumerate(laid_out(table, width, False)):
        made += [Line("")] if number else []
        made += [Line(text, "bold") for text in block.top]
        for row, lines in block.rows:
            style = "bold" if row.heads else "bold red" if row.stops else ""
            made += [Line(text, style) for text in lines]
    return made


def _notes(view: View, console: Console, room: int) -> list[Line]:
    """The first short notes, as far as whole ones fit."""
    made: list[Line] = []
    for note in view.told_notes():
        text = plain(f"{note.build}: {note.text}" if note.build else note.text)
        lines = wrapped(console, f"- {text}", 2)
        if len(lines) > LONGEST_NOTE or len(made) + len(lines) > room:
            break
        made += [Line(line) for line in lines]
    return made


def _counted(view: View, console: Console, named: bool = True) -> list[Line]:
    """Strength, what was assumed (named: which of it matters), and how to see the rest."""
    said = [view.checks.note] if view.checks.note else []
    if any(row.ranges for row in (view.short.rows if view.short else ())):
        said.append(next((one for one in RANGES if len(one) <= usable_width(console)), RANGES[-1]))
    elif view.ranges and not any(row.ranges for table in view.tables for row in table.rows):
        said.append(view.ranges)
    keys = {one for _, assumed in view.assumed for one in assumed}
    if not keys:
        said.append("--verbose prints everything.")
    elif view.matter is None:
        said.append(f"{len(keys)} figures assumed; --verbose lists them and the rest.")
    elif not view.matter:
        said.append(f"{len(keys)} figures assumed, none of them matters much; --verbose lists all.")
    else:
        more = ", ..." if len(view.matter) > NAMED else ""
        which = f": {', '.join(view.matter[:NAMED])}{more}" if named else ""
        verb = "matters" if len(view.matter) == 1 else "matter"
        said.append(
            f"{len(keys)} figures assumed, {len(view.matter)} of them {verb}{which}; --verbose lists all."
        )
    return [Line(""), *(Line(text) for sentence in said for text in wrapped(console, sentence, 2))]
