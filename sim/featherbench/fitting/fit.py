"""Bounded nonlinear least squares with priors: the best values, their 95 % intervals, and what cannot be told apart.

Parameters are counted in standard deviations of what was known beforehand, so the prior is a residual of its own.
Beside the unknowns stand nuisances: what is known only so well, and is fitted along so that it is not taken as exact.
Their derivatives are taken once, and once more where the fit has moved; of those that the data do not feel only the
prior is left. Intervals of the unknowns are marginal over all of it, by profile likelihood: the unknown is held off its
best value while the others follow, until the sum of squares has grown by 1.96^2. Directions in the space of unknowns
about which the data says less than the prior does come from the eigenvalues of the information that the data adds.
"""

from __future__ import annotations

from concurrent.futures import Executor
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from featherbench.fitting.intervals import CRITICAL, WEAK, profiled, told_apart
from featherbench.fitting.search import Held, Progress, Residuals, Search, correlation_of, values_of
from featherbench.fitting.unknowns import Unknown

Vector = NDArray[np.float64]

FELT = 0.04
"""Information that the data must hold of a nuisance (prior: 1), else it is left out: it could not shrink by 2 %."""
MOVED, LOOKS = 0.3, 5
"""Prior deviations; where the fit went further, the nuisances' derivatives are taken anew, at most so many times."""

AGAIN = 2
"""How often a search is gone on with from a lower point that the intervals come by."""
ASTRAY, BENT, ELSEWHERE = 5.0, ("doubt.air_stall",), (-2.0, 2.0)
"""A fit that leaves more than so many standard uncertainties is sought again from elsewhere: where a blade stalls moves
sharp bends along the pitch, and a search from the wrong side of one ends in another dip. Places in prior deviations."""


def _nothing() -> Vector:
    return np.zeros(0)


@dataclass(frozen=True)
class Fitted:
    """The unknowns: values, low, high (n,) SI; covariance (n, n) in prior deviations, marginal; identified (n,);
    confounded: groups of keys that this data cannot tell apart or see. beside: the nuisances that the data feel;
    places (n + b,): of unknowns and these, in prior deviations; whole (n + b, n + b): their covariance; before: their
    correlation before the fit; jacobian (m, n + b) of the data residuals; residuals (m,); unfelt: nuisances of which
    the data say nothing. interrupted: intervals are then those of the curvature, or missing.
    """

    unknowns: tuple[Unknown, ...]
    values: Vector
    low: Vector
    high: Vector
    covariance: Vector
    jacobian: Vector
    residuals: Vector
    identified: tuple[bool, ...]
    confounded: tuple[tuple[str, ...], ...]
    evaluations: int
    interrupted: bool
    beside: tuple[Unknown, ...] = ()
    places: Vector = field(default_factory=_nothing)
    whole: Vector = field(default_factory=_nothing)
    before: Vector = field(default_factory=_nothing)
    unfelt: tuple[Unknown, ...] = ()

    def __post_init__(self) -> None:
        """Without nuisances nothing need be said of them."""
        if not len(self.places) and not self.beside:
            places = [
                unknown.place(value)
                for unknown, value in zip(self.unknowns, self.values.tolist(), strict=True)
            ]
            object.__setattr__(self, "places", np.array(places))
            object.__setattr__(self, "whole", self.covariance)
            object.__setattr__(self, "before", np.eye(len(self.unknowns)))

    @property
    def parameters(self) -> tuple[Unknown, ...]:
        """Unknowns and nuisances."""
        return (*self.unknowns, *self.beside)

    @property
    def best(self) -> Vector:
        """Values (n + b,) of unknowns and nuisances, SI."""
        return values_of(self.parameters, self.places)

    @property
    def deviations(self) -> Vector:
        """Standard deviations (n,) of the unknowns, SI."""
        spread = [unknown.spread_at(value) for unknown, value in zip(self.unknowns, self.values, strict=True)]
        return np.sqrt(np.diag(self.covariance)) * np.array(spread)

    @property
    def correlation(self) -> Vector:
        """Correlation matrix (n, n) of the unknowns."""
        return correlation_of(self.covariance)


