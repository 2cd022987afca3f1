"""A build in hover under its gyro: what the flight stepper needs, made from the scenario, and one flight of it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from featherbench.aircraft.disturbances import moment_size, yaw_disturbance
from featherbench.aircraft.hover import HoverTrim, hover_trim
from featherbench.aircraft.yaw_slopes import yaw_slopes
from featherbench.bench.servo_run import start_state
from featherbench.bench.setup import Setup
from featherbench.linkage import servo_angle_for
from featherbench.plant import state as state_index
from featherbench.plant.flight import FLIGHT_COLUMNS, Airframe, FlightStepCounts, FlownBuild, fly
from featherbench.plant.gyro import Gyro
from featherbench.plant.loads import blade_moment
from featherbench.plant.parameters import Plant
from featherbench.plant.step_size import FLIGHT, highest_mode, step_within
from featherbench.rotor.air_table import AirLoads, lead_lag_offsets
from featherbench.scenario.aircraft import Aircraft
from featherbench.scenario.aircraft import Gyro as GyroTable
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


def flight_setup(setup: Setup, gains: tuple[float, float] | None = None) -> FlightSetup:
    """gains: rate gain (s) and hold gain of the gyro, as stated if left out (0 where nothing is stated: see
    `aircraft.gyro_setting`). Raises ValueError, in words, without [aircraft] or when hover cannot be trimmed.
    """
    aircraft = setup.scenario.aircraft
    if aircraft is None:
        raise ValueError(
            "no [aircraft]: state tail_arm, yaw_inertia and main_torque (and its gyro, if you know it)"
        )
    trim = hover_trim(setup, held=False)
    if trim is None or not trim.found:
        raise ValueError(f"no hover trim: {trim.advice if trim else 'no [aircraft]'}")
    gyro = aircraft.gyro
    spin = float(setup.scenario.rotor.speed)
    table = setup.air.table.over_axial_flow()  # on the bench it is still
    pitches = table.pitch
    lead_lags = setup.lead_lags_at(pitches)
    air = table.loads(*lead_lag_offsets(lead_lags, setup.assembly.bolt.radius, setup.assembly.bolt.chord))
    # what axial flow adds to the moment is the air's as much as what the load table holds
    air = air._replace(moment=float(setup.scenario.scale.air_moment) * air.moment)
    rate_gain, hold_gain = gains or (float(gyro.rate_gain or 0.0), float(gyro.hold_gain or 0.0))
    low, high = setup.scenario.rotor.pitch_range
    grid = np.arange(low, high, COMMAND_STEP)
    commands = np.array([servo_angle_for(value, setup.plant.linkage) for value in grid.tolist()])
    middle = air.thrust.shape[1] // 2
    thrust = spin**2 * float(np.interp(trim.pitch, pitches, air.thrust[:, middle]))
    return FlightSetup(
        setup=replace(setup, plant=_buffeted(setup)),
        trim=trim,
        air=air,
        frame=Airframe(
            float(aircraft.yaw_inertia),
            float(aircraft.tail_arm),
            float(aircraft.tail_arm) * thrust,
        ),
        gyro=Gyro(
            rate_gain,
            hold_gain,
            float(trim.pitch),
            float(max(high - trim.pitch, trim.pitch - low) if gyro.limit is None else gyro.limit),
            float(gyro.filter),
            float(low),
            float(COMMAND_STEP),
            commands,
        ),
        aircraft=aircraft,
        table=gyro,
    )


def _buffeted(setup: Setup) -> Plant:
    """The plant with what shakes its blades in hover only beside what shakes them on the bench."""
    aircraft, plant = setup.scenario.aircraft, setup.plant
    if aircraft is None or aircraft.buffet <= 0.0:
        return plant
    spin, blades = float(setup.scenario.rotor.speed), plant.pitch.blades
    passing = plant.shaking.passing + blades * float(aircraft.buffet) / spin**2
    return plant._replace(shaking=plant.shaking._replace(passing=passing, rate=blades * spin))


def without_play(flight: FlightSetup) -> FlightSetup:
    """The same build with linkage play and gear play taken out."""
    plant = flight.setup.plant
    tight = plant._replace(joint=plant.joint._replace(half_play=0.0), mesh=plant.mesh._replace(half_play=0.0))
    return replace(flight, setup=replace(flight.setup, plant=tight))


def with_gains(flight: FlightSetup, rate_gain: float, hold_gain: float) -> FlightSetup:
    """The same build under a gyro of other gains."""
    return replace(flight, gyro=flight.gyro._replace(rate_gain=rate_gain, hold_gain=hold_gain))


def with_gain(flight: FlightSetup, factor: float) -> FlightSetup:
    """The same build with both gyro gains multiplied."""
    return with_gains(flight, flight.gyro.rate_gain * factor, flight.gyro.hold_gain * factor)


def hover_flight(
    flight: FlightSetup,
    seconds: float,
    *,
    seed: int = 0,
    disturbed: bool = True,
    noisy: bool | None = None,
    heading: float = 0.0,
    rate: float = 0.0,
) -> Flight:
    """Hover for `seconds` from a heading error (rad) and a yaw rate (rad/s).

    disturbed: with gusts and a main torque that wanders (`aircraft.disturbances`); noisy: with the gyro's noise, as
    disturbed if left out. The rotor shakes its linkage either way.
    """
    setup, table = flight.setup, flight.table
    plant, spin = setup.plant, float(setup.scenario.rotor.speed)
    period = 1.0 / table.rate
    step, gyro_steps = step_within(period, highest_mode(plant), limits=FLIGHT)
    record_steps = gyro_steps * max(1, round(RECORD_INTERVAL / period))
    rows = round(seconds / (step * record_steps))
    late = round(table.delay / period)
    drive, frames = (max(1, round(one / step)) for one in (plant.loop.drive_period, plant.loop.frame_period))
    counts = FlightStepCounts(step, drive, gyro_steps, frames, record_steps, late)
    random = np.random.default_rng(seed)
    slopes = yaw_slopes(flight.trim.pitch, spin, flight.air)
    size = moment_size(flight.aircraft, slopes, flight.frame.main_torque) * disturbed
    gust = yaw_disturbance(random, rows, step * record_steps, flight.aircraft, size)
    heard = float(table.noise) * (disturbed if noisy is None else noisy)
    noise = random.normal(0.0, 1.0, rows * record_steps // gyro_steps + 2) * heard
    state, yaw = _at_trim(flight), np.array([heading, rate])
    record = np.zeros((rows, FLIGHT_COLUMNS))
    winding = winding_for(plant.motor, step)
    air, frame, gyro = flight.air, flight.frame, flight.gyro
    count = fly(state, yaw, FlownBuild(spin, plant, air, frame, gyro, winding, counts), gust, noise, record)
    return Flight(record, count / seconds)


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
