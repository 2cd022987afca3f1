"""What is read off a move and a hold, each figure against the rows it comes from or a calculation by hand."""

import dataclasses
from math import exp, pi, sqrt

import numpy as np
import pytest

from featherbench.bench.legs import hunts
from featherbench.bench.release import run_release, verdict
from featherbench.bench.servo_run import _schedule, run_servo
from featherbench.linkage import servo_angle_for
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travels
from featherbench.plant.loads import tabulated
from featherbench.scenario.bench_tables import Move

FRICTIONLESS = {
    "bearing": {"coefficient": 0.0, "starting_moment": "0 N*m"},
    "linkage": {
        "slider_friction": "0 N",
        "rod_friction": "0 N",
        "play": {"rod": "0 mm", "slider": "0 mm", "horn": "0 mm"},
    },
}
IDLE = {"idle_current": "0.2 A", "stall_current": "1.2 A"}


@pytest.fixture(scope="module")
def run(setup_of):
    return run_servo(setup_of())


def of_leg(run, leg, series):
    return series[(run.time > leg.start) & (run.time <= leg.end)]


def test_the_start_is_no_part_of_the_moving_peak(setup_of):
    """Blades that hardly turn load nothing: the start draws near V / R, the move that follows a fraction of it."""
    run = run_servo(setup_of(rotor={"speed": "500 rpm"}))
    leg = run.legs[0]
    start = of_leg(run, leg, run.supply_current)[:15].max()
    assert start > 0.6
    assert leg.peak < 0.5 * start
    pitch = of_leg(run, leg, run.pitch)
    later = of_leg(run, leg, run.supply_current)[pitch > 0.25 * leg.target]
    assert leg.peak <= later.max() * 1.1


def test_idle_is_taken_off_once(setup_of):
    """0.2 A idle: the lead carries it at rest, and neither hold nor peak has it in, nor has it taken off twice."""
    setup = setup_of(
        servo={**IDLE, "chopping_rate": "1 MHz"},
        rotor={"speed": "1 rpm"},
        supply={"resistance": "0 ohm"},
        bench={"programme": [{"go": 1.0, "hold": "0.6 s"}]},
    )
    run = run_servo(setup)
    (leg,) = run.legs
    assert run.supply_current.min() == pytest.approx(0.2)
    # standing: i^2 R / V with what is left in the winding, and the idle current
    assert leg.hold == pytest.approx(leg.motor_hold**2 * setup.plant.motor.resistance / 5.0, abs=1e-6)
    assert of_leg(run, leg, run.supply_current)[-1] == pytest.approx(leg.hold + 0.2, abs=1e-9)
    assert run.raw_peak + 0.2 <= 1.2  # the sheet's stall current has it in
    assert run.raw_peak + 0.2 > 0.9 * 1.2


@pytest.mark.parametrize(
    ("mass", "place"), [(None, 1.0), (1.0, -1.0)], ids=["blades pull home", "blades push out"]
)
def test_a_hold_sits_on_the_edge_that_it_was_reached_from_on_either_side(setup_of, weight, mass, place):
    """Pushed out against the load it stops on the upper edge, let out by the load on the lower: at both ends alike."""
    run = run_servo(setup_of(part=weight(mass, 12.0)) if mass else setup_of())
    high, low, _ = run.legs
    assert high.rod_hold * low.rod_hold < 0.0
    for leg in (high, low):
        assert leg.hold_place == pytest.approx(place, abs=0.1)


def test_arrival_is_when_the_last_thirtieth_is_left(run):
    """Three hundredths of the stroke before it stands, not earlier and not later."""
    for leg in run.legs[:2]:
        clock, pitch = of_leg(run, leg, run.time), of_leg(run, leg, run.pitch)
        left = np.abs(pitch - leg.final_pitch)
        stroke = abs(leg.target - (pitch[0] if leg is run.legs[1] else 0.0))
        before = clock < leg.start + leg.arrival - 1e-9
        assert left[before].min() > 0.03 * stroke
        assert left[np.flatnonzero(~before)[0]] <= 0.03 * stroke * 1.02


@pytest.mark.parametrize("window", [5, 20])
def test_torque_peak_is_a_mean_over_the_window(setup_of, window):
    """By hand: the largest mean of rod force times arm over so many of the millisecond rows, of a jerk at the start."""
    setup = setup_of(
        bench={"current_window": f"{window} ms"},
        servo={"drive_rate": "250 Hz"},
        rotor={"speed": "1000 rpm"},
        linkage={"slider_mass": "20 g"},
    )
    run = run_servo(setup)
    torque = run.rod_force * servo_rod_travels(run.servo_angle, setup.plant.linkage)[:, 1]
    means = np.convolve(torque, np.full(window, 1.0 / window), mode="valid")
    assert run.torque_peak == pytest.approx(np.abs(means).max(), rel=1e-3)
    assert run.torque_peak < np.abs(torque).max() * 0.9


