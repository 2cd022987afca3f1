"""Has the servo the torque, does it get there, has the supply the current: by hand, and against what the run does."""

from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.bench.landings import Landings
from featherbench.bench.legs import Ending
from featherbench.checks.check import Verdict
from featherbench.checks.servo import ARRIVAL, CONTINUOUS, REGULATOR, SUPPLY, TORQUE, servo_checks
from featherbench.judging.judgement import _hunts, judge
from featherbench.linkage import servo_angle_for
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.plant.loads import blade_moment
from featherbench.studies import predict
from featherbench.views.answer import run_answer

WEAK = {"stall_torque": "0.05 N*m", "gear_friction": "0.002 N*m"}
"""Thirty per cent of the rig's servo."""


def by_name(run):
    return {check.name: check for check in servo_checks(run)}


def stalls(run):
    return any(leg.ending is Ending.STALLED for leg in run.servo.legs)


@pytest.fixture(scope="module")
def rig(scenario_of):
    return predict(scenario_of())


@pytest.fixture(scope="module")
def weak(scenario_of):
    return predict(scenario_of(servo=WEAK))


@pytest.fixture(scope="module")
def limited(scenario_of):
    return predict(scenario_of(supply={"limit": "0.25 A"}))


def needed_by_hand(run, spin=None, ratio=1.0):
    """Largest torque over the pitch range, N m: load, bearings and slider at the horn, the rod's guides, by the arm."""
    plant, omega = run.setup.plant, float(spin or run.scenario.rotor.speed)
    low, high = run.scenario.rotor.pitch_range
    torques = []
    for pitch in (low, high):
        _, horn, _, slider = pitch_rod_travel(pitch, plant.linkage)
        arm = servo_rod_travel(servo_angle_for(pitch, plant.linkage), plant.linkage)[1]
        load = abs(2.0 * blade_moment(pitch, omega, 0.0, plant.loads)) / horn
        bearing = 2.0 * (plant.pitch.starting_moment + plant.pitch.load_moment * omega**2)
        torques.append(
            (load + ratio * (bearing + 0.3 * slider) / horn + 0.2) * arm
        )  # rig: slider 0.3 N, rod 0.2 N
    return max(torques)


def test_a_servo_that_carries_the_load_over_the_whole_stroke_holds(rig):
    check = by_name(rig)[TORQUE]
    assert check.verdict is Verdict.HOLDS
    assert check.demand == pytest.approx(needed_by_hand(rig), rel=1e-6)
    assert check.allowable == rig.setup.drive.available_torque(rig.setup.plant.supply)
    assert "26.0 deg" in check.section
    assert ARRIVAL not in by_name(rig)


def test_the_demand_is_the_jobs_not_what_a_weak_servo_brought_itself_to(rig, weak):
    """It reaches a third of the stroke; what it met there is no measure of what the stroke needs."""
    check, strong = by_name(weak)[TORQUE], by_name(rig)[TORQUE]
    assert weak.servo.torque_peak < 0.6 * strong.demand
    assert check.demand == pytest.approx(strong.demand, rel=1e-9)
    assert check.verdict is Verdict.FAILS
    assert check.safety == pytest.approx(0.05 / needed_by_hand(rig), rel=0.03)  # 80 mohm take 1.6 %
    assert judge(servo_checks(weak)).lines[0].startswith("DO NOT RUN")
    assert "servo torque" in judge(servo_checks(weak)).lines[0]


def test_blades_that_stand_are_started_against_their_breakaway_friction(scenario_of, rig):
    """Twice the friction at rest, of bearings and slider; the rod's guide keeps its own."""
    sticky = predict(scenario_of(linkage={"breakaway_ratio": 2.0}))
    assert by_name(sticky)[TORQUE].demand == pytest.approx(needed_by_hand(rig, ratio=2.0), rel=1e-6)
    assert by_name(sticky)[TORQUE].section.startswith("from rest at 26.0 deg")


def test_a_move_that_stalls_fails_with_the_way_it_made(weak):
    check = by_name(weak)[ARRIVAL]
    legs = [leg for leg in weak.servo.legs if leg.ending is Ending.STALLED]
    assert check.verdict is Verdict.FAILS
    first = legs[0]
    assert check.demand >= first.target - 1e-12
    shares = [first.final_pitch / first.target]
    second = weak.servo.legs[1]
    way = first.final_pitch - second.target
    shares.append((first.final_pitch - second.final_pitch) / way)
    assert check.safety == pytest.approx(min(shares), rel=1e-6)


def test_a_limited_supply_fails_the_torque_check_and_is_named(limited):
    """0.25 A, 10 mA of it idle: 0.24 A in the winding at full duty, all that this servo has to give."""
    check, drive = by_name(limited)[TORQUE + SUPPLY], limited.setup.drive
    mesh = (0.24 * drive.motor.torque_constant - drive.motor.coulomb) / (1.0 + drive.motor.load_friction)
    assert check.allowable == pytest.approx(mesh - 0.8e-3)
    assert check.verdict is Verdict.FAILS
    assert by_name(limited)[ARRIVAL + SUPPLY].verdict is Verdict.FAILS
    linkage = limited.setup.plant.linkage
    arms = [servo_rod_travel(angle, linkage)[1] for angle in limited.statics.servo_angle.tolist()]
    assert limited.value("servo_force") == pytest.approx(check.allowable / max(arms))
    assert "stall torque" not in " ".join(run_answer(limited, "metric"))
    said = " ".join(limited.notes)
    assert "the supply's limit of 0.25 A is what stops it" in said
    assert "stronger servo" not in said


