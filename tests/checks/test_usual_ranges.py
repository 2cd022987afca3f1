"""What counts as usual, in a builder's units: a figure just inside goes without a word, one outside is asked about.

For one rotor of 100 mm tip radius, its chord 25 mm, its servo of 0.2 N m at 6 V and 0.8 A; lengths grow with the tip
radius, forces with its square, masses with its cube. All of it common practice, no source.
"""

from math import inf, pi, radians
from types import SimpleNamespace

import pytest

from featherbench.slips.band import Band, within
from featherbench.slips.linkage import linkage_remarks
from featherbench.slips.remarks import remark_list
from featherbench.slips.rotor import pull_remarks, rotor_remarks
from featherbench.slips.servo import servo_remarks
from featherbench.slips.tables import _grade, table_remarks

MM, G, DEG = 1e-3, 1e-3, pi / 180.0

LINKAGE = [
    ("horn_arm", 3.5 * MM, 35.0 * MM),
    ("servo_arm", 3.5 * MM, 40.0 * MM),
    ("lever_out", 3.5 * MM, 50.0 * MM),
    ("lever_in", 3.5 * MM, 50.0 * MM),
    ("pitch_link", 6.0 * MM, 120.0 * MM),
    ("rod_length", 50.0 * MM, 1.5),
    ("stiffness", 6e3, 160e3),
    ("slider_friction", 0.04, 1.1),
    ("rod_friction", 0.0, 0.8),
    ("rod_diameter", 0.52 * MM, 10.0 * MM),
    ("rod_support_spacing", 14.0 * MM, 400.0 * MM),
    ("rod_mass", 0.6 * G, 40.0 * G),
    ("rod_modulus", 1e9, 450e9),
    ("arm_neutral", 0.0, 45.0 * DEG),
    ("lever_neutral", 0.0, 45.0 * DEG),
    ("horn_neutral", 0.0, 45.0 * DEG),
    ("play.rod", 0.0, 0.3 * MM),
    ("play.slider", 0.0, 0.3 * MM),
    ("play.horn", 0.0, 0.3 * MM),
    ("slider_mass", 0.0, 100.0 * G),
]
SERVO = [
    ("servo.voltage", 3.0, 14.0),
    ("servo.stall_torque", 0.01, 5.0),
    ("servo.transit_60", 0.02, 0.4),
    ("servo.gear_ratio", 50.0, 1000.0),
    ("servo.proportional_band", 0.7 * DEG, 15.0 * DEG),
    ("servo.dead_band", 0.0, 1.6 * DEG),
    ("servo.drive_rate", 40.0, 2500.0),
    ("servo.frame_rate", 40.0, 2500.0),
    ("servo.gear_play", 0.0, 1.6 * DEG),
    ("servo.damping", 0.0, 0.02),
    ("servo.travel", 20.0 * DEG, 180.0 * DEG),
    ("servo.gear_friction", 1e-3, 0.06),
    ("servo.output_friction", 0.0, 5e-3),
    ("servo.gear_stiffness", 0.3, 120.0),
    ("servo.idle_current", 0.0, 0.04),
    ("servo.running_current", 0.016, 0.48),
    ("supply.voltage", 3.6, 9.0),
    ("supply.resistance", 0.0, 0.75),
    ("supply.limit", 0.4, 20.0),
    ("servo.inductance", 30e-6, 12e-3),  # 5 us and 2 ms of L/R, 6 ohm
]
ROTOR = [
    ("blade.tip", 30.0 * MM, 300.0 * MM),
    ("blade.root", 12.0 * MM, 70.0 * MM),
    ("blade.bolt_radius", 10.0 * MM, 60.0 * MM),
    ("blade.axis_at", 0.15, 0.6),
    ("bearing.mean_diameter", 1.5 * MM, 25.0 * MM),
    ("bearing.coefficient", 2e-4, 0.03),
    ("bearing.starting_moment", 0.0, 0.9e-3),
    # 8 mm: 5 N/mm^2 of its square, and all that its balls can bear by ISO 76 (MEM), 61.6 x pi x 0.3
    ("bearing.static_rating", 320.0, 61.6 * pi * 0.3 * 64.0),
    ("rotor.speed", 400.0, 2210.0),  # tips of 40 m/s, and of 0.65 times sound
    ("rotor.coning", 0.0, 8.0 * DEG),
    ("air.density", 0.6, 1.6),
    ("air.altitude", 0.0, 4500.0),
    ("air.temperature", 233.0, 323.0),
]
TABLES = [
    ("bench.current_window", 3e-4, 0.2),
    ("gauge.rate", 0.9, 5000.0),
    ("gauge.sweep", 1.5, 90.0),
    ("gauge.stiffness", 4.5e3, 190e3),
    ("gauge.resolution", 0.0, 0.25),
    ("gauge.uncertainty", 0.0, 0.75),
    ("meter.resolution", 0.0, 0.06),
    ("meter.uncertainty", 0.0, 0.15),
    ("meter.window", 0.005, 2.0),
    ("meter.rate", 0.5, 2000.0),
    ("scale.inertia", 0.5, 2.0),
    ("scale.air_moment", 0.2, 5.0),
    ("limits.rod_ball_link", 9.5, 470.0),
    ("limits.regulator_current", 0.44, 14.4),
    ("limits.servo_continuous_torque", 0.012, 0.2),
    ("limits.blade_mismatch", 5e-9, 0.85e-6),
    ("envelope.height_above", 3.0 * MM, 50.0 * MM),
    ("envelope.height_below", 3.0 * MM, 50.0 * MM),
    ("envelope.diameter", 2.0 * MM, 30.0 * MM),
    ("envelope.clear_inboard", 2.0 * MM, 40.0 * MM),
    ("envelope.clear_outboard", 12.0 * MM, 150.0 * MM),
    ("envelope.arm_radius", 5.0 * MM, 70.0 * MM),
    ("envelope.arm_foot", 1.0 * MM, 30.0 * MM),
    ("envelope.seat_above", 0.5 * MM, 30.0 * MM),
    ("envelope.seat_below", 0.5 * MM, 30.0 * MM),
    ("envelope.bolt_length", 5.0 * MM, 100.0 * MM),
    ("envelope.lathe_step", 0.015 * MM, 0.6 * MM),
    ("envelope.target.compensation", 0.1, 1.4),
    ("aircraft.tail_arm", 250.0 * MM, 1.6),
    ("aircraft.main_radius", 200.0 * MM, 1.2),
    ("aircraft.figure_of_merit", 0.25, 0.85),
    ("aircraft.mass", 0.45, 9.0),
    ("aircraft.yaw_inertia", 0.045 * 0.36, 0.9 * 0.36),  # 0.6 m of arm, squared
    ("aircraft.main_speed", 50.0, 360.0),  # 0.5 m of main rotor: 25 to 180 m/s at its tips
    # 1 to 20 thousandths of air density x (tip speed)^2 x disc area x arm
    ("aircraft.main_torque", 0.001 * 248.05, 0.02 * 248.05),
    ("aircraft.gyro.rate_gain", 0.005, 3.0),
    ("aircraft.gyro.hold_gain", 0.0, 20.0),
    ("aircraft.gyro.rate", 30.0, 5000.0),
    ("aircraft.gyro.delay", 0.0, 0.025),
]
ENVELOPE = {
    "scenario.envelope.stock": (),
    "scenario.envelope.target.compensation": 0.5,
    "scenario.envelope.diameter": 9.0 * MM,
}
AIRCRAFT = {
    "scenario.aircraft.tail_arm": 0.6,
    "scenario.aircraft.main_radius": 0.5,
    "scenario.aircraft.gyro": {},
}
ROWS = [
    *((linkage_remarks, "linkage.", *row) for row in LINKAGE),
    *((servo_remarks, "", *row) for row in SERVO),
    *((rotor_remarks, "", *row) for row in ROTOR),
    *((table_remarks, "", *row) for row in TABLES),
]


