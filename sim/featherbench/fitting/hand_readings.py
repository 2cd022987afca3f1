"""Forces that were read by hand at a pitch, as a gauge run would have them."""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

import numpy as np

from featherbench.bench.gauge import GaugeRun
from featherbench.bench.readings import BenchData
from featherbench.sampling.checkpoint import Values

if TYPE_CHECKING:
    from featherbench.studies.run import Run

ANGLE_BY_HAND = np.deg2rad(0.25)
"""Standard uncertainty of a pitch that is read by hand, rad (judgement: a protractor to half a degree)."""


def forces_at_pitch(gauge: GaugeRun, data: BenchData) -> dict[str, float]:
    """What the gauge would have read at the pitches that were read by hand, N; between both ways where none is said."""
    found = {}
    for name, reading in data.readings.items():
        if reading.pitch is not None:
            up, down = (float(np.interp(reading.pitch, gauge.pitch, way)) for way in (gauge.up, gauge.down))
            found[name] = {True: up, False: down, None: 0.5 * (up + down)}[reading.rising]
    return found


def forces_of_run(run: Run, data: BenchData) -> Values:
    """The same of a prediction's run."""
    return dict(forces_at_pitch(run.gauge, data))


def left_open(gauge: GaugeRun, data: BenchData) -> dict[str, float]:
    """How much the angle and an unsaid direction leave open of each, standard uncertainty, N."""
    doubts = {}
    for name in forces_at_pitch(gauge, data):
        reading = data.readings[name]
        near = np.array([-1.0, 1.0]) * ANGLE_BY_HAND + float(reading.pitch or 0.0)
        up, down = (np.interp(near, gauge.pitch, way) for way in (gauge.up, gauge.down))
        slope = 0.5 * float(np.abs(np.diff(up)[0]) + np.abs(np.diff(down)[0])) / 2.0
        loose = float(np.abs(up - down).mean()) / (2.0 * sqrt(3.0)) if reading.rising is None else 0.0
        doubts[name] = sqrt(slope**2 + loose**2)
    return doubts
