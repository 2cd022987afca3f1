"""A view as an HTML element for a notebook: what has to be read first, title, answer, checks, the first table, notes.

It needs nothing else: no scripts, no style sheets, nothing fetched; colours are those of the notebook, light or dark.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import TYPE_CHECKING

from featherbench.plain_text import plain

if TYPE_CHECKING:
    from featherbench.views.first_lines import FirstLines
    from featherbench.views.view import Row, Table, View

MOST_ROWS, MOST_NOTES = 24, 6
LONGEST = 300
"""Characters of a title or a note, and of a cell."""
RULE = "border:0;border-bottom:1px solid currentColor"
CELL = "padding:0.15em 0.7em 0.15em 0;background:none;color:inherit"
NUMBER = frozenset("+-\u2212.0123456789")


def element(view: View) -> str:
    """The view as HTML, everything in it escaped; of a table its key rows."""
    parts = _first(view.first)
    parts.append(f"<p><b>{_safe(view.title)}</b></p>")
    named = [f"{build.name}: {build.title}" for build in view.builds if len(view.builds) > 1]
    parts += [f'<p style="margin:0.2em 0">{_safe(sentence)}</p>' for sentence in (*named, *view.answer)]
    if view.checks.note:
        parts.append(f'<p style="margin:0.2em 0">{escape(plain(view.checks.note))}</p>')
    remarks: list[str] = []
    for table in view.tables[:1]:
        parts += _table(table)
        remarks += table.remarks
    if view.ranges:
        parts.append(f'<p style="margin:0.2em 0">{_safe(view.ranges)}</p>')
    told = [f"{note.build}: {note.text}" if note.build else note.text for note in view.told_notes()]
    notes = [*remarks, *told, *view.rests_on]
    if notes:
        shown = [f"<li>{_safe(note)}</li>" for note in notes[:MOST_NOTES]]
        if len(notes) > MOST_NOTES:
            shown.append(f"<li>... and {len(notes) - MOST_NOTES} more</li>")
        parts.append(f'<ul style="opacity:0.8;margin-top:0.4em">{"".join(shown)}</ul>')
    return f'<div style="max-width:50em">{"".join(parts)}</div>'


def _first(first: FirstLines) -> list[str]:
    """What has to be read first, in a heavy frame; whole, however long it is."""
    if not first.lines:
        return []
    lines = "".join(f'<p style="margin:0.2em 0"><b>{escape(plain(line))}</b></p>' for line in first.lines)
    frame = "border:3px solid currentColor;border-left-width:14px;padding:0.3em 0.7em;margin:0.3em 0"
    return [f'<div style="{frame}">{lines}</div>']


def _table(table: Table) -> list[str]:
    """As many of its key rows as a cell has room for."""
    rows = [row for row in table.rows if not row.detail]
    if not rows:
        return []
    several = len({column.build for column in table.columns} - {0}) > 1
    places = [
        place
        for place, column in enumerate(table.columns)
        if not column.detail and not (several and column.alone)
    ]
    lines = []
    if any(table.columns[place].heading for place in places):
        cells = "".join(
            f'<th style="{CELL};{RULE};text-align:left">{_safe(table.columns[place].heading)}</th>'
            for place in places
        )
        lines.append(f"<thead><tr>{cells}</tr></thead>")
    body = [_row(row, places) for row in rows[:MOST_ROWS]]
    if len(rows) > MOST_ROWS:
        more = f"... and {len(rows) - MOST_ROWS} more"
        body.append(
            f'<tr style="background:none"><td colspan="{len(places)}" style="{CELL}">{more}</td></tr>'
        )
    lines.append(f"<tbody>{''.join(body)}</tbody>")
    return [f'<table style="border-collapse:collapse;margin:0.5em 0">{"".join(lines)}</table>']


def _row(row: Row, places: Sequence[int]) -> str:
    """A row, or the heading over some; a range stands behind its figure."""
    if row.heads:
        head = f'<th colspan="{len(places)}" style="{CELL};text-align:left">{_safe(row.cells[0])}</th>'
        return f'<tr style="background:none">{head}</tr>'
    texts = [
        f"{row.cells[place]} ({row.ranges[place]})" if row.ranges and row.ranges[place] else row.cells[place]
        for place in places
    ]
    cells = "".join(f'<td style="{CELL};text-align:{_side(text)}">{_safe(text)}</td>' for text in texts)
    return f'<tr style="background:none">{cells}</tr>'


def _side(cell: str) -> str:
    return "right" if cell and cell[0] in NUMBER else "left"


def _safe(text: str) -> str:
    return escape(plain(text, LONGEST))
