"""What disturbs a hover: gusts, a main rotor's torque that wanders, and the noise of the gyro."""

from __future__ import annotations

from math import hypot

import numpy as np
from numpy.typing import NDArray

from featherbench.aircraft.yaw_slopes import YawSlopes
from featherbench.scenario.aircraft import Aircraft

Series = NDArray[np.float64]

DRAUGHT = 0.06
"""m/s rms, of the air in a room: mean 0.15 m/s, turbulence 40 % (the usual figures of ISO 7730, from memory)."""


def gust_moment(aircraft: Aircraft, slopes: YawSlopes) -> float:
    """rms yaw moment (N m) of gusts: as stated, else what a room's draught does to the tail rotor's thrust."""
    if aircraft.gust is not None:
        return float(aircraft.gust)
    return DRAUGHT * slopes.by_flow * float(aircraft.tail_arm)


def yaw_disturbance(
    random: np.random.Generator, rows: int, interval: float, aircraft: Aircraft, size: float
) -> Series:
    """Yaw moment (rows,) N m, one value for each `interval` (s), of rms `size` (N m).

    Its power spectrum is flat up to the stated bandwidth and falls with the square of frequency above it (first-order
    coloured noise, the form of a Dryden longitudinal spectrum).
    """
    white = random.normal(0.0, 1.0, rows)
    keep = float(np.exp(-2.0 * np.pi * aircraft.gust_bandwidth * interval))
    series = np.empty(rows)
    level = 0.0
    for row, value in enumerate(white.tolist()):
        level = keep * level + np.sqrt(1.0 - keep * keep) * value
        series[row] = level
    return series * size


def moment_size(aircraft: Aircraft, slopes: YawSlopes, main_torque: float) -> float:
    """rms yaw moment (N m) of all that disturbs the hover; main_torque: N m."""
    return hypot(gust_moment(aircraft, slopes), float(aircraft.trim_noise) * main_torque)
