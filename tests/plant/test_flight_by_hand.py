"""A flight of a few hundred steps beside a plain account of it: gyro, play, shaking, axial flow and yaw."""

from itertools import pairwise
from math import sin

import numpy as np
import pytest

from featherbench.linkage.geometry import linkage_geometry, pitch_rod_travel, servo_rod_travel
from featherbench.plant import state as state_index
from featherbench.plant.chain import chain_step, drive_update
from featherbench.plant.flight import (
    FLIGHT_COLUMNS,
    Airframe,
    FlightStepCounts,
    FlownBuild,
    Gyro,
    commanded_angle,
    fly,
    side_of_play,
)
from featherbench.plant.loads import blade_moment
from featherbench.plant.parameters import Contact, LoadTable, Output, PitchAxis, Plant
from featherbench.plant.shaking import Shaking
from featherbench.rotor.air_table import AirLoads
from featherbench.servo.chopping import Chopper
from featherbench.servo.motor import Motor, winding_for
from featherbench.servo.position_loop import PositionLoop
from featherbench.servo.supply import Supply

STEP, SPIN = 2e-5, 250.0
PLANT = Plant(
    motor=Motor(4.0, 3e-4, 0.2, 3e-5, 0.001, 0.1, 0.0, 1.0),
    mesh=Contact(4.0, 0.001, 3e-3, 1e-4),
    output=Output(6e-7, 1e-4, 0.05, 0.004, 0.0),
    joint=Contact(4e4, 3e-5, 2.0, 2e-6),
    pitch=PitchAxis(2.0, 9e-6, 1e-5, 0.0, 0.0, 1.0, 0.0, 0.0),
    loads=LoadTable(-0.6, 2.0, 0.0, np.array([[2e-7, 0.0, 0.0, 0.0, 0.0, 0.0]] * 4)),
    linkage=linkage_geometry(servo_arm=0.012, rod_length=0.3, horn_arm=0.013),
    loop=PositionLoop(0.001, 0.035, 0.002, 2 * STEP, 4 * STEP),
    supply=Supply(6.0, 0.1, 9.0, 0.012),
    chopper=Chopper(0.0, 0.0),
    shaking=Shaking(0.2 / SPIN**2, 0.05 / SPIN**2, 2.0 * SPIN),
)
PITCHES, AXIALS = -0.6 + 0.1 * np.arange(13), -0.08 + 0.04 * np.arange(5)
SLOPE, YIELD, FLOW = 2e-4, 1e-3, 3e-7
AIR = AirLoads(
    -0.6, 0.1, -0.08, 0.04, 0.12,
    FLOW * (PITCHES[:, None] + 1.0) * (10.0 * AXIALS + 0.3),
    SLOPE * PITCHES[:, None] - YIELD * AXIALS, np.zeros((13, 5)), 0.0, 0.0,
)  # fmt: skip
"""Thrust over spin^2: 2e-4 times pitch less 1e-3 times axial flow; moment 3e-7 (pitch + 1)(10 axial + 0.3)."""
FRAME = Airframe(0.1, 0.7, 0.9)
COMMANDS = 1.1 * (-0.5 + 0.25 * np.arange(5)) + 0.02
ROWS, EACH, EVERY, FRAME_STEPS, LAG = 16, 75, 4, 6, 1e-4


def gyro(limit=0.05):
    return Gyro(0.04, 0.6, 0.1, limit, LAG, -0.5, 0.25, COMMANDS)


def start():
    state = np.zeros(state_index.SIZE)
    state[state_index.PITCH] = 0.1
    state[[state_index.OUTPUT_ANGLE, state_index.MOTOR_ANGLE, state_index.LAST_ANGLE]] = 0.1083
    state[state_index.ROTOR_MOMENT] = 2.0 * blade_moment(0.1, SPIN, 0.0, PLANT.loads)
    return state


