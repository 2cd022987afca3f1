"""What a flight says of the play: how often the blades change sides, and which edge they lean on."""

import numpy as np
import pytest

from featherbench.aircraft.flight import flight_setup, hover_flight
from featherbench.bench.servo_run import start_state
from featherbench.bench.setup import build_setup
from featherbench.plant import flight as flown
from featherbench.plant import state as state_index
from featherbench.plant.flight import (
    F_ROD_FORCE,
    FlightStepCounts,
    FlownBuild,
    commanded_angle,
    fly,
    side_of_play,
)
from featherbench.plant.step_size import FLIGHT, highest_mode, step_within
from featherbench.scenario import read
from featherbench.servo.motor import winding_for

WORN = "scenarios/survey-3kg/worn.toml"
SECONDS = 5.0
GAINS = (0.2, 0.6)


@pytest.fixture(scope="module")
def worn():
    return flight_setup(build_setup(read(WORN)), GAINS)


def flown_step_by_step(ready, heading):
    """(rod force of every step, changes of side counted) from a heading error, without gusts and noise."""
    setup = ready.setup
    plant, spin = setup.plant, float(setup.scenario.rotor.speed)
    step, gyro_steps = step_within(1.0 / ready.table.rate, highest_mode(plant), limits=FLIGHT)
    rows = round(SECONDS / step)
    state = start_state(setup)
    state[state_index.OUTPUT_ANGLE] = state[state_index.MOTOR_ANGLE] = state[state_index.LAST_ANGLE] = (
        commanded_angle(ready.trim.pitch, ready.gyro)
    )
    state[state_index.PITCH] = ready.trim.pitch
    record = np.zeros((rows, flown.FLIGHT_COLUMNS))
    counts = FlightStepCounts(
        step,
        max(1, round(plant.loop.drive_period / step)),
        gyro_steps,
        max(1, round(plant.loop.frame_period / step)),
        1,
        1,
    )
    nothing = np.zeros(rows), np.zeros(rows // gyro_steps + 2)
    yaw = np.array([heading, 0.0])
    winding = winding_for(plant.motor, step)
    build = FlownBuild(spin, plant, ready.air, ready.frame, ready.gyro, winding, counts)
    counted = fly(state, yaw, build, *nothing, record)
    return record[:, F_ROD_FORCE], counted


def test_changes_of_side_are_those_of_the_rods_push_and_pull(worn):
    """A rod that pushes leans on one edge of the play, one that pulls on the other; between them it crosses."""
    force, counted = flown_step_by_step(worn, 0.07)
    sense = np.sign(force[force != 0.0])
    crossed = int(np.sum(sense[1:] != sense[:-1]))
    assert crossed >= 8
    assert counted == pytest.approx(crossed, abs=2)  # the last steps of a side may touch without a force


def test_seated_blades_never_change_sides():
    """Without weights the load leans on one edge at all times."""
    heavy = flight_setup(build_setup(read("scenarios/survey-3kg/plain.toml")), GAINS)
    assert hover_flight(heavy, SECONDS, disturbed=False).reversals == 0.0


def test_the_edge_is_told_by_the_lead_of_the_rod(worn):
    plant = worn.setup.plant
    state = start_state(worn.setup)
    assert side_of_play(state, plant) == 0
    arm = float(worn.setup.scenario.linkage.servo_arm)
    for side in (1, -1):
        state[state_index.OUTPUT_ANGLE] = side * 0.9 * plant.joint.half_play / arm
        assert side_of_play(state, plant) == 0
        state[state_index.OUTPUT_ANGLE] = side * 1.1 * plant.joint.half_play / arm
        assert side_of_play(state, plant) == side
