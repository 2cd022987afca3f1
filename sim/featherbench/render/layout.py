"""A view's table as lines of text: numbers at their points, words wrapped where room is short but never cut."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from featherbench.render.columns import SHORT_LINE, blocks, in_short_lines, lines, split, unwrapped
from featherbench.render.columns import Column as Strip
from featherbench.views.view import POINT, RIGHT, UNIT, WORDS, Row, Table

ALIGN = {WORDS: "left", UNIT: "left", RIGHT: "right", POINT: "point"}
BESIDE = "95 % range"
SIGNS = tuple("+-0123456789")
ONE_LINE = (20, 17)
"""Characters in which a verdict, and what released blades do, stands on one line, where there is room."""


class Block(NamedTuple):
    """A table, or a part of one that is too wide: lines of its heading, and each row with its own."""

    top: list[str]
    rows: list[tuple[Row, list[str]]]


def laid_out(table: Table, width: int, everything: bool) -> list[Block]:
    """The table within `width` characters; with many builds in parts of as many as fit, the first in each.

    everything: with the rows and columns that are details.
    """
    rows = [row for row in table.rows if everything or not row.detail]
    if not rows:
        return []
    places = [place for place, column in enumerate(table.columns) if everything or not column.detail]
    made = []
    for part in _parts(table, rows, places, width):
        for strips in blocks(part, width):
            top, texts = lines(strips)
            made.append(Block(top, list(zip(rows, texts, strict=True))))
    return made


def _parts(table: Table, rows: Sequence[Row], places: Sequence[int], width: int) -> list[list[Strip]]:
    """Columns for as many of the builds as fit, and so on for the rest."""
    builds = sorted({table.columns[place].build for place in places} - {0})

    def strips(some: Sequence[int]) -> list[Strip]:
        alone = len(some) <= 1
        of_these = [place for place in places if table.columns[place].build in (0, *some)]
        shown = [place for place in of_these if alone or not table.columns[place].alone]
        wide = (_strips(table, rows, shown, short) for short in ONE_LINE)
        return next((one for one in wide if unwrapped(one, width)), _strips(table, rows, shown))

    return [strips(some) for some in split(builds, width, strips)]


def strips_of(table: Table) -> list[Strip]:
    """All columns of a table."""
    return _strips(table, table.rows, range(len(table.columns)))


def _strips(table: Table, rows: Sequence[Row], places: Sequence[int], short: int = SHORT_LINE) -> list[Strip]:
    """Each column's texts; ranges beside their column where only one has any, else under each figure.

    short: characters of a line of words among numbers.
    """
    ranged = {place for row in rows for place, own in enumerate(row.ranges) if own}
    grouped = any(row.heads for row in rows)
    made = []
    for place in places:
        column = table.columns[place]
        indent = "  " if grouped and place == 0 else ""
        texts = [_text(row, place, indent, short if column.side in (POINT, RIGHT) else 0) for row in rows]
        ranges = [row.ranges[place] if row.ranges else "" for row in rows]
        if len(ranged) > 1:
            texts = [f"{text}\n({own})" if own else text for text, own in zip(texts, ranges, strict=True)]
        kind = ALIGN[column.side]
        made.append(Strip(column.heading, tuple(texts), kind, column.gives_way, shrinks=column.side is WORDS))
        if ranged == {place}:
            made.append(Strip(BESIDE, tuple(ranges), shrinks=True))
    return made


def _text(row: Row, place: int, indent: str, short: int) -> str:
    """The row's text in a column; a heading stands in the first; words among numbers stand in short lines."""
    if row.heads:
        return row.cells[0] if place == 0 else ""
    text = row.cells[place]
    if place and short and text[:1] not in SIGNS:
        return in_short_lines(text, short)
    return indent + text
