"""Play near neutral by hand: seat ratio, lost motion, float windows, the estimate of the cycle that play makes."""

from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.aircraft.flight import flight_setup, hover_flight
from featherbench.aircraft.yaw_loop import yaw_loop
from featherbench.bench.setup import build_setup
from featherbench.bench.statics import static_curves
from featherbench.hovering import describing, wag_readings
from featherbench.hovering import wag as wag_study
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.plant.joint_friction import pitch_friction_limit
from featherbench.rotor.air_table import axial_ratio, thrust
from featherbench.scenario import read
from featherbench.studies.free_play import HOVER_BAND, FreePlay, _windows, free_play_curves

AIRCRAFT = {
    "tail_arm": "0.7 m",
    "yaw_inertia": "0.15 kg*m^2",
    "main_torque": "2 N*m",
    "gyro": {"rate_gain": "0.1 s", "hold_gain": 0.6, "rate": "250 Hz", "delay": "4 ms"},
}


def played(rod="0 mm", **linkage):
    return {"linkage": {"play": {"rod": rod, "slider": "0 mm", "horn": "0 mm"}, **linkage}}


def test_twice_the_play_loses_twice_the_motion_where_the_blades_float(setup_of):
    """0.1 mm of play at the rod, end to end, over a rod that travels 16.7 mm a radian: 6 mrad of pitch are lost."""
    setups = [setup_of(**played(rod)) for rod in ("0 mm", "0.1 mm", "0.2 mm")]
    none, once, twice = (free_play_curves(setup) for setup in setups)
    floats = none.seat_ratio < 1.0
    assert 0 < floats.sum() < len(floats)
    slope = np.abs([pitch_rod_travel(value, setups[0].plant.linkage)[1] for value in none.pitch.tolist()])
    assert slope[floats].mean() == pytest.approx(0.0167, rel=0.02)
    assert (once.lost_motion - none.lost_motion)[floats] == pytest.approx(0.1e-3 / slope[floats], rel=1e-9)
    assert (twice.lost_motion - none.lost_motion)[floats] == pytest.approx(0.2e-3 / slope[floats], rel=1e-9)
    # where a load seats them, play is not crossed
    assert twice.lost_motion[~floats] == pytest.approx(none.lost_motion[~floats], rel=1e-12)


def test_a_linkage_of_half_the_stiffness_gives_twice_as_much(setup_of):
    """Friction of all blades reverses at the rod: it gives by 2 F / k."""
    stiff, soft = (setup_of(**played(stiffness=value)) for value in ("36 N/mm", "18 N/mm"))
    one, two = free_play_curves(stiff), free_play_curves(soft)
    curves = static_curves(stiff, groups=False)
    slope = np.abs([pitch_rod_travel(value, stiff.plant.linkage)[1] for value in one.pitch.tolist()])
    give = 2.0 * (2.0 * curves.friction / slope) / 36e3
    assert one.lost_motion == pytest.approx(give / slope, rel=1e-9)
    assert two.lost_motion == pytest.approx(2.0 * one.lost_motion, rel=1e-9)


def test_seat_ratio_is_the_load_of_all_blades_over_their_friction(setup_of):
    setup = setup_of()
    curves, free_play = static_curves(setup, groups=False), free_play_curves(setup)
    assert free_play.seat_ratio == pytest.approx(np.abs(curves.moment) / curves.friction, rel=1e-12)
    # as much again from outside as two blades' friction: half the ratio
    mean = 2.0 * float(curves.friction.mean())
    shaken = free_play_curves(setup, disturbance=mean)
    assert shaken.seat_ratio.max() == pytest.approx(0.5 * free_play.seat_ratio.max(), rel=0.05)
    widths = [sum(high - low for low, high in one.windows) for one in (free_play, shaken)]
    assert widths[1] > 1.5 * widths[0] > 0.0


def drawn(*rows, windows=()):
    """Seat ratios over pitch in degrees."""
    pitch, ratio = np.array(rows, dtype=float).T
    return FreePlay(np.deg2rad(pitch), ratio, 0.0 * ratio, windows, 0.0)


