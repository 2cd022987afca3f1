"""Friction that is larger at rest than moving: what stands needs the breakaway value to start, in the servo's chain."""

import numpy as np
import pytest

from featherbench.plant import state as state_index
from featherbench.plant.chain import chain_step
from featherbench.plant.joint_friction import pitch_friction_limit
from featherbench.plant.loads import blade_moment
from featherbench.servo.motor import winding_for

STEP = 1e-5


def stepped(plant, state, spin, steps=400):
    """The chain with its drive left at the duty it has."""
    winding = winding_for(plant.motor, STEP)
    for _ in range(steps):
        chain_step(STEP, state, spin, 0.0, plant, winding)
    return state


def rod_off(plant):
    return plant._replace(joint=plant.joint._replace(stiffness=0.0, damping=0.0))


@pytest.mark.parametrize(("share", "starts"), [(1.3, False), (1.7, True)])
def test_a_motor_starts_at_its_breakaway_ratio_times_the_gear_friction(setup_of, share, starts):
    """Ratio 1.5, winding current for 1.3 and 1.7 times the gear train's friction, nothing on the output."""
    plant = rod_off(setup_of(servo={"breakaway_ratio": 1.5}, supply={"resistance": "0 ohm"}).plant)
    state = np.zeros(state_index.SIZE)
    motor = plant.motor
    state[state_index.DUTY] = (
        share * motor.coulomb / motor.torque_constant * motor.resistance / plant.supply.voltage
    )
    stepped(plant, state, 0.0)
    assert (state[state_index.MOTOR_ANGLE] > 0.0) == starts


@pytest.mark.parametrize("where", ["bearing", "linkage"])
@pytest.mark.parametrize(("share", "starts"), [(1.3, False), (1.7, True)])
def test_blades_start_at_their_breakaway_ratio_times_the_bearing_friction(setup_of, where, share, starts):
    """Ratio 1.5; the rotor turns as fast as makes the load 1.3 and 1.7 times the friction of the starting moment."""
    setup = setup_of(**{where: {"breakaway_ratio": 1.5}})
    plant = rod_off(setup.plant)
    pitch, spin = 0.2, 900.0
    load = plant.pitch.blades * blade_moment(pitch, spin, 0.0, plant.loads)
    axis = plant.pitch._replace(
        load_moment=0.0, slider_friction=0.0, starting_moment=abs(load) / share / plant.pitch.blades
    )
    plant = plant._replace(pitch=axis)
    assert pitch_friction_limit(spin, 0.0, axis) == pytest.approx(abs(load) / share)
    state = np.zeros(state_index.SIZE)
    state[state_index.PITCH], state[state_index.ROTOR_MOMENT] = pitch, load
    stepped(plant, state, spin)
    assert (state[state_index.PITCH] < pitch) == starts