@pytest.mark.parametrize(
    ("room", "table", "key", "low", "high"), ROWS, ids=lambda value: value if isinstance(value, str) else ""
)
def test_a_figure_is_asked_about_outside_its_range_and_not_inside(stated, room, table, key, low, high):
    def asked(value):
        figures = {f"scenario.{table}{key}": value}
        if key.startswith("envelope."):
            figures = ENVELOPE | figures
        if key.startswith("aircraft."):
            figures = AIRCRAFT | figures
        found = [one for one in room(stated(figures)) if "amperes" not in one.usual]
        return [one.key for one in found].count(f"{table}{key}")

    assert (asked(0.999 * high), asked(1.001 * high)) == (0, 1)
    if low:
        assert (asked(1.001 * low), asked(0.999 * low)) == (0, 1)
    if key not in (
        "servo.transit_60",
        "blade.tip",
        "rotor.speed",
        "aircraft.main_radius",
        "limits.blade_mismatch",
    ):
        assert asked(0.0) == 0  # left out on purpose
        assert low or asked(1e-4 * high) == 0


def test_rows_of_figures_are_asked_about_once(stated):
    """Chords of 8 to 45 mm, blades 4 to 30 per cent thick, holds of 0.25 to 12 s, bars of 0.1 to 4 diameters."""

    def asked(room, key, rows, **more):
        return [one.key for one in room(stated({f"scenario.{key}": rows, **more}))]

    for chord, count in ((7.9, 1), (8.1, 0), (44.9, 0), (45.1, 1)):
        rows = ((0.04, 25.0 * MM), (0.06, chord * MM), (0.09, chord * MM))
        assert asked(rotor_remarks, "blade.chord", rows).count("blade.chord") == count
    for thick, count in ((0.99, 1), (1.01, 0), (7.49, 0), (7.51, 1)):
        assert (
            asked(rotor_remarks, "blade.thickness", ((0.05, thick * MM),)).count("blade.thickness") == count
        )
    for hold, count in ((0.249, 1), (0.251, 0), (11.9, 0), (12.1, 1)):
        moves = (SimpleNamespace(hold=hold),)
        assert asked(table_remarks, "bench.programme", moves).count("bench.programme hold") == count
    for bar, count in ((0.89, 1), (0.91, 0), (35.9, 0), (36.1, 1)):
        found = asked(
            table_remarks,
            "envelope.stock",
            (bar * MM,),
            **{k: v for k, v in ENVELOPE.items() if "stock" not in k},
        )
        assert found.count("envelope.stock") == count