def test_the_least_seat_ratio_of_a_band_counts_its_ends():
    free_play = drawn((-10.0, 5.0), (0.0, 1.0), (10.0, 4.0))
    assert free_play.least_seat_ratio(*np.deg2rad([-5.0, -3.0])) == pytest.approx(2.2)
    assert free_play.least_seat_ratio(*np.deg2rad([-3.0, 3.0])) == pytest.approx(1.0)
    assert free_play.least_seat_ratio(*np.deg2rad([5.0, 8.0])) == pytest.approx(2.5)


def test_a_band_that_just_touches_a_window_floats_and_its_ends_count():
    """Ratios at -10, 0 and 10 deg: a band of one pitch is as good as that pitch; an end on a point is that point."""
    free_play = drawn((-10.0, 5.0), (0.0, 0.5), (10.0, 4.0), windows=((-0.02, 0.03),))
    assert free_play.floats_between(0.03, 0.2)
    assert free_play.floats_between(-0.2, -0.02)
    assert not free_play.floats_between(0.0301, 0.2)
    assert not free_play.floats_between(-0.2, -0.0201)
    for low, high in ((0.0, 0.1), (-0.1, 0.0), (0.0, 0.0)):
        assert free_play.least_seat_ratio(low, high) == 0.5


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_curves_that_are_there_are_read_and_a_reversed_linkage_loses_as_much(setup_of, side):
    """Load over friction of 2, just 1, and a half: only the last crosses the play, and gives as the others do."""
    setup = setup_of(**played("0.1 mm"), shaking={"passing": "0 N*mm"})
    plant = setup.plant
    object.__setattr__(setup, "plant", plant._replace(linkage=plant.linkage._replace(sign=side)))
    pitch = np.array([-0.1, 0.0, 0.1])
    curves = SimpleNamespace(
        pitch=pitch, moment=np.array([-4e-3, 2e-3, 1e-3]), friction=np.full(3, 2e-3), rod_force=np.zeros(3)
    )
    found = free_play_curves(setup, curves)
    assert found.seat_ratio == pytest.approx([2.0, 1.0, 0.5])
    slope = np.abs([pitch_rod_travel(value, setup.plant.linkage)[1] for value in pitch.tolist()])
    give = 2.0 * (2.0 * 2e-3 / slope) / setup.plant.joint.stiffness
    assert found.lost_motion == pytest.approx((give + np.array([0.0, 0.0, 0.1e-3])) / slope)
    assert found.windows == ((pytest.approx(0.0), pytest.approx(0.1)),)


def test_the_window_that_holds_a_pitch_or_the_nearest():
    free_play = drawn((0.0, 1.0), windows=((-0.2, -0.1), (0.05, 0.15)))
    assert free_play.window_near(0.1) == (0.05, 0.15)
    assert free_play.window_near(-0.15) == (-0.2, -0.1)
    assert free_play.window_near(-0.04) == (-0.2, -0.1)
    assert free_play.window_near(0.0) == (0.05, 0.15)
    assert free_play.window_near(0.4) == (0.05, 0.15)
    assert free_play.floats_between(0.1, 0.3)
    assert free_play.floats_between(-0.3, -0.15)
    assert not free_play.floats_between(-0.05, 0.02)
    assert not free_play.floats_between(0.2, 0.3)
    assert drawn((0.0, 2.0)).window_near(0.0) is None


def test_a_window_ends_where_the_ratio_is_one(setup_of):
    free_play = free_play_curves(setup_of())
    assert free_play.windows
    for low, high in free_play.windows:
        for end in (low, high):
            if free_play.pitch[0] < end < free_play.pitch[-1]:
                assert np.interp(end, free_play.pitch, free_play.seat_ratio) == pytest.approx(1.0, abs=1e-9)


