"""Yaw in hover: gusts as stated, a gyro that reads late, what is read off a flight, play as stated at the rod."""

from dataclasses import replace

import numpy as np
import pytest

from featherbench.aircraft.flight import Flight, flight_setup, hover_flight, with_gain, without_play
from featherbench.hovering.wag import KICK, Limits, gyro_margin, peak_to_peak
from featherbench.hovering.wag_readings import dominant_frequency
from featherbench.linkage import servo_angle_for
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.plant import state as state_index
from featherbench.plant.flight import (
    F_HEADING,
    F_PITCH,
    F_RATE,
    F_ROD_FORCE,
    F_SERVO,
    F_SUPPLY,
    F_TIME,
    FLIGHT_COLUMNS,
    commanded_angle,
    side_of_play,
)
from featherbench.plant.loads import blade_moment
from featherbench.rotor.air_table import axial_ratio, look_up

GYRO = {"rate_gain": "0.1 s", "hold_gain": 0.6, "rate": "250 Hz", "delay": "0 ms", "filter": "0 s"}
TAIL = {
    "tail_arm": "0.7 m",
    "yaw_inertia": "0.15 kg*m^2",
    "main_torque": "2 N*m",
    "gust": "0 N*m",
    "trim_noise": 0.0,
}
CALM = {"play": {"rod": "0 mm", "slider": "0 mm", "horn": "0 mm"}}


@pytest.fixture(scope="module")
def flown(setup_of):
    """A flight of the rig, varied: flown({"gust": "1 N*m"}, gyro={"delay": "4 ms"}, linkage={...})."""

    def ready(aircraft=None, gyro=None, **changes):
        return flight_setup(
            setup_of(aircraft={**TAIL, **(aircraft or {}), "gyro": {**GYRO, **(gyro or {})}}, **changes)
        )

    return ready


def tied_down(ready):
    """With a yaw inertia so large that the aircraft does not turn to speak of, and a gyro that does nothing."""
    return replace(with_gain(ready, 0.0), frame=ready.frame._replace(yaw_inertia=1e6))


@pytest.mark.parametrize("bandwidth", [8.0])
def test_a_gust_has_the_stated_size_and_bandwidth(flown, bandwidth):
    """What turns a very heavy aircraft is the gust alone: moment = I dr/dt.

    Noise through one lag of bandwidth f forgets as exp(-2 pi f t): after t = 1/(2 pi f) to 1/e.
    """
    ready = tied_down(flown({"gust": "3 N*m", "gust_bandwidth": f"{bandwidth} Hz"}))
    record = hover_flight(ready, 24.0, seed=5).record
    interval = record[1, F_TIME] - record[0, F_TIME]
    moment = np.diff(record[:, F_RATE]) / interval * 1e6
    moment -= moment.mean()
    assert moment.std() == pytest.approx(3.0, rel=0.1)
    later = 1.0 / (2.0 * np.pi * bandwidth)
    rows = round(later / interval)
    alike = np.mean(moment[rows:] * moment[:-rows]) / moment.var()
    assert alike == pytest.approx(np.exp(-rows * interval / later), abs=0.1)
    still = hover_flight(ready, 0.4, disturbed=False).record
    assert np.diff(still[50:, F_RATE]).std() / interval * 1e6 < 1e-3


@pytest.mark.parametrize("late", [0, 6])
def test_the_gyro_reads_as_late_as_stated(flown, late):
    """The aircraft tied down, the gyro hears its own noise only: the blades follow it so many readings later."""
    moved = []
    for delay in (0, 4 * late):
        ready = flown(gyro={"noise": "0.6 rad/s", "delay": f"{delay} ms"})
        heavy = replace(ready, frame=ready.frame._replace(yaw_inertia=1e6))
        moved.append(hover_flight(heavy, 2.0, seed=2).record[:, F_PITCH])
    at_once, later = moved
    alike = [np.corrcoef(at_once[: 480 - 20], later[shift : 480 - 20 + shift])[0, 1] for shift in range(20)]
    assert int(np.argmax(alike)) == late  # a row of the record is a reading of the gyro: 4 ms
    assert max(alike) > 0.7


