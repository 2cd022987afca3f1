"""What a fit leaves over, looked at for a pattern: over pitch, between the two directions, over rotor speed.

What is left of the rod's force (measured less simulated) is laid out by least squares on a few shapes at once: an error
of zero, a loop that is wider or narrower alike everywhere, a force wrong in proportion, and the shapes that have a name
here. A shape is named only where Student's t of its size lies beyond what chance gives once in a thousand times, with
the scatter that is really there (never less than the instrument's own), and where its size is more than the gauge's
standard uncertainty and a hundredth of the largest force: what is smaller is nobody's concern. Linear regression and
its t test: any textbook of statistics, from memory.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import hypot, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench import quantities
from featherbench.fitting.data import LEAST_NOISE, Channel, instrument, reading_uncertainty
from featherbench.fitting.lags import course_of
from featherbench.fitting.model import BenchModel, as_logged
from featherbench.fitting.simulated import Simulated
from featherbench.rotor.stall import stall_pitch
from featherbench.sampling.fitted_joint import NORMAL_95

Series = NDArray[np.float64]

CHANCE = 1e-3
"""A shape is named where chance alone would give its size less often (two-sided)."""
SHARE = 0.01
"""Of the largest force: a smaller misfit is not named."""
PIECES = 14
"""A log is averaged over so many pieces of the pitch range, each way."""
LEAST_ROWS = 8
BY = "{by}"
"""Stands in the words of a shape for how much it is."""
LEAST_OF_TABLE = 4
"""Readings of each of two tables, from which on they are set beside one another."""
SPARE = 3
"""Points more than shapes that there must be."""
SPEEDS = 0.02
"""Relative spread (standard deviation) of rotor speeds from which on they can tell anything."""


class Point(NamedTuple):
    """One force, or the mean of several: pitch rad; way: 1 pitch rising, -1 falling, 0 not known; load, left N: as
    simulated without friction's sign, and measured less simulated; doubt N, standard; speed: over the scenario's;
    table: the file of a reading by hand."""

    pitch: float
    way: float
    load: float
    left: float
    doubt: float
    speed: float = 1.0
    table: str = ""


class Bench(NamedTuple):
    """What the shapes need of the build: stall (low, high) rad, None where not reached; ends of the pitch range, rad;
    turned: 1, or -1 where a rising pitch goes with the lower force; gauge: its standard uncertainty, N."""

    stall: tuple[float | None, float | None]
    ends: tuple[float, float]
    turned: float
    gauge: float


def misfit_in_words(
    model: BenchModel, simulated: Simulated, spots: tuple[str, ...], logged: Sequence[Channel]
) -> list[str]:
    """The patterns of what is left over at the best values, each with what to do; logged: with their own noise."""
    points = [*points_by_hand(model, simulated, spots)]
    for channel in logged:
        if channel.role == "rod_force":
            points += _of_log(model, simulated, channel)
    if simulated.gauge is None and not points:
        return []
    setup = simulated.setup
    low, high = ends = setup.scenario.rotor.pitch_range
    at = stall_pitch(setup.air.rotor, low, high)
    stall = (at[0] if at[0] > low else None, at[1] if at[1] < high else None)
    turned = -1.0 if half_loop(simulated) < 0.0 else 1.0
    gauge = (setup.scenario.gauge.uncertainty or 0.0) / 2.0
    return patterns(points, Bench(stall, ends, turned, gauge))


def half_loop(simulated: Simulated) -> float:
    """Mean of half the simulated loop, N; below 0 where a rising pitch goes with the lower force."""
    run = simulated.gauge
    return 0.0 if run is None else 0.5 * float(np.mean(run.up - run.down))


def patterns(points: Sequence[Point], bench: Bench) -> list[str]:
    """The shapes that are there beyond chance, in words that say what to do."""
    shapes, words = _shapes(points, bench)
    if not words or len(points) < len(shapes) + SPARE:
        return []
    from scipy.special import stdtrit

    beyond = -float(stdtrit(len(points) - len(shapes), CHANCE / 2.0))
    least = max(bench.gauge, SHARE * max(abs(one.load) for one in points))
    return [
        words[name][0 if size > 0.0 else 1].replace(BY, _by(size, error))
        for name, (size, error) in laid_out(points, shapes).items()
        if name in words and abs(size) > max(least, beyond * error)
    ]


def laid_out(points: Sequence[Point], shapes: Mapping[str, Series]) -> dict[str, tuple[float, float]]:
    """Size of each shape (n,) in what is left over at `points` (n), and its standard uncertainty, N where it is 1.

    {} where the points cannot tell them apart. Scatter counts as it is, but never less than the instrument's own.
    """
    doubt = np.array([one.doubt for one in points])
    matrix = np.column_stack(list(shapes.values())) / doubt[:, None]
    left = np.array([one.left for one in points]) / doubt
    sizes, _, rank, _ = np.linalg.lstsq(matrix, left, rcond=None)
    if rank < len(shapes):
        return {}
    free = len(points) - len(shapes)
    scatter = max(1.0, float(np.sum((left - matrix @ sizes) ** 2)) / free) if free > 0 else 1.0
    errors = np.sqrt(scatter * np.diag(np.linalg.inv(matrix.T @ matrix)))
    return dict(zip(shapes, zip(sizes.tolist(), errors.tolist(), strict=True), strict=True))


def _shapes(points: Sequence[Point], bench: Bench) -> tuple[dict[str, Series], dict[str, tuple[str, str]]]:
    """Shapes by name (n,), each 1 where it is largest; words of those that have a name: too small, too large."""
    pitch, way, load, speed = (
        np.array([getattr(one, name) for one in points]) for name in ("pitch", "way", "load", "speed")
    )
    side = np.sign(load)
    largest = float(np.abs(load).max()) if len(points) else 0.0
    shapes: dict[str, Series] = {"zero": np.ones(len(points))}
    words: dict[str, tuple[str, str]] = {}
    if largest <= 0.0:
        return shapes, words
    shapes["proportion"] = load / largest
    both = bool((way > 0.0).any() and (way < 0.0).any())
    if both:
        shapes["width"] = bench.turned * way
        span = np.where(pitch >= 0.0, bench.ends[1], bench.ends[0])
        shapes["ends"] = bench.turned * way * np.abs(pitch / np.where(span == 0.0, 1.0, span))
        words["ends"] = (
            "loop wider at the ends than in the middle: friction that grows with load; look at ball links, slider and "
            "thrust bearings under load, and free bearing.coefficient",
            "loop narrower at the ends than in the middle: friction at neutral; look for a tight spot there, and "
            "whether something comes loose as it loads up",
        )
    between, told = _between_tables(points, load / largest, bench.turned * way if both else None)
    shapes |= between
    words |= told
    for stall, beyond in zip(bench.stall, (-1.0, 1.0), strict=True):
        if stall is None:
            continue
        past = beyond * pitch > beyond * stall
        if past.sum() >= 2 and (~past).sum() >= 3:
            name = f"past {beyond:+.0f}"
            shapes[name] = np.where(past, side, 0.0)
            words[name] = _past_words(float(np.rad2deg(stall)), both)
    if float(speed.std()) > SPEEDS:
        shapes["speed"] = load / largest * (speed**2 - 1.0) / float(np.abs(speed**2 - 1.0).max())
        words["speed"] = (
            "force grows faster with rotor speed than predicted: check the tachometer, and what zero the gauge had",
            "force grows more slowly with rotor speed than predicted: part of it does not go with speed, as friction "
            "or a spring; run the gauge with the rotor slow",
        )
    return shapes, words


def _by(size: float, error: float) -> str:
    """The size of a loop's change, which is twice that of the shape, with what holds 95 %."""
    change, doubt = (quantities.text(2.0 * one, "force", digits=2) for one in (abs(size), NORMAL_95 * error))
    return f"{change} (+/- {doubt})"


