"""The servo chain in flight: yaw, rate gyro with heading hold, buffet and gusts around `chain_step`.

Yaw: I_z psi_ddot = l_t T(theta, V_c, Omega) - Q_main + gust, with V_c = l_t psi_dot: the tail advances along
its own thrust as it yaws the way thrust drives it, thrust falls, and yaw is damped. Play lies outside the servo's
own loop: only the gyro sees it.
"""

from __future__ import annotations

from math import cos
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.kernel import kernel
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.plant import state as state_index
from featherbench.plant.chain import chain_step, drive_update
from featherbench.plant.parameters import Plant
from featherbench.rotor.air_table import AirLoads, axial_ratio, look_up, thrust
from featherbench.rotor.even_grid import grid_cell
from featherbench.servo.motor import Winding

F_TIME, F_HEADING, F_RATE, F_PITCH, F_ROD_FORCE, F_SUPPLY = range(6)
FLIGHT_COLUMNS = 6
"""Columns of a flight record: s, rad, rad/s, rad, N, A; the last two are means over the record interval."""


class Airframe(NamedTuple):
    """yaw_inertia kg m^2; tail_arm m; main_torque N m; buffet N m per blade, amplitude at N_b per turn."""

    yaw_inertia: float
    tail_arm: float
    main_torque: float
    buffet: float


class Gyro(NamedTuple):
    """rate_gain s and hold_gain -, rad of blade pitch per rad/s and per rad; trim rad; limit rad, of the correction.

    commands (k,): servo angle, rad, for blade pitch from command_first in steps of command_step, rad.
    """

    rate_gain: float
    hold_gain: float
    trim: float
    limit: float
    command_first: float
    command_step: float
    commands: NDArray[np.float64]


class FlightStepCounts(NamedTuple):
    """step s; steps per drive period, per gyro update, per record row; updates by which the gyro's reading is late."""

    step: float
    drive_steps: int
    gyro_steps: int
    record_steps: int
    late: int


@kernel
def commanded_angle(pitch: float, gyro: Gyro) -> float:
    """Servo angle (rad) for a blade pitch (rad), linear in the table and held at its ends."""
    row, share = grid_cell((pitch - gyro.command_first) / gyro.command_step, gyro.commands.shape[0])
    return gyro.commands[row] + share * (gyro.commands[row + 1] - gyro.commands[row])


@kernel
def side_of_play(state: NDArray[np.float64], plant: Plant) -> int:
    """Which edge of the linkage play the blades are against: +1, -1, or 0 inside the gap."""
    offset = servo_rod_travel(state[state_index.OUTPUT_ANGLE], plant.linkage)[0]
    offset -= pitch_rod_travel(state[state_index.PITCH], plant.linkage)[0]
    if offset > plant.joint.half_play:
        return 1
    if offset < -plant.joint.half_play:
        return -1
    return 0


@kernel
def fly(
    state: NDArray[np.float64],
    yaw: NDArray[np.float64],
    spin: float,
    plant: Plant,
    air: AirLoads,
    frame: Airframe,
    gyro: Gyro,
    winding: Winding,
    counts: FlightStepCounts,
    gust: NDArray[np.float64],
    noise: NDArray[np.float64],
    record: NDArray[np.float64],
) -> int:
    """Fill `record` (rows, FLIGHT_COLUMNS); returns how often the contact changed sides of the play.

    yaw (2,): heading rad and rate rad/s, advanced in place. gust (rows,) N m in yaw over each row; noise (updates,)
    rad/s on the gyro's readings.
    """
    step, blades = counts.step, plant.pitch.blades
    readings = np.zeros((counts.late + 1, 2))
    updates, to_gyro, to_drive, count = 0, 0, 0, 0
    side, reversals = 0, 0
    buffet_moment = 0.0
    for row in range(record.shape[0]):
        force, drawn = 0.0, 0.0
        for _ in range(counts.record_steps):
            if to_gyro == 0:
                to_gyro = counts.gyro_steps
                slot = updates % (counts.late + 1)
                readings[slot, 0] = yaw[1] + noise[updates]
                readings[slot, 1] = yaw[0]
                read = (updates + 1) % (counts.late + 1) if updates >= counts.late else 0
                correction = -gyro.rate_gain * readings[read, 0] - gyro.hold_gain * readings[read, 1]
                correction = min(gyro.limit, max(-gyro.limit, correction))
                state[state_index.COMMAND] = commanded_angle(gyro.trim + correction, gyro)
                updates += 1
            if to_drive == 0:
                to_drive = counts.drive_steps
                drive_update(step, state, plant)
            to_gyro -= 1
            to_drive -= 1
            chain_step(step, state, spin, 0.0, plant, winding)
            pitch = state[state_index.PITCH]
            axial = axial_ratio(frame.tail_arm * yaw[1], spin, air)
            # what axial flow adds to the still-air moment of the load table, and the buffet, act from the next step on
            flow = look_up(pitch, axial, air, air.moment) - look_up(pitch, 0.0, air, air.moment)
            buffet_moment = frame.buffet * cos(blades * spin * count * step)
            state[state_index.ROTOR_MOMENT] += blades * (flow * spin * spin + buffet_moment)
            pull = frame.tail_arm * thrust(pitch, axial, spin, air) - frame.main_torque + gust[row]
            yaw[1] += step * pull / frame.yaw_inertia
            yaw[0] += step * yaw[1]
            now = side_of_play(state, plant)
            if now != 0 and now != side:
                reversals += 1 if side != 0 else 0
                side = now
            force += state[state_index.ROD_FORCE]
            drawn += state[state_index.SUPPLY_CURRENT]
            count += 1
        record[row, F_TIME] = count * step
        record[row, F_HEADING] = yaw[0]
        record[row, F_RATE] = yaw[1]
        record[row, F_PITCH] = state[state_index.PITCH]
        record[row, F_ROD_FORCE] = force / counts.record_steps
        record[row, F_SUPPLY] = drawn / counts.record_steps
    return reversals
