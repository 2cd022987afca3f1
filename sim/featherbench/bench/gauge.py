"""The gauge test: servo off, a force gauge moves the rod slowly through the whole range and back."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.bench.believed import COARSEST, MOST_ROWS, BenchTest
from featherbench.bench.instruments import Display, gauge_display, moving_mean
from featherbench.bench.setup import GRID_MARGIN, Setup
from featherbench.bench.snap_through import SnapThrough, gauge_at_rest, snap_through
from featherbench.bench.statics import StaticCurves, static_curves
from featherbench.linkage.geometry import pitch_rod_travel
from featherbench.plant import gauge_chain
from featherbench.plant.energy_audit import audit_error
from featherbench.plant.parameters import Gauge
from featherbench.plant.step_size import highest_mode_with_gauge

Series = NDArray[np.float64]

RECORD_INTERVAL = 2e-3
"""s between recorded rows."""
REST = 0.2
"""s at rest before the gauge first moves."""
BREAKOUT_PITCH = np.deg2rad(0.05)
"""Pitch by which the blades count as having moved, rad."""
STOPS_SHORT = np.deg2rad(0.1)
"""Pitch by which a pause at an end stays within the range, rad: friction of the moving joints is not known closer."""
GAUGE_DAMPING_RATIO = 0.3
SHORT_OF_END = np.deg2rad(0.5)
"""A test that ends further than this from an end of the range has not been there, rad."""


@dataclass(frozen=True)
class GaugeRun:
    """A gauge test. Series (n,) in SI, push positive; `up` and `down` hold the loop over `pitch` (m,).

    push, pull: largest of each within the pitch range, magnitudes, N; breakout N, signed, of the push from neutral
    that starts the blades (of those that a bias drives that way it holds them back);
    shown: the gauge's own readings; energy_error relative; snap: where blades snap through on this gauge, all figures
    then by the static law, energy_error 0; else None.
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
    snap: SnapThrough | None = None

    @property
    def width(self) -> float:
        """Mean width of the loop over the middle four fifths of the range, N: twice the friction."""
        edge = len(self.pitch) // 10
        # a reversed linkage goes round the loop the other way
        return abs(float(np.mean((self.up - self.down)[edge : len(self.pitch) - edge])))


def run_gauge(setup: Setup, statics: StaticCurves | None = None, *, step_share: float = 1.0) -> GaugeRun:
    """Move the rod from neutral to the high end, to the low end, and to the high end again, and read the force.

    The gauge goes far enough past each end to take up its own spring, the linkage's and the play. Where the blades snap
    through on it, the static law takes its place. Raises ScenarioError for a test that is too long, that does not reach
    both ends, or that cannot be believed.
    """
    curves = statics or static_curves(setup)
    plant, spin = setup.plant, float(setup.scenario.rotor.speed)
    test = BenchTest("gauge test", "gauge.sweep", setup.scenario)
    low, high = setup.scenario.rotor.pitch_range
    stiffness = float(setup.scenario.gauge.stiffness)
    gauge = Gauge(stiffness, 2.0 * GAUGE_DAMPING_RATIO * sqrt(stiffness * plant.output.rod_mass))
    start = min(max(0.0, low), high)
    course = _course(setup, curves, start)
    _within_reach(test, setup, curves, course)
    mode = highest_mode_with_gauge(plant, gauge)
    step, record_steps = test.steps(float(course.times[-1]), RECORD_INTERVAL, mode, step_share)
    rows = int(course.times[-1] / RECORD_INTERVAL)
    snap = snap_through(setup, curves)
    if snap is not None:
        return _at_rest(test, setup, curves, start, snap)
    record = np.zeros((rows, gauge_chain.COLUMNS))
    state = gauge_chain.start_gauge(start, spin, plant)
    before = gauge_chain.stored_energy_with_gauge(state, course.places[0], plant, gauge)
    filled = gauge_chain.integrate_gauge(
        state, course.times, course.places, spin, plant, gauge, step, record_steps, 10.0, record
    )
    last = float(np.interp(rows * RECORD_INTERVAL, course.times, course.places))
    error = _audit(state, before, gauge_chain.stored_energy_with_gauge(state, last, plant, gauge))
    if step_share <= COARSEST:
        test.believed(error, record[:filled])
        test.within_laws(record[:filled, gauge_chain.R_PITCH], GRID_MARGIN)
    return _read(test, setup, record, course, error)


def _within_reach(test: BenchTest, setup: Setup, curves: StaticCurves, course: _Course) -> None:
    """Raise ScenarioError where forces stretch gauge and linkage so far that the sweep does not count beside it."""
    own = setup.scenario.gauge
    planned = REST + 2.5 * own.sweep + 3.0 * own.pause
    if course.times[-1] > 10.0 * planned and not course.times[-1] <= MOST_ROWS * RECORD_INTERVAL:
        largest = float(np.max(np.abs(curves.rod_force) + curves.rod_friction))
        give = largest * (1.0 / own.stiffness + 1.0 / setup.plant.joint.stiffness)
        raise test.refused(
            f"a rod force of {largest:.3g} N, friction included: it stretches gauge and linkage by {give:.3g} m, which "
            f"the gauge takes {course.times[-1]:.3g} s to follow",
            "forces that a gauge can hold: look at masses, radii, the rotor's speed and the friction of bearing and "
            "linkage",
        )


def _at_rest(
    test: BenchTest, setup: Setup, curves: StaticCurves, start: float, snap: SnapThrough
) -> GaugeRun:
    """The gauge test by the static law; a rod that sticks comes up to what starts it."""
    found = gauge_at_rest(setup, curves, start, RECORD_INTERVAL)
    shown = _shown(test, found.time, found.force, setup)
    push, pull = curves.largest
    return GaugeRun(
        time=found.time,
        pitch_series=found.pitch,
        force=found.force,
        pitch=curves.pitch,
        up=found.up,
        down=found.down,
        push=push,
        pull=pull,
        breakout=found.breakout,
        shown=shown,
        shown_push=float(max(0.0, shown.value.max())),
        shown_pull=float(max(0.0, -shown.value.min())),
        energy_error=0.0,
        snap=snap,
    )


