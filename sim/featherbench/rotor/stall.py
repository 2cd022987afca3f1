"""From which pitch on the blade is stalled, so that a result can say where its air loads are uncertain."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import replace

import numpy as np

from featherbench.rotor.blade_stations import STALL_COLUMN, RotorAir
from featherbench.rotor.rotor_loads import sectional_loads

STALL_SHARE = 0.75
"""Radius over tip radius at which stall is judged."""


def stall_pitch(rotor: RotorAir, low: float, high: float) -> tuple[float, float]:
    """(rad, rad): the pitch nearest zero, on either side, at which the section at three quarters of the tip radius
    is half separated in still air; low or high when it stays attached up to there.

    low <= 0 <= high: ends of the pitch range, rad.
    """
    station = int(np.argmin(np.abs(rotor.stations.radius - STALL_SHARE * rotor.tip)))
    limit = float(rotor.sections[station, STALL_COLUMN])
    alone = _of_one_annulus(rotor, station)

    def stalled(pitch: float) -> bool:
        return bool(abs(sectional_loads(alone, float(pitch)).attack[0]) >= limit)

    def first(end: float) -> float:
        """By halving: the angle of attack grows with pitch."""
        pitches = np.linspace(0.0, end, 61)
        if not stalled(pitches[-1]):
            return end
        return float(pitches[bisect_left(pitches, True, key=stalled)])

    return first(min(low, 0.0)), first(max(high, 0.0))


def _of_one_annulus(rotor: RotorAir, station: int) -> RotorAir:
    """The rotor with one annulus: each is solved by itself, and the others would be solved for nothing."""
    rows = slice(station, station + 1)
    whole = rotor.stations
    stations = replace(
        whole,
        radius=whole.radius[rows],
        width=whole.width[rows],
        chord=whole.chord[rows],
        twist=whole.twist[rows],
        thickness=whole.thickness[rows],
        quarter_chord=whole.quarter_chord[rows],
    )
    return replace(rotor, stations=stations, sections=rotor.sections[rows])
