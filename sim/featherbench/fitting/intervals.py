"""What a fit leaves open: intervals by profile likelihood, and directions that the data does not see."""

from __future__ import annotations

from functools import partial
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.fitting.search import Search
from featherbench.fitting.unknowns import Unknown

Vector = NDArray[np.float64]

CRITICAL = 1.959964
"""Of the normal distribution, 95 % two-sided."""
WEAK = 3.0
"""A direction whose information is below this (prior: 1) is not found by the data: it leaves half the prior's width."""
LEAST = 0.7
"""A profile is taken as no narrower than this share of what the curvature says."""
STEPS, GAIN = 4, 0.05
"""Steps at most towards the least sum of squares beside a held unknown, and what one must gain for another."""
LOWER = 0.5
"""Of the sum of squares: where a profile comes by a point that much lower, the fit was not at its best."""
SHARE = 0.2
"""An unknown with this share of a weak direction belongs to it."""


def profiled(
    search: Search, point: Vector, jacobian: Vector, covariance: Vector, count: int
) -> tuple[Vector, Vector, Vector | None]:
    """Ends (n,), (n,) of the unknowns' 95 % intervals, in prior deviations; and the lowest point that was come by where
    `point` turned out not to be it, else None."""
    residuals, prior = search.data(point), search.weight @ point
    base = float(residuals @ residuals + prior @ prior)
    sides = [(index, side) for index in range(count) for side in (-1.0, 1.0)]
    done = search.many(partial(_end, search, point, residuals, jacobian, covariance), sides)
    search.count += sum(found.looks for found in done.values())
    ends = np.array([done[k].place for k in range(len(sides))]).reshape(-1, 2)
    total, lowest = min((found.lowest for found in done.values()), key=lambda one: one[0])
    return ends[:, 0], ends[:, 1], lowest if total < base - LOWER else None


class End(NamedTuple):
    """One end of an interval, in prior deviations; how often the data were looked at for it; and the lowest sum of
    squares on the way, with its point."""

    place: float
    looks: int
    lowest: tuple[float, Vector]


def _end(
    search: Search,
    point: Vector,
    residuals: Vector,
    jacobian: Vector,
    covariance: Vector,
    way: tuple[int, float],
) -> End:
    """Where the profile of an unknown has risen by CRITICAL^2 on one side.

    residuals: of the data at `point`, which another process would have to look at again; way: number of the unknown,
    and the side.
    """
    (index, side), search = way, search.alone()
    search.kept[point.tobytes()] = residuals
    prior = search.weight @ point
    base = float(residuals @ residuals + prior @ prior)
    path = covariance[:, index] / covariance[index, index]
    reach = CRITICAL * float(np.sqrt(covariance[index, index]))
    room = float(search.high[index] - point[index] if side > 0.0 else point[index] - search.low[index])
    away, best = min(reach, room), (base, point)
    for _ in range(3):
        if away <= 0.0:
            break
        place = np.clip(point + side * away * path, search.low, search.high)
        lowest, place, jacobian = _lowest_beside(search, point, place, jacobian, index)
        best = min(best, (lowest, place), key=lambda one: one[0])
        rise = float(np.sqrt(max(lowest - base, 1e-6)))
        away = min(away * float(np.clip(CRITICAL / rise, 0.4, 2.5)), room)
        if abs(rise - CRITICAL) < 0.1:
            break
    # from a point that is not quite the lowest a profile rises too soon
    return End(float(point[index] + side * min(max(away, LEAST * reach), room)), search.count, best)


def _lowest_beside(
    search: Search, point: Vector, place: Vector, jacobian: Vector, index: int
) -> tuple[float, Vector, Vector]:
    """The least sum of squares near a place with one parameter held there, its point, and the Jacobian as the steps
    corrected it.

    A step short of the least would let the profile rise too soon and the interval come out too narrow. jacobian: of the
    data at `point`, or as corrected since; each step corrects it by what it brought (Broyden's rank-one update).
    """
    others = np.arange(len(point)) != index
    whole, come_from, lowest = np.inf, point, place
    for _ in range(STEPS):
        moved, residuals = place - come_from, search.data(place)
        wrong = residuals - search.data(come_from) - jacobian @ moved
        jacobian = jacobian + np.outer(wrong, moved) / max(float(moved @ moved), 1e-12)
        prior = search.weight @ place
        total = float(residuals @ residuals + prior @ prior)
        gained = whole - total
        if gained > 0.0:
            whole, lowest = total, place
        if gained < GAIN or not others.any():
            break
        held = np.vstack([jacobian[:, others], search.weight[:, others]])
        step = np.linalg.lstsq(held, -np.concatenate([residuals, prior]), rcond=None)[0]
        come_from, place = place, place.copy()
        place[others] += step
        place = np.clip(place, search.low, search.high)
    return whole, lowest, jacobian


def told_apart(
    covariance: Vector, before: Vector, unknowns: tuple[Unknown, ...]
) -> tuple[tuple[tuple[str, ...], ...], tuple[bool, ...]]:
    """Groups of keys that share a direction the data does not see, and which keys stand clear of all."""
    added = np.linalg.inv(covariance) - np.linalg.inv(before)
    information, directions = np.linalg.eigh(0.5 * (added + added.T))
    groups, dim = [], set()
    for value, direction in zip(information, directions.T, strict=True):
        if value < WEAK:
            members = np.flatnonzero(direction**2 > SHARE)
            groups.append(tuple(unknowns[k].key for k in members))
            dim |= set(members.tolist())
    return tuple(groups), tuple(k not in dim for k in range(len(unknowns)))
