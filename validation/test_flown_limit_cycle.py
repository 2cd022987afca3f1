"""The limit cycle that play makes in hover: flown by the stepper, by a small program of its own, and foretold.

`lumped_tail` (D) is written from the same figures and none of the program's kernels: yaw, a sampled gyro, a sampled
servo with friction, and blades that rest in their play. Aimed for: 20 per cent in amplitude and in frequency, from a
fifth to seven tenths of the gain that just hunts; it is 7 per cent in the one and 13 in the other at most.

Describing function: Gelb & Vander Velde, Multiple-Input Describing Functions, 1968, entry 48 (F: python-control,
control/descfcn.py), closed through linkage play, dead band and friction of the servo together (D). Within 20 per cent
in both about half of the gain that hunts, by two errors that make up for each other. The loop that it takes for
granted, linear and not sampled, swings otherwise once all harmonics are counted (D, `linear_with_play`): at 0.7 of the
pace of its one harmonic when slow, at twice when quick. And the flown tail is not that loop: play keeps the largest of
what a hold lets through, which comes no later for it; and the servo, braked by its smoothed speed, stops short.
Reported as missed, with its size. At 0.7 it foretells a quick cycle that stands in the linear loop only.
"""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from featherbench.aircraft.flight import flight_setup, hover_flight
from featherbench.aircraft.gyro_setting import INTEGRAL_TIME, gyro_setting
from featherbench.aircraft.yaw_loop import yaw_loop
from featherbench.bench.setup import build_setup, with_scenario
from featherbench.hovering.describing import estimated_cycle, half_gaps
from featherbench.hovering.wag_readings import dominant_frequency, read_heading
from featherbench.hovering.weight_amounts import varied
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.plant.joint_friction import pitch_friction_limit
from featherbench.scenario import read
from lumped_tail import STEP, Tail, flown, linear_with_play
from lumped_tail import read as read_course
from source import About
from table import check

ABOUT = About(
    kind="closed form",
    title="limit cycle of play in hover: a program of its own, and describing function",
    mapping="heading peak to peak; no gusts, noise or shaking; blades that float, compensation 0.66; gains as shares "
    "of what just hunts",
    left_out="the start: some cycles die away where friction holds the blades within the play",
)
SCENARIOS = Path(__file__).parents[1] / "scenarios"
STILL = {"shaking.passing": "0 N*mm", "shaking.unlike": "0 N*mm", "shaking.slider": "0 N"}
SECONDS, KICK = 20.0, 0.07
BUILDS = [(0.1e-3, 0.0), (0.25e-3, 0.3), (0.4e-3, 0.3)]
"""m of play in the rod's ends, deg of dead band."""
FORETOLD = "limit cycle of the yaw loop through play, describing function"


@cache
def base():
    """(the survey helicopter near neutral, its gyro's setting)."""
    scenario = read(
        SCENARIOS / "survey-3kg" / "weighted.toml",
        {**STILL, "linkage.slider_load_friction": 0.0, "linkage.rod_load_friction": 0.0},
    )
    build = varied(build_setup(scenario), 0.66, 0.0)
    return build, gyro_setting(build)


def ready_at(play, dead_band, share):
    """The tail under a share of the gain that just hunts, its heading held as the setting has it."""
    build, setting = base()
    own = build.scenario.linkage.play.model_copy(update={"rod": play})
    scenario = build.scenario.model_copy(
        update={
            "linkage": build.scenario.linkage.model_copy(update={"play": own}),
            "servo": build.scenario.servo.model_copy(update={"dead_band": np.deg2rad(dead_band)}),
        }
    )
    gain = share * setting.hunts_at
    return flight_setup(with_scenario(build, scenario), (gain, gain * setting.frequency / INTEGRAL_TIME))


@cache
def cycle(play, dead_band, share):
    """(heading peak to peak rad, Hz) as flown."""
    flight = hover_flight(ready_at(play, dead_band, share), SECONDS, disturbed=False, heading=KICK)
    return np.ptp(read_heading(flight)), dominant_frequency(flight)