def _between_tables(
    points: Sequence[Point], load: Series, way: Series | None
) -> tuple[dict[str, Series], dict[str, tuple[str, str]]]:
    """What of the load is another in a later table than in the first one at its speed: its blades rest elsewhere.

    load (n,): as simulated, over the largest; way (n,): 1 where friction adds, None where one direction was read. A
    blade that has swung a little further puts the air's force of its whole span that much beside the axis: a moment
    that goes with the load.
    """
    speeds = {one.table: one.speed for one in points if one.table}
    shapes, words = {}, {}
    for later, speed in speeds.items():
        first = next(table for table, other in speeds.items() if abs(other / speed - 1.0) < SPEEDS)
        own = np.array([one.table == later for one in points])
        if later == first or min(int(own.sum()), sum(one.table == first for one in points)) < LEAST_OF_TABLE:
            continue
        name = f"between {first} and {later}"
        shapes[name] = np.where(own, load, 0.0)
        rest = (
            f"than that of {first}, in proportion to the load: a blade stuck elsewhere on its bolt, or something "
            "changed between them (bolt, weights, tachometer, gauge); oil the bolts, let the blades shake into line at "
            "low speed and read again"
        )
        words[name] = f"force of {later} larger {rest}", f"force of {later} smaller {rest}"
        if way is None:
            continue
        name, rest = f"loop of {later}", f"than that of {first} by {BY}: friction has "
        shapes[name] = np.where(own, way, 0.0)
        words[name] = (
            f"{name} wider {rest}grown between them; look at grease, dirt and wear of bearing, slider and ball links",
            f"{name} narrower {rest}fallen between them: run in, oiled, or play that has grown",
        )
    return shapes, words