def _shown(test: BenchTest, time: Series, force: Series, setup: Setup) -> Display:
    """What the gauge displays. Raises ScenarioError where the test ends before its first reading."""
    shown = gauge_display(time, force, setup.scenario.gauge)
    if not len(shown.value):
        raise test.refused(
            f"a gauge that first shows a reading after {1.0 / setup.scenario.gauge.rate:.3g} s, in a test of "
            f"{time[-1]:.3g} s",
            "several readings within the test, 10 Hz for example",
            "gauge.rate",
        )
    return shown


class _Course(NamedTuple):
    """Times (n,), s, and gauge positions (n,), m; when the high end, then the low end is left behind, s."""

    times: Series
    places: Series
    from_high: float
    from_low: float


def _course(setup: Setup, curves: StaticCurves, start: float) -> _Course:
    """Rest, neutral -> high, high -> low, low -> high; at each end a pause of some readings, then a little beyond."""
    low, high = setup.scenario.rotor.pitch_range
    linkage, joint, own = setup.plant.linkage, setup.plant.joint, setup.scenario.gauge
    compliance = 1.0 / own.stiffness + 1.0 / joint.stiffness
    neutral, at_high, at_low = (pitch_rod_travel(value, linkage)[0] for value in (start, high, low))
    side = 1.0 if at_high > at_low else -1.0
    ends, beyond = [], []
    short = [
        pitch_rod_travel(value, linkage)[0] for value in (high - STOPS_SHORT, low + STOPS_SHORT)
    ]  # one that stood a hair beyond an end would be read as out of the range
    for end, place, stop, sense in ((-1, at_high, short[0], side), (0, at_low, short[1], -side)):
        friction = float(curves.rod_friction[end])
        push = sense * float(curves.rod_force[end]) + friction
        # where the blades just reach the end: the force that is then there has taken up springs and play
        reached = push * sense * compliance + sense * joint.half_play
        ends.append(stop + reached)
        # no further than is sure to move them on: over-balanced blades run far ahead of a soft gauge
        beyond.append(place + reached + sense * (0.5 * friction * compliance + joint.half_play + 2e-4))
    rate = abs(at_high - at_low) / own.sweep
    pause = max(float(own.pause), 1e-9)
    stops = [ends[0], beyond[0], ends[1], beyond[1], ends[0], beyond[0]]
    times, places, marks = [0.0, REST], [neutral, neutral], []
    for number, stop in enumerate(stops):
        times.append(times[-1] + max(1e-9, abs(stop - places[-1]) / rate))
        places.append(stop)
        if number % 2 == 0:
            times.append(times[-1] + pause)
            places.append(stop)
        else:
            marks.append(times[-1])
    return _Course(np.array(times), np.array(places), marks[0], marks[1])


def _read(test: BenchTest, setup: Setup, record: Series, course: _Course, error: float) -> GaugeRun:
    """Peaks, breakout and loop from the record; what shakes is averaged over a turn of the rotor."""
    low, high = setup.scenario.rotor.pitch_range
    time, pitch, force = (
        record[:, gauge_chain.R_TIME],
        record[:, gauge_chain.R_PITCH],
        record[:, gauge_chain.R_FORCE],
    )
    raw, rested = force, int(np.searchsorted(time, REST))
    if setup.plant.shaking.rate > 0.0:
        turn = 2.0 * np.pi / float(setup.scenario.rotor.speed)
        pitch, force = (moving_mean(time, series, turn) for series in (pitch, force))
    start = float(pitch[rested])  # by then a bias, or what shakes, has let the blades hang in the play
    if pitch.min() > low + SHORT_OF_END or pitch.max() < high - SHORT_OF_END:
        low_seen, high_seen = np.rad2deg([pitch.min(), pitch.max()])
        raise test.refused(
            f"a gauge test in which the blades go from {low_seen:.1f} to {high_seen:.1f} deg only",
            "a gauge that moves them through the whole pitch range: a longer sweep, or a stiffer gauge",
            "gauge.sweep",
        )
    within = (pitch >= low) & (pitch <= high)
    moved = np.flatnonzero((np.abs(pitch - start) > BREAKOUT_PITCH) & (time > rested * RECORD_INTERVAL))
    pushed_on = raw[rested : int(moved[0]) + 1 if len(moved) else len(pitch)]
    side = np.sign(course.places[-1] - course.places[0])  # of a reversed linkage the high end is pulled
    grid = setup.pitch_grid
    falling = (time > course.from_high) & (time <= course.from_low)
    rising = time > course.from_low
    shown = _shown(test, time, np.where(within, force, 0.0), setup)
    return GaugeRun(
        time=time,
        pitch_series=pitch,
        force=force,
        pitch=grid,
        up=_over_pitch(grid, pitch[rising], force[rising]),
        down=_over_pitch(grid, pitch[falling], force[falling]),
        push=float(max(0.0, force[within].max())),
        pull=float(max(0.0, -force[within].min())),
        # blades that stick pass no shaking on
        breakout=float(pushed_on[np.argmax(side * pushed_on)]),
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
    works = state[[gauge_chain.WORK_GAUGE, gauge_chain.WORK_ROTOR]]
    losses = state[[gauge_chain.LOSS_FRICTION, gauge_chain.LOSS_CONTACT, gauge_chain.LOSS_VISCOUS]]
    return audit_error(works, losses, after - before)