def test_a_motor_comes_to_speed_in_milliseconds(stated):
    """R J/K^2 of 0.25 to 25 ms: 6 ohm and 2e-4 N m/A make that 1.67e-12 to 1.67e-10 kg m^2; nothing of no gear."""
    for inertia, count in ((1.66e-12, 1), (1.68e-12, 0), (1.66e-10, 0), (1.68e-10, 1)):
        figures = {"scenario.servo.rotor_inertia": 3.5e-11, "drive.motor.inertia": inertia}
        keys = [one.key for one in servo_remarks(stated(figures | {"scenario.servo.gear_ratio": 200.0}))]
        assert keys.count("servo.rotor_inertia") == count
        keys = [one.key for one in servo_remarks(stated(figures | {"scenario.servo.gear_ratio": 20.0}))]
        assert keys == ["servo.gear_ratio"]


def test_a_servo_gives_a_sixth_of_what_it_takes(stated):
    """4.8 W taken; 0.2 N m at 60 deg in t gives 0.2 (pi/3)/t: 0.15 of 4.8 W at 0.2909 s."""
    assert [one.key for one in servo_remarks(stated({"scenario.servo.transit_60": 0.291}))] == [
        "servo.stall_torque"
    ]
    (said,) = servo_remarks(stated({"scenario.servo.transit_60": 0.35}))
    assert "0.6 W out of 4.8 W" in said.why
    assert "0.35 s for 60 deg" in said.given
    assert not list(servo_remarks(stated({"scenario.servo.transit_60": 0.2908})))


@pytest.mark.parametrize(
    ("low", "high", "asked"),
    [(-24, 26, False), (-7.9, 7.9, True), (-8.1, 8.1, False), (-26, 3.3, True), (-26, 3.5, False), (-3.3, 26, True),
     (0, 26, False), (-26, 0, False), (-8, 8, False), (-45, 45, False),
     (2, 26, False), (-26, -2, False), (-46, 26, True), (-26, 46, True), (-44, 26, False)],
)  # fmt: skip
def test_a_pitch_range_is_of_degrees_and_to_both_sides(stated, low, high, asked):
    found = list(rotor_remarks(stated({"scenario.rotor.pitch_range": (radians(low), radians(high))})))
    assert [one.key for one in found] == (["rotor.pitch_range"] if asked else [])
    if asked:
        assert f"{low:.3g} deg to {high:.3g} deg" in found[0].given.replace(" to", " deg to").replace(
            "deg deg", "deg"
        )


