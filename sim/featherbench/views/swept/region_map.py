"""A sweep of two numbers as a map: one value over both, and the regions that must be known before a build is run."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from featherbench.sweeping.sweep import Sweep

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
MOST_CELLS = 4_000_000
FIRST = ("rod_force_static", "rod_force_push", "rod_force_pull")
"""What the map is of, where it was kept; else the first number that was."""
REGIONS = ("runs to full pitch", "floats at hover", "fails strength", "strength not known")


class SweepMap(NamedTuple):
    """keys: of the horizontal axis and the vertical one; across (m,), up (n,): their places, SI, rising; value (n, m):
    SI, NaN where there is none; name: of the value; regions: (n, m) by what to call it, only those that there are.
    """

    keys: tuple[str, str]
    across: Array
    up: Array
    value: Array
    name: str
    regions: dict[str, Mask]


def mapped(found: Sweep) -> tuple[str, str] | None:
    """The two keys of a sweep that is a map, horizontal first; None for another."""
    grid = found.grid
    if len(grid.axes) != 2 or "text" in grid.kinds or min(grid.shape) < 2 or grid.count > MOST_CELLS:
        return None
    if all(kind == "text" for kind in found.columns.values()) or any(
        math.isnan(float(grid.value(value, key))) for key, axis in enumerate(grid.axes) for value in axis
    ):
        return None
    return grid.keys[0], grid.keys[1]


def sweep_map(found: Sweep) -> SweepMap:
    """The map of a sweep. Raises ValueError, in words, for a sweep that is none."""
    keys = mapped(found)
    if keys is None:
        raise ValueError("a map is of a grid of two keys that are numbers, two values of each or more")
    grid, numbers = found.grid, [name for name, kind in found.columns.items() if kind != "text"]
    name = next((one for one in FIRST if one in numbers), numbers[0])
    wanted = {name, "release", "release_low", "hover_pitch", "float_low", "float_high", "load_path"}
    cells = {one: np.full(grid.shape, None, dtype=object) for one in wanted & set(found.columns)}
    for table in found.tables():
        places = tuple(np.array([grid.places(build) for build in table["build"]]).T)
        for one, cell in cells.items():
            cell[places] = np.array(table[one], dtype=object)
    across, up = (
        np.array([float(grid.value(value, key)) for value in axis]) for key, axis in enumerate(grid.axes)
    )
    order = np.ix_(np.argsort(across, kind="stable"), np.argsort(up, kind="stable"))
    cells = {one: cell[order].T for one, cell in cells.items()}
    return SweepMap(keys, np.sort(across), np.sort(up), cells[name].astype(float), name, _regions(cells))


def _regions(cells: dict[str, NDArray[np.object_]]) -> dict[str, Mask]:
    """Where what must be known is so; a build that could not be is in none."""
    found: dict[str, Mask] = {}
    sides = [cells[side] == "runs out" for side in ("release", "release_low") if side in cells]
    if sides:
        found["runs to full pitch"] = np.logical_or.reduce(sides)
    if {"hover_pitch", "float_low", "float_high"} <= set(cells):
        hover, low, high = (cells[name].astype(float) for name in ("hover_pitch", "float_low", "float_high"))
        found["floats at hover"] = (low <= hover) & (hover <= high)
    if "load_path" in cells:
        found["fails strength"] = cells["load_path"] == "fails"
        found["strength not known"] = cells["load_path"] == "unknown"
    return {name: mask.astype(bool) for name, mask in found.items() if mask.any()}
