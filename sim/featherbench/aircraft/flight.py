"""A build in hover under its gyro: what the flight stepper needs, made from the scenario, and one flight of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

import numpy as np
from numpy.typing import NDArray

from featherbench.aircraft.hover import HoverTrim, hover_trim
from featherbench.bench.servo_run import start_state
from featherbench.bench.setup import Setup
from featherbench.linkage import servo_angle_for
from featherbench.plant import state as state_index
from featherbench.plant.flight import FLIGHT_COLUMNS, Airframe, FlightStepCounts, Gyro, fly
from featherbench.plant.loads import blade_moment
from featherbench.plant.step_size import highest_mode, step_within
from featherbench.rotor.air_table import AirLoads, lead_lag_offsets
from featherbench.scenario.schema import Aircraft
from featherbench.scenario.schema import Gyro as GyroTable
from featherbench.servo.motor import winding_for

Series = NDArray[np.float64]

RECORD_INTERVAL = 5e-3
"""s between rows of a flight record, about (a whole number of gyro updates)."""
COMMAND_STEP = np.deg2rad(0.25)


@dataclass(frozen=True)
class Flight:
    """record (rows, FLIGHT_COLUMNS), see `plant.flight`; reversals: contact changes of side at the play, per second."""

    record: Series
    reversals: float


@dataclass(frozen=True)
class FlightSetup:
    """A build ready to hover: its bench setup, trim, air over axial flow, airframe and gyro."""

    setup: Setup
    trim: HoverTrim
    air: AirLoads
    frame: Airframe
    gyro: Gyro
    aircraft: Aircraft
    table: GyroTable


def flight_setup(setup: Setup) -> FlightSetup:
    """Raises ValueError, in words, when the scenario has no gyro or hover cannot be trimmed."""
    aircraft = setup.scenario.aircraft
    if aircraft is None or aircraft.gyro is None:
        raise ValueError("no [aircraft] with a gyro: state tail_arm, yaw_inertia, main_torque and gyro")
    trim = hover_trim(setup, held=False)
    if trim is None or not trim.found:
        raise ValueError(f"no hover trim: {trim.advice if trim else 'no [aircraft]'}")
    gyro = aircraft.gyro
    spin = float(setup.scenario.rotor.speed)
    pitches = setup.air.table.pitch
    lead_lags = np.array([setup.lead_lag_at(value) for value in pitches.tolist()])
    air = setup.air.table.loads(
        *lead_lag_offsets(lead_lags, setup.assembly.bolt.radius, setup.assembly.bolt.chord)
    )
    # what axial flow adds to the moment is the air's as much as what the load table holds
    air = air._replace(moment=float(setup.scenario.scale.air_moment) * air.moment)
    low, high = setup.scenario.rotor.pitch_range
    grid = np.arange(low, high, COMMAND_STEP)
    commands = np.array([servo_angle_for(value, setup.plant.linkage) for value in grid.tolist()])
    middle = air.thrust.shape[1] // 2
    thrust = spin**2 * float(np.interp(trim.pitch, pitches, air.thrust[:, middle]))
    return FlightSetup(
        setup=setup,
        trim=trim,
        air=air,
        frame=Airframe(
            float(aircraft.yaw_inertia),
            float(aircraft.tail_arm),
            float(aircraft.tail_arm) * thrust,
            float(aircraft.buffet),
        ),
        gyro=Gyro(
            float(gyro.rate_gain),
            float(gyro.hold_gain),
            float(trim.pitch),
            float(inf if gyro.limit is None else gyro.limit),
            float(low),
            float(COMMAND_STEP),
            commands,
        ),
        aircraft=aircraft,
        table=gyro,
    )


def without_play(flight: FlightSetup) -> FlightSetup:
    """The same build with linkage play and gear play taken out."""
    plant = flight.setup.plant
    tight = plant._replace(joint=plant.joint._replace(half_play=0.0), mesh=plant.mesh._replace(half_play=0.0))
    return replace(flight, setup=replace(flight.setup, plant=tight))


def with_gain(flight: FlightSetup, factor: float) -> FlightSetup:
    """The same build with both gyro gains multiplied."""
    gyro = flight.gyro
    return replace(
        flight,
        gyro=gyro._replace(rate_gain=gyro.rate_gain * factor, hold_gain=gyro.hold_gain * factor),
    )


def hover_flight(
    flight: FlightSetup, seconds: float, *, seed: int = 0, disturbed: bool = True, heading: float = 0.0
) -> Flight:
    """Hover for `seconds` from a heading error (rad), with the scenario's buffet, gusts and gyro noise or without.

    Gusts: yaw moment of the stated rms whose power spectrum is flat up to the stated bandwidth and falls with the
    square of frequency above it (first-order coloured noise, the form of a Dryden longitudinal spectrum).
    """
    setup, table = flight.setup, flight.table
    plant, spin = setup.plant, float(setup.scenario.rotor.speed)
    period = 1.0 / table.rate
    step, gyro_steps = step_within(period, highest_mode(plant))
    record_steps = gyro_steps * max(1, round(RECORD_INTERVAL / period))
    rows = round(seconds / (step * record_steps))
    late = round(table.delay / period)
    counts = FlightStepCounts(
        step, max(1, round(plant.loop.drive_period / step)), gyro_steps, record_steps, late
    )
    random = np.random.default_rng(seed)
    gust = _gust(random, rows, step * record_steps, flight.aircraft) * disturbed
    noise = random.normal(0.0, 1.0, rows * record_steps // gyro_steps + 2) * float(table.noise) * disturbed
    frame = flight.frame if disturbed else flight.frame._replace(buffet=0.0)
    state, yaw = _at_trim(flight), np.array([heading, 0.0])
    record = np.zeros((rows, FLIGHT_COLUMNS))
    winding = winding_for(plant.motor, step)
    count = fly(state, yaw, spin, plant, flight.air, frame, flight.gyro, winding, counts, gust, noise, record)
    return Flight(record, count / seconds)


def _gust(random: np.random.Generator, rows: int, interval: float, aircraft: Aircraft) -> Series:
    """Yaw moment (rows,) N m of the stated rms and bandwidth."""
    white = random.normal(0.0, 1.0, rows)
    keep = float(np.exp(-2.0 * np.pi * aircraft.gust_bandwidth * interval))
    gust = np.empty(rows)
    level = 0.0
    for row, value in enumerate(white.tolist()):
        level = keep * level + np.sqrt(1.0 - keep * keep) * value
        gust[row] = level
    return gust * float(aircraft.gust)


def _at_trim(flight: FlightSetup) -> Series:
    """The chain at rest at hover trim, blades in the middle of the play."""
    setup = flight.setup
    state = start_state(setup)
    pitch = flight.trim.pitch
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
