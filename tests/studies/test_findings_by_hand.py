"""Findings of a bench run: each from the side, the end and the test that it says, and what a comparison makes of it."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.rotor.rotor_loads import rotor_loads
from featherbench.studies import compare, predict
from featherbench.studies.free_play import HOVER_BAND
from featherbench.studies.prediction import step_error
from featherbench.studies.run_findings import (
    forces_at_ends,
    gauge_findings,
    servo_findings,
    zero_crossings,
)

SHORT = {
    "bench": {"programme": [{"go": 1.0, "hold": "1 s"}, {"go": -1.0, "hold": "1 s"}]},
    "meter": {"rate": "3 Hz", "window": "300 ms"},
}
AIRCRAFT = {"tail_arm": "0.7 m", "yaw_inertia": "0.15 kg*m^2", "main_torque": "2 N*m"}


@pytest.fixture(scope="module")
def run(scenario_of):
    return predict(scenario_of(aircraft=AIRCRAFT, **SHORT))


def test_masses_and_centrifugal_load_by_hand(run):
    """A blade of 5.6 g from 40 to 120 mm has its mass at 80 mm, the grip 5.4 g at 24 mm; 9000 rpm is 942.5 rad/s."""
    assert run.value("mass") == pytest.approx(11.0e-3)
    arm = 5.6e-3 * 0.080 + 5.4e-3 * 0.024
    assert run.value("radial_moment") == pytest.approx(arm, rel=1e-6)
    assert run.value("centrifugal_load") == pytest.approx(arm * (9000.0 * np.pi / 30.0) ** 2, rel=1e-6)


def test_the_flat_blade_is_driven_back_from_both_ends(run):
    """-(I_c - I_n) Omega^2 sin cos: raises pitch at the low end and takes it off at the high end."""
    differ = run.value("inertia_chordwise") - run.value("inertia_normal")
    for end, degrees in (("low", -24.0), ("high", 26.0)):
        angle = np.deg2rad(degrees)
        expected = -differ * (9000.0 * np.pi / 30.0) ** 2 * np.sin(angle) * np.cos(angle)
        assert run.value(f"propeller_moment_{end}") == pytest.approx(expected, rel=1e-6)
    assert run.value("inertia_chordwise") > run.value("inertia_normal")


def test_thrust_and_power_are_those_of_each_end(run):
    """By the rotor itself at -24 and 26 deg, the table's steps apart; power of the end that takes more."""
    spin = 9000.0 * np.pi / 30.0
    low, high = (rotor_loads(run.setup.air.rotor, np.deg2rad(end)) for end in (-24.0, 26.0))
    assert run.value("thrust_high") == pytest.approx(high.thrust, rel=0.02)
    assert run.value("thrust_low") == pytest.approx(low.thrust, rel=0.02)
    assert run.value("thrust_low") < 0.0 < run.value("thrust_high")
    assert run.value("power") == pytest.approx(max(low.torque, high.torque) * spin, rel=0.02)
    assert low.torque < 0.95 * high.torque


def test_hover_is_found_under_its_names(run):
    hover = run.hover
    assert run.value("hover_thrust") == pytest.approx(2.0 / 0.7)
    assert run.value("hover_pitch") == hover.pitch
    assert run.value("hover_power") == hover.power
    assert run.value("rod_force_hover") == hover.rod_force
    assert run.value("current_hold_hover") == hover.leg.hold
    assert run.value("charge_hover") == hover.charge
    slop_low, slop_high = run.value("float_low"), run.value("float_high")
    assert slop_low < slop_high
    curves = run.curves["lost_motion"].columns
    assert run.value("lost_motion") == curves["lost_motion"].max() > curves["lost_motion"].min()
    near = np.abs(curves["pitch"] - hover.pitch) <= HOVER_BAND
    assert run.value("seat_ratio_hover") == pytest.approx(curves["seat_ratio"][near].min(), rel=0.1)


def test_stall_is_said_only_where_it_is_within_the_range(run, scenario_of):
    assert np.deg2rad(12.0) < run.value("stall_high") < np.deg2rad(26.0)
    assert np.deg2rad(-24.0) < run.value("stall_low") < np.deg2rad(-12.0)
    gentle = predict(scenario_of(rotor={"pitch_range": ["-6 deg", "6 deg"]}, **SHORT))
    assert gentle.findings["stall_high"].value is None
    assert gentle.findings["stall_low"].value is None


def test_what_the_servo_gives_and_needs(run):
    servo, setup = run.servo, run.setup
    # the least force over the range is what can be counted on
    assert run.value("servo_force") == run.statics.servo_force.min() < run.statics.servo_force.max()
    available = setup.drive.available_torque(setup.plant.supply)
    assert run.value("servo_torque_share") == pytest.approx(run.value("servo_torque_peak") / available)
    # 0.19 N m at its 5 V, a little less over 80 mohm of lead
    assert 0.17 < available < 0.19
    high, low = servo.legs
    for side, leg in (("high", high), ("low", low)):
        assert run.value(f"current_peak_{side}") == leg.peak
        assert run.value(f"current_hold_{side}") == leg.hold
        assert run.value(f"arrival_{side}") == leg.arrival
    assert (high.go, low.go) == (1.0, -1.0)


