"""Stacks on the blade bolt, counted out: all ways to fill one side, and the pairs that a screw takes.

A side, from the grip outward: rings in one order, the densest outermost; below, nuts behind them. Sums are closed forms
of a pile of like pieces: with middles z_j = b + (j + 1/2) h, j = 0 .. n - 1, sum z = n b + h n^2/2 and
sum z^2 = n (b + n h/2)^2 + n (n^2 - 1) h^2/12.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from featherbench.assembly.hardware import MM, thread_of
from featherbench.sizing.choices import UNEVEN_BOUGHT, UNEVEN_ON_AXIS, even
from featherbench.sizing.design_space import DesignSpace
from featherbench.sizing.machined import Column
from featherbench.sizing.owned import Kind

TIGHT = 1e-9
"""m of rounding."""
Counts = NDArray[np.int64]


@dataclass(frozen=True)
class Half:
    """All ways to fill one side: counts (n, kinds) of `kinds`, nearest the grip first; heights (n,) m; sums (n,)."""

    kinds: tuple[Kind, ...]
    counts: Counts
    heights: NDArray[np.float64]
    sums: Column


@dataclass(frozen=True)
class Stacks:
    """Stacks of one screw: rows of the upper and lower half (n,)."""

    screw: Kind
    above: Half
    below: Half
    rows: tuple[Counts, Counts]
    sums: Column


def half(space: DesignSpace, rings: Sequence[Kind], nuts: Sequence[Kind], room: float) -> Half:
    """All numbers of rings, and of nuts behind them, that the room (m) takes; with nuts, such as keep themselves."""
    kinds = (*rings, *nuts)
    counts, heights = np.zeros((1, 0), dtype=int), np.zeros(1)
    for kind in kinds:
        fits = int(min(kind.most, np.floor(room / kind.height + 1e-6)))
        every = np.arange(fits + 1)
        grown = (heights[:, None] + every[None, :] * kind.height).ravel()
        counts = np.column_stack([np.repeat(counts, fits + 1, axis=0), np.tile(every, heights.size)])
        keep = grown <= room + TIGHT
        counts, heights = counts[keep], grown[keep]
    if nuts:
        keep = _keeps_itself(kinds, counts)
        counts, heights = counts[keep], heights[keep]
    side, seat = (-1.0, space.seat_below) if nuts else (1.0, space.seat_above)
    return Half(kinds, counts, heights, _sums(kinds, counts, side, seat or 0.0))


def _keeps_itself(kinds: Sequence[Kind], counts: Counts) -> NDArray[np.bool_]:
    """Two nuts, the second locking the first, or one that locks itself; a thin one closes nothing by itself."""
    number = {
        name: sum(
            (counts[:, place] for place, one in enumerate(kinds) if one.shape == "nut" and test(one)),
            np.zeros(counts.shape[0], dtype=int),
        )
        for name, test in (
            ("any", lambda _: True),
            ("locks", lambda one: one.locks),
            ("thin", lambda one: one.thin),
        )
    }
    return np.asarray((number["any"] - number["thin"] >= 1) & ((number["any"] >= 2) | (number["locks"] >= 1)))


def _sums(kinds: Sequence[Kind], counts: Counts, side: float, seat: float) -> Column:
    """Sums (n,) of pieces that lie one on the other from `seat`, m, outward."""
    total = Column(*(np.zeros(counts.shape[0]) for _ in range(4)))
    base = np.full(counts.shape[0], seat)
    for place, kind in enumerate(kinds):
        n, high, own = counts[:, place], kind.height, kind.column
        reach = n * high
        heights = side * (n * base + high * n * n / 2.0)  # sums of the middles, and of their squares
        squares = n * (base + reach / 2.0) ** 2 + n * (n * n - 1.0) * high**2 / 12.0
        total = total.plus(
            Column(
                n * own.mass,
                n * own.first + own.mass * heights,
                n * own.second + 2.0 * own.first * heights + own.mass * squares,
                n * own.across,
            )
        )
        base = base + reach
    return total


def fitting(space: DesignSpace, screw: Kind, above: Half, below: Half) -> Stacks:
    """Pairs of halves that this screw takes."""
    pitch = thread_of(space.thread).pitch * MM
    face = (space.seat_above or 0.0) + above.heights
    end = screw.shank - face
    good = face + screw.height <= space.above + TIGHT
    good &= end <= space.below + TIGHT
    good &= screw.shank + screw.height <= space.over_all + TIGHT
    rows = np.flatnonzero(good)
    nuts_from = (space.seat_below or 0.0) + _rings_height(below)
    nuts_to = (space.seat_below or 0.0) + below.heights
    pairs = nuts_to[None, :] + pitch <= end[rows, None] + TIGHT
    pairs &= nuts_from[None, :] >= screw.plain - face[rows, None] - TIGHT
    for place, kind in enumerate(above.kinds):
        other = below.kinds.index(kind)
        pairs &= above.counts[rows, place][:, None] + below.counts[None, :, other] <= kind.most
    one, two = np.nonzero(pairs)
    one = rows[one]
    upper = above.sums.taken(one).plus(_head(screw, face[one]))
    lower = below.sums.taken(two)
    if one.size:
        classes = UNEVEN_BOUGHT if abs(space.chord) > 1e-6 else UNEVEN_ON_AXIS
        keep = even(upper, lower, classes)
        one, two, upper, lower = one[keep], two[keep], upper.taken(keep), lower.taken(keep)
    return Stacks(screw, above, below, (one, two), upper.plus(lower))


def _rings_height(half: Half) -> NDArray[np.float64]:
    high = np.array([one.height if one.shape == "ring" else 0.0 for one in half.kinds])
    return np.asarray(half.counts @ high)


def _head(screw: Kind, face: NDArray[np.float64]) -> Column:
    """Sums of the screw with its head's face so high, m."""
    own = screw.column
    first = own.first + own.mass * face
    second = own.second + 2.0 * own.first * face + own.mass * face**2
    return Column(np.full(face.shape, own.mass), first, second, np.full(face.shape, own.across))
