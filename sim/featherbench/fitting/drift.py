"""What changes from day to day: tables of forces by hand of several dates, held against one and the same prediction.

Each day's departures from the prediction (measured less simulated) are laid out on an error of zero, a load wrong in
proportion and a loop wider or narrower alike everywhere, by weighted least squares; the last two, each with its doubt
(standard), are then followed over the dates by a straight line, weighted again. Where three or more days scatter about
it by more than their uncertainties, the line's is made larger in the same proportion. Wear of bearing and slider, and
grease that dries, widen the loop; a load that drifts is another speed, other blades, or air that the day made denser.
Play cannot be seen in a loop of force. Linear regression: any textbook of statistics, from memory.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from math import sqrt
from typing import NamedTuple

import numpy as np

from featherbench.fitting.misfit import Point, half_loop, laid_out, points_by_hand
from featherbench.fitting.model import BenchModel
from featherbench.fitting.simulated import Simulated
from featherbench.sampling.fitted_joint import NORMAL_95

LEAST = 4
"""Readings of a day, in both directions, that tell its loop."""
MONTH = 30.0
"""days: what a trend is stated for."""
CONCERN = {"force": 0.05, "ratio": 0.02}
"""N and share by which a figure must have changed, first day to last, to be spoken of: a rotor speed held to one in a
hundred changes the load by two, and friction that grows adds some of itself to the load."""
FRICTION, LOAD = "friction, half of the loop", "load on the rod, of what is predicted"


class Trend(NamedTuple):
    """One figure over the days: what; kind ("force", or "ratio" for a share of the load); days; values and doubts
    (standard) at each, SI; change and its doubt (half of what holds 95 %): in 30 days.
    """

    what: str
    kind: str
    days: tuple[date, ...]
    values: tuple[float, ...]
    doubts: tuple[float, ...]
    change: float
    doubt: float

    @property
    def seen(self) -> bool:
        """Whether the change is more than its doubt, and of anybody's concern."""
        months = (self.days[-1] - self.days[0]).days / MONTH
        return abs(self.change) > self.doubt and abs(self.change) * months > CONCERN[self.kind]


def drift(model: BenchModel, simulated: Simulated, names: Sequence[str]) -> tuple[Trend, ...]:
    """The trends of the readings by `names`, against what is simulated of them."""
    if len(set(model.data.days.values())) < 2:
        return ()
    loop = half_loop(simulated)
    turned = -1.0 if loop < 0.0 else 1.0
    return trends(points_by_hand(model, simulated, tuple(names)), model.data.days, turned, abs(loop))


def trends(
    points: Sequence[Point], days: Mapping[str, date], turned: float, half: float
) -> tuple[Trend, ...]:
    """Friction and load over the days; () where fewer than two days are told apart.

    points: of all tables; days: date of each table by its name; turned: 1, or -1 where a rising pitch goes with the
    lower force; half: half of the predicted loop, N, to which a day's departure is added.
    """
    dated: dict[date, list[Point]] = {}
    for one in points:
        if one.table in days:
            dated.setdefault(days[one.table], []).append(one)
    found = {day: told for day in sorted(dated) if (told := _of_day(dated[day], turned)) is not None}
    if len(found) < 2:
        return ()
    friction = [(half + wider, doubt) for (wider, doubt), _ in found.values()]
    load = [(1.0 + more, doubt) for _, (more, doubt) in found.values()]
    return (
        _trend(FRICTION, "force", tuple(found), friction),
        _trend(LOAD, "ratio", tuple(found), load),
    )


def _of_day(points: Sequence[Point], turned: float) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """(wider, doubt) N and (share of the load that is more, doubt) of a day; None where its readings do not tell."""
    load = np.array([one.load for one in points])
    way = np.array([turned * one.way for one in points])
    if len(points) < LEAST or not ((way > 0.0).any() and (way < 0.0).any()):
        return None
    found = laid_out(points, {"zero": np.ones(len(points)), "load": load, "width": way})
    return (found["width"], found["load"]) if found else None


def _trend(what: str, kind: str, days: tuple[date, ...], told: Sequence[tuple[float, float]]) -> Trend:
    """The straight line through what the days say."""
    values, doubts = np.array(told).T
    time = np.array([(day - days[0]).days for day in days]) / MONTH
    weights = 1.0 / doubts**2
    middle = float(np.average(time, weights=weights))
    spread = float(np.sum(weights * (time - middle) ** 2))
    change = float(np.sum(weights * (time - middle) * values)) / spread
    level = float(np.average(values, weights=weights))
    left = values - level - change * (time - middle)
    free = len(days) - 2
    scatter = max(1.0, float(np.sum(weights * left**2)) / free) if free > 0 else 1.0
    return Trend(what, kind, days, tuple(values.tolist()), tuple(doubts.tolist()), change,
                 NORMAL_95 * sqrt(scatter / spread))  # fmt: skip
