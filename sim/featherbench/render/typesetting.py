"""A view's table set for print: true minus signs, units as signs, points under one another."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from featherbench.numerals import unit_in_print
from featherbench.render.printing import BEFORE_UNIT
from featherbench.views.view import POINT, RIGHT, UNIT, WORDS, Column, Row, Table

FIGURE_SPACE, POINT_SPACE = "\u2007", "\u2008"
"""As wide as a digit, and as a decimal point."""
WITH_NUMBER = re.compile(rf" (?=%)|{BEFORE_UNIT}")
"""A space at which no line ends."""
SIDES = {POINT: "number", RIGHT: "number", WORDS: "words", UNIT: "unit"}


def typeset(table: Table, number: int, detail: bool = False, *, beside: bool = False) -> dict[str, Any]:
    """What the page's template takes of a table. number: on the page; detail: its details, instead of the rest.

    A table whose rows have headings, or for `beside`, has the unit beside the label, or in it on a narrow page.
    """
    rows = [row for row in table.rows if row.detail == detail and not (detail and row.heads)]
    grouped = beside or any(row.heads for row in table.rows)
    places = _places(table, detail, grouped)
    unit = next((place for place in places if table.columns[place].side is UNIT), None) if grouped else None
    texts = {place: _texts(rows, place, table.columns[place]) for place in places}
    sides = [_side(table, place, grouped) for place in places]
    return {
        "title": table.title,
        "name": "findings" if grouped else f"table-{number}",
        "grouped": grouped,
        "headed": any(table.columns[place].heading for place in places),
        "headings": [
            (unit_in_print(table.columns[place].heading), side)
            for place, side in zip(places, sides, strict=True)
        ],
        "rows": [
            {"heads": row.cells[0], "spare": False}
            if row.heads
            else {
                "heads": "",
                "spare": False,
                "stops": row.stops,
                "label": texts[0][at],
                "unit": texts[unit][at] if unit is not None else "",
                "cells": [
                    {"text": texts[place][at], "range": minus(row.ranges[place]) if row.ranges else "", "side": side}
                    for place, side in list(zip(places, sides, strict=True))[1:]
                ],
            }
            for at, row in enumerate(rows)
        ],
        "remarks": table.remarks,
        "detail_remarks": table.detail_remarks,
    }  # fmt: skip


def _places(table: Table, detail: bool, grouped: bool) -> list[int]:
    """The columns shown, in order; those that make sense of a single build only where there is just one."""
    several = len({column.build for column in table.columns} - {0}) > 1
    places = [
        place
        for place, column in enumerate(table.columns)
        if (detail or not column.detail) and not (several and column.alone)
    ]
    if grouped:
        places[1:] = sorted(places[1:], key=lambda place: table.columns[place].side is not UNIT)
    return places


def _side(table: Table, place: int, grouped: bool) -> str:
    """Class of a column's cells."""
    column = table.columns[place]
    values = [at for at, one in enumerate(table.columns) if one.side is POINT and not one.alone]
    result = grouped and values[-1:] == [place] and (column.build > 0 or len(values) == 1)
    more = f"{' wide' if column.alone else ''}{' result' if result else ''}"
    share = " share" if column.side is RIGHT and column.build else ""
    return f"{SIDES[column.side]}{more}{share}"


def _texts(rows: Sequence[Row], place: int, column: Column) -> list[str]:
    """One column's texts; points stand under one another where it has numbers."""
    texts = ["" if row.heads else unit_in_print(minus(row.cells[place])) for row in rows]
    if column.side is not POINT:
        return texts
    deepest = max((_depth(text) for text in texts), default=0)
    return [_at_point(text, deepest) for text in texts]


def _depth(cell: str) -> int:
    """Characters from the decimal point on."""
    return len(cell) - cell.index(".") if "." in cell else 0


def _at_point(cell: str, deepest: int) -> str:
    """Padded behind the point with spaces as wide as what is not there; words stay as they are."""
    if not cell.lstrip("+-\u2212")[:1].isdigit():
        return cell
    lacking = deepest - _depth(cell)
    if "." not in cell and lacking > 0:
        return cell + POINT_SPACE + FIGURE_SPACE * (lacking - 1)
    return cell + FIGURE_SPACE * lacking


def minus(text: str) -> str:
    """With true minus signs, and units that stay with their number."""
    return WITH_NUMBER.sub("\u00a0", re.sub(r"(?<!\w)-(?=\d)", "\u2212", text))