def account(late, own, gust, noise):
    """Rows of the record and changes of side, told once more in the words of the docstrings."""
    state, heading, rate = start(), 0.03, 0.4
    heard, sides, rows = [], [], []
    filtered, held, asked = rate, heading, own.trim
    for count in range(ROWS * EACH):
        if (
            count % EVERY == 0
        ):  # the gyro reads; what it acts on was read `late` readings ago, the oldest there is at first
            heard.append(rate + noise[len(heard)])
            was = heard[max(0, len(heard) - 1 - late)]
            filtered += (was - filtered) * EVERY * STEP / (EVERY * STEP + LAG)
            most = own.limit / own.hold_gain
            held = np.clip(held + EVERY * STEP * filtered, -most, most)
            correction = np.clip(-own.rate_gain * filtered - own.hold_gain * held, -own.limit, own.limit)
            asked = own.trim + correction
        if count % FRAME_STEPS == 0:
            state[state_index.COMMAND] = np.interp(asked, -0.5 + 0.25 * np.arange(5), COMMANDS)
        if count % 2 == 0:
            drive_update(STEP, state, PLANT)
        heat = state[state_index.LOSS_COPPER]
        chain_step(STEP, state, SPIN, 0.0, PLANT, winding_for(PLANT.motor, STEP))
        pitch, axial = state[state_index.PITCH], 0.7 * rate / (SPIN * 0.12)
        flow = FLOW * (pitch + 1.0) * 10.0 * axial * SPIN**2
        turned = SPIN * (count + 1) * STEP
        shaken = 0.2 * sin(2.0 * turned) + 0.05 * sin(turned)
        state[state_index.ROTOR_MOMENT] += 2.0 * flow + shaken
        pull = 0.7 * SPIN**2 * (SLOPE * pitch - YIELD * axial) - 0.9 + gust[count // EACH]
        rate += STEP * pull / 0.1
        heading += STEP * rate
        lead = (
            servo_rod_travel(state[state_index.OUTPUT_ANGLE], PLANT.linkage)[0]
            - pitch_rod_travel(pitch, PLANT.linkage)[0]
        )
        sides.append(int(lead > 3e-5) - int(lead < -3e-5))
        assert side_of_play(state, PLANT) == sides[-1]
        rows.append(
            [
                (count + 1) * STEP,
                heading,
                rate,
                pitch,
                state[state_index.ROD_FORCE],
                state[state_index.SUPPLY_CURRENT],
                (state[state_index.LOSS_COPPER] - heat) / STEP,
                state[state_index.OUTPUT_ANGLE],
            ]
        )
    rows = np.reshape(rows, (ROWS, EACH, 8))
    record = np.concatenate([rows[:, -1, :4], rows[:, :, 4:7].mean(axis=1), rows[:, -1, 7:]], axis=1)
    touched = [side for side in sides if side]
    assert 0 in sides[sides.index(touched[0]) :]
    return record, sum(one != two for one, two in pairwise(touched))


@pytest.mark.parametrize(("late", "limit"), [(0, 0.5), (1, 0.05), (3, 0.5)])
def test_a_flight_is_what_its_account_says(late, limit):
    draw = np.random.default_rng(4)
    gust, noise = draw.normal(0.0, 3.0, ROWS), draw.normal(0.0, 0.4, ROWS * EACH // EVERY + 2)
    told, crossed = account(late, gyro(limit), gust, noise)
    record, yaw = np.zeros((ROWS, FLIGHT_COLUMNS)), np.array([0.03, 0.4])
    counts = FlightStepCounts(STEP, 2, EVERY, FRAME_STEPS, EACH, late)
    winding = winding_for(PLANT.motor, STEP)
    counted = fly(
        start(), yaw, FlownBuild(SPIN, PLANT, AIR, FRAME, gyro(limit), winding, counts), gust, noise, record
    )
    np.testing.assert_allclose(record, told, rtol=1e-7, atol=1e-10)
    assert yaw == pytest.approx(told[-1, 1:3])
    assert counted == crossed >= 3
    assert np.ptp(record[:, 2]) > 0.1


def test_commanded_angles_by_hand():
    """Straight between rows, held at the ends."""
    for pitch, angle in (
        (-0.5, -0.53),
        (-0.125, -0.1175),
        (0.4, 0.46),
        (0.5, 0.57),
        (2.0, 0.57),
        (-2.0, -0.53),
    ):
        assert commanded_angle(pitch, gyro()) == pytest.approx(angle)