def test_the_meter_holds_what_it_last_showed_before_a_leg_ended(run):
    """Refreshes every third of a second; of the two legs the larger reading counts."""
    meter = SimpleNamespace(time=np.arange(7) / 3.0, value=np.array([0.0, 0.9, 0.4, 0.31, 0.8, 0.5, 0.27]))
    high, low = (replace(leg, end=end) for leg, end in zip(run.servo.legs, (1.2, 2.0), strict=True))
    servo = replace(run.servo, meter=meter)
    for ends, expected in (((high, low), 0.31), ((high, None), 0.31), ((None, low), 0.27)):
        found = servo_findings(run.setup, run.statics, servo, ends)
        assert found["meter_hold"].value == expected
        assert found["meter_peak"].value == 0.9
    late = (high, replace(low, end=1.7))  # 0.5 was shown last
    assert servo_findings(run.setup, run.statics, servo, late)["meter_hold"].value == 0.5


def test_release_is_that_of_the_high_side(run):
    high, low = (SimpleNamespace(verdict=SimpleNamespace(value=value)) for value in ("returns", "runs out"))
    found = gauge_findings(run.gauge, high, low)
    assert found["release"].value == "returns"
    assert found["release_low"].value == "runs out"


def test_raising_pitch_takes_more_push_than_lowering_it(run):
    """By twice the friction; on the way up it is on top of the load."""
    loop = run.curves["force_loop"].columns
    inside = np.abs(loop["pitch"]) < np.deg2rad(15.0)
    width = (loop["rod_force_up"] - loop["rod_force_down"])[inside]
    expected = 2.0 * np.interp(loop["pitch"][inside], run.statics.pitch, run.statics.rod_friction)
    assert np.median(width) == pytest.approx(np.median(expected), rel=0.15)
    assert run.value("rod_force_loop") == pytest.approx(np.median(width), rel=0.25)


def test_forces_at_the_ends_are_those_a_person_reads_there(run):
    """Friction works against the way the rod goes: on top of the load going up at the high end, off it coming back; a
    reading at an end lies within the loop's push and pull.
    """
    found = forces_at_ends(run.gauge)
    load, half = run.statics.rod_force, run.statics.rod_friction
    expected = {
        "rod_force_high": load[-1] + half[-1],
        "rod_force_high_back": load[-1] - half[-1],
        "rod_force_low": load[0] - half[0],
        "rod_force_low_back": load[0] + half[0],
    }
    for name, value in expected.items():
        assert found[name] == pytest.approx(value, abs=0.05), name
        assert -run.gauge.pull - 1e-9 <= found[name] <= run.gauge.push + 1e-9
        assert run.value(name) == found[name]
    middle = np.interp(0.0, run.statics.pitch, load)
    assert 0.5 * (found["rod_force_neutral_up"] + found["rod_force_neutral_down"]) == pytest.approx(
        middle, abs=0.05
    )
    assert found["rod_force_neutral_up"] > found["rod_force_neutral_down"]


def test_no_force_past_zero_pitch_where_the_stroke_does_not_reach_it(run):
    gauge = replace(run.gauge, pitch=run.gauge.pitch + 1.0)
    found = forces_at_ends(gauge)
    assert found["rod_force_neutral_up"] is None
    assert found["rod_force_high"] == min(float(gauge.up[-1]), gauge.push)


def test_zeros_of_a_curve_by_hand():
    pitch = np.array([0.0, 1.0, 2.0, 3.0, 4.0])
    assert zero_crossings(pitch, np.array([-1.0, 3.0, 3.0, 0.0, -5.0])) == pytest.approx([0.25, 3.0])
    assert zero_crossings(pitch, np.array([4.0, -1.0, -1.0, -1.0, 0.0])) == pytest.approx([0.8, 4.0])
    assert zero_crossings(pitch, np.ones(5)) == []


def test_the_step_error_is_the_worst_of_forces_and_of_currents():
    """10.1 for 10 N is 1 % of the largest force; 0.48 for 0.5 A is 4 % of the largest current."""
    kinds = dict.fromkeys(("rod_force_push", "rod_force_pull", "rod_force_breakout"), "force")
    kinds |= {f"current_{what}_{side}": "current" for what in ("peak", "hold") for side in ("high", "low")}

    def made(**values):
        numbers = {name: 10.0 if kind == "force" else 0.5 for name, kind in kinds.items()} | values
        findings = {name: SimpleNamespace(kind=kind) for name, kind in kinds.items()}
        return SimpleNamespace(value=numbers.__getitem__, findings=findings)

    assert step_error(made(), made(rod_force_push=10.1)) == pytest.approx(0.1 / 10.1, rel=1e-6)
    assert step_error(made(), made(rod_force_push=10.1, current_hold_low=0.48)) == pytest.approx(
        0.04, rel=1e-6
    )
    assert step_error(made(), made()) == 0.0
    # pulls are told as negative by some: sizes count; where nothing flows nothing is off
    pull = {"rod_force_pull": -30.0, "rod_force_push": 1.0, "rod_force_breakout": 1.0}
    assert step_error(made(**pull), made(**(pull | {"rod_force_push": 1.3}))) == pytest.approx(0.01)
    none = dict.fromkeys([name for name, kind in kinds.items() if kind == "current"], 0.0)
    assert step_error(made(**none), made(**none)) == 0.0


def test_a_comparison_says_what_changed_and_by_which_share(scenario_of):
    """A grip of 6.4 g for 5.4 g: 1 g of 11 more, 9.1 %; every later build against the first."""
    heavy = {"part": {"grip": {"mass": "6.4 g"}}}
    found = compare(scenario_of(**SHORT), scenario_of(**heavy, **SHORT), scenario_of(**SHORT))
    first, second = ({one.name: one for one in changes} for changes in found.changes)
    assert (first["mass"].before, first["mass"].after) == pytest.approx((11.0e-3, 12.0e-3))
    assert first["mass"].difference == pytest.approx(1.0e-3)
    assert first["mass"].share == pytest.approx(1.0 / 11.0)
    assert second["mass"].difference == pytest.approx(0.0, abs=1e-12)
    assert first["release"].difference is None