def test_a_pull_beyond_some_thousand_newtons(stated):
    """5e-4 kg m at 2,440 and at 2,460 rad/s: 2,977 and 3,026 N."""
    assert not list(pull_remarks(stated({"scenario.rotor.speed": 2440.0})))
    assert not list(pull_remarks(stated({"scenario.rotor.speed": 1.0, "moments.radial": 3000.0})))
    (said,) = pull_remarks(stated({"scenario.rotor.speed": 2460.0}))
    assert said.given == "3,026 N"


def test_a_speed_is_told_by_its_tips(stated):
    """2,500 rad/s x 0.1 m = 250 m/s, 0.74 of 340 m/s."""
    (said,) = (
        one for one in rotor_remarks(stated({"scenario.rotor.speed": 2500.0})) if one.key == "rotor.speed"
    )
    assert "250 m/s, 0.74 x the speed of sound" in said.why


BAND = Band("some.key", "length", 2.0, 5.0, "beside it", "said why")


@pytest.mark.parametrize(
    ("value", "reference", "asked"),
    [
        (2.0, 1.0, 0),
        (5.0, 1.0, 0),
        (1.999, 1.0, 1),
        (5.001, 1.0, 1),
        (-3.0, 1.0, 0),
        (-5.001, 1.0, 1),
        (7.0, 2.0, 0),
        (0.0, 1.0, 0),
        (None, 1.0, 0),
        (9.0, 0.0, 0),
        (9.0, inf, 0),
    ],
)
def test_both_ends_are_usual_and_what_is_not_stated_is(value, reference, asked):
    assert len(list(within(BAND, value, reference))) == asked
    if reference == 1.0:
        assert len(list(within(BAND, value))) == asked


def test_a_remark_says_key_figure_and_what_is_usual():
    (said,) = within(BAND._replace(low=2e-3, high=5.4e-3), 12.3456e-3)
    assert said.sentence == "Is this meant: some.key = 12.35 mm? Usual is 2 to 5.4 mm beside it (said why)."
    (said,) = within(BAND._replace(low=0.0, high=5.46e-3, beside="", why=""), 0.25)
    assert said.sentence == "Is this meant: some.key = 250 mm? Usual is up to 5.5 mm."
    (said,) = within(BAND._replace(low=2e-3, high=inf, why=""), 1e-3)
    assert said.sentence == "Is this meant: some.key = 1 mm? Usual is at least 2 mm beside it."


def test_a_rating_is_not_judged_beside_a_bearing_of_no_size(stated):
    build = stated({"scenario.bearing.mean_diameter": None, "scenario.bearing.static_rating": 1000.0})
    assert [one.key for one in rotor_remarks(build)] == []


@pytest.mark.parametrize(
    ("grade", "asked"), [("G0.3", True), ("G0.4", False), ("6.3", False), ("G16", False), ("G40", True)]
)
def test_a_balance_grade_is_one_that_balances(stated, grade, asked):
    setup = stated({"scenario.limits.balance_grade": grade})
    assert [one.given for one in _grade(setup)] == [grade] * asked
    assert not list(_grade(stated({})))


def test_what_follows_from_a_slip_of_the_outline_is_not_a_slip_as_well(stated):
    """A chord of half a metre: neither the masses nor the aircraft are held against such a rotor; the gauge is."""
    masses = {"moments.mass": 1.0}
    others = AIRCRAFT | {"scenario.aircraft.mass": 99.0, "scenario.gauge.rate": 0.1} | masses
    wide = {"scenario.blade.chord": ((0.05, 0.5),)}
    assert [one.key for one in remark_list(stated(wide | masses))] == ["blade.chord"]
    assert [one.key for one in remark_list(stated(wide | others))] == ["blade.chord", "gauge.rate"]
    assert [one.key for one in remark_list(stated(masses))] == ["mass of all parts together"]
