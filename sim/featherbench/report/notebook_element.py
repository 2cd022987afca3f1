"""The HTML element that a result becomes in a notebook: what has to be read first, title, answer, table, notes.

It needs nothing else: no scripts, no style sheets, nothing fetched; colours are those of the notebook, light or dark.
"""

from __future__ import annotations

from html import escape
from typing import NamedTuple

from featherbench.report.first_lines import NOTHING, FirstLines
from featherbench.report.plain_text import plain

MOST_ROWS, MOST_NOTES = 24, 6
LONGEST = 300
"""Characters of a title or a note, and of a cell."""
RULE = "border:0;border-bottom:1px solid currentColor"
CELL = "padding:0.15em 0.7em 0.15em 0;background:none;color:inherit"
NUMBER = frozenset("+-\u2212.0123456789")


class Piece(NamedTuple):
    """What is shown: title, answer in sentences, a table with its headings, notes. A row of one cell is a heading.

    first: what has to be read before all of it.
    """

    title: str
    answer: tuple[str, ...] = ()
    headings: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    notes: tuple[str, ...] = ()
    first: FirstLines = NOTHING


def element(piece: Piece) -> str:
    """The piece as HTML, everything in it escaped."""
    parts = _first(piece.first)
    parts.append(f"<p><b>{_safe(piece.title)}</b></p>")
    parts += [f'<p style="margin:0.2em 0">{_safe(sentence)}</p>' for sentence in piece.answer]
    if piece.rows:
        parts.append(_table(piece))
    if piece.notes:
        shown = [f"<li>{_safe(note)}</li>" for note in piece.notes[:MOST_NOTES]]
        if len(piece.notes) > MOST_NOTES:
            shown.append(f"<li>... and {len(piece.notes) - MOST_NOTES} more</li>")
        parts.append(f'<ul style="opacity:0.8;margin-top:0.4em">{"".join(shown)}</ul>')
    return f'<div style="max-width:50em">{"".join(parts)}</div>'


def _first(first: FirstLines) -> list[str]:
    """What has to be read first, in a heavy frame; whole, however long it is."""
    if not first.lines:
        return []
    lines = "".join(f'<p style="margin:0.2em 0"><b>{escape(plain(line))}</b></p>' for line in first.lines)
    frame = "border:3px solid currentColor;border-left-width:14px;padding:0.3em 0.7em;margin:0.3em 0"
    return [f'<div style="{frame}">{lines}</div>']


def _table(piece: Piece) -> str:
    lines = []
    if any(piece.headings):
        cells = "".join(
            f'<th style="{CELL};{RULE};text-align:left">{_safe(heading)}</th>' for heading in piece.headings
        )
        lines.append(f"<thead><tr>{cells}</tr></thead>")
    wide = max(len(row) for row in piece.rows)
    body = []
    for row in piece.rows[:MOST_ROWS]:
        if len(row) == 1:
            head = f'<th colspan="{wide}" style="{CELL};text-align:left">{_safe(row[0])}</th>'
            body.append(f'<tr style="background:none">{head}</tr>')
            continue
        cells = "".join(f'<td style="{CELL};text-align:{_side(cell)}">{_safe(cell)}</td>' for cell in row)
        body.append(f'<tr style="background:none">{cells}</tr>')
    if len(piece.rows) > MOST_ROWS:
        more = f"... and {len(piece.rows) - MOST_ROWS} more"
        body.append(f'<tr style="background:none"><td colspan="{wide}" style="{CELL}">{more}</td></tr>')
    lines.append(f"<tbody>{''.join(body)}</tbody>")
    return f'<table style="border-collapse:collapse;margin:0.5em 0">{"".join(lines)}</table>'


def _side(cell: str) -> str:
    return "right" if cell and cell[0] in NUMBER else "left"


def _safe(text: str) -> str:
    return escape(plain(text, LONGEST))
