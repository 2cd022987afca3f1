"""How visible the linkage's free play is near neutral, from static curves alone.

Play stays hidden while the load on the linkage is larger than what would let the blades hang in the gap:

    seat ratio = |N_b M_load(theta)| / (friction + disturbance), all at the pitch axis.

Below 1 the blades may float anywhere in the play. When the rod reverses at a pitch where they are seated (ratio above
1), only the give of the linkage is lost, 2 F_friction / k; where they are not, the whole play is crossed as well.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from featherbench.bench.setup import Setup
from featherbench.bench.statics import StaticCurves, static_curves
from featherbench.linkage.force import JointFriction, rod_friction
from featherbench.linkage.geometry import pitch_rod_travels
from featherbench.plant.shaking import shaking_amplitude

Curve = NDArray[np.float64]

HOVER_BAND = np.deg2rad(3.0)
"""The hover band reaches this far to either side of the hover pitch, rad."""


@dataclass(frozen=True)
class FreePlay:
    """Over pitch (n,) rad: seat_ratio, and lost_motion (rad at the blade) when the rod reverses there.

    windows: pitch intervals (rad) in which the blades may float, low to high; disturbance: N m at the pitch axis, all
    blades together, that was counted beside friction.
    """

    pitch: Curve
    seat_ratio: Curve
    lost_motion: Curve
    windows: tuple[tuple[float, float], ...]
    disturbance: float

    def window_near(self, pitch: float) -> tuple[float, float] | None:
        """The float window that holds a pitch (rad), else the nearest one; None when there is none."""
        if not self.windows:
            return None

        def away(window: tuple[float, float]) -> float:
            return max(window[0] - pitch, pitch - window[1], 0.0)

        return min(self.windows, key=away)

    def floats_between(self, low: float, high: float) -> bool:
        """True when any float window overlaps the band from low to high, rad."""
        return any(start <= high and end >= low for start, end in self.windows)

    def least_seat_ratio(self, low: float, high: float) -> float:
        """Least seat ratio over a band of pitch, rad; its ends are interpolated."""
        inside = (self.pitch >= low) & (self.pitch <= high)
        ends = np.interp([low, high], self.pitch, self.seat_ratio)
        return float(min(*ends, *self.seat_ratio[inside]))


def free_play_curves(
    setup: Setup, statics: StaticCurves | None = None, disturbance: float | None = None
) -> FreePlay:
    """Seat ratio, lost motion and float windows at rotor speed; disturbance: N m, all blades, counted as friction: the
    amplitude of what shakes the build if left out.
    """
    curves = statics or static_curves(setup, groups=False)
    plant = setup.plant
    if disturbance is None:
        disturbance = shaking_amplitude(float(setup.scenario.rotor.speed), plant.shaking)
    friction = plant.pitch.blades * curves.friction + disturbance
    load = plant.pitch.blades * np.abs(curves.moment)
    ratio = load / np.maximum(friction, 1e-12)
    slope = np.abs(pitch_rod_travels(curves.pitch, plant.linkage)[:, 1])
    joints = JointFriction(plant.pitch.load_share, 0.0)
    give = 2.0 * rod_friction(friction, slope, 0.0, 1.0, curves.rod_force, joints) / plant.joint.stiffness
    lost = (give + np.where(ratio < 1.0, 2.0 * plant.joint.half_play, 0.0)) / slope
    return FreePlay(curves.pitch, ratio, lost, _windows(curves.pitch, ratio), float(disturbance))


def _windows(pitch: Curve, ratio: Curve) -> tuple[tuple[float, float], ...]:
    """Intervals of pitch with a ratio below 1, their ends linear between points."""
    found: list[tuple[float, float]] = []
    start: float | None = float(pitch[0]) if ratio[0] < 1.0 else None
    for index in range(len(pitch) - 1):
        one, two = float(ratio[index]), float(ratio[index + 1])
        if (one < 1.0) == (two < 1.0):
            continue
        place = float(pitch[index] + (pitch[index + 1] - pitch[index]) * (1.0 - one) / (two - one))
        if start is None:
            start = place
        else:
            found.append((start, place))
            start = None
    if start is not None:
        found.append((start, float(pitch[-1])))
    return tuple(found)