def test_more_delay_leaves_less_gain_to_spare_and_more_wag(flown):
    none, some, much = (flown(gyro={"delay": delay}) for delay in ("0 ms", "30 ms", "60 ms"))
    wags = [peak_to_peak(hover_flight(one, 6.0, disturbed=False, heading=0.07)) for one in (none, much)]
    assert wags[1] > 2.0 * wags[0]
    margin = gyro_margin(some, 3.0)
    assert margin < 0.6 * gyro_margin(none, 3.0)
    # so many times the gains and it still comes to rest; a sixth more and it does not
    tight = without_play(some)
    kept, hunts = (
        peak_to_peak(hover_flight(with_gain(tight, factor * margin), 3.0, disturbed=False, heading=KICK))
        for factor in (1.0, 1.17)
    )
    assert kept < KICK <= hunts
    assert np.isnan(gyro_margin(much, 3.0))  # hunts as it is: there is nothing to spare


def test_the_servos_arm_is_recorded_ahead_of_the_blades_by_no_more_than_play_and_give(flown):
    ready = flown()
    record = hover_flight(ready, 2.0, heading=0.05).record
    plant = ready.setup.plant
    ahead = [
        servo_rod_travel(float(row[F_SERVO]), plant.linkage)[0]
        - pitch_rod_travel(float(row[F_PITCH]), plant.linkage)[0]
        for row in record
    ]
    most = plant.joint.half_play + 1.5 * np.abs(record[:, F_ROD_FORCE]).max() / ready.setup.linkage.stiffness
    assert np.abs(ahead).max() <= most + 1e-5
    assert np.ptp(record[:, F_SERVO]) > 0.01


def test_without_play_is_the_build_that_has_none(flown):
    loose = flown(servo={"gear_play": "0.5 deg"})
    tight = flown(servo={"gear_play": "0 deg"}, linkage=CALM)
    bare = without_play(loose).setup.plant
    assert bare.joint.half_play == bare.mesh.half_play == 0.0
    assert bare.joint.half_play == tight.setup.plant.joint.half_play
    assert loose.setup.plant.joint.half_play > 0.0 < loose.setup.plant.mesh.half_play
    kicked = [
        hover_flight(one, 1.0, disturbed=False, heading=0.05).record for one in (without_play(loose), tight)
    ]
    assert kicked[0][:, F_HEADING] == pytest.approx(kicked[1][:, F_HEADING], abs=2e-4)


def test_the_blades_are_against_a_side_from_half_the_play_on(flown):
    """0.1 mm of play at the rod, end to end: from the middle it is 0.05 mm to either side."""
    plant = flown(linkage={"play": {"rod": "0.1 mm", "slider": "0 mm", "horn": "0 mm"}}).setup.plant
    state = np.zeros(state_index.SIZE)
    state[state_index.PITCH] = 0.1
    arm = servo_rod_travel(servo_angle_for(0.1, plant.linkage), plant.linkage)[1]
    for offset, side in (
        (0.04e-3, 0),
        (0.06e-3, 1),
        (0.09e-3, 1),
        (-0.04e-3, 0),
        (-0.06e-3, -1),
        (-0.09e-3, -1),
    ):
        state[state_index.OUTPUT_ANGLE] = servo_angle_for(0.1, plant.linkage) + offset / arm
        assert side_of_play(state, plant) == side, offset


def test_hover_is_at_rest_and_balances_the_main_rotor(flown):
    ready = flown(linkage=CALM, servo={"gear_play": "0 deg"})
    assert ready.frame.main_torque == pytest.approx(
        2.0, rel=2e-3
    )  # arm times thrust at trim, the table's own
    record = hover_flight(ready, 2.0, disturbed=False).record
    assert np.abs(record[:, F_HEADING]).max() < np.deg2rad(2.0)
    assert record[-100:, F_PITCH].mean() == pytest.approx(ready.trim.pitch, abs=np.deg2rad(0.5))
    assert record[:, F_SUPPLY].min() >= ready.setup.plant.supply.idle - 1e-9


def test_a_heading_error_to_one_side_is_turned_back(flown):
    ready = flown(linkage=CALM)
    for side in (-1.0, 1.0):
        record = hover_flight(ready, 4.0, disturbed=False, heading=0.2 * side).record
        # pitch comes off while the nose is too far the way that thrust turns it
        assert side * (record[2:20, F_PITCH].mean() - ready.trim.pitch) < 0.0
        assert abs(record[-1, F_HEADING]) < 0.05


def test_the_correction_stays_within_its_limit(flown):
    ready = flown(gyro={"limit": "2 deg"}, linkage=CALM)
    record = hover_flight(ready, 0.5, disturbed=False, heading=0.5).record
    # 0.6 x 0.5 rad would be 17 deg
    assert np.rad2deg(np.abs(record[:, F_PITCH] - ready.trim.pitch)).max() < 3.0


