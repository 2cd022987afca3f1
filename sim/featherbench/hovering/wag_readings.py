"""What is read off a flight in hover: how far the tail swings, how fast, when it comes to rest, what the servo draws.

A wag is what the eye sees at any moment: the heading's peak to peak within a second, the median of such seconds over
the part of the flight that is read. A heading that wanders more slowly is steered by hand, and is none.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from featherbench.aircraft.flight import Flight
from featherbench.hovering.draw_doubt import Range, range_over
from featherbench.plant.flight import F_HEADING, F_HEAT, F_SUPPLY, F_TIME
from featherbench.servo.winding_heat import DOUBT, THERMAL_RESISTANCE, winding_rise

Series = NDArray[np.float64]

READ = 2.0 / 3.0
"""Share of a flight, at its end, that is read: the kick it starts with has died away."""
WINDOW = 1.0
"""s within which a swing is taken."""
FIVE_MINUTES = 300.0
"""s of hover for which charge is told."""
ROOM = 293.15
"""K, of the air around a warm winding."""
AT_REST = float(np.deg2rad(0.02))
"""rad, peak to peak: a tail that moves less keeps up no cycle (a quarter of a millimetre at the tip of a long boom)."""


def read_part(flight: Flight) -> Series:
    """The rows of the record (n, FLIGHT_COLUMNS) that are read."""
    return flight.record[len(flight.record) - round(READ * len(flight.record)) :]


def read_heading(flight: Flight) -> Series:
    """Heading over the part that is read less its straight-line drift, rad."""
    record = read_part(flight)
    time, heading = record[:, F_TIME] - record[0, F_TIME], record[:, F_HEADING]
    return np.asarray(heading - np.polyval(np.polyfit(time, heading, 1), time))


def swings(flight: Flight) -> Series:
    """Heading peak to peak within a second, rad, at four places a second over the part that is read."""
    heading = read_heading(flight)
    rows = min(len(heading), max(2, round(WINDOW / interval(flight))))
    starts = range(0, len(heading) - rows + 1, max(1, rows // 4))
    return np.array([np.ptp(heading[start : start + rows]) for start in starts])


def peak_to_peak(flight: Flight) -> float:
    """Heading peak to peak within a second, rad: the median over the part that is read."""
    return float(np.median(swings(flight)))


def swing_range(flight: Flight) -> Range:
    """(least, most) that the tail swings within a second of a flight, rad."""
    seen = swings(flight)
    return float(seen.min()), float(seen.max())


def dominant_frequency(flight: Flight) -> float:
    """Frequency of the largest line in the heading's spectrum over the part that is read, Hz."""
    heading = read_heading(flight)
    spectrum = np.abs(np.fft.rfft(heading * np.hanning(len(heading)), 8 * len(heading)))
    return float(np.argmax(spectrum) / (8 * len(heading) * interval(flight)))


def cycle_frequency(calm: Flight) -> float:
    """Frequency (Hz) of the cycle that a flight without gusts and gyro noise keeps up; nan where it comes to rest.

    Read without them: in a short gusty flight the largest line may be that of a gust.
    """
    return dominant_frequency(calm) if peak_to_peak(calm) > AT_REST else float("nan")


def settling_time(flight: Flight, seen: float) -> float | None:
    """s after the start until the heading stays within `seen` (rad, peak to peak) of where it ends; None: never.

    Where it ends: the mean of the last fifth of the flight, which must itself be still.
    """
    heading, time = flight.record[:, F_HEADING], flight.record[:, F_TIME]
    last = heading[-len(heading) // 5 :]
    away = np.abs(heading - last.mean()) > 0.5 * seen
    if away[-len(last) :].any():
        return None
    moved = np.flatnonzero(away)
    return float(time[moved[-1]]) if moved.size else 0.0


def mean_supply(flight: Flight) -> float:
    """Mean current from the supply over the part that is read, idle included, A."""
    return float(read_part(flight)[:, F_SUPPLY].mean())


def mean_heat(flight: Flight) -> float:
    """Mean heat in the motor's winding over the part that is read, W."""
    return float(read_part(flight)[:, F_HEAT].mean())


def winding_range(heats: Sequence[float]) -> Range:
    """Of the winding's temperature (K) after long, over heats (W) by draw, within the doubt of its thermal resistance.

    The two doubts know nothing of each other, so their logarithms add up squared; nan of no heat.
    """
    middle, edges = float(np.median(heats)) if len(heats) else 0.0, range_over(heats)
    if not middle > 0.0 < edges[0]:
        return float("nan"), float("nan")
    low, high = (np.exp(np.hypot(np.log(edge / middle), np.log(DOUBT))) for edge in edges)
    cold, warm = (ROOM + winding_rise(middle, THERMAL_RESISTANCE * by) for by in (1.0 / low, high))
    return float(cold), float(warm)


def interval(flight: Flight) -> float:
    """s between rows of the record."""
    return float(flight.record[1, F_TIME] - flight.record[0, F_TIME])
