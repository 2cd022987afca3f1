"""A least-squares problem with priors, its parameters counted in standard deviations of what was known beforehand."""

from __future__ import annotations

import copy
from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from featherbench.fitting.unknowns import Unknown
from featherbench.studies.engines import Sent
from featherbench.studies.ensemble import run_many

if TYPE_CHECKING:
    from scipy.optimize import OptimizeResult

Vector = NDArray[np.float64]
Residuals = Callable[[Vector], Vector]
"""Values of the parameters, SI -> data residuals in standard uncertainties."""
Progress = Callable[[str], None]

DIFFERENCE = 0.25
"""Step of the derivatives, in prior standard deviations; wide enough to step over stick and slip."""
ASIDE = 0.4
"""The same over the nuisances, to one side only."""
SETTLED = 0.01
"""Where a step lowers the sum of squares by less, the next ones are not worth their simulations: a tenth of a standard
deviation is less than instruments and a profile's end are told apart by."""


def correlation_of(covariance: Vector) -> Vector:
    """Correlation matrix of a covariance (n, n)."""
    size = np.sqrt(np.diag(covariance))
    return covariance / np.outer(size, size)


def values_of(found: tuple[Unknown, ...], point: Vector) -> Vector:
    """Values (n,), SI, of parameters at places (n,) in prior deviations."""
    return np.array([one.at(place) for one, place in zip(found, point.tolist(), strict=True)])


@dataclass(frozen=True)
class Held:
    """Residuals of some parameters, the others held. values (n,): of all, SI; free: which are given."""

    residuals: Residuals
    values: Vector
    free: tuple[int, ...]

    def __call__(self, values: Vector) -> Vector:
        """Residuals at values of the free ones, SI."""
        whole = self.values.copy()
        whole[list(self.free)] = values
        return self.residuals(whole)


class Search:
    """The least-squares problem in prior deviations, with its count of evaluations and the best point so far."""

    def __init__(
        self,
        residuals: Residuals,
        found: tuple[Unknown, ...],
        progress: Progress | None,
        free: int,
        before: Vector,
        executor: Executor | None = None,
    ) -> None:
        """free: parameters that are unknowns, the first ones; before: correlation of all beforehand; executor: what
        runs several points at a time, threads of this process if None.
        """
        self.executor = executor
        self.residuals, self.progress, self.count, self.free = residuals, progress, 0, free
        self.found = found
        self.low = np.array([one.place(one.low) for one in found])
        self.high = np.array([one.place(one.high) for one in found])
        self.before = before
        self.weight = np.linalg.cholesky(np.linalg.inv(before)).T
        self.beside: Vector = np.zeros((0, 0))
        self.best: tuple[float, Vector] = (np.inf, np.zeros(len(found)))
        self.kept: dict[bytes, Vector] = {}

    def only(self, kept: list[int], point: Vector) -> tuple[Search, Vector]:
        """The same problem with some of the parameters only, and its point."""
        smaller = Search(
            self.residuals, tuple(self.found[k] for k in kept), self.progress, self.free,
            self.before[np.ix_(kept, kept)], self.executor,
        )  # fmt: skip
        smaller.count = self.count
        smaller.beside = self.beside[:, [k - self.free for k in kept[self.free :]]]
        return smaller, point[kept]

    def data(self, point: Vector) -> Vector:
        """Data residuals at a point in prior deviations; kept, since derivatives begin where a step ended."""
        place = point.tobytes()
        if place not in self.kept:
            self.count += 1
            self.kept[place] = self.residuals(values_of(self.found, point))
        return self.kept[place]

    def __getstate__(self) -> dict[str, Any]:
        """What another process needs of it."""
        return {**vars(self), "progress": None, "executor": None, "kept": {}}

    def alone(self) -> Search:
        """A copy that counts for itself, to go on from here beside others."""
        own = copy.copy(self)
        own.kept, own.count = dict(self.kept), 0
        return own

    def many(self, task: Callable[[Any], Any], inputs: Sequence[Any]) -> dict[int, Any]:
        """What a task makes of several inputs, by their number. Raises KeyboardInterrupt where it was interrupted."""
        sent = task if self.executor is None else Sent.of(task)
        done = run_many(sent, inputs, executor=self.executor)
        if done.interrupted:  # even where all that was running has come to its end
            raise KeyboardInterrupt
        return done.results

    def all_data(self, points: Sequence[Vector]) -> list[Vector]:
        """Data residuals at several points, as of `data`."""
        new = {point.tobytes(): point for point in points if point.tobytes() not in self.kept}
        found = self.many(self.residuals, [values_of(self.found, point) for point in new.values()])
        self.count += len(new)
        self.kept |= dict(zip(new, found.values(), strict=True))
        return [self.kept[point.tobytes()] for point in points]

    def whole(self, point: Vector) -> Vector:
        """Data residuals and the prior's."""
        found = np.concatenate([self.data(point), self.weight @ point])
        total = float(found @ found)
        if total < self.best[0]:
            self.best = (total, point.copy())
        if self.progress is not None:
            self.progress(f"{self.count} evaluations, sum of squares {total:.4g}")
        return found

    def columns(self, point: Vector, which: range) -> Vector:
        """Some columns of the Jacobian (m, which) of the data residuals by central differences, inside the bounds."""
        points, steps = [], []
        for index in which:
            up, down = point.copy(), point.copy()
            up[index] = min(point[index] + DIFFERENCE, self.high[index])
            down[index] = max(point[index] - DIFFERENCE, self.low[index])
            points += [up, down]
            steps.append(up[index] - down[index])
        data = self.all_data(points)
        return np.column_stack([(data[2 * k] - data[2 * k + 1]) / step for k, step in enumerate(steps)])

    def look_beside(self, point: Vector) -> None:
        """Take the derivatives over the nuisances at a point, away from the nearer bound."""
        which = range(self.free, len(self.found))
        points = [point]
        for index in which:
            moved = point.copy()
            up = self.high[index] - point[index] >= point[index] - self.low[index]
            moved[index] += ASIDE if up else -ASIDE
            points.append(moved)
        base, *moved_by = self.all_data(points)
        self.beside = np.column_stack(
            [(moved_by[k] - base) / (points[k + 1][index] - point[index]) for k, index in enumerate(which)]
        )

    def slope(self, point: Vector) -> Vector:
        """Jacobian (m, n) of the data residuals; over the nuisances as it was last taken."""
        own = self.columns(point, range(self.free))
        return np.hstack([own, self.beside]) if self.free < len(self.found) else own

    def whole_slope(self, point: Vector) -> Vector:
        """The same with the prior's rows."""
        return np.vstack([self.slope(point), self.weight])

    def descend(self, point: Vector) -> tuple[Vector, Vector]:
        """The best point from here on, and the Jacobian of the data there."""
        from scipy.optimize import least_squares

        point = np.clip(point, self.low + 1e-9, self.high - 1e-9)
        sums = [float(np.sum(self.data(point) ** 2) + np.sum((self.weight @ point) ** 2))]

        def settled(intermediate_result: OptimizeResult) -> None:
            sums.append(2.0 * intermediate_result.cost)
            if sums[-2] - sums[-1] < SETTLED:
                raise StopIteration

        done = least_squares(
            self.whole, point, jac=self.whole_slope, bounds=(self.low, self.high),
            ftol=1e-5, xtol=1e-4, gtol=1e-6, max_nfev=15, callback=settled,
        )  # fmt: skip
        return done.x, done.jac[: -len(point)]