def test_the_estimated_cycle_by_hand(setup_of, monkeypatch):
    """A cycle of three half gaps at 9 rad/s: the servo swings by 3 h, the heading by that over gyro and servo there.

    0.1 mm of play is h = 0.05 mm at the rod, and blades held by a friction let the rod give by that over its stiffness,
    over the rod's travel per pitch at trim; to it comes what the servo needs of error before it moves: half its dead
    band, and of its band what friction takes of the stall torque.
    """
    ready = flight_setup(setup_of(aircraft=AIRCRAFT, **played("0.1 mm")))
    monkeypatch.setattr(describing, "play_cycle", lambda _response: (3.0, 9.0))
    cycle = describing.estimated_cycle(ready)
    plant, loop = ready.setup.plant, yaw_loop(ready)
    _, horn, _, slider = pitch_rod_travel(ready.trim.pitch, plant.linkage)
    held, horn = pitch_friction_limit(float(ready.setup.scenario.rotor.speed), slider, plant.pitch), abs(horn)
    play, servo = describing.half_gaps(ready)
    assert 1e-6 < held / horn / 36e3 < 0.05e-3
    assert play == pytest.approx((0.05e-3 + held / horn / 36e3) / horn)
    # the arm of 14 mm turns about 1.1 times as far as the blade; friction alone is some of the band of 2 deg
    least = 0.5 * np.deg2rad(0.3) * servo_rod_travel(0.1, plant.linkage)[1] / horn
    assert least < servo < least + 0.4 * np.deg2rad(2.0)
    asked = abs((0.1 * 9j + 0.6) / (1.0 + loop.filter_lag * 9j) * loop.servo(9j))
    assert cycle.frequency == pytest.approx(9.0 / (2.0 * np.pi))
    assert cycle.heading == pytest.approx(2.0 * 3.0 * (play + servo) / asked, rel=1e-6)


def test_friction_of_the_blades_costs_the_servo_error_by_hand(setup_of):
    """1 N mm more to start each of two blade bearings: over the horn it is a force, times the arm a torque, and the
    servo asks for as much of its band as that is of its stall torque before it gives way.
    """
    light, heavy = (
        flight_setup(
            setup_of(aircraft=AIRCRAFT, bearing={"starting_moment": f"{own} N*mm"}, **played("0.1 mm"))
        )
        for own in (0.3, 1.3)
    )
    plant = light.setup.plant
    horn = abs(pitch_rod_travel(light.trim.pitch, plant.linkage)[1])
    arm = abs(
        servo_rod_travel(float(np.interp(light.trim.pitch, *describing._angles(light))), plant.linkage)[1]
    )
    motor = plant.motor
    torque = (1.0 + motor.load_friction) * 2.0 * 1e-3 / horn * arm
    share = torque / (motor.torque_constant * plant.supply.voltage / motor.resistance)
    before, after = (describing.half_gaps(one)[1] for one in (light, heavy))
    assert after - before == pytest.approx(np.deg2rad(2.0) * share * arm / horn, rel=1e-6)


def test_shaking_lets_so_much_of_the_friction_go(setup_of):
    calm, shaken = (
        describing.half_gaps(
            flight_setup(setup_of(aircraft=AIRCRAFT, shaking={"passing": passing}, **played("0.1 mm")))
        )[1]
        for passing in ("0 N*mm", "1 N*mm")
    )
    assert shaken < calm


def test_the_yaw_loop_by_hand(setup_of):
    """L = l_t dT/dpitch (k_r s + k_h) e^(-s t) / ((1 + lag s + ...)(1 + filter s) s (I s + D)), D = -l_t^2 dT/dV.

    t: delay and half a period each of gyro, frame and drive; lag: band over no-load speed, and the loop's damping.
    """
    ready = flight_setup(setup_of(aircraft=AIRCRAFT, **played("0.1 mm")))
    loop, plant = yaw_loop(ready), ready.setup.plant
    speed = plant.supply.voltage / plant.motor.torque_constant
    assert loop.servo_lag == pytest.approx(plant.loop.proportional_band / speed + plant.loop.damping)
    gyro = ready.table
    assert loop.late == pytest.approx(gyro.delay + 0.5 / 250.0 + 1.0 / 333.0)
    assert (loop.inertia, loop.by_rate, loop.by_heading) == pytest.approx((0.15, 0.1, 0.6))
    s, spin, pitch = 4j, float(ready.setup.scenario.rotor.speed), ready.trim.pitch
    per_pitch = (
        thrust(pitch + 0.01, 0.0, spin, ready.air) - thrust(pitch - 0.01, 0.0, spin, ready.air)
    ) / 0.02
    control = (0.1 * s + 0.6) * np.exp(-s * loop.late) / (1.0 + s * gyro.filter) * loop.servo(s)
    left = 0.7 * per_pitch * control / (s * loop.open(s))
    assert left.imag == pytest.approx(4.0 * 0.15, rel=0.05)
    flow = axial_ratio(1.0, spin, ready.air)
    per_flow = (thrust(pitch, flow, spin, ready.air) - thrust(pitch, -flow, spin, ready.air)) / 2.0
    assert left.real == pytest.approx(-(0.7**2) * per_flow, rel=0.1)
    assert left.real > 0.0