def test_slow_blades_are_watched_until_they_have_gone_home(setup_of):
    """Air so thick that they need a second: a tenth of a second would have called them balanced."""
    setup = setup_of(**FRICTIONLESS)
    plant, spin = setup.plant, float(setup.scenario.rotor.speed)
    stiffness = plant.pitch.blades * difference(setup, 0.1) * spin**2
    slow = plant.pitch._replace(damping=stiffness * 1.0 / (plant.pitch.blades * spin))
    thick = dataclasses.replace(setup, plant=plant._replace(pitch=slow))
    release = run_release(thick, np.deg2rad(8.0))
    early = np.interp(0.1, release.time, release.pitch)
    assert early > np.deg2rad(7.0)
    assert release.verdict == "returns"


def test_three_degrees_of_drift_are_no_standing_still():
    ten = np.deg2rad(10.0)
    assert verdict(ten, np.deg2rad(7.0)) == "returns"
    assert verdict(ten, np.deg2rad(13.0)) == "runs out"
    assert verdict(ten, np.deg2rad(10.5)) == verdict(ten, np.deg2rad(9.5)) == "stays"


def difference(setup, pitch):
    """I_c - I_n of one blade assembly at a pitch, less the air's share, kg m^2."""
    moments, air = tabulated(pitch, setup.plant.loads)
    return moments.chordwise - moments.normal - air / pitch


def test_air_damps_blades_that_are_let_go(setup_of):
    """Without friction they swing about zero; the decay from swing to swing is exp(-c T / 2 J), by hand."""
    setup = setup_of(**FRICTIONLESS)
    plant, spin = setup.plant, float(setup.scenario.rotor.speed)
    pitch = np.deg2rad(3.0)
    inertia = plant.pitch.inertia + plant.output.rod_mass * pitch_rod_travel(0.0, plant.linkage)[1] ** 2
    natural = sqrt(plant.pitch.blades * difference(setup, pitch) * spin**2 / inertia)
    ratio = 0.03
    axis = plant.pitch._replace(damping=2.0 * ratio * inertia * natural / (plant.pitch.blades * spin))
    damped = dataclasses.replace(setup, plant=plant._replace(pitch=axis))
    release = run_release(damped, pitch, step_share=0.5)
    period = 2.0 * pi / (natural * sqrt(1.0 - ratio**2))
    for swings in (2, 4):
        near = np.abs(release.time - swings * period) < 0.3 * period
        top = release.pitch[near].max()
        assert top == pytest.approx(pitch * exp(-ratio * natural * swings * period), rel=0.06)


def test_a_command_within_half_the_dead_band_moves_nothing_and_one_beyond_it_does(setup_of):
    """One degree of dead band, whole width: 0.4 deg of command are nothing, 0.8 deg bring the servo to 0.5 short."""
    setup = setup_of(
        servo={"dead_band": "1 deg", "gear_play": "0 deg", "damping": "0 s", "gear_friction": "0.0005 N*m"},
        rotor={"speed": "1 rpm"},
        **FRICTIONLESS,
    )
    linkage, high = setup.plant.linkage, setup.scenario.rotor.pitch_range[1]
    for degrees in (0.4, 0.8):
        share = np.deg2rad(degrees) / servo_angle_for(0.01, linkage) * 0.01 / high
        run = run_servo(setup, (Move.model_construct(go=float(share), hold=1.0, over=0.0),))
        moved = np.rad2deg(run.servo_angle[-1] - run.servo_angle[0])
        if degrees < 0.5:
            assert moved == pytest.approx(0.0, abs=1e-6)
        else:
            assert moved == pytest.approx(degrees - 0.5, abs=0.15)


def test_the_sliders_mass_rides_on_the_pitch_axis(setup_of):
    """20 g moved by a 13 mm horn: 20 x 13^2 = 3380 g mm^2 more to turn."""
    with_mass, without = (setup_of(linkage={"slider_mass": mass}) for mass in ("20 g", "0 g"))
    gained = with_mass.plant.pitch.inertia - without.plant.pitch.inertia
    assert gained == pytest.approx(3.380e-6, rel=1e-6)
    # and a heavier axis falls later, as the root of the inertia that falls, the 4 g rod's with it
    slow = {**FRICTIONLESS, "rotor": {"speed": "1500 rpm"}}
    slow["linkage"] = {**FRICTIONLESS["linkage"], "slider_mass": "20 g"}
    heavy = setup_of(**slow)
    slow["linkage"] = {**FRICTIONLESS["linkage"], "slider_mass": "0 g"}
    light = setup_of(**slow)
    rod = light.plant.output.rod_mass * pitch_rod_travel(0.0, light.plant.linkage)[1] ** 2
    share = sqrt((heavy.plant.pitch.inertia + rod) / (light.plant.pitch.inertia + rod))
    assert half_way(heavy) / half_way(light) == pytest.approx(share, rel=0.06)


