"""One move of the servo test and the hold after it: how it ended, and what is read off it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from featherbench.bench.instruments import meter_peaks, moving_mean
from featherbench.bench.setup import Setup
from featherbench.linkage.geometry import servo_rod_travel
from featherbench.plant import integrate as rec
from featherbench.servo.motor import holding_band

Series = NDArray[np.float64]

MOVING_FROM = 0.2
"""A move's peaks count once this share of its stroke is covered: the start inrush is over."""
ARRIVED_WITHIN = 0.03
"""A move has arrived within this share of the stroke of where it came to rest."""
HOLD_SHARE = 0.4
"""The settled hold is read over this last share of the hold."""
SETTLED_PITCH = np.deg2rad(0.1)
"""A hold has settled when pitch stays within this over the reading, rad."""
FULL_DRIVE = 0.99
"""Share of the error that asks for full duty from which on the servo counts as driving with all it has."""
BEFORE = 20
"""Rows before a move, of some milliseconds, whose mean is what the meter shows till then."""
HUNTING_TURNS = 6
"""A hold in which the servo passes the middle of its swing at least this often is a cycle, not a drift."""
HUNTING_ANGLE = np.deg2rad(0.05)
"""Swing of the servo output from which on turning to and fro counts, rad."""
HUNTING_DECAY = 0.5
"""A swing that dies away to less than this share of itself within the reading is ringing, not a cycle."""


NOT_HELD = float("nan")


class Ending(StrEnum):
    """How a move ended. The text says it to a person."""

    HELD = "came to rest and held"
    HUNTS = "hunts to and fro"
    DRIFTS = "did not settle within its hold"
    UNDER_WAY = "was still under way when the hold ended"
    STALLED = "stood still, driving with all it has"


@dataclass(frozen=True)
class Leg:
    """One move and its hold, as they went.

    go: fraction of the pitch range asked for; target rad; peak A, supply current while moving, idle off, mean over
    the current window; hold A, supply current in the hold, idle off; motor_hold A in the winding; hold_place -1..1,
    where in the friction band the hold sits (+1: as much current as if still pushing, -1: as little as keeps it; nan
    where nothing is held, in a cycle); rod_hold N; final_pitch rad; arrival s after the command, or nan; drawn A, mean
    supply current over the end of the hold, idle off, held or not; ending: how it went. Of a servo that hunts there is
    no hold: hold and motor_hold are nan, final pitch is the mean of the cycle, and hunting (rad) its swing at the
    blade, peak to peak, at hunting_rate, Hz; else 0. shown: A, the largest that the meter shows of move and hold, and
    shown_doubt, A, its standard deviation by when the meter's readings fall.
    """

    go: float
    target: float
    start: float
    end: float
    peak: float
    hold: float
    motor_hold: float
    hold_place: float
    rod_hold: float
    final_pitch: float
    arrival: float
    drawn: float
    ending: Ending
    hunting: float = 0.0
    hunting_rate: float = 0.0
    shown: float = NOT_HELD
    shown_doubt: float = 0.0

    @property
    def reached(self) -> bool:
        """Whether the servo got to where its position loop lets it stop: short of the command by what a load takes."""
        return self.ending not in (Ending.STALLED, Ending.UNDER_WAY)

    @property
    def settled(self) -> bool:
        """Whether it came to rest, wherever that was."""
        return self.ending in (Ending.HELD, Ending.STALLED)


def read_leg(
    setup: Setup, record: Series, go: float, target: float, span: tuple[float, float], origin: float
) -> Leg:
    """What one move and its hold came to. record: rows of `plant.integrate`; span: s; target and origin: pitch, rad."""
    window = setup.scenario.bench.current_window
    # rows of the move, and before it what its first mean reaches back to: a programme of many moves is read in no time
    first, last = np.searchsorted(record[:, rec.TIME], (span[0] - window, span[1]), side="right")
    record = record[max(first - 2, 0) : last]
    time, pitch = record[:, rec.TIME], record[:, rec.PITCH]
    idle = setup.plant.supply.idle
    begin = int(np.searchsorted(time, span[0], side="right"))
    clock, path = time[begin:], pitch[begin:]
    drawn = moving_mean(time, record[:, rec.SUPPLY_CURRENT], window)[begin:] - idle
    stroke = abs(target - origin)
    covered = np.abs(path - origin) if stroke > 0.0 else np.zeros_like(path)
    held_from = span[1] - HOLD_SHARE * (span[1] - span[0])
    rest = record[begin + int(np.searchsorted(clock, held_from, side="right")) :]
    smooth = moving_mean(rest[:, rec.TIME], rest[:, rec.OUTPUT], _turn(setup))
    ending = _ending(setup, rest, smooth, target)
    cycle = ending is Ending.HUNTS
    final = float(rest[:, rec.PITCH].mean() if cycle else rest[-1, rec.PITCH])
    cycle_width = float(np.ptp(rest[:, rec.PITCH])) if cycle else 0.0
    arrived = np.flatnonzero(np.abs(path - final) <= ARRIVED_WITHIN * stroke + 0.5 * cycle_width + 1e-9)
    last = _first_stop(covered, stroke)
    moving = covered[:last] >= MOVING_FROM * stroke
    mean_drawn = float(rest[:, rec.SUPPLY_CURRENT].mean()) - idle
    shown, shown_doubt = _shown(setup, record, begin)
    leg = Leg(
        go=go,
        target=target,
        start=span[0],
        end=span[1],
        peak=float(drawn[:last][moving].max()) if moving.any() else float(drawn[:last].max()),
        hold=NOT_HELD if cycle else mean_drawn,
        motor_hold=NOT_HELD if cycle else float(rest[:, rec.MOTOR_CURRENT].mean()),
        hold_place=NOT_HELD if cycle else _place(setup, rest),
        rod_hold=float(rest[:, rec.ROD_FORCE].mean()),
        final_pitch=final,
        arrival=float(clock[arrived[0]] - span[0]) if len(arrived) else float("nan"),
        drawn=mean_drawn,
        ending=ending,
        hunting=cycle_width,
        hunting_rate=cycle_rate(rest[:, rec.TIME], smooth) if cycle else 0.0,
        shown=shown,
        shown_doubt=shown_doubt,
    )
    return leg if leg.reached else replace(leg, arrival=float("nan"))