def fit(
    residuals: Residuals,
    unknowns: tuple[Unknown, ...],
    *,
    beside: tuple[Unknown, ...] = (),
    before: Vector | None = None,
    progress: Progress | None = None,
    intervals: bool = True,
    begin: Vector | None = None,
    executor: Executor | None = None,
) -> Fitted:
    """Find the unknowns. residuals: values of unknowns and nuisances in SI -> (m,) in standard uncertainties.

    beside: the nuisances; before: correlation (n + b, n + b) of all beforehand; intervals: profile likelihood, else
    from the curvature; begin: where to start, places (n + b,) in prior deviations. Nuisances that the data do not
    feel are held where they begin. executor: what runs several points, this process's threads if None.
    An interrupt ends the search and returns the best so far.
    """
    everything = (*unknowns, *beside)
    count, interrupted = len(unknowns), False
    search = Search(
        residuals,
        everything,
        progress,
        count,
        np.eye(len(everything)) if before is None else before,
        executor,
    )
    point = np.zeros(len(everything)) if begin is None else begin
    kept = list(range(len(everything)))
    jacobian = np.zeros((0, len(everything)))
    try:
        if beside:
            search.look_beside(point)
            felt = (search.beside**2).sum(axis=0) > FELT
            kept = [*range(count), *(count + k for k in np.flatnonzero(felt).tolist())]
            search, point = _with_the_rest_held(search, kept, point, residuals)
            jacobian = jacobian[:, kept]
        search.best = (np.inf, point)
        start = point
        point, jacobian = search.descend(point)
        point, jacobian = _settled(search, start, point, jacobian, len(kept) > count)
        if float(np.mean(search.data(point) ** 2)) > ASTRAY**2:
            point, jacobian = _from_elsewhere(search, point, jacobian)
    except KeyboardInterrupt:
        point, interrupted = search.best[1] if len(search.best[1]) == len(kept) else point, True
    return _fitted(search, point, jacobian, count, intervals, interrupted,
                   tuple(one for k, one in enumerate(everything) if k not in kept))  # fmt: skip


def _settled(
    search: Search, start: Vector, point: Vector, jacobian: Vector, beside: bool
) -> tuple[Vector, Vector]:
    """The best point, the nuisances' derivatives taken anew where the search has moved."""
    for _ in range(LOOKS):
        if not beside or np.abs(point - start).max() < MOVED:
            break
        start = point
        search.look_beside(point)
        point, jacobian = search.descend(point)
    return point, jacobian


def _from_elsewhere(search: Search, point: Vector, jacobian: Vector) -> tuple[Vector, Vector]:
    """The best of a search that went astray and of others, begun where what bends most lies otherwise."""

    def total(place: Vector) -> float:
        data, prior = search.data(place), search.weight @ place
        return float(data @ data + prior @ prior)

    for index, one in enumerate(search.found):
        for away in ELSEWHERE if one.key in BENT else ():
            start = np.where(np.arange(len(point)) == index, away, 0.0)
            search.look_beside(start)
            other, slope = _settled(search, start, *search.descend(start), True)
            if total(other) < total(point):
                point, jacobian = other, slope
    return point, jacobian


def _with_the_rest_held(
    search: Search, kept: list[int], point: Vector, residuals: Residuals
) -> tuple[Search, Vector]:
    """The search over some parameters only, the others held where they are."""
    smaller, place = search.only(kept, point)
    smaller.residuals = Held(residuals, values_of(search.found, point), tuple(kept))
    return smaller, place


def _fitted(
    search: Search,
    point: Vector,
    jacobian: Vector,
    count: int,
    intervals: bool,
    interrupted: bool,
    unfelt: tuple[Unknown, ...],
    again: int = AGAIN,
) -> Fitted:
    """What the search came to, with intervals and what cannot be told apart; searched on from any lower point that the
    intervals come by, so many times."""
    weight = search.weight.T @ search.weight
    if len(jacobian) == 0:
        jacobian = np.zeros((0, len(point)))
    whole: Vector = np.asarray(np.linalg.inv(jacobian.T @ jacobian + weight), dtype=float)
    half = CRITICAL * np.sqrt(np.diag(whole))
    low, high = (point - half)[:count], (point + half)[:count]
    if intervals and not interrupted:
        try:
            low, high, lower = profiled(search, point, jacobian, whole, count)
            if lower is not None and again:
                search.look_beside(lower)
                point, jacobian = search.descend(lower)
                return _fitted(search, point, jacobian, count, intervals, interrupted, unfelt, again - 1)
        except KeyboardInterrupt:
            interrupted = True
    found = search.found[:count]
    told = told_apart(whole[:count, :count], search.before[:count, :count], found)
    confounded, identified = told if len(jacobian) else ((), (False,) * count)
    return Fitted(
        found,
        values_of(found, point[:count]),
        values_of(found, np.clip(low, search.low[:count], search.high[:count])),
        values_of(found, np.clip(high, search.low[:count], search.high[:count])),
        whole[:count, :count],
        jacobian,
        np.zeros(0) if interrupted else search.data(point),
        identified,
        confounded,
        search.count,
        interrupted,
        search.found[count:],
        point,
        whole,
        search.before,
        unfelt,
    )


__all__ = ["CRITICAL", "WEAK", "Fitted", "correlation_of", "fit", "values_of"]
