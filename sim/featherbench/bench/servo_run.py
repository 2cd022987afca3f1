"""The servo test: the servo runs a programme of moves and holds; what the rod, the winding and the meter see."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.bench.believed import BenchTest
from featherbench.bench.instruments import Display, meter_display, moving_mean
from featherbench.bench.legs import HOLD_SHARE, Leg, read_leg
from featherbench.bench.setup import GRID_MARGIN, Setup
from featherbench.linkage import servo_angle_for
from featherbench.linkage.geometry import pitch_rod_travels, servo_rod_travels
from featherbench.plant import integrate as rec
from featherbench.plant import state as state_index
from featherbench.plant.chain import stored_energy
from featherbench.plant.energy_audit import audit_error
from featherbench.plant.integrate import CommandSchedule, StepCounts, integrate
from featherbench.plant.loads import blade_moment
from featherbench.plant.step_size import highest_mode
from featherbench.scenario.bench_tables import Move
from featherbench.servo.motor import winding_for

__all__ = ["HOLD_SHARE", "SETTLE", "Leg", "ServoRun", "energy_error", "run_servo", "start_state"]

Series = NDArray[np.float64]

RECORD_INTERVAL = 1e-3
"""About this many s between recorded rows, a whole number to the drive period; forces and currents are means."""
SETTLE = 0.4
"""s at zero pitch before the programme starts."""


@dataclass(frozen=True)
class ServoRun:
    """A servo test. Series (n,) in SI; currents in the supply lead include the idle current.

    torque_peak N m at the output while running, mean over the current window; raw_peak A, the instantaneous supply
    peak (start or braking inrush); meter: its readings; energy_error relative.
    """

    time: Series
    command_pitch: Series
    servo_angle: Series
    pitch: Series
    rod_force: Series
    motor_current: Series
    supply_current: Series
    spin: Series
    legs: tuple[Leg, ...]
    torque_peak: float
    raw_peak: float
    meter: Display
    energy_error: float
    step: float


def run_servo(setup: Setup, moves: Sequence[Move] | None = None, *, step_share: float = 1.0) -> ServoRun:
    """Run the scenario's bench programme, or other `moves`.

    step_share < 1 shortens the step for convergence checks. Raises ScenarioError for a test that is too long, or that
    cannot be believed.
    """
    return _read(
        setup, _marched(setup, setup.scenario.bench.programme if moves is None else moves, step_share)
    )


def run_legs(
    setup: Setup, moves: Sequence[Move], asked: Sequence[int] | None = None, *, step_share: float = 1.0
) -> tuple[Leg, ...]:
    """What each of `moves` came to, or those `asked` for by index, where torque, meter and courses are not wanted."""
    return _legs(setup, _marched(setup, moves, step_share), asked)


class _March(NamedTuple):
    """A record, what was to be done, and what the march itself says of it."""

    record: Series
    plan: list[tuple[Move, float, tuple[float, float]]]
    raw_peak: float
    error: float
    step: float


def _marched(setup: Setup, moves: Sequence[Move], step_share: float) -> _March:
    plant = setup.plant
    targets, schedule, spans = _schedule(setup, moves)
    # rows end where the drive updates: currents turn there, and a row across a turn would blur a peak
    rows_per_drive = max(1, round(plant.loop.drive_period / RECORD_INTERVAL))
    test = BenchTest("servo test", "bench.programme", setup.scenario)
    interval = plant.loop.drive_period / rows_per_drive
    step, record_steps = test.steps(spans[-1][1] + SETTLE, interval, highest_mode(plant), step_share)
    drive_steps = record_steps * rows_per_drive
    frame_steps = drive_steps * max(1, round(plant.loop.frame_period / plant.loop.drive_period))
    rows = int(np.ceil((spans[-1][1] + SETTLE) / (step * record_steps)))
    record = np.zeros((rows, rec.COLUMNS))
    state = start_state(setup)
    before = stored_energy(state, plant)
    counts = StepCounts(step, drive_steps, frame_steps, record_steps)
    raw_peak = integrate(-SETTLE, state, schedule, plant, winding_for(plant.motor, step), counts, record)
    error = energy_error(state, before, stored_energy(state, plant))
    if step_share <= 1.0:  # a coarser step than the program's own is asked for to see what it does
        test.believed(error, record)
        test.within_laws(record[:, rec.PITCH], GRID_MARGIN)
    return _March(record, list(zip(moves, targets, spans, strict=True)), float(raw_peak), error, step)


def start_state(setup: Setup) -> Series:
    """The chain at rest at zero pitch (or the nearest end of the range), the servo's command there too."""
    low, high = setup.scenario.rotor.pitch_range
    pitch = min(max(0.0, low), high)
    state = np.zeros(state_index.SIZE)
    angle = servo_angle_for(pitch, setup.plant.linkage)
    state[state_index.OUTPUT_ANGLE] = state[state_index.MOTOR_ANGLE] = state[state_index.COMMAND] = state[
        state_index.LAST_ANGLE
    ] = angle
    state[state_index.PITCH] = pitch
    spin = float(setup.scenario.rotor.speed)
    state[state_index.ROTOR_MOMENT] = setup.plant.pitch.blades * blade_moment(
        pitch, spin, 0.0, setup.plant.loads
    )
    return state