def test_a_commanded_pitch_is_reached_by_its_servo_angle(flown):
    ready = flown()
    for pitch in np.deg2rad([-20.0, -3.33, 0.0, 7.9, 24.0]):
        angle = servo_angle_for(float(pitch), ready.setup.plant.linkage)
        assert commanded_angle(float(pitch), ready.gyro) == pytest.approx(angle, abs=1e-5)


def test_buffet_shakes_the_blades_so_many_times_a_turn(flown):
    """Two blades at 9000 rpm: 300 shakes a second, one and a third in a row of four readings: every third alike."""
    shaken, calm = (
        tied_down(flown({"buffet": moment}, {"rate": "900 Hz"})) for moment in ("0.08 N*m", "0 N*m")
    )
    pitch = hover_flight(shaken, 0.6, seed=0).record[60:, F_PITCH]
    assert np.corrcoef(pitch[3:], pitch[:-3])[0, 1] > 0.6
    assert np.corrcoef(pitch[1:], pitch[:-1])[0, 1] < -0.15
    # the rotor turns whether or not there are gusts
    undisturbed = hover_flight(shaken, 0.2, disturbed=False).record
    assert not np.array_equal(undisturbed, hover_flight(calm, 0.2, disturbed=False).record)


def test_air_moment_found_by_a_calibration_holds_in_flight_too(flown):
    """Half the air's moment: half of it in the load table, and half of what axial flow adds to it."""
    whole, half = flown(), flown(scale={"air_moment": 0.5})
    pitch, spin = 0.15, float(whole.setup.scenario.rotor.speed)
    flows = []
    for ready in (whole, half):
        axial = axial_ratio(2.0, spin, ready.air)
        flows.append(
            look_up(pitch, axial, ready.air, ready.air.moment)
            - look_up(pitch, 0.0, ready.air, ready.air.moment)
        )
    assert flows[0] != 0.0
    assert flows[1] == pytest.approx(0.5 * flows[0], rel=1e-9)
    assert half.air.thrust == pytest.approx(whole.air.thrust)
    double = flown(scale={"air_moment": 2.0})
    moments = [blade_moment(pitch, spin, 0.0, one.setup.plant.loads) for one in (half, whole, double)]
    assert moments[2] - moments[1] == pytest.approx(2.0 * (moments[1] - moments[0]), rel=1e-9)
    assert abs(moments[2] - moments[1]) > 1e-4


# -- what is read off a flight ---------------------------------------------------------------------------


def sine(frequency, amplitude, drift=0.0, seconds=8.0, interval=4e-3):
    """A flight whose heading is a sine about a drift, after a first third of something else."""
    record = np.zeros((round(seconds / interval), FLIGHT_COLUMNS))
    time = interval * np.arange(1, len(record) + 1)
    record[:, F_TIME] = time
    record[:, F_HEADING] = amplitude * np.sin(2.0 * np.pi * frequency * time) + drift * time
    record[: len(record) // 3, F_HEADING] += np.cos(time[: len(record) // 3])
    return Flight(record, 0.0)


@pytest.mark.parametrize("frequency", [0.9, 2.6, 11.0])
def test_a_sine_has_its_frequency_and_twice_its_amplitude(frequency):
    flight = sine(frequency, 0.01, drift=0.02)
    assert dominant_frequency(flight) == pytest.approx(frequency, abs=0.05)
    assert peak_to_peak(flight) == pytest.approx(0.02, rel=0.06)


def test_the_stricter_of_two_thresholds_counts():
    """3 mm at the end of a 0.72 m tail is 4.17 mrad, less than 0.25 deg = 4.36 mrad; of a 0.4 m tail 7.5 mrad."""
    assert Limits().heading(0.72) == pytest.approx(4.167e-3, rel=1e-3)
    assert Limits().heading(0.4) == pytest.approx(4.363e-3, rel=1e-3)
    assert Limits(np.deg2rad(1.0), 5e-3).heading(0.5) == pytest.approx(0.01)


def test_rod_travel_is_what_the_play_is_counted_in(flown):
    """For the tests of play above: 13 mm of horn, a bellcrank that makes 18/14 of the slider's travel."""
    _, slope, _, _ = pitch_rod_travel(0.0, flown().setup.plant.linkage)
    assert abs(slope) == pytest.approx(13e-3 * 18.0 / 14.0, rel=0.01)