def half_way(setup):
    """When blades let go at 0.2 rad are half way home, s."""
    release = run_release(setup, 0.2)
    past = int(np.argmax(release.pitch < 0.1))
    rows = slice(past - 1, past + 1)
    return float(np.interp(-0.1, -release.pitch[rows], release.time[rows]))


def test_running_up_turns_the_blades_by_their_offset_mass(setup_of):
    """A mass ahead of the chord plane lags the spin-up: dOmega/dt (S_rc sin + S_rn cos), both blades, over the horn."""
    offset = {
        "nose": {
            "group": "grip",
            "shape": "point",
            "mass": "4 g",
            "at": {"radius": "30 mm", "normal": "5 mm"},
        }
    }
    spin = [{"to": "9000 rpm", "hold": "0.5 s"}, {"to": "10800 rpm", "over": "20 ms", "hold": "0.2 s"}]
    setup = setup_of(
        part=offset,
        bench={"programme": [{"go": 0.5, "hold": "0.7 s"}], "spin": spin},
        **FRICTIONLESS,
    )
    steady = setup_of(
        part=offset,
        bench={"programme": [{"go": 0.5, "hold": "0.7 s"}], "spin": [spin[0] | {"hold": "0.7 s"}]},
        **FRICTIONLESS,
    )
    run, calm = run_servo(setup), run_servo(steady)
    at_start = (run.time > 0.5) & (run.time < 0.506)
    rate = np.deg2rad(1800 * 6) / 0.02
    pitch = float(run.pitch[at_start].mean())
    moments, _ = tabulated(pitch, setup.plant.loads)
    extra = rate * (moments.radial_chordwise * np.sin(pitch) + moments.radial_normal * np.cos(pitch))
    horn = pitch_rod_travel(pitch, setup.plant.linkage)[1]
    grows = (run.spin[at_start] / run.spin[0]) ** 2
    expected = calm.rod_force[at_start] * grows - 2.0 * extra / horn
    assert run.rod_force[at_start].mean() == pytest.approx(expected.mean(), rel=0.05)
    assert abs(2.0 * extra / horn) > 0.15 * abs(expected.mean())


def test_a_swing_that_dies_away_is_no_hunting():
    time = np.arange(0.0, 0.4, 1e-3)
    cycle = np.deg2rad(0.5) * np.sin(2.0 * pi * 40.0 * time)
    assert hunts(cycle)
    assert hunts(0.3 + cycle)
    assert not hunts(cycle * np.exp(-time / 0.05))
    assert not hunts(np.deg2rad(2.0) * time)  # a drift
    assert not hunts(0.02 * cycle)  # a hundredth of a degree
    assert not hunts(cycle[:8])


def test_a_programme_and_a_course_of_speed_by_hand(setup_of):
    """Shares of the range's own ends, -24 and 26 deg; a move takes its time, then holds; a course begins where the one
    before it ends, its hold included.
    """
    spin = [
        {"to": "9500 rpm", "over": "0.5 s", "hold": "1 s"},
        {"to": "10000 rpm", "over": "0.2 s", "hold": "2 s"},
    ]
    setup = setup_of(
        bench={
            "programme": [
                {"go": 0.5, "over": "0.1 s", "hold": "0.4 s"},
                {"go": -0.25, "hold": "0.3 s"},
                {"go": 0.0, "over": "0.2 s", "hold": "0.6 s"},
            ],
            "spin": spin,
        }
    )
    targets, schedule, spans = _schedule(setup, setup.scenario.bench.programme)
    assert np.rad2deg(targets) == pytest.approx([13.0, -6.0, 0.0])
    assert np.array(spans) == pytest.approx(np.array([(0.0, 0.5), (0.5, 0.8), (0.8, 1.6)]))
    at = lambda t: float(np.interp(t, schedule.command_times, schedule.command_angles))  # noqa: E731
    rest, high, low = (servo_angle_for(np.deg2rad(pitch), setup.plant.linkage) for pitch in (0.0, 13.0, -6.0))
    assert at(-0.4) == at(0.0) == pytest.approx(rest)
    assert at(0.05) == pytest.approx(0.5 * (rest + high))
    assert at(0.1) == at(0.49) == pytest.approx(high)
    assert at(0.51) == at(0.79) == pytest.approx(low)  # without a time of its own it is a jump
    assert at(0.9) == pytest.approx(0.5 * (low + rest))
    assert at(1.0) == at(1.6) == pytest.approx(rest)
    assert schedule.spin_times == pytest.approx([0.0, 0.5, 1.5, 1.7, 3.7])
    rpm = np.array([9000.0, 9500.0, 9500.0, 10000.0, 10000.0])
    assert schedule.spin_speeds == pytest.approx(rpm * pi / 30.0)
