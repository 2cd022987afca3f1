"""What a servo can give under its supply: by hand, in its properties, and as the stepper has it."""

from math import inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from featherbench.bench.servo_run import start_state
from featherbench.plant import integrate as rec
from featherbench.plant.integrate import CommandSchedule, StepCounts, integrate
from featherbench.servo.available_torque import available_torque, current_needed, full_duty_current
from featherbench.servo.motor import Motor, winding_for
from featherbench.servo.supply import Supply

MOTOR = Motor(5.0, 300e-6, 0.25, 2e-5, 0.007, 0.2, 1e-4, 1.0)

motors = st.builds(
    lambda resistance, constant, coulomb, load, ratio: Motor(
        resistance, 300e-6, constant, 2e-5, coulomb, load, 0.0, ratio
    ),
    st.floats(1.0, 20.0),
    st.floats(0.05, 1.0),
    st.floats(0.0, 0.02),
    st.floats(0.0, 1.5),
    st.floats(1.0, 3.0),
)
supplies = st.builds(
    Supply,
    st.floats(3.0, 9.0),
    st.floats(0.0, 3.0),
    st.one_of(st.just(inf), st.floats(0.05, 5.0)),
    st.floats(0.0, 0.04),
)


def test_by_hand_at_the_end_of_a_long_lead():
    """5 V, 0.5 ohm in the lead, 10 mA idle: (5 - 0.005) / 5.5 = 0.90818 A in the winding, 0.22705 N m of drive; 7 mN m
    of friction off and 1.2 for the loaded train leave 0.18337, the output's bearing takes 1 mN m.
    """
    supply = Supply(5.0, 0.5, inf, 0.01)
    assert full_duty_current(MOTOR, supply) == pytest.approx(0.9081818, rel=1e-6)
    assert available_torque(MOTOR, supply, 0.001) == pytest.approx(0.1823712, rel=1e-6)


def test_by_hand_of_a_limited_source():
    """A quarter of an ampere, 10 mA of it idle: 0.24 A x 0.25 N m/A = 60 mN m, less 7, over 1.2: 44.17 mN m."""
    assert available_torque(MOTOR, Supply(5.0, 0.0, 0.25, 0.01), 0.0) == pytest.approx(44.1667e-3, rel=1e-5)
    assert available_torque(MOTOR, Supply(5.0, 0.0, 0.005, 0.01), 0.0) == 0.0  # less than the idle current


def test_from_rest_the_breakaway_friction_counts():
    """At a ratio of 1.5: (0.25 - 0.0105) / (1 + 0.3) = 0.18423 N m."""
    sticky = MOTOR._replace(breakaway_ratio=1.5)
    assert available_torque(sticky, Supply(5.0, 0.0, inf, 0.0), 0.0) == pytest.approx(0.1842308, rel=1e-6)


@given(motors, supplies)
def test_no_supply_gives_more_for_a_drop_or_a_limit(motor, supply):
    best = available_torque(motor, Supply(supply.voltage, 0.0, inf, 0.0), 0.0)
    given_here = available_torque(motor, supply, 0.0)
    assert 0.0 <= given_here <= best
    assert given_here <= motor.torque_constant * full_duty_current(motor, supply)
    assert available_torque(motor, supply._replace(limit=0.5 * supply.limit), 0.0) <= given_here
    assert available_torque(motor, supply._replace(resistance=supply.resistance + 1.0), 0.0) <= given_here


@given(motors, supplies, st.floats(0.0, 0.002))
def test_the_current_needed_for_what_is_available_is_what_flows(motor, supply, bearing):
    torque = available_torque(motor, supply, bearing)
    if torque > 0.0:
        assert current_needed(torque, motor, bearing) == pytest.approx(full_duty_current(motor, supply))


def stalled(setup, target):
    """Last row of the chain that pushes its stuck blades, its command creeping to `target` (rad at the servo)."""
    plant = setup.plant._replace(pitch=setup.plant.pitch._replace(starting_moment=1e3))
    plant = plant._replace(loop=plant.loop._replace(drive_period=3e-3, frame_period=3e-3))
    record = np.zeros((1700, rec.COLUMNS))
    programme = CommandSchedule(np.array([0.0, 1.3]), np.array([0.0, target]), np.zeros(1), np.zeros(1))
    state = start_state(setup)
    integrate(
        0.0, state, programme, plant, winding_for(plant.motor, 2e-5), StepCounts(2e-5, 150, 150, 50), record
    )
    return record[-1]


@pytest.mark.parametrize("side", [1.0, -1.0], ids=["push", "pull"])
@pytest.mark.parametrize(
    "supply",
    [{}, {"resistance": "1.5 ohm"}, {"voltage": "4 V"}, {"limit": "0.3 A", "resistance": "0 ohm"}],
    ids=["short lead", "long lead", "low voltage", "limited"],
)
def test_the_stepped_servo_stalls_with_the_same_current_either_way(setup_of, supply, side):
    """At full duty, standing: whatever bounds the winding's current in the stepper bounds the torque that is told."""
    setup = setup_of(supply=supply)
    row = stalled(setup, side * 0.5)
    flows = full_duty_current(setup.plant.motor, setup.plant.supply)
    assert row[rec.MOTOR_CURRENT] == pytest.approx(side * flows, rel=1e-4)
    assert row[rec.SUPPLY_CURRENT] <= setup.plant.supply.limit + 1e-12
    # what friction keeps wound up in the train may be more, never less
    arm = setup.scenario.linkage.servo_arm * np.cos(row[rec.OUTPUT])
    held = side * row[rec.ROD_FORCE] * arm + setup.plant.output.rod_friction * arm
    told = setup.drive.available_torque(setup.plant.supply)
    assert held >= told * (1.0 - 5e-3)
    if setup.plant.supply.limit == inf:
        assert held == pytest.approx(told, rel=5e-3)


@pytest.fixture(scope="module")
def rig_drive(setup_of):
    return setup_of().drive


@given(volts=st.floats(1.0, 9.0))
def test_without_lead_and_limit_it_is_the_stall_torque(rig_drive, volts):
    drive = rig_drive
    ideal = Supply(volts, 0.0, inf, 0.0)
    assert drive.available_torque(ideal) == pytest.approx(drive.stall_torque(volts), rel=1e-12)
