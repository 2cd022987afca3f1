"""A step of flight by hand: what shaking and axial flow put on the blades, and how a row of the record is read."""

import numpy as np
import pytest

from featherbench.aircraft.flight import _at_trim, flight_setup, hover_flight, with_gain
from featherbench.plant import state as state_index
from featherbench.plant.flight import (
    F_HEADING,
    F_HEAT,
    F_PITCH,
    F_RATE,
    F_ROD_FORCE,
    F_SUPPLY,
    F_TIME,
    FLIGHT_COLUMNS,
    FlightStepCounts,
    FlownBuild,
    fly,
)
from featherbench.rotor.air_table import axial_ratio, look_up, thrust
from featherbench.servo.motor import winding_for

STEP = 25e-6
BLADES = 2.0
AIRCRAFT = {
    "tail_arm": "0.7 m",
    "yaw_inertia": "0.15 kg*m^2",
    "main_torque": "2 N*m",
    "gyro": {"rate_gain": "0.1 s", "hold_gain": 0.6, "rate": "250 Hz", "noise": "0.2 rad/s", "filter": "0 s"},
}


@pytest.fixture(scope="module")
def ready(setup_of):
    return flight_setup(setup_of(aircraft=AIRCRAFT))


def stepped(ready, rows, each, *, yaw=(0.0, 0.0), gust=0.0, gyro=None):
    """(record, state, yaw) after rows of so many steps each, from trim."""
    plant, spin = ready.setup.plant, float(ready.setup.scenario.rotor.speed)
    state, turning = _at_trim(ready), np.array(yaw, dtype=float)
    record = np.zeros((rows, FLIGHT_COLUMNS))
    counts = FlightStepCounts(STEP, 120, 160, 160, each, 0)
    noise = np.zeros(rows * each // 160 + 2)
    winding = winding_for(plant.motor, STEP)
    build = FlownBuild(spin, plant, ready.air, ready.frame, gyro or ready.gyro, winding, counts)
    fly(state, turning, build, np.full(rows, gust), noise, record)
    return record, state, turning


def test_what_shakes_on_the_bench_shakes_in_flight_and_buffet_beside_it(setup_of):
    """After 20 steps two blades of 3 + 1 mN m, twice a turn, and 2 mN m once a turn, at 9000 rpm."""
    shaking = {"passing": "3 N*mm", "unlike": "2 N*mm"}
    shaken, calm = (
        flight_setup(setup_of(aircraft={**AIRCRAFT, "buffet": buffet}, shaking=own))
        for buffet, own in (
            ("1 N*mm", shaking),
            ("0 N*mm", {"passing": "0 N*mm", "unlike": "0 N*mm", "slider": "0 N"}),
        )
    )
    spin = float(shaken.setup.scenario.rotor.speed)
    moved = [stepped(ready, 20, 1)[1][state_index.ROTOR_MOMENT] for ready in (shaken, calm)]
    turned = spin * 20 * STEP
    expected = BLADES * 4e-3 * np.sin(2.0 * turned) + 2e-3 * np.sin(turned)
    slider = float(shaken.setup.scenario.shaking.slider)
    assert moved[0] - moved[1] == pytest.approx(expected, abs=2e-4 + 0.02 * slider)
    assert expected > 5e-3


@pytest.mark.parametrize("rate", [-4.0, 5.0])
def test_axial_flow_changes_the_moment_of_each_blade(ready, rate):
    """A tail that yaws at 5 rad/s moves by 0.7 x 5 = 3.5 m/s along its thrust."""
    spin, pitch = float(ready.setup.scenario.rotor.speed), ready.trim.pitch
    still, turning = (
        stepped(ready, 1, 1, yaw=(0.0, r), gyro=with_gain(ready, 0.0).gyro)[1] for r in (0.0, rate)
    )
    axial = axial_ratio(0.7 * rate, spin, ready.air)
    assert axial == pytest.approx(0.7 * rate / (spin * 0.12))
    flow = look_up(pitch, axial, ready.air, ready.air.moment) - look_up(
        pitch, 0.0, ready.air, ready.air.moment
    )
    expected = BLADES * spin**2 * flow
    assert abs(expected) > 1e-6
    assert turning[state_index.ROTOR_MOMENT] - still[state_index.ROTOR_MOMENT] == pytest.approx(
        expected, rel=1e-2
    )


def test_yaw_is_turned_by_thrust_less_the_main_rotor_and_the_gust(ready):
    """I dr/dt = arm T - Q + gust, at trim the gust alone; and a tail that runs along its thrust is held back."""
    spin, frame = float(ready.setup.scenario.rotor.speed), ready.frame
    for gust in (0.05, -0.1):
        record, _, yaw = stepped(ready, 1, 1, gust=gust)
        pull = frame.tail_arm * thrust(record[0, F_PITCH], 0.0, spin, ready.air) - frame.main_torque + gust
        assert yaw[1] == pytest.approx(STEP * pull / 0.15, rel=1e-9)
        assert pull == pytest.approx(gust, abs=5e-3)
        assert yaw[0] == pytest.approx(STEP * yaw[1], rel=1e-9)
    off = with_gain(ready, 0.0).gyro
    _, _, ahead = stepped(ready, 1, 1, yaw=(0.0, 2.0), gyro=off)
    _, _, back = stepped(ready, 1, 1, yaw=(0.0, -2.0), gyro=off)
    assert ahead[1] < 2.0
    assert back[1] > -2.0


def test_a_row_is_the_mean_of_force_and_current_over_it(ready):
    """The same flight in rows of one step and in rows of eighty: means of force and current, the rest as it ends."""
    fine, coarse = stepped(ready, 800, 1, yaw=(0.1, 0.0))[0], stepped(ready, 10, 80, yaw=(0.1, 0.0))[0]
    blocks = fine.reshape(10, 80, FLIGHT_COLUMNS)
    for column in (F_ROD_FORCE, F_SUPPLY, F_HEAT):
        assert coarse[:, column] == pytest.approx(blocks[:, :, column].mean(axis=1), rel=1e-9, abs=1e-12)
        assert np.ptp(blocks[:, :, column], axis=1).max() > 1e-3
    for column in (F_TIME, F_HEADING, F_RATE, F_PITCH):
        assert coarse[:, column] == pytest.approx(blocks[:, -1, column], rel=1e-12, abs=1e-15)
    assert coarse[-1, F_TIME] == pytest.approx(800 * STEP)


def test_blades_that_stay_on_one_side_reverse_nothing(ready, setup_of):
    """A load that holds them there: no reversal, not even at the first touch. One that hunts reverses twice a cycle."""
    assert hover_flight(with_gain(ready, 0.0), 0.6, disturbed=False).reversals == 0.0
    loud = {**AIRCRAFT, "gyro": {"rate_gain": "1.5 s", "hold_gain": 10.0, "rate": "250 Hz"}}
    loose = {"linkage": {"play": {"rod": "0.4 mm", "slider": "0 mm", "horn": "0 mm"}}}
    hunting = hover_flight(flight_setup(setup_of(aircraft=loud, **loose)), 3.0, disturbed=False, heading=0.1)
    swings = np.count_nonzero(np.diff(np.sign(hunting.record[:, F_RATE]))) / 3.0
    assert hunting.reversals > 0.8 * swings > 1.0


def test_calm_flights_hear_no_noise_and_both_gains_are_scaled(ready):
    one, two = (hover_flight(ready, 0.4, disturbed=False, seed=seed).record for seed in (1, 2))
    assert np.array_equal(one, two)
    loud = hover_flight(ready, 0.4, seed=1).record
    assert not np.array_equal(one, loud)
    gyro, more = ready.gyro, with_gain(ready, 3.0).gyro
    assert (more.rate_gain, more.hold_gain) == pytest.approx((3.0 * gyro.rate_gain, 3.0 * gyro.hold_gain))
    assert more.trim == gyro.trim
