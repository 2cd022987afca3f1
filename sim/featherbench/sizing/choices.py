"""All choices of one way to carry weights, and what the ways share: steps, limits, balance above and below."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from featherbench.assembly.hardware import MM
from featherbench.assembly.usual_hardware import plain_nut
from featherbench.sizing.design_space import DesignSpace
from featherbench.sizing.machined import Build, Column

MOST_HEIGHTS, MOST_DIAMETERS, MOST_OF_THREE = 250, 60, 110
"""Values of one dimension that are tried; a lathe finer than that is taken in whole multiples of its step."""
PARTNERS = 6
"""Columns below that are tried with each one above: those that balance it best."""
UNEVEN = (0.01, 0.03, 0.06, 0.12, 1.0)
UNEVEN_BOUGHT, UNEVEN_ON_AXIS = (0.25, 1.0), (0.7, 1.0)
"""Share of the first moments that may be left over between above and below, tried in turn. Bought pieces come in coarse
steps; on the feathering axis' own normal (chord 0) unevenness makes no product I_cn, so that more may be left there."""


@dataclass(frozen=True)
class Choices:
    """All choices of one route and material: sums of the new metal (n,), where it stands, and how one is made.

    touching: for each choice, which limits it reaches, as a function of its index. every: whether each of a band is
    held against the strength checks, not only some.
    """

    route: str
    words: str
    radius: float
    chord: float
    removed: tuple[str, ...]
    weights: Column
    make: Callable[[int], Build]
    touching: Callable[[int], list[str]]
    every: bool = False

    @property
    def count(self) -> int:
        """How many."""
        return int(np.size(self.weights.mass))


def even(above: Column, below: Column, classes: tuple[float, ...] = UNEVEN) -> NDArray[np.bool_]:
    """Which pairs (n,) balance about the feathering axis as well as any do, by classes."""
    left = np.abs(above.first + below.first)
    share = left / np.maximum(np.abs(above.first) + np.abs(below.first), 1e-30)
    for limit in classes:
        good = share <= limit
        if good.any():
            return np.asarray(good)
    return np.ones(share.shape, dtype=bool)


def thinned(values: NDArray[Any], most: int) -> NDArray[Any]:
    """At most about so many of the values, evenly, with the last."""
    if values.size <= most:
        return values
    return np.append(values[: -1 : -(-values.size // most)], values[-1])


def steps_of(space: DesignSpace, seat: float, limit: float, least: float) -> NDArray[np.float64]:
    """Heights that the lathe's step allows, m, from that of a standard head or nut up."""
    low, high = int(np.ceil(least / space.step - 1e-6)), int(np.floor((limit - seat) / space.step + 1e-6))
    every = np.arange(low, high + 1)
    return np.round(thinned(every, MOST_HEIGHTS) * space.step, 9)


def partners(above: Column, below: Column) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Each column above with the few below of nearest opposite first moment."""
    order = np.argsort(-below.first)
    place = np.searchsorted(-below.first[order], above.first)
    near = place[:, None] + np.arange(-PARTNERS // 2, PARTNERS // 2)[None, :]
    near = np.clip(near, 0, order.size - 1)
    ones = np.repeat(np.arange(place.size), near.shape[1])
    return ones, order[near.ravel()]


def touched(space: DesignSpace, above: float, below: float, diameter: float, widest: float) -> list[str]:
    """Which limits a choice reaches to within a step; a whole step short of one is not at it, whatever the rounding."""
    found, step = [], space.step - 1e-9
    if above > space.above - step:
        found.append("height_above")
    if below > space.below - step:
        found.append("height_below")
    if above + below > space.over_all - step and space.over_all < space.above + space.below:
        found.append("bolt_length")
    if diameter > min(widest, space.bars[-1] if space.bars else widest) - step:
        found.append("diameter")
    return found


def nut_height(space: DesignSpace) -> float:
    """Of a plain nut of the thread, m."""
    return plain_nut(space.thread).height * MM