def test_without_gains_no_cycle_is_estimated(setup_of):
    aircraft = {key: value for key, value in AIRCRAFT.items() if key != "gyro"}
    assert describing.estimated_cycle(flight_setup(setup_of(aircraft=aircraft, **played("0 mm")))) is None


def test_what_is_said_of_a_flight_fits_together():
    """A flight of the worn build: travel is heading times the tail's arm, the seat ratio the hover band's."""
    worn = read("scenarios/survey-3kg/worn.toml")
    found = wag_study.wag(worn, seconds=6.0, draws=2)
    value = {name: one.value for name, one in found.findings.items()}
    assert value["wag_travel"] == pytest.approx(0.72 * value["wag_heading"])
    assert value["wag_heading"] == pytest.approx(wag_study.peak_to_peak(found.flight))
    # a steady swing lies between a square wave and a spike: rms a fifth to a half of peak to peak
    assert 0.15 < value["wag_heading_rms"] / value["wag_heading"] < 0.5
    assert value["wag_undisturbed"] > 1.5 * value["wag_without_play"]
    assert value["lost_motion"] == found.free_play.lost_motion.max()
    pitch = value["hover_pitch"]
    assert value["seat_ratio_hover"] == found.free_play.least_seat_ratio(
        pitch - HOVER_BAND, pitch + HOVER_BAND
    )
    assert np.rad2deg(HOVER_BAND) == pytest.approx(3.0)
    assert (value["float_low"], value["float_high"]) == found.free_play.window_near(pitch)
    rows = len(found.flight.record)
    assert rows > 500
    # in still air the play is crossed twice a cycle; gusts add to it or take from it, and what line is the largest in
    # a few seconds of them is as much theirs as the cycle's
    ready = flight_setup(build_setup(worn), (value["gyro_rate_gain"], value["gyro_hold_gain"]))
    calm = hover_flight(ready, 20.0, disturbed=False, heading=wag_study.KICK)
    assert calm.reversals == pytest.approx(2.0 * wag_readings.dominant_frequency(calm), rel=0.15)
    assert value["wag_reversals"] == found.flight.reversals
    assert 0.5 * calm.reversals < found.flight.reversals < 2.0 * calm.reversals
    assert value["charge_flown"] == pytest.approx(300.0 * value["current_flown"])
    assert value["share_visible"] == found.shown.share
    assert len(found.draws) == 2
    assert value["wag_verdict"] == found.verdict


@pytest.mark.parametrize(
    ("ratio", "windows"),
    [
        ([2.0, 0.5, 0.5, 2.0], [(2.0 / 3.0, 2.0 + 1.0 / 3.0)]),
        (
            [0.5, 2.0, 2.0, 0.5],
            [(0.0, 1.0 / 3.0), (2.0 + 2.0 / 3.0, 3.0)],
        ),  # from the first and to the last pitch
        ([2.0, 2.0, 2.0, 2.0], []),
        ([0.5, 0.5, 0.5, 0.5], [(0.0, 3.0)]),
        ([1.2, 2.0, 2.0, 2.0], []),
        ([1.0, 2.0, 0.5, 1.0], [(1.0 + 2.0 / 3.0, 3.0)]),  # just seated is seated
        ([2.0, 1.0, 1.0, 0.5], [(2.0, 3.0)]),
    ],
)
def test_windows_lie_where_the_ratio_is_below_one(ratio, windows):
    """Ratios at 0, 1, 2 and 3: the ends where a straight line between two of them is 1."""
    found = _windows(np.arange(4.0), np.array(ratio))
    assert np.array(found).reshape(-1, 2) == pytest.approx(np.array(windows).reshape(-1, 2))