def _past_words(stall: float, both: bool) -> tuple[str, str]:
    where = f"past {stall:.0f} deg{' in both directions' if both else ''}"
    what = (
        "the air's share, not that of mass; believe the fit within the stall only, and free scale.air_moment"
    )
    return f"predicted force too small {where}: {what}", f"predicted force too large {where}: {what}"


def points_by_hand(model: BenchModel, simulated: Simulated, spots: tuple[str, ...]) -> list[Point]:
    """Readings at a pitch; what they share, the gauge's own error, is the shape "zero"."""
    found, run = [], simulated.gauge
    for name in spots:
        reading, value = model.data.readings[name], simulated.spots.get(name)
        if reading.pitch is None or run is None or not isinstance(value, float):
            continue
        own = reading_uncertainty(reading, model.scenario)
        offset = (instrument("force", reading.instrument, model.scenario).uncertainty or 0.0) / 2.0
        own = sqrt(max(own**2 - offset**2, LEAST_NOISE["rod_force"] ** 2))
        doubt = hypot(own, simulated.sampling.get(name, 0.0) / sqrt(reading.repeats))
        way = {True: 1.0, False: -1.0, None: 0.0}[reading.rising]
        speed = 1.0 if reading.speed is None else reading.speed / float(model.scenario.rotor.speed)
        load = speed**2 * float(np.interp(reading.pitch, run.pitch, 0.5 * (run.up + run.down)))
        left = float(reading.value) - value
        found.append(Point(reading.pitch, way, load, left, doubt, speed, reading.file))
    return found


def _of_log(model: BenchModel, simulated: Simulated, channel: Channel) -> list[Point]:
    """A log's force, averaged over pieces of the pitch range in each direction; where the blades rest, nothing."""
    log = model.data.logs[channel.log]
    clock, pitches = course_of(simulated, log.test, "pitch")
    time = log.time + model.lags[channel.log]
    pitch = np.interp(time, clock, pitches)
    rate = np.interp(time, clock, np.gradient(pitches, clock))
    low, high = model.scenario.rotor.pitch_range
    course = as_logged(model, simulated, channel.log, channel.role)
    left = log.columns[channel.role] - course
    # moving steadily: not at rest, and not where the direction turns
    moving = channel.kept & np.isfinite(left) & (np.abs(rate) > 0.3 * float(np.median(np.abs(rate))))
    moving &= (pitch > low) & (pitch < high)
    speeds = log.columns.get("rotor_speed", np.full(len(time), np.nan)) / model.scenario.rotor.speed
    speeds = np.where(np.isfinite(speeds), speeds, 1.0)
    piece = np.clip(((pitch - low) / (high - low) * PIECES).astype(int), 0, PIECES - 1)
    fast = speeds > float(np.median(speeds)) if float(speeds.std()) > SPEEDS else np.zeros(len(time), bool)
    found = []
    for number in range(PIECES):
        for way in (1.0, -1.0):
            for quick in (False, True):
                rows = moving & (piece == number) & (np.sign(rate) == way) & (fast == quick)
                count = int(rows.sum())
                if count < LEAST_ROWS:
                    continue
                means = [float(values[rows].mean()) for values in (pitch, course, left, speeds)]
                doubt = channel.noise / sqrt(count)
                found.append(Point(means[0], way, means[1], means[2], doubt, means[3]))
    return found
