"""Runs the servo chain through a schedule of commands and rotor speeds, recording every few steps."""

from __future__ import annotations

from math import inf
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.kernel import kernel
from featherbench.plant import state as state_index
from featherbench.plant.chain import drive_update
from featherbench.plant.parameters import Plant
from featherbench.plant.pieces import (
    AT_REST,
    COUNT,
    EVERY,
    PEAK,
    TO_DRIVE,
    TO_FRAME,
    pieces,
    stand,
    standing,
    start_clock,
)
from featherbench.plant.rest import (
    CHANGING,
    MOVING,
    Rest,
    Sums,
    chain_or_rest_step,
    may_pass,
    pass_over,
    summed,
)
from featherbench.plant.shaking import AT_START, rotation, shaking_moment, turned
from featherbench.servo.motor import Winding

TIME, COMMAND, OUTPUT, PITCH, ROD_FORCE, MOTOR_CURRENT, SUPPLY_CURRENT, SPIN = range(8)
"""Columns of a record: s, rad, rad, rad, N, A, A, rad/s; forces and currents are means over the record interval."""
COLUMNS = 8


class CommandSchedule(NamedTuple):
    """Piecewise-linear courses over time; equal times make a jump. s, rad at the servo output; s, rad/s."""

    command_times: NDArray[np.float64]
    command_angles: NDArray[np.float64]
    spin_times: NDArray[np.float64]
    spin_speeds: NDArray[np.float64]


class StepCounts(NamedTuple):
    """Step in s and how many steps make a drive period, a command frame and a record interval."""

    step: float
    drive_steps: int
    frame_steps: int
    record_steps: int


@kernel
def piecewise_linear(
    time: float, times: NDArray[np.float64], values: NDArray[np.float64]
) -> tuple[float, float]:
    """(value, slope) of a piecewise-linear course at `time`; constant beyond its ends."""
    value, slope, _ = piecewise_onward(time, times, values, 0)
    return value, slope


@kernel(forceinline=True)
def piecewise_onward(
    time: float, times: NDArray[np.float64], values: NDArray[np.float64], low: int
) -> tuple[float, float, int]:
    """The same, and the piece that `time` lies in; low: a piece that it is not before, such as that of an earlier time,
    0 at first.
    """
    last = times.shape[0] - 1
    if time < times[0]:
        return values[0], 0.0, low
    if time >= times[last]:
        return values[last], 0.0, low
    while times[low + 1] <= time:
        low += 1
    slope = (values[low + 1] - values[low]) / (times[low + 1] - times[low])
    return values[low] + slope * (time - times[low]), slope, low


def integrate(
    start: float,
    state: NDArray[np.float64],
    schedule: CommandSchedule,
    plant: Plant,
    winding: Winding,
    counts: StepCounts,
    record: NDArray[np.float64],
) -> float:
    """Fill `record` (rows, COLUMNS) from time `start` (s), advancing `state`; returns the raw supply peak, A.

    In pieces, to the same figures as in one: between them an interrupt is seen. A state that is no longer finite ends
    it, the rows from there on nan.
    """
    clock = start_clock()
    for rows in pieces(len(record), counts.record_steps):
        integrate_rows(start, state, schedule, plant, winding, counts, clock, record[rows])
        if not np.isfinite(state).all():
            record[rows.start :] = np.nan
            break
    return float(clock[PEAK])


@kernel
def integrate_rows(
    start: float,
    state: NDArray[np.float64],
    schedule: CommandSchedule,
    plant: Plant,
    winding: Winding,
    counts: StepCounts,
    clock: NDArray[np.float64],
    record: NDArray[np.float64],
) -> None:
    """Fill the next rows of a record, going on where `clock` stands, and set it on."""
    step = counts.step
    count = int(clock[COUNT])
    # counted down: a remainder each step would cost as much as the contact law
    to_frame, to_drive, raw_peak = int(clock[TO_FRAME]), int(clock[TO_DRIVE]), clock[PEAK]
    angle, turned_at, shakes = standing(clock), -1.0, plant.shaking.rate > 0.0
    by, rest = AT_START, Rest(clock[EVERY] == 0.0, int(clock[AT_REST]), MOVING, CHANGING)
    spin_times, spin_speeds = schedule.spin_times, schedule.spin_speeds  # once: each time counts a reference
    steady_from = spin_times[-1] if spin_times.shape[0] > 1 else -inf
    for row in range(record.shape[0]):
        sums, spin, left = Sums(0.0, 0.0, 0.0), 0.0, counts.record_steps
        while left > 0:
            time = start + count * step
            if to_frame == 0:
                to_frame = counts.frame_steps
                state[state_index.COMMAND] = piecewise_linear(
                    time, schedule.command_times, schedule.command_angles
                )[0]
            if to_drive == 0:
                to_drive = counts.drive_steps
                drive_update(step, state, plant)
            spin, spin_rate = piecewise_linear(time, spin_times, spin_speeds)
            passed = 0
            if time >= steady_from and (spin == turned_at or not shakes) and may_pass(state, rest, spin):
                steps = min(left, to_frame, to_drive)
                passed, sums, angle = pass_over(step, steps, state, rest, spin, sums, (angle, by), plant)
                rest = Rest(True, rest.steps + passed, rest.stance, rest.settled)
            if passed == 0:
                passed = 1
                before = state[state_index.PITCH]
                most, rest = chain_or_rest_step(step, state, rest, spin, spin_rate, plant, winding)
                raw_peak = max(raw_peak, most)
                if shakes:
                    if spin != turned_at:
                        turned_at = spin
                        by = rotation(step, spin, plant.pitch.blades)
                    angle = turned(angle, by)
                    # acts from the next step on; its work there and then by the trapezoid, half of it here
                    disturbance = shaking_moment(angle, spin, plant.shaking)
                    state[state_index.ROTOR_MOMENT] += disturbance
                    state[state_index.WORK_ROTOR] += 0.5 * disturbance * (state[state_index.PITCH] - before)
                sums = summed(sums, state)
            to_frame, to_drive = to_frame - passed, to_drive - passed
            count, left = count + passed, left - passed
        _write_row(record[row], start + count * step, state, sums, spin, 1.0 / counts.record_steps)
    clock[COUNT], clock[TO_FRAME], clock[TO_DRIVE], clock[PEAK] = count, to_frame, to_drive, raw_peak
    clock[AT_REST] = rest.steps
    stand(clock, angle)


@kernel(forceinline=True)
def _write_row(
    row: NDArray[np.float64], time: float, state: NDArray[np.float64], sums: Sums, spin: float, share: float
) -> None:
    row[TIME] = time
    row[COMMAND] = state[state_index.COMMAND]
    row[OUTPUT] = state[state_index.OUTPUT_ANGLE]
    row[PITCH] = state[state_index.PITCH]
    row[ROD_FORCE] = sums.force * share
    row[MOTOR_CURRENT] = sums.current * share
    row[SUPPLY_CURRENT] = sums.drawn * share
    row[SPIN] = spin
