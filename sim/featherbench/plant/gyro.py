"""The rate gyro that steers the tail: it reads a yaw rate and asks for a blade pitch.

Proportional and integral action on the rate it reads (PI control of a rate: Astrom and Murray, Feedback Systems, 2008,
chapter 10), late and through a filter of first order, at a rate of its own. The integral is the heading it holds; it
knows no other. It is kept within the travel that may be asked for, so that it does not wind up (there, section 10.4).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.kernel import kernel
from featherbench.rotor.even_grid import grid_cell


class Gyro(NamedTuple):
    """rate_gain s and hold_gain -, rad of blade pitch per rad/s and per rad; trim rad; limit rad, of the correction;
    lag s, of the filter on its readings.

    commands (k,): servo angle, rad, for blade pitch from command_first in steps of command_step, rad.
    """

    rate_gain: float
    hold_gain: float
    trim: float
    limit: float
    lag: float
    command_first: float
    command_step: float
    commands: NDArray[np.float64]


class GyroMemory(NamedTuple):
    """What a gyro keeps from one reading to the next: filtered rad/s; held rad, the integral of it."""

    filtered: float
    held: float


@kernel
def gyro_update(reading: float, before: GyroMemory, period: float, gyro: Gyro) -> tuple[GyroMemory, float]:
    """(what it keeps, blade pitch it asks for in rad) after a reading of the yaw rate (rad/s), one period (s) on."""
    filtered = before.filtered + (reading - before.filtered) * period / (period + gyro.lag)
    held = before.held + period * filtered
    if gyro.hold_gain > 0.0:
        most = gyro.limit / gyro.hold_gain
        held = min(most, max(-most, held))
    correction = -gyro.rate_gain * filtered - gyro.hold_gain * held
    return GyroMemory(filtered, held), gyro.trim + min(gyro.limit, max(-gyro.limit, correction))


@kernel
def commanded_angle(pitch: float, gyro: Gyro) -> float:
    """Servo angle (rad) for a blade pitch (rad), linear in the table and held at its ends."""
    row, share = grid_cell((pitch - gyro.command_first) / gyro.command_step, gyro.commands.shape[0])
    return gyro.commands[row] + share * (gyro.commands[row + 1] - gyro.commands[row])