def test_no_supply_stalls_a_servo_that_was_said_to_hold(scenario_of):
    """The wrong answer that must not pass: over limits, voltages and leads, a move that stalls has a failing check."""
    verdicts = set()
    for supply in (
        *({"limit": f"{amperes} A"} for amperes in (0.15, 0.4, 0.75)),
        *({"voltage": f"{volts} V"} for volts in (1.5, 3.0)),
        *({"resistance": f"{ohms} ohm"} for ohms in (1.0, 6.0)),
    ):
        run = predict(scenario_of(supply=supply))
        (torque,) = (check for check in servo_checks(run) if check.name.startswith(TORQUE))
        holds = torque.verdict is Verdict.HOLDS
        assert holds != torque.name.endswith(SUPPLY)  # what fails for want of supply alone, is named so
        assert not (holds and stalls(run)), supply
        verdicts.add((holds, stalls(run)))
    assert verdicts >= {(True, False), (False, True)}


def test_the_margin_decides_close_to_the_truth(scenario_of, rig):
    """Pushed gently, so that nothing swings past: a quarter more than needed arrives, a quarter less does not."""
    need = by_name(rig)[TORQUE].demand
    gentle = {"programme": [{"go": 1.0, "over": "1 s", "hold": "0.5 s"}]}
    for share in (1.25, 0.75):
        scale = share * need / 0.19
        servo = {"stall_torque": f"{0.19 * scale} N*m", "gear_friction": f"{0.006 * scale} N*m"}
        run = predict(scenario_of(servo=servo, supply={"resistance": "0 ohm"}, bench=gentle))
        assert by_name(run)[TORQUE].safety == pytest.approx(share, rel=1e-6)
        assert run.servo.legs[0].reached == (share > 1.0)


@pytest.mark.parametrize("volts", [1.6, 2.1], ids=["stops", "creeps and is not there yet"])
def test_a_low_voltage_is_told_as_the_supplys(scenario_of, volts):
    run = predict(scenario_of(supply={"voltage": f"{volts} V"}))
    said = " ".join(run.notes)
    assert f"the supply's voltage is what stops it, {volts:.3g} V" in said
    assert "stronger servo" not in said
    assert "lengthen the hold" not in said
    assert by_name(run)[TORQUE + SUPPLY].verdict is Verdict.FAILS


def test_an_overspeed_of_the_programme_is_in_the_demand(scenario_of, rig):
    """The bench runs half as fast again: more than twice the load, so that the servo that held does not."""
    spin = [{"to": "13500 rpm", "over": "0.2 s", "hold": "1 s"}]
    faster = predict(scenario_of(bench={"spin": spin}))
    check = by_name(faster)[TORQUE]
    assert check.demand == pytest.approx(needed_by_hand(rig, 1.5 * rig.scenario.rotor.speed), rel=1e-6)
    assert check.verdict is Verdict.FAILS


NARROW = {"proportional_band": "0.5 deg", "dead_band": "0.1 deg"}


@pytest.fixture(scope="module")
def hunting(scenario_of):
    return predict(scenario_of(servo=NARROW))


def test_a_servo_that_hunts_is_told_so_and_not_that_it_lacks_torque(hunting):
    legs = [leg for leg in hunting.servo.legs if leg.ending is Ending.HUNTS]
    assert legs
    assert by_name(hunting)[TORQUE].verdict is Verdict.HOLDS
    assert ARRIVAL not in by_name(hunting)
    said = " ".join(hunting.notes)
    assert "hunts" in said
    lines = judge(tuple(servo_checks(hunting)), hunting).lines
    assert [line.split()[:2] for line in lines if "HUNT" in line] == [["HUNTING:", "the"]]
    assert "Torque is not what is missing" in said
    assert "wider proportional_band" in said
    assert "lacks torque" not in said
    assert "did not arrive" not in said


def test_no_hold_is_read_off_a_cycle(hunting):
    leg = next(leg for leg in hunting.servo.legs if leg.ending is Ending.HUNTS)
    run = hunting.servo
    rest = (run.time > leg.end - 0.4 * (leg.end - leg.start)) & (run.time <= leg.end)
    assert np.isnan(leg.hold)
    assert np.isnan(leg.motor_hold)
    assert leg.drawn + 0.01 == pytest.approx(run.supply_current[rest].mean())
    centred = run.servo_angle[rest] - run.servo_angle[rest].mean()
    half = np.diff(
        np.flatnonzero(np.diff(centred > 0.0))
    )  # rows from one pass through the middle to the next
    rows = (leg.end - leg.start) * 0.4 / rest.sum()
    assert leg.hunting_rate == pytest.approx(0.5 / (rows * np.mean(half)), rel=0.1)
    assert f"{leg.hunting_rate:.0f} times a second" in " ".join(hunting.notes)
    assert leg.final_pitch == pytest.approx(run.pitch[rest].mean())
    assert leg.hunting == pytest.approx(np.ptp(run.pitch[rest]))
    assert not leg.settled
    assert np.isnan(leg.hold_place)
    assert any("no current is held there" in sentence for sentence in run_answer(hunting, "metric"))


