"""The gauge test: servo off, a force gauge moves the rod slowly through the whole range and back."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from featherbench.bench.instruments import Display, gauge_display
from featherbench.bench.setup import Setup
from featherbench.bench.statics import StaticCurves, static_curves
from featherbench.linkage.geometry import pitch_rod_travel
from featherbench.plant import pushed
from featherbench.plant.energy_audit import audit_error
from featherbench.plant.parameters import Gauge
from featherbench.plant.sizing import highest_mode_pushed, step_within

Series = NDArray[np.float64]

RECORD_INTERVAL = 2e-3
"""s between recorded rows."""
REST = 0.2
"""s at rest before the gauge first moves."""
BREAKOUT_PITCH = np.deg2rad(0.05)
"""Pitch by which the blades count as having moved, rad."""
GAUGE_DAMPING_RATIO = 0.3


@dataclass(frozen=True)
class GaugeRun:
    """A gauge test. Series (n,) in SI, push positive; `up` and `down` hold the loop over `pitch` (m,).

    push, pull: largest of each within the pitch range, magnitudes, N; breakout N, signed as pushed from neutral;
    shown: the gauge's own readings; energy_error relative.
    """

    time: Series
    pitch_series: Series
    force: Series
    pitch: Series
    up: Series
    down: Series
    push: float
    pull: float
    breakout: float
    shown: Display
    shown_push: float
    shown_pull: float
    energy_error: float

    @property
    def width(self) -> float:
        """Mean width of the loop over the middle four fifths of the range, N: twice the friction."""
        edge = len(self.pitch) // 10
        # a reversed linkage goes round the loop the other way
        return abs(float(np.mean((self.up - self.down)[edge : len(self.pitch) - edge])))


def run_gauge(setup: Setup, statics: StaticCurves | None = None, *, step_share: float = 1.0) -> GaugeRun:
    """Move the rod from neutral to the high end, to the low end, and to the high end again, and read the force.

    The gauge goes far enough past each end to take up its own spring, the linkage's and the play.
    """
    curves = statics or static_curves(setup)
    plant, spin = setup.plant, float(setup.scenario.rotor.speed)
    low, high = setup.scenario.rotor.pitch_range
    stiffness = float(setup.scenario.gauge.stiffness)
    gauge = Gauge(stiffness, 2.0 * GAUGE_DAMPING_RATIO * sqrt(stiffness * plant.output.rod_mass))
    start = min(max(0.0, low), high)
    times, places = _course(setup, curves, start)
    step, _ = step_within(RECORD_INTERVAL, highest_mode_pushed(plant, gauge), step_share)
    record_steps = round(RECORD_INTERVAL / step)
    record = np.zeros((int(times[-1] / RECORD_INTERVAL), pushed.COLUMNS))
    state = pushed.start_pushed(start, spin, plant)
    before = pushed.stored_energy_pushed(state, places[0], plant, gauge)
    pushed.march_pushed(state, times, places, spin, plant, gauge, step, record_steps, 10.0, record)
    error = _audit(state, before, pushed.stored_energy_pushed(state, places[-1], plant, gauge))
    return _read(setup, record, times, start, error)


def _course(setup: Setup, curves: StaticCurves, start: float) -> tuple[Series, Series]:
    """Times (s) and gauge positions (m): rest, neutral -> high, high -> low, low -> high."""
    low, high = setup.scenario.rotor.pitch_range
    linkage, joint = setup.plant.linkage, setup.plant.joint
    compliance = 1.0 / setup.scenario.gauge.stiffness + 1.0 / joint.stiffness
    neutral, at_high, at_low = (pitch_rod_travel(value, linkage)[0] for value in (start, high, low))
    side = 1.0 if at_high > at_low else -1.0
    reach_high, reach_low = (
        (abs(curves.rod_force[end]) + 1.5 * curves.rod_friction[end]) * compliance
        + 2.0 * joint.half_play
        + 2e-4
        for end in (-1, 0)
    )
    top, bottom = at_high + side * reach_high, at_low - side * reach_low
    sweep = setup.scenario.gauge.sweep
    rate = abs(at_high - at_low) / sweep
    legs = [abs(top - neutral) / rate, abs(top - bottom) / rate, abs(top - bottom) / rate]
    times = REST + np.concatenate([[0.0], np.cumsum(legs)])
    places = np.array([neutral, top, bottom, top])
    return np.concatenate([[0.0], times]), np.concatenate([[neutral], places])


def _read(setup: Setup, record: Series, times: Series, start: float, error: float) -> GaugeRun:
    """Peaks, breakout and loop from the record."""
    low, high = setup.scenario.rotor.pitch_range
    time, pitch, force = record[:, pushed.R_TIME], record[:, pushed.R_PITCH], record[:, pushed.R_FORCE]
    within = (pitch >= low) & (pitch <= high)
    moved = np.flatnonzero(np.abs(pitch - start) > BREAKOUT_PITCH)
    first = int(moved[0]) + 1 if len(moved) else len(pitch)
    grid = setup.pitch_grid
    falling = (time > times[2]) & (time <= times[3])
    rising = time > times[3]
    shown = gauge_display(time, np.where(within, force, 0.0), setup.scenario.gauge)
    return GaugeRun(
        time=time,
        pitch_series=pitch,
        force=force,
        pitch=grid,
        up=_over_pitch(grid, pitch[rising], force[rising]),
        down=_over_pitch(grid, pitch[falling], force[falling]),
        push=float(max(0.0, force[within].max())),
        pull=float(max(0.0, -force[within].min())),
        breakout=float(force[np.argmax(np.abs(force[:first]))]),
        shown=shown,
        shown_push=float(max(0.0, shown.value.max())),
        shown_pull=float(max(0.0, -shown.value.min())),
        energy_error=error,
    )


def _over_pitch(grid: Series, pitch: Series, force: Series) -> Series:
    """Force over an even pitch grid: the mean of what was recorded near each point (a joint may stick and slip)."""
    order = np.argsort(pitch, kind="stable")
    return np.asarray(np.interp(grid, pitch[order], force[order]), dtype=float)


def _audit(state: Series, before: float, after: float) -> float:
    """The relative error of the run's energies: see `plant.energy_audit`."""
    works = state[[pushed.WORK_GAUGE, pushed.WORK_ROTOR]]
    losses = state[[pushed.LOSS_FRICTION, pushed.LOSS_CONTACT, pushed.LOSS_VISCOUS]]
    return audit_error(works, losses, after - before)
