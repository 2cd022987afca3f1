"""Bounded nonlinear least squares with priors: the best values, their 95 % intervals, and what cannot be told apart.

Unknowns are counted in standard deviations of what was known beforehand, so the prior is a residual of its own.
Intervals are by profile likelihood: the unknown is held off its best value while the others follow, until the sum of
squares has grown by 1.96^2. Directions in the space of unknowns about which the data says less than the prior does come
from the eigenvalues of the data's Fisher information J^T J.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from featherbench.studies.ensemble import run_many
from featherbench.studies.fitting_unknowns import Unknown

Vector = NDArray[np.float64]
Residuals = Callable[[Vector], Vector]
"""Values of the unknowns, SI -> data residuals in standard uncertainties."""
Progress = Callable[[str], None]

DIFFERENCE = 0.25
"""Step of the derivatives, in prior standard deviations; wide enough to step over stick and slip."""
CRITICAL = 1.959964
"""Of the normal distribution, 95 % two-sided."""
WEAK = 3.0
"""A direction whose information is below this (prior: 1) is not found by the data: it leaves half the prior's width."""
SHARE = 0.2
"""An unknown with this share of a weak direction belongs to it."""


@dataclass(frozen=True)
class Fitted:
    """values, low, high (n,) SI; covariance (n, n) in prior deviations; jacobian (m, n) of the data residuals in the
    same; residuals (m,); identified (n,); alike: groups of keys that this data cannot tell apart or see; evaluations;
    interrupted: intervals are then those of the curvature, or missing."""

    unknowns: tuple[Unknown, ...]
    values: Vector
    low: Vector
    high: Vector
    covariance: Vector
    jacobian: Vector
    residuals: Vector
    identified: tuple[bool, ...]
    alike: tuple[tuple[str, ...], ...]
    evaluations: int
    interrupted: bool

    @property
    def deviations(self) -> Vector:
        """Standard deviations (n,), SI."""
        return np.sqrt(np.diag(self.covariance)) * np.array([one.deviation for one in self.unknowns])

    @property
    def correlation(self) -> Vector:
        """Correlation matrix (n, n) of the unknowns."""
        size = np.sqrt(np.diag(self.covariance))
        return self.covariance / np.outer(size, size)


class _Search:
    """The least-squares problem in prior deviations, with its count of evaluations and the best point so far."""

    def __init__(self, residuals: Residuals, found: tuple[Unknown, ...], progress: Progress | None) -> None:
        self.residuals, self.progress, self.count = residuals, progress, 0
        self.start = np.array([one.start for one in found])
        self.size = np.array([one.deviation for one in found])
        self.low = (np.array([one.low for one in found]) - self.start) / self.size
        self.high = (np.array([one.high for one in found]) - self.start) / self.size
        self.best: tuple[float, Vector] = (np.inf, np.zeros(len(found)))

    def data(self, point: Vector) -> Vector:
        """Data residuals at a point in prior deviations."""
        self.count += 1
        return self.residuals(self.start + self.size * point)

    def whole(self, point: Vector) -> Vector:
        """Data residuals and the prior's."""
        found = np.concatenate([self.data(point), point])
        total = float(found @ found)
        if total < self.best[0]:
            self.best = (total, point.copy())
        if self.progress is not None:
            self.progress(f"{self.count} evaluations, sum of squares {total:.4g}")
        return found

    def slope(self, point: Vector) -> Vector:
        """Jacobian (m, n) of the data residuals by central differences, inside the bounds."""
        points, steps = [], []
        for index in range(len(point)):
            up, down = point.copy(), point.copy()
            up[index] = min(point[index] + DIFFERENCE, self.high[index])
            down[index] = max(point[index] - DIFFERENCE, self.low[index])
            points += [up, down]
            steps.append(up[index] - down[index])
        done = run_many(self.data, points)
        if done.interrupted:  # even where all that was running has come to its end
            raise KeyboardInterrupt
        return np.column_stack(
            [(done.results[2 * k] - done.results[2 * k + 1]) / step for k, step in enumerate(steps)]
        )

    def whole_slope(self, point: Vector) -> Vector:
        """The same with the prior's rows."""
        return np.vstack([self.slope(point), np.eye(len(point))])


