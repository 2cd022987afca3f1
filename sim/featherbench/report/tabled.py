"""A table as rows of text, the same for the terminal and the page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from featherbench.report.columns import Column

RIGHT, WORDS, POINT = "right", "left", "point"
"""Sides that a column keeps to; POINT: decimal points under one another."""


class Sheet(NamedTuple):
    """A table: title, headings with their side, rows of cells; remarks in words under it."""

    title: str
    headings: tuple[tuple[str, str], ...]
    rows: tuple[tuple[str, ...], ...]
    remarks: tuple[str, ...] = ()


def columns(sheet: Sheet) -> list[Column]:
    """The sheet as columns for the terminal."""
    cells = list(zip(*sheet.rows, strict=True)) or [()] * len(sheet.headings)
    return [
        Column(title, tuple(column), side, shrinks=side == WORDS)
        for (title, side), column in zip(sheet.headings, cells, strict=True)
    ]


def sheet_of(title: str, shown: Sequence[Column], remarks: Sequence[str] = ()) -> Sheet:
    """Columns for the terminal as a sheet for the page."""
    return Sheet(
        title.strip(),
        tuple((column.heading.strip(), column.align) for column in shown),
        tuple(
            tuple(cell.strip() for cell in row)
            for row in zip(*(column.cells for column in shown), strict=True)
        ),
        tuple(remarks),
    )
