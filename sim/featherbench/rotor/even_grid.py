"""Where a value lies on an even grid: the one look-up of every table that the kernels read."""

from __future__ import annotations

from featherbench.kernel import kernel


@kernel
def grid_cell(place: float, rows: int) -> tuple[int, float]:
    """(cell, share of it, 0 to 1) of a place counted in steps from the first of `rows` rows (2 or more).

    A place beyond the grid is held at its end: no table is carried on past what was worked out for it.
    """
    cell = 0
    if (
        place >= rows - 2
    ):  # asked before it is made an integer: what is too large for one would point anywhere
        cell = rows - 2
    elif place > 0.0:
        cell = int(place)
    return cell, min(max(place - cell, 0.0), 1.0)