def _shown(setup: Setup, record: Series, first: int) -> tuple[float, float]:
    """What the meter shows of the rows of a move and its hold, from `first` on, and by how much that may differ."""
    rows = record[first:]
    earlier = record[max(0, first - BEFORE) : first]
    before = float(earlier[:, rec.SUPPLY_CURRENT].mean()) if len(earlier) else setup.plant.supply.idle
    meter, idle = setup.scenario.meter, setup.plant.supply.idle
    return meter_peaks(rows[:, rec.TIME], rows[:, rec.SUPPLY_CURRENT], meter, idle, before)


def _turn(setup: Setup) -> float:
    """Time of one turn of the rotor, s, over which shaking averages out; a row where it stands still."""
    speed = float(setup.scenario.rotor.speed)
    return max(1e-3, 2.0 * np.pi / speed) if speed > 0.0 else 1e-3


def _ending(setup: Setup, rest: Series, smooth: Series, target: float) -> Ending:
    """How a hold stands, from its rows: a cycle first, since its last row may be anywhere, at full drive too.

    smooth: the servo's angle without what the turning rotor shakes, which is no cycle of its own.
    """
    if hunts(smooth):
        return Ending.HUNTS
    loop = setup.plant.loop
    error = abs(float(rest[-1, rec.COMMAND] - rest[-1, rec.OUTPUT]))
    pitch = rest[:, rec.PITCH]
    settled = bool(np.ptp(pitch) < SETTLED_PITCH)
    if error < FULL_DRIVE * (0.5 * loop.dead_band + loop.proportional_band):
        return Ending.HELD if settled else Ending.DRIFTS
    nearer = abs(target - float(pitch[-1])) < abs(target - float(pitch[0]))
    return Ending.UNDER_WAY if nearer and not settled else Ending.STALLED


def hunts(angle: Series) -> bool:
    """Whether a servo output angle (n,) rad goes to and fro without dying away."""
    if len(angle) < 2 * HUNTING_TURNS:
        return False
    first, second = np.array_split(angle, 2)
    widths = float(np.ptp(first)), float(np.ptp(second))
    if widths[1] < HUNTING_ANGLE or widths[1] < HUNTING_DECAY * widths[0]:
        return False
    above = angle > 0.5 * (angle.max() + angle.min())
    return int(np.count_nonzero(above[1:] != above[:-1])) >= HUNTING_TURNS


def cycle_rate(time: Series, angle: Series) -> float:
    """Strongest frequency of a cycle, Hz, of evenly spaced samples; known to about one in their whole time."""
    lines = np.abs(np.fft.rfft((angle - angle.mean()) * np.hanning(len(angle))))
    return float(np.argmax(lines) / (len(time) * (time[1] - time[0])))


def _place(setup: Setup, rest: Series) -> float:
    """Where in the friction band a hold sits, -1..1, the load's own sense counting as upward."""
    load = float(rest[:, rec.ROD_FORCE].mean())
    load *= servo_rod_travel(float(rest[-1, rec.OUTPUT]), setup.plant.linkage)[1]
    least, most = holding_band(load, setup.plant.motor)
    place = (2.0 * float(rest[:, rec.MOTOR_CURRENT].mean()) - most - least) / max(most - least, 1e-12)
    return float(np.clip(place if load >= 0.0 else -place, -1.0, 1.0))


def _first_stop(covered: Series, stroke: float) -> int:
    """Rows up to and including the one in which a move, past half its stroke, first comes to a stop."""
    stopped = np.flatnonzero((covered[1:] > 0.5 * stroke) & (np.diff(covered) < 1e-4 * stroke))
    return int(stopped[0]) + 2 if len(stopped) else len(covered)