def tail_of(ready):
    """What the small program is to know of a tail."""
    loop, plant, gyro = yaw_loop(ready), ready.setup.plant, ready.gyro
    places = gyro.command_first + gyro.command_step * np.arange(len(gyro.commands))
    arm = servo_rod_travel(np.interp(ready.trim.pitch, places, gyro.commands), plant.linkage)[1]
    _, horn, _, slider = pitch_rod_travel(ready.trim.pitch, plant.linkage)
    motor, servo = plant.motor, plant.loop
    blades = pitch_friction_limit(float(ready.setup.scenario.rotor.speed), slider, plant.pitch)
    return Tail(
        steering=loop.steering,
        inertia=loop.inertia,
        damping=loop.damping,
        filter_lag=loop.filter_lag,
        period=1.0 / ready.table.rate,
        late=round(ready.table.delay * ready.table.rate),
        by_rate=loop.by_rate,
        by_heading=loop.by_heading,
        frame=servo.frame_period,
        stall=motor.torque_constant * plant.supply.voltage / motor.resistance,
        band=servo.proportional_band,
        dead_band=servo.dead_band,
        braking=servo.damping,
        motor_inertia=motor.inertia,
        emf=motor.torque_constant**2 / motor.resistance,
        friction=motor.coulomb + plant.output.friction,
        with_load=motor.load_friction,
        rod_friction=plant.output.rod_friction,
        arm=abs(arm),
        horn=abs(horn),
        stiffness=plant.joint.stiffness,
        half_play=plant.joint.half_play,
        blade_friction=blades / abs(horn),
    )


def rows(source, case, expected, got, tolerance, why, bar=None):
    """Heading and frequency of a cycle."""
    names = ("heading, deg", "frequency, Hz")
    values = [(np.rad2deg(one[0]), one[1]) for one in (expected, got)]
    for name, wanted, found in zip(names, *values, strict=True):
        check(source, "D", f"{name}, {case}", wanted, found, tolerance, why, bar=bar)


@pytest.mark.parametrize("share", [0.18, 0.3, 0.4, 0.5, 0.6, 0.7])
@pytest.mark.parametrize(("play", "dead_band"), BUILDS)
def test_flown_cycle_against_a_small_program_of_its_own(play, dead_band, share):
    own = read_course(
        flown(tail_of(ready_at(play, dead_band, share)), KICK, STEP, round(SECONDS / STEP)), STEP
    )
    case = f"play {1e3 * play:g} mm, dead band {dead_band:g} deg, {share:g} of the gain that hunts"
    rows(
        "limit cycle of a lumped tail",
        case,
        own,
        cycle(play, dead_band, share),
        0.2,
        "no masses but yaw and motor",
    )


@pytest.mark.parametrize("share", [0.46, 0.54])
@pytest.mark.parametrize(("play", "dead_band"), BUILDS)
def test_cycle_is_foretold_at_half_of_the_gain_that_hunts(play, dead_band, share):
    foretold = estimated_cycle(ready_at(play, dead_band, share))
    case = f"play {1e3 * play:g} mm, dead band {dead_band:g} deg, {share:g} of the gain that hunts"
    rows(FORETOLD, case, foretold, cycle(play, dead_band, share), 0.2, "harmonic balance: what is aimed for")


@pytest.mark.parametrize("share", [0.18, 0.3, 0.4, 0.6])
def test_cycle_foretold_elsewhere_is_missed_and_reported(share):
    foretold = estimated_cycle(ready_at(0.25e-3, 0.3, share))
    why = "MISS: one harmonic of a linear loop that is not sampled"
    rows(
        FORETOLD, f"{share:g} of the gain that hunts", foretold, cycle(0.25e-3, 0.3, share), 0.5, why, bar=0.2
    )


@pytest.mark.parametrize("share", [0.18, 0.54])
def test_one_harmonic_against_all_of_the_same_linear_loop(share):
    """What the describing function itself is worth: the loop it is closed through, stepped with play followed."""
    ready = ready_at(0.25e-3, 0.3, share)
    loop, half = yaw_loop(ready), sum(half_gaps(ready))
    lags, yaw = (loop.servo_lag, loop.filter_lag, loop.late), (loop.steering, loop.damping)
    yaw = tuple(one / loop.inertia for one in yaw)
    course = linear_with_play(lags, loop.by_rate, loop.by_heading, *yaw, half, KICK, STEP, 600_000)
    why = "MISS: one harmonic for all of them"
    source = "limit cycle of the linear yaw loop through play, all harmonics"
    rows(
        source,
        f"{share:g} of the gain that hunts",
        read_course(course, STEP),
        estimated_cycle(ready),
        1.5,
        why,
        bar=0.2,
    )
