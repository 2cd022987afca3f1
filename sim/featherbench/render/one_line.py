"""Builds side by side with the range of each figure on its line, in half the lines, where the width allows it."""

from __future__ import annotations

from dataclasses import replace

from featherbench.render.columns import fits
from featherbench.render.layout import SIGNS, strips_of
from featherbench.views.view import RIGHT, Row, Table


def on_one_line(table: Table, width: int) -> Table:
    """The table with ranges behind figures, such as "11.5 (6.9 to 14.6)", or where that is too wide in their place,
    "6.9 to 14.6", if need be without the columns that give way, the lowest first, then without the change, which the
    ranges before and after tell; of a change always in its place. As it is where no two columns have ranges, or nothing
    fits.
    """
    ranged = {place for row in table.rows for place, own in enumerate(row.ranges) if own}
    if len(ranged) < 2 or any(row.heads for row in table.rows):
        return table
    changes = {place for place in ranged if table.columns[place].alone}
    shares = {place + 1 for place in changes}
    loose = {place: column.gives_way for place, column in enumerate(table.columns) if column.gives_way}
    ways = sorted({0, *(way for place, way in loose.items() if place not in changes)})
    given = [shares | {place for place, way in loose.items() if way <= most} - changes for most in ways]
    tries = [(changes, shares), *((ranged, gone) for gone in given), (ranged, given[-1] | changes)]
    for instead, left_out in tries:
        shorter = _shorter(table, ranged, instead, left_out)
        if fits(strips_of(shorter), width):
            return shorter
    return table


def _shorter(table: Table, ranged: set[int], instead: set[int], left_out: set[int]) -> Table:
    """Ranges behind figures or, in the columns `instead`, in their place."""
    kept = [place for place in range(len(table.columns)) if place not in left_out]
    columns = [
        replace(table.columns[place], side=RIGHT, gives_way=0) if place in ranged else table.columns[place]
        for place in kept
    ]
    rows = [
        replace(row, cells=tuple(_cell(row, place, instead) for place in kept), ranges=())
        for row in table.rows
    ]
    return replace(table, columns=tuple(columns), rows=tuple(rows))


def _cell(row: Row, place: int, instead: set[int]) -> str:
    """Words stand alone: where samples do not agree on them, a line above the answer says so."""
    text = row.cells[place]
    own = row.ranges[place] if row.ranges else ""
    if not own or text[:1] not in SIGNS:
        return text
    return own if place in instead else f"{text} ({own})"
