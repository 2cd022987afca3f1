"""A view's table as columns for the modules that still lay out their own, and the other way about."""

from __future__ import annotations

from collections.abc import Sequence

from featherbench.render.columns import Column, in_short_lines
from featherbench.render.layout import SIGNS
from featherbench.views.view import Column as Heading
from featherbench.views.view import Row, Side, Table

ALIGN = {Side.WORDS: "left", Side.UNIT: "left", Side.RIGHT: "right", Side.POINT: "point"}


def columns(table: Table) -> list[Column]:
    """The table as columns for the terminal."""
    cells = list(zip(*(row.cells for row in table.rows), strict=True)) or [()] * len(table.columns)
    return [
        Column(one.heading, _told(column, one.side), ALIGN[one.side], shrinks=one.side is Side.WORDS)
        for one, column in zip(table.columns, cells, strict=True)
    ]


def sheet_of(title: str, shown: Sequence[Column], remarks: Sequence[str] = ()) -> Table:
    """Columns for the terminal as a table for the page."""
    sides = {"left": Side.WORDS, "right": Side.RIGHT, "point": Side.POINT}
    return Table(
        title.strip(),
        tuple(Heading(column.heading.strip(), sides[column.align]) for column in shown),
        tuple(
            Row(tuple(cell.strip() for cell in row))
            for row in zip(*(column.cells for column in shown), strict=True)
        ),
        tuple(remarks),
    )


def _told(texts: Sequence[str], side: Side) -> tuple[str, ...]:
    """Words among numbers stand in short lines."""
    return tuple(
        in_short_lines(text) if side is Side.RIGHT and text[:1] not in SIGNS else text for text in texts
    )