def fit(
    residuals: Residuals,
    found: tuple[Unknown, ...],
    *,
    progress: Progress | None = None,
    intervals: bool = True,
    begin: Vector | None = None,
) -> Fitted:
    """Find the unknowns. residuals: values in SI -> (m,) in standard uncertainties. intervals: profile likelihood,
    else from the curvature; begin: where to start, SI. An interrupt ends the search and returns the best so far."""
    search = _Search(residuals, found, progress)
    count, interrupted = len(found), False
    jacobian = np.zeros((0, count))
    point = np.zeros(count) if begin is None else (begin - search.start) / search.size
    point = np.clip(point, search.low + 1e-9, search.high - 1e-9)
    search.best = (np.inf, point)
    try:
        done = least_squares(
            search.whole, point, jac=search.whole_slope, bounds=(search.low, search.high),
            ftol=1e-5, xtol=1e-4, gtol=1e-6, max_nfev=15,
        )  # fmt: skip
        point, jacobian = done.x, done.jac[:-count]
    except KeyboardInterrupt:
        point, interrupted = search.best[1], True
    covariance: Vector = np.asarray(np.linalg.inv(jacobian.T @ jacobian + np.eye(count)), dtype=float)
    half = CRITICAL * np.sqrt(np.diag(covariance))
    low, high = point - half, point + half
    if intervals and not interrupted:
        try:
            low, high = _profiled(search, point, jacobian, covariance)
        except KeyboardInterrupt:
            interrupted = True
    alike, identified = _told_apart(jacobian, found) if len(jacobian) else ((), (False,) * count)
    return Fitted(
        found,
        search.start + search.size * point,
        search.start + search.size * np.clip(low, search.low, search.high),
        search.start + search.size * np.clip(high, search.low, search.high),
        covariance,
        jacobian,
        np.zeros(0) if interrupted else search.data(point),
        identified,
        alike,
        search.count,
        interrupted,
    )


def _profiled(search: _Search, point: Vector, jacobian: Vector, covariance: Vector) -> tuple[Vector, Vector]:
    """Ends (n,), (n,) of the 95 % intervals, in prior deviations."""
    base = float(np.sum(search.data(point) ** 2) + point @ point)
    sides = [(index, side) for index in range(len(point)) for side in (-1.0, 1.0)]
    done = run_many(lambda way: _end(search, point, jacobian, covariance, base, *way), sides)
    if done.interrupted:  # even where all that was running has come to its end
        raise KeyboardInterrupt
    ends = np.array([done.results[k] for k in range(len(sides))]).reshape(-1, 2)
    return ends[:, 0], ends[:, 1]


def _end(
    search: _Search, point: Vector, jacobian: Vector, covariance: Vector, base: float, index: int, side: float
) -> float:
    """Where the profile of unknown `index` has risen by CRITICAL^2 on one side."""
    path = covariance[:, index] / covariance[index, index]
    others = np.arange(len(point)) != index
    reach = CRITICAL * float(np.sqrt(covariance[index, index]))
    room = float(search.high[index] - point[index] if side > 0.0 else point[index] - search.low[index])
    away = min(reach, room)
    for _ in range(4):
        if away <= 0.0:
            break
        place = np.clip(point + side * away * path, search.low, search.high)
        found = search.data(place)
        whole = float(found @ found + place @ place)
        if others.any():
            held = np.vstack([jacobian[:, others], np.eye(len(point))[:, others]])
            step = np.linalg.lstsq(held, -np.concatenate([found, place]), rcond=None)[0]
            if np.abs(step).max() > 0.05:
                moved = place.copy()
                moved[others] += step
                moved = np.clip(moved, search.low, search.high)
                again = search.data(moved)
                whole = min(whole, float(again @ again + moved @ moved))
        rise = float(np.sqrt(max(whole - base, 1e-6)))
        if abs(rise - CRITICAL) < 0.05:
            break
        away = min(away * float(np.clip(CRITICAL / rise, 0.4, 2.5)), room)
    return float(point[index] + side * away)


def _told_apart(
    jacobian: Vector, found: tuple[Unknown, ...]
) -> tuple[tuple[tuple[str, ...], ...], tuple[bool, ...]]:
    """Groups of keys that share a direction the data does not see, and which keys stand clear of all."""
    information, directions = np.linalg.eigh(jacobian.T @ jacobian)
    groups, dim = [], set()
    for value, direction in zip(information, directions.T, strict=True):
        if value < WEAK:
            members = np.flatnonzero(direction**2 > SHARE)
            groups.append(tuple(found[k].key for k in members))
            dim |= set(members.tolist())
    return tuple(groups), tuple(k not in dim for k in range(len(found)))
