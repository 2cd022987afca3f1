"""The servo chain in flight: yaw, rate gyro with heading hold, the rotor's shaking and gusts around `chain_step`.

Yaw: I_z psi_ddot = l_t T(theta, V_c, Omega) - Q_main + gust, with V_c = l_t psi_dot: the tail advances along
its own thrust as it yaws the way thrust drives it, thrust falls, and yaw is damped. Play lies outside the servo's
own loop: only the gyro sees it. The servo hears of the gyro at its own frame rate.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.kernel import kernel
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.plant import state as state_index
from featherbench.plant.chain import chain_step, drive_update
from featherbench.plant.gyro import Gyro, GyroMemory, commanded_angle, gyro_update
from featherbench.plant.parameters import Plant
from featherbench.plant.pieces import pieces
from featherbench.plant.shaking import AT_START, Turning, rotation, shaking_moment, turned
from featherbench.rotor.air_table import AirLoads, axial_ratio, look_up, thrust
from featherbench.servo.motor import Winding

F_TIME, F_HEADING, F_RATE, F_PITCH, F_ROD_FORCE, F_SUPPLY, F_HEAT, F_SERVO = range(8)
FLIGHT_COLUMNS = 8
"""Columns of a flight record: s, rad, rad/s, rad, N, A, W of heat in the winding, rad of the servo's arm; force,
current and heat are means over the record interval."""


class Airframe(NamedTuple):
    """yaw_inertia kg m^2; tail_arm m; main_torque N m."""

    yaw_inertia: float
    tail_arm: float
    main_torque: float


class FlightStepCounts(NamedTuple):
    """step s; steps per drive period, gyro update, command frame and record row; updates by which a reading is late."""

    step: float
    drive_steps: int
    gyro_steps: int
    frame_steps: int
    record_steps: int
    late: int


class FlownBuild(NamedTuple):
    """What is flown, and by which steps; spin rad/s."""

    spin: float
    plant: Plant
    air: AirLoads
    frame: Airframe
    gyro: Gyro
    winding: Winding
    counts: FlightStepCounts


STEPS, READINGS, TO_GYRO, TO_FRAME, TO_DRIVE, SIDE, REVERSALS, WANTED, FILTERED, HELD = range(10)
SINE, COSINE, PASSING_SINE, PASSING_COSINE = range(10, 14)
"""Named indices of a flight's clock (14,), how far it has come: steps, readings of the gyro; steps left to its next, to
the next command frame and to the next drive update; side of the play last touched, changes of it; what the gyro asks
for, rad, and keeps; where the rotor stands. An array, not a tuple of tuples: an interrupt while numba hands one of
those back to Python ends the process.
"""


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


def fly(
    state: NDArray[np.float64],
    yaw: NDArray[np.float64],
    build: FlownBuild,
    gust: NDArray[np.float64],
    noise: NDArray[np.float64],
    record: NDArray[np.float64],
) -> int:
    """Fill `record` (rows, FLIGHT_COLUMNS); returns how often the contact changed sides of the play.

    yaw (2,): heading rad and rate rad/s, advanced in place; the gyro starts out holding heading 0. gust (rows,) N m in
    yaw over each row; noise (updates,) rad/s on the gyro's readings. In pieces, to the same figures as in one: between
    them an interrupt is seen.
    """
    counts = build.counts
    late = np.zeros(counts.late + 1)
    clock = np.zeros(14)
    clock[WANTED], clock[FILTERED], clock[HELD] = build.gyro.trim, yaw[1], yaw[0]
    clock[SINE:] = AT_START
    for rows in pieces(len(record), counts.record_steps):
        fly_rows(state, yaw, build, gust[rows], noise, late, clock, record[rows])
    return int(clock[REVERSALS])


@kernel
def _counted(clock: NDArray[np.float64]) -> tuple[int, int, int, int, int, int, int]:
    """What of a clock is counted, in its order."""
    return (
        int(clock[STEPS]),
        int(clock[READINGS]),
        int(clock[TO_GYRO]),
        int(clock[TO_FRAME]),
        int(clock[TO_DRIVE]),
        int(clock[SIDE]),
        int(clock[REVERSALS]),
    )


@kernel
def _kept(clock: NDArray[np.float64]) -> tuple[GyroMemory, float, Turning]:
    """(what the gyro keeps, what it asks for in rad, where the rotor stands)."""
    angle = Turning(clock[SINE], clock[COSINE], clock[PASSING_SINE], clock[PASSING_COSINE])
    return GyroMemory(clock[FILTERED], clock[HELD]), clock[WANTED], angle


@kernel
def _keep(clock: NDArray[np.float64], wanted: float, memory: GyroMemory, angle: Turning) -> None:
    """Keep the same."""
    clock[WANTED], clock[FILTERED], clock[HELD] = wanted, memory.filtered, memory.held
    clock[SINE], clock[COSINE] = angle.sine, angle.cosine
    clock[PASSING_SINE], clock[PASSING_COSINE] = angle.passing_sine, angle.passing_cosine


@kernel
def fly_rows(
    state: NDArray[np.float64],
    yaw: NDArray[np.float64],
    build: FlownBuild,
    gust: NDArray[np.float64],
    noise: NDArray[np.float64],
    readings: NDArray[np.float64],
    clock: NDArray[np.float64],
    record: NDArray[np.float64],
) -> None:
    """Fill the next rows of a record, going on where `clock` stands; readings (late + 1,) are those under way."""
    spin, plant, air, frame, gyro, winding, counts = build
    step, blades, period = counts.step, plant.pitch.blades, counts.gyro_steps * counts.step
    memory, wanted, angle = _kept(clock)
    count, updates, to_gyro, to_frame, to_drive, side, reversals = _counted(clock)
    turn, shakes = rotation(step, spin, blades), plant.shaking.rate > 0.0
    for row in range(record.shape[0]):
        force, drawn, heat = 0.0, 0.0, state[state_index.LOSS_COPPER]
        for _ in range(counts.record_steps):
            if to_gyro == 0:
                to_gyro = counts.gyro_steps
                readings[updates % (counts.late + 1)] = yaw[1] + noise[updates]
                read = (updates + 1) % (counts.late + 1) if updates >= counts.late else 0
                memory, wanted = gyro_update(readings[read], memory, period, gyro)
                updates += 1
            if to_frame == 0:
                to_frame = counts.frame_steps
                state[state_index.COMMAND] = commanded_angle(wanted, gyro)
            if to_drive == 0:
                to_drive = counts.drive_steps
                drive_update(step, state, plant)
            to_gyro, to_frame, to_drive = to_gyro - 1, to_frame - 1, to_drive - 1
            chain_step(step, state, spin, 0.0, plant, winding)
            pitch = state[state_index.PITCH]
            axial = axial_ratio(frame.tail_arm * yaw[1], spin, air)
            # what axial flow adds to the still-air moment of the load table, and what shakes, act from the next step on
            flow = look_up(pitch, axial, air, air.moment) - look_up(pitch, 0.0, air, air.moment)
            state[state_index.ROTOR_MOMENT] += blades * flow * spin * spin
            if shakes:
                angle = turned(angle, turn)
                state[state_index.ROTOR_MOMENT] += shaking_moment(angle, spin, plant.shaking)
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
        share = 1.0 / counts.record_steps
        record[row, F_HEAT] = (state[state_index.LOSS_COPPER] - heat) * share / step
        record[row, F_TIME], record[row, F_HEADING], record[row, F_RATE] = count * step, yaw[0], yaw[1]
        record[row, F_PITCH], record[row, F_SERVO] = pitch, state[state_index.OUTPUT_ANGLE]
        record[row, F_ROD_FORCE], record[row, F_SUPPLY] = share * force, share * drawn
    counted = (count, updates, to_gyro, to_frame, to_drive, side, reversals)
    for place in range(WANTED):
        clock[place] = counted[place]
    _keep(clock, wanted, memory, angle)
