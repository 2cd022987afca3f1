"""Which rows of a table are left where a terminal has room for few."""

from __future__ import annotations

import pytest

from featherbench.render.brief import _fitting
from featherbench.views.view import POINT, Column, Row, Table

ROWS = (
    Row(("0.00",), stays=True),
    Row(("0.40",), stays=True),
    Row(("0.50",), stays=True, chosen=True),
    Row(("0.60",), stays=True),
    Row(("0.70",)),
    Row(("1.10",), stays=True, stops=True),
)


@pytest.mark.parametrize(
    ("room", "left"),
    [
        (7, "0.00 0.40 0.50 0.60 0.70 1.10"),
        (6, "0.00 0.40 0.50 0.60 1.10"),
        (5, "0.00 0.40 0.50 1.10"),
        (4, "0.00 0.50 1.10"),
        (3, "0.50 1.10"),
        (2, "0.50"),
        (0, "0.50"),
    ],
)
def test_what_was_chosen_is_the_last_to_go(room, left):
    """An answer that says "aim for 0.50" over a table without 0.50 sends its reader to another row."""
    head, *lines = _fitting(Table("the sweep", (Column("comp.", POINT),), ROWS), 80, room)
    assert head.text.strip() == "comp."
    assert [line.text.strip() for line in lines] == left.split()
