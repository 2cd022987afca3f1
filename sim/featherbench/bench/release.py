"""The release test: the rod is released at a pitch; do the blades return to centre, stay put, or run to full pitch?"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from featherbench.bench.believed import BenchTest
from featherbench.bench.setup import Setup
from featherbench.plant import gauge_chain
from featherbench.plant.parameters import Gauge
from featherbench.plant.step_size import highest_mode_with_gauge

STAY_WITHIN = np.deg2rad(1.0)
"""Blades that end within this of where they were released have stayed, rad."""
WATCH = 2.0
"""s for which the blades are watched."""
RELEASE_SHARE = 0.6
"""Where the rod is released when the scenario does not say: this share of the range, each side of zero."""
RECORD_INTERVAL = 2e-3

TYPED = "returns to centre, stays put or runs to full pitch"
"""What a person may type of released blades."""


class ReleaseVerdict(StrEnum):
    """What blades do that are released at speed, from good to bad; the text is the word of files and documents."""

    RETURNS = "returns"
    STAYS = "stays"
    RUNS_OUT = "runs out"

    @property
    def told(self) -> str:
        """What the blades do, for a person."""
        return {"returns": "return to centre", "stays": "stay put", "runs out": "run to full pitch"}[self]


def told(verdict: str) -> str:
    """What the blades do, for a person, by the word of files and documents; any other text as it is."""
    return ReleaseVerdict(verdict).told if verdict in list(ReleaseVerdict) else verdict


@dataclass(frozen=True)
class Release:
    """Time (n,) s and pitch (n,) rad after release, and what the blades did."""

    time: NDArray[np.float64]
    pitch: NDArray[np.float64]
    verdict: ReleaseVerdict


def run_release(setup: Setup, pitch: float, *, step_share: float = 1.0) -> Release:
    """Release the rod at `pitch` (rad), servo and gauge off, rotor at speed. Raises ScenarioError if that blows up."""
    plant, spin = setup.plant, float(setup.scenario.rotor.speed)
    free = Gauge(0.0, 0.0)
    test = BenchTest("release test", "", setup.scenario)
    mode = highest_mode_with_gauge(plant, free)
    step, steps = test.steps(WATCH, RECORD_INTERVAL, mode, step_share)
    record = np.zeros((round(WATCH / RECORD_INTERVAL), gauge_chain.COLUMNS))
    state = gauge_chain.start_gauge(float(pitch), spin, plant)
    stop = max(abs(edge) for edge in setup.scenario.rotor.pitch_range)
    rows = gauge_chain.integrate_free(state, spin, plant, step, steps, stop, record)
    test.believed(0.0, record[:rows])
    course_pitch = record[:rows, gauge_chain.R_PITCH]
    return Release(
        record[:rows, gauge_chain.R_TIME], course_pitch, verdict(float(pitch), float(course_pitch[-1]))
    )


def verdict(start: float, end: float) -> ReleaseVerdict:
    """From where the blades were released and where they were last seen, rad."""
    if abs(end - start) < STAY_WITHIN:
        return ReleaseVerdict.STAYS
    return ReleaseVerdict.RETURNS if abs(end) < abs(start) else ReleaseVerdict.RUNS_OUT


def release_points(setup: Setup) -> tuple[float, float]:
    """Where the rod is released: the scenario's place and its mirror image, kept inside the pitch range; rad."""
    low, high = setup.scenario.rotor.pitch_range
    given = setup.scenario.bench.release_from
    if given is None:
        return RELEASE_SHARE * high, RELEASE_SHARE * low
    return given, min(max(-given, low), high)