def energy_error(state: Series, before: float, after: float) -> float:
    """The relative error of the run's energies: see `plant.energy_audit`."""
    works = state[[state_index.WORK_ELECTRIC, state_index.WORK_ROTOR]]
    losses = state[
        [
            state_index.LOSS_COPPER,
            state_index.LOSS_FRICTION,
            state_index.LOSS_CONTACT,
            state_index.LOSS_VISCOUS,
        ]
    ]
    return audit_error(works, losses, after - before)


def _schedule(
    setup: Setup, moves: Sequence[Move]
) -> tuple[list[float], CommandSchedule, list[tuple[float, float]]]:
    """Target pitches (rad), the schedule the chain follows, and each leg's span (s)."""
    bench = setup.scenario.bench
    low, high = setup.scenario.rotor.pitch_range
    state = start_state(setup)
    times, angles = [-SETTLE, 0.0], [state[state_index.OUTPUT_ANGLE]] * 2
    targets, spans, now = [], [], 0.0
    for move in moves:
        target = move.go * high if move.go >= 0.0 else -move.go * low
        targets.append(target)
        times += [now + move.over, now + move.over + move.hold]
        angles += [servo_angle_for(target, setup.plant.linkage)] * 2
        spans.append((now, now + move.over + move.hold))
        now = spans[-1][1]
        times.append(now)
        angles.append(angles[-1])
    speed = float(setup.scenario.rotor.speed)
    spin_times, spin_speeds, clock = [0.0], [speed], 0.0
    for course in bench.spin:
        spin_times += [clock + course.over, clock + course.over + course.hold]
        spin_speeds += [float(course.to)] * 2
        clock = spin_times[-1]
    schedule = CommandSchedule(
        *(np.array(values, dtype=float) for values in (times, angles, spin_times, spin_speeds))
    )
    return targets, schedule, spans


def _legs(setup: Setup, done: _March, asked: Sequence[int] | None = None) -> tuple[Leg, ...]:
    record, time = done.record, done.record[:, rec.TIME]
    plan = done.plan if asked is None else [done.plan[index] for index in asked]
    return tuple(
        read_leg(setup, record, move.go, target, span, record[np.searchsorted(time, span[0]) - 1, rec.PITCH])
        for move, target, span in plan
    )


def _read(setup: Setup, done: _March) -> ServoRun:
    """Findings of each leg, torque peak and meter readings from the record."""
    linkage, idle, record = setup.plant.linkage, setup.plant.supply.idle, done.record
    time = record[:, rec.TIME]
    window = setup.scenario.bench.current_window
    slope = servo_rod_travels(record[:, rec.OUTPUT], linkage)[:, 1]
    torque = moving_mean(time, record[:, rec.ROD_FORCE] * slope, window)
    return ServoRun(
        time=time,
        command_pitch=_commanded_pitch(setup, record[:, rec.COMMAND]),
        servo_angle=record[:, rec.OUTPUT],
        pitch=record[:, rec.PITCH],
        rod_force=record[:, rec.ROD_FORCE],
        motor_current=record[:, rec.MOTOR_CURRENT],
        supply_current=record[:, rec.SUPPLY_CURRENT],
        spin=record[:, rec.SPIN],
        legs=_legs(setup, done),
        torque_peak=float(np.abs(torque).max()),
        raw_peak=done.raw_peak - idle,
        meter=meter_display(time, record[:, rec.SUPPLY_CURRENT], setup.scenario.meter, idle),
        energy_error=done.error,
        step=done.step,
    )


def _commanded_pitch(setup: Setup, angles: Series) -> Series:
    """Pitch (rad) that each commanded servo angle stands for, without play or give."""
    low, high = setup.scenario.rotor.pitch_range
    grid = np.linspace(low, high, 181)
    linkage = setup.plant.linkage
    made = pitch_rod_travels(grid, linkage)[:, 0]
    asked = servo_rod_travels(angles, linkage)[:, 0]
    order = np.argsort(made)
    return np.asarray(np.interp(asked, made[order], grid[order]), dtype=float)
