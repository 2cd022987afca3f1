"""Where blades snap through on a force gauge, and the gauge test that they would give on one that is stiff enough.

Over-balanced blades push the rod the harder the further they go: their load has a negative stiffness. A soft spring
holds such a load only where it is stiffer itself, dF/dx > -1/C with the compliance C of gauge and linkage in series;
elsewhere the blades jump, with the spring's stored energy behind them, and what the gauge shows of it is no force of
the build's. The same is known of testing machines: a specimen that weakens breaks violently in one that is softer than
its falling branch is steep (Hudson, Crouch and Fairhurst 1972, Engineering Geology 6, 155-189; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from featherbench.bench.setup import Setup
from featherbench.bench.statics import StaticCurves
from featherbench.linkage.geometry import pitch_rod_travel, pitch_rod_travels

Series = NDArray[np.float64]

RESERVE = 0.75
"""Share of gauge's and linkage's stiffness from which on the load counts as too steep for them: the blades then move
four times as far as the gauge, and a tenth of a millimetre decides where they end."""


@dataclass(frozen=True)
class SnapThrough:
    """low, high: between which pitches (rad) the load is steeper than its support; steepest: N/m that it falls by.

    support: N/m of gauge and linkage in series; linkage: of the linkage alone.
    """

    low: float
    high: float
    steepest: float
    support: float
    linkage: float

    @property
    def gauge_needed(self) -> float | None:
        """N/m above which a gauge holds the blades everywhere, in reserve; None where the linkage alone is too soft."""
        needed = self.steepest / RESERVE
        return 1.0 / (1.0 / needed - 1.0 / self.linkage) if needed < self.linkage else None

    def note(self) -> str:
        """What it means, for a person."""
        low, high = np.rad2deg(self.low), np.rad2deg(self.high)
        needed = self.gauge_needed
        cure = (
            "no gauge holds them, the linkage being too soft for it, nor does a servo: take weight off, or stiffen it"
            if needed is None
            else f"a gauge stiffer than {1e-3 * needed:.2g} N/mm (gauge.stiffness) holds them"
        )
        return (
            f"on the gauge the blades snap through, or all but, between {low:.0f} and {high:.0f} deg: there they push "
            f"by up to {1e-3 * self.steepest:.2g} N more for each mm they move, and gauge and linkage hold with only "
            f"{1e-3 * self.support:.2g} N/mm. What a gauge shows of that is no force of this build: the rod forces "
            f"here are those at rest, with the friction of blades that nothing shakes; {cure}."
        )


def snap_through(setup: Setup, curves: StaticCurves) -> SnapThrough | None:
    """Where the load, friction either way included, is steeper than gauge and linkage are stiff; None nowhere."""
    linkage = float(setup.plant.joint.stiffness)
    support = 1.0 / (1.0 / float(setup.scenario.gauge.stiffness) + 1.0 / linkage)
    travel = pitch_rod_travels(curves.pitch, setup.plant.linkage)[:, 0]
    falls = np.max([-np.diff(edge) / np.diff(travel) for edge in curves.loop], axis=0)
    where = np.flatnonzero(falls >= RESERVE * support)
    if not len(where):
        return None
    return SnapThrough(
        float(curves.pitch[where[0]]),
        float(curves.pitch[where[-1] + 1]),
        float(falls.max()),
        support,
        linkage,
    )


@dataclass(frozen=True)
class AtRest:
    """A gauge test by the static law. time (n,) s, pitch (n,) rad and force (n,) N of the sweep; up, down: the loop
    over the curves' pitch; breakout N, signed as pushed from the start.
    """

    time: Series
    pitch: Series
    force: Series
    up: Series
    down: Series
    breakout: float


def gauge_at_rest(setup: Setup, curves: StaticCurves, start: float, interval: float) -> AtRest:
    """The same way as the gauge goes: start (rad), high end, low end, high end; a row every `interval` (s)."""
    low, high = setup.scenario.rotor.pitch_range
    rises = pitch_rod_travel(high, setup.plant.linkage)[0] > pitch_rod_travel(low, setup.plant.linkage)[0]
    side = 1.0 if rises else -1.0
    up, down = curves.loop if rises else curves.loop[::-1]
    own = setup.scenario.gauge
    times, places = [0.0], [start]
    for end in (high, low, high):
        times.append(times[-1] + max(interval, abs(end - places[-1]) / (high - low) * own.sweep))
        places.append(end)
        times.append(times[-1] + max(interval, float(own.pause)))
        places.append(end)
    time = np.arange(interval, times[-1], interval)
    pitch = np.interp(time, times, places)
    falls = (time > times[2]) & (time <= times[4])
    force = np.where(falls, np.interp(pitch, curves.pitch, down), np.interp(pitch, curves.pitch, up))
    breakout = np.interp(start, curves.pitch, curves.rod_force + side * curves.rod_breakaway)
    return AtRest(time, pitch, force, up, down, float(breakout))