def test_a_servo_at_rest_does_not_hunt(rig):
    assert [leg.ending for leg in rig.servo.legs] == [Ending.HELD] * 3
    assert all(leg.hunting == 0.0 for leg in rig.servo.legs)
    assert not any("hunts" in sentence for sentence in (*run_answer(rig, "metric"), *rig.notes))


def test_a_hold_that_is_too_short_is_told_as_that(scenario_of):
    """A slow servo is under way after 50 ms, with all the torque it needs."""
    slow = {"transit_60": "0.15 s"}
    run = predict(scenario_of(servo=slow, bench={"programme": [{"go": 1.0, "hold": "0.05 s"}]}))
    assert run.servo.legs[0].ending is Ending.UNDER_WAY
    assert not run.servo.legs[0].reached
    assert "lengthen the hold" in " ".join(run.notes)
    assert "lacks torque" not in " ".join(run.notes)
    assert ARRIVAL not in by_name(run)


def test_the_regulator_meets_the_starting_current_once_with_the_idle(scenario_of):
    """A servo that starts draws its stall current, as its sheet states it with the idle current in it, and no more."""
    run = predict(
        scenario_of(
            servo={"stall_current": "1.2 A", "idle_current": "0.2 A"},
            supply={"resistance": "0 ohm"},
            bench={"programme": [{"go": 1.0, "hold": "0.6 s"}]},
            limits={"regulator_current": "1 A"},
        )
    )
    check, leg = by_name(run)[REGULATOR], run.servo.legs[0]
    assert 0.8 * 1.2 < check.demand <= 1.2
    assert check.demand > leg.peak + 0.2 > leg.hold + 0.2
    assert check.verdict is Verdict.FAILS  # neither the move nor the hold alone would have said so
    assert leg.peak + 0.2 < 1.0


def test_the_regulator_of_unknown_size_is_asked_for(rig):
    check = by_name(rig)[REGULATOR]
    assert check.verdict is Verdict.NOT_CHECKED
    assert check.source == "state limits.regulator_current"
    assert by_name(rig)[CONTINUOUS].source == "state limits.servo_continuous_torque"


def test_the_larger_of_the_held_torques_is_what_the_servo_must_bear_for_long(rig, scenario_of):
    """Its two ends, and next to nothing at neutral: rod force there times the arm by hand."""
    linkage = rig.setup.plant.linkage
    held = [
        abs(leg.rod_hold) * servo_rod_travel(servo_angle_for(leg.final_pitch, linkage), linkage)[1]
        for leg in rig.servo.legs
    ]
    assert min(held) < 0.2 * max(held)
    check = by_name(rig)[CONTINUOUS]
    assert check.demand == pytest.approx(max(held), rel=1e-9)
    tight = f"{0.5 * (min(held) + max(held))} N*m"
    again = predict(scenario_of(limits={"servo_continuous_torque": tight}))
    assert by_name(again)[CONTINUOUS].verdict is Verdict.FAILS


def test_a_servo_that_never_got_there_is_judged_by_what_holding_there_takes(rig, weak):
    at_mark = by_name(weak)[CONTINUOUS].demand
    load = np.abs(rig.statics.rod_force[-1])
    arm = servo_rod_travel(float(rig.statics.servo_angle[-1]), rig.setup.plant.linkage)[1]
    assert at_mark == pytest.approx(load * arm, rel=1e-6)


def landed(*rows):
    legs = [SimpleNamespace(target=target, ending=ending) for target, ending in rows]
    return SimpleNamespace(servo=SimpleNamespace(legs=legs), landings=())


def test_a_servo_that_hunts_after_some_moves_only_may_hunt():
    """At 20 degrees once in the programme, at rest after three of four more moves; the low end: always in a cycle."""
    run = landed((np.deg2rad(20.0), Ending.HUNTS), (-0.2, Ending.HELD), (0.0, Ending.HELD))
    assert _hunts(run) == "HUNTING: the servo never comes to rest at 20.0 deg"
    run.landings = (Landings(np.deg2rad(20.0), 4, 1, None), Landings(-0.2, 4, 0, None))
    assert _hunts(run) == (
        "MAY HUNT: the servo does not come to rest after 2 of 5 moves to 20.0 deg; it depends on how it gets there"
    )
    run.servo.legs[1].ending = Ending.HUNTS
    run.landings = (*run.landings[:1], Landings(-0.2, 4, 4, None))
    assert _hunts(run) == (
        "HUNTING: the servo never comes to rest at -11.5 deg, nor after 2 of 5 moves to 20.0 deg"
    )
    assert _hunts(landed((0.0, Ending.HELD), (0.2, Ending.STALLED))) == ""
    assert _hunts(None) == ""
