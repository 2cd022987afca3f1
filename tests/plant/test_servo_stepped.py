"""The servo in the stepper against its own data sheet: no-load point, stall, droop and limit of the supply."""

from math import pi

import numpy as np
import pytest

from featherbench.bench.servo_run import energy_error, start_state
from featherbench.plant import integrate as rec
from featherbench.plant import state as state_index
from featherbench.plant.chain import stored_energy
from featherbench.plant.integrate import CommandSchedule, StepCounts, integrate
from featherbench.plant.step_size import highest_mode
from featherbench.servo.motor import winding_for


def alone(plant):
    """The plant with its rod taken off."""
    joint = plant.joint._replace(stiffness=0.0, damping=0.0)
    return plant._replace(joint=joint, output=plant.output._replace(rod_friction=0.0))


def against_a_wall(plant):
    """The plant with its blades stuck fast, so that the rod pushes against a wall."""
    return plant._replace(pitch=plant.pitch._replace(starting_moment=1e3))


def run(setup, plant, times, angles, seconds, state=None, spin=None):
    """Record of the chain following a course of commands (s, rad)."""
    step = min(20e-6, 0.2 / highest_mode(plant)) if plant.joint.stiffness > 0.0 else 20e-6
    count = max(1, round(1e-3 / step))
    counts = StepCounts(1e-3 / count, 3 * count, 3 * count, count)
    plant = plant._replace(loop=plant.loop._replace(drive_period=3e-3, frame_period=3e-3))
    record = np.zeros((round(seconds / 1e-3), rec.COLUMNS))
    state = start_state(setup) if state is None else state
    before = stored_energy(state, plant)
    speed = float(setup.scenario.rotor.speed) if spin is None else spin
    schedule = CommandSchedule(np.array(times), np.array(angles), np.zeros(1), np.array([speed]))
    integrate(0.0, state, schedule, plant, winding_for(plant.motor, counts.step), counts, record)
    assert energy_error(state, before, stored_energy(state, plant)) < 5e-3
    return record, state


@pytest.mark.parametrize("friction", [{}, {"running_current": "0.14 A", "gear_friction": None}])
def test_the_unloaded_servo_runs_at_its_sheet_speed_and_current(setup_of, friction):
    setup = setup_of(servo=friction, supply={"resistance": "0 ohm"})
    servo = setup.scenario.servo
    record, state = run(setup, alone(setup.plant), [0.0], [50.0], 0.4)
    assert state[state_index.OUTPUT_SPEED] == pytest.approx((pi / 3) / servo.transit_60, rel=1e-4)
    assert record[-1, rec.MOTOR_CURRENT] == pytest.approx(setup.drive.running_current, rel=1e-4)
    drawn = setup.drive.running_current + servo.idle_current  # at full duty the lead carries all of it
    assert record[-1, rec.SUPPLY_CURRENT] == pytest.approx(drawn, rel=1e-4)
    if servo.running_current is not None:
        assert record[-1, rec.SUPPLY_CURRENT] == pytest.approx(servo.running_current, rel=1e-4)


@pytest.mark.parametrize("volts", [4.0, 5.0])
def test_pushed_gently_to_full_duty_it_stalls_at_its_sheet_torque(setup_of, volts):
    """The command creeps away from a wall: the rod ends at the stall torque over the arm, the winding at V / R."""
    setup = setup_of(supply={"voltage": f"{volts} V", "resistance": "0 ohm"})
    plant = against_a_wall(setup.plant)
    record, state = run(setup, plant, [0.0, 1.5], [0.0, 0.4], 1.8, spin=0.0)
    arm = setup.scenario.linkage.servo_arm * np.cos(state[state_index.OUTPUT_ANGLE])
    torque = record[-1, rec.ROD_FORCE] * arm + plant.output.rod_friction * arm
    assert torque == pytest.approx(setup.drive.stall_torque(volts), rel=5e-3)
    assert record[-1, rec.MOTOR_CURRENT] == pytest.approx(volts / plant.motor.resistance, rel=1e-6)
    if volts == setup.scenario.servo.voltage:
        servo = setup.scenario.servo
        assert torque == pytest.approx(servo.stall_torque, rel=5e-3)
        assert record[-1, rec.SUPPLY_CURRENT] == pytest.approx(servo.stall_current, rel=1e-6)


def test_a_lead_with_resistance_droops_at_stall(setup_of):
    """At full duty, standing: I = V / (R + R_lead), idle current's own drop included."""
    setup = setup_of(supply={"resistance": "0.5 ohm"})
    plant = against_a_wall(setup.plant)
    record, _ = run(setup, plant, [0.0, 1.0], [0.0, 0.4], 1.4, spin=0.0)
    supply, motor = plant.supply, plant.motor
    expected = (supply.voltage - 0.5 * supply.idle) / (motor.resistance + 0.5)
    assert record[-1, rec.MOTOR_CURRENT] == pytest.approx(expected, rel=1e-4)
    assert record[-1, rec.SUPPLY_CURRENT] == pytest.approx(expected + supply.idle, rel=1e-4)


def test_a_source_at_its_limit_gives_no_more(setup_of):
    """The lead never carries more than the limit; the drive steps voltage down, so that the winding may.

    Standing still the lead carries i^2 R / V, so the winding gets at most sqrt(room V / R), on the way to full duty;
    there it falls back to what the lead carries, and friction holds what has been wound up. Duty moves in steps as
    the command is followed, so the greatest is met within 2 %.
    """
    setup = setup_of(supply={"limit": "0.5 A", "resistance": "0 ohm"}, servo={"chopping_rate": "1 MHz"})
    plant = against_a_wall(setup.plant)
    record, state = run(setup, plant, [0.0, 1.5], [0.0, 0.4], 1.8, spin=0.0)
    assert record[:, rec.SUPPLY_CURRENT].max() <= 0.5 + 1e-12
    assert record[-1, rec.SUPPLY_CURRENT] == pytest.approx(0.5, rel=1e-6)
    motor, room = plant.motor, 0.5 - plant.supply.idle
    most = np.sqrt(room * plant.supply.voltage / motor.resistance)
    reached = record[:, rec.MOTOR_CURRENT].max()
    assert 0.98 * most < reached < most * (1.0 + 1e-6)
    mesh = (motor.torque_constant * reached - motor.coulomb) / (1.0 + motor.load_friction)
    arm = setup.scenario.linkage.servo_arm * np.cos(state[state_index.OUTPUT_ANGLE])
    friction = plant.output.friction + plant.output.rod_friction * arm
    assert record[-1, rec.ROD_FORCE] * arm == pytest.approx(mesh - friction, rel=2e-2)


def test_without_inductance_little_changes(setup_of):
    """The winding settles in 60 us, so that its inductance cannot be seen in a move."""
    setup = setup_of()
    bare = setup.plant._replace(motor=setup.plant.motor._replace(inductance=0.0))
    one, _ = run(setup, setup.plant, [0.0, 0.0], [0.0, 0.5], 0.3)
    two, _ = run(setup, bare, [0.0, 0.0], [0.0, 0.5], 0.3)
    assert two[-1, rec.PITCH] == pytest.approx(one[-1, rec.PITCH], rel=5e-3)
    assert np.abs(two[:, rec.ROD_FORCE]).max() == pytest.approx(np.abs(one[:, rec.ROD_FORCE]).max(), rel=5e-3)
