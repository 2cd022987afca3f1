"""How sure the force on the rod and the release are, within tolerances and doubts, worked out a sample at a time.

A window does a sample between two looks at what a hand does, so that no slider waits for it. The samples are those that
a prediction takes at the same number, without the courses of gauge and servo, which the force at rest does not need.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import MutableMapping
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.bench.release import release_points, run_release
from featherbench.bench.setup import Setup
from featherbench.bench.statics import static_curves
from featherbench.exploring.snapshot import Snapshot
from featherbench.rotor.build import Air
from featherbench.rotor.doubted_air import AirFamily
from featherbench.sampling.departures import Band, Interval
from featherbench.sampling.inputs import any_tolerance, varied_inputs
from featherbench.sampling.interval import interval
from featherbench.sampling.samples import (
    Place,
    sample_places,
    sample_setup,
    shortened_task,
)
from featherbench.scenario import ScenarioError

Array = NDArray[np.float64]

COUNT, SEED = 32, 0
"""As a prediction takes them where nothing else is asked for."""
LEAST = 16
"""Samples that must have been possible for a range to be told."""


class WholeRange(NamedTuple):
    """band: over `pitch` (n,) rad, from the low edge of the friction loop where it lies lowest to the high edge where
    it lies highest, N; push, pull: N; released: of both sides, how many of `samples` do what, by verdict.
    """

    pitch: Array
    band: Band
    push: Interval
    pull: Interval
    released: tuple[Counter[str], Counter[str]]
    samples: int

    @property
    def shares(self) -> tuple[dict[str, float], dict[str, float]]:
        """Of both sides, the share of the samples that does what, by verdict."""
        high, low = (
            {verdict: count / self.samples for verdict, count in one.items()} for one in self.released
        )
        return high, low


class RangeWork:
    """The work on one build, done in steps. done: whether nothing is left to do."""

    def __init__(self, snapshot: Snapshot, families: MutableMapping[float, Air | AirFamily]) -> None:
        """snapshot: of a whole prediction; families: air loads by rotor speed, kept from build to build. Raises
        ScenarioError for a tolerance that reaches where no value can be.
        """
        assert snapshot.run is not None
        self.snapshot, self._run = snapshot, snapshot.run
        self._inputs = varied_inputs(snapshot.scenario)
        self._todo: list[Place] = []
        self._curves: list[Array | None] = []
        self._released: list[tuple[str, str]] = []
        if not any_tolerance(self._inputs):
            return
        speed = float(snapshot.scenario.rotor.speed)  # which alone changes the air here
        self._task = shortened_task(self._run, self._inputs, families.get(speed))
        if self._task.air is not None:
            families[speed] = self._task.air
        self._points = sample_places(len(self._inputs), COUNT, SEED)
        self._todo += [None, *(tuple(row) for row in self._points.tolist())]

    @property
    def done(self) -> bool:
        """Whether no sample is left to do."""
        return not self._todo

    def step(self) -> None:
        """Do one sample; the first is the build as written, from which the others are departures."""
        place = self._todo.pop(0)
        try:
            setup = sample_setup(self._task, place)
            curves, released = _curves(setup, self.snapshot.statics.pitch), _released(setup)
        except ScenarioError:
            self._curves.append(None)
            return
        self._curves.append(curves)
        if place is not None:
            self._released.append(released)

    def result(self) -> WholeRange | None:
        """The range, once all is done; None where nothing varies or too little could be built."""
        good = [number for number, curves in enumerate(self._curves[1:]) if curves is not None]
        written = self._curves[0] if self._curves else None
        if written is None or len(good) < LEAST:
            return None
        away = np.array([one - written for one in self._curves[1:] if one is not None])
        low, high = interval(self._points[good], away, self._inputs)
        upper, lower = self.snapshot.statics.loop
        count = len(upper)
        push, pull = (
            Interval(max(0.0, own + float(low[place])), max(0.0, own + float(high[place])))
            for own, place in (
                (self._run.value("rod_force_push"), -2),
                (self._run.value("rod_force_pull"), -1),
            )
        )
        high_side, low_side = (Counter(one) for one in zip(*self._released, strict=True))
        return WholeRange(
            self.snapshot.statics.pitch,
            Band(lower + low[count : 2 * count], upper + high[:count]),
            push,
            pull,
            (high_side, low_side),
            len(good),
        )


def _curves(setup: Setup, pitch: Array) -> Array:
    """(2 n + 2,) N: upper and lower edge of the friction loop over pitch (n,), NaN where the build does not reach; the
    largest push and pull before the blades start.
    """
    statics = static_curves(setup, groups=False)
    edges = [np.interp(pitch, statics.pitch, edge, left=np.nan, right=np.nan) for edge in statics.loop]
    return np.concatenate([*edges, statics.largest])


def _released(setup: Setup) -> tuple[str, str]:
    """What blades do that are released on the high and on the low side."""
    high, low = (run_release(setup, start).verdict for start in release_points(setup))
    return high, low
