"""What is read from tests of a bench run, numbers by key path, and a variant's file, by hand."""

from collections import Counter
from dataclasses import replace
from math import cos, pi, radians, sin
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.bench.holding import Way
from featherbench.bench.legs import Ending
from featherbench.guide.findings import FINDINGS_TABLE
from featherbench.linkage import LinkageReach
from featherbench.scenario import ScenarioError
from featherbench.studies import bench_tests, run_curves, run_findings, variant_file
from featherbench.studies.bench_tests import BenchTests, needed_for
from featherbench.studies.free_play import HOVER_BAND, FreePlay
from featherbench.studies.key_paths import looked_up, with_value
from featherbench.studies.run_findings import (
    air_findings,
    force_findings,
    free_play_findings,
    hold_findings,
    legs_at_ends,
    zero_crossings,
)


def values(found):
    return {name: one.value for name, one in found.items()}


# -- run findings ----------------------------------------------------------------------------------------


def test_the_legs_at_the_ends_are_the_first_that_go_furthest():
    def ends(*goes):
        legs = [SimpleNamespace(go=go) for go in goes]
        return tuple(
            None if leg is None else legs.index(leg) for leg in legs_at_ends(SimpleNamespace(legs=legs))
        )

    assert ends(0.5, 1.0, 1.0, -0.2, -0.4, -0.4) == (1, 4)
    assert ends(0.0, 0.5) == (1, None)
    assert ends(0.0, -0.5) == (None, 1)
    assert ends(0.0) == (None, None)


def test_a_gauges_figures_go_under_their_names_and_a_breakout_is_a_size():
    gauge = SimpleNamespace(
        pitch=np.array([-0.2, 0.0, 0.3]), up=np.array([-4.0, 1.5, 9.0]), down=np.array([-7.0, -1.0, 5.0]),
        push=8.0, pull=6.0, breakout=-1.2, width=2.5, shown_push=8.1, shown_pull=6.1,
    )  # fmt: skip
    assert values(force_findings(gauge)) == {
        "rod_force_push": 8.0, "rod_force_pull": 6.0, "rod_force_breakout": 1.2, "rod_force_loop": 2.5,
        "gauge_push": 8.1, "gauge_pull": 6.1,
        "rod_force_high": 8.0, "rod_force_high_back": 5.0,  # held to what was recorded within the stroke
        "rod_force_low": -6.0, "rod_force_low_back": -4.0,
        "rod_force_neutral_up": 1.5, "rod_force_neutral_down": -1.0,
    }  # fmt: skip
    for shift in (0.2, -0.3):  # zero pitch is the very end: nobody passes it
        end = SimpleNamespace(**{**vars(gauge), "pitch": gauge.pitch + shift})
        assert force_findings(end)["rod_force_neutral_up"].value is None


def servo_leg(start, **more):
    """Figures that are all apart: peak, shown, hold, motor's hold, place, arrival, from `start` on."""
    names = ("peak", "shown", "hold", "motor_hold", "hold_place", "arrival")
    return SimpleNamespace(
        **dict(zip(names, np.arange(start, start + 0.55, 0.1).tolist(), strict=True)), **more
    )


@pytest.mark.parametrize(("available", "share"), [(0.2, 0.4), (0.0, None)])
def test_a_servos_figures_go_under_their_names(monkeypatch, available, share):
    """Of either end its own leg; what the meter showed last before each ended, the larger; nothing of no reading."""
    asked = []
    monkeypatch.setattr(run_findings, "peak_shown", lambda *given: asked.append(given) or 0.77)
    meter = SimpleNamespace(time=np.array([0.5, 1.0, 2.0]), value=np.array([0.1, 0.6, 0.3]))
    servo = SimpleNamespace(torque_peak=0.08, raw_peak=1.5, time="time", supply_current="drawn", meter=meter)
    setup = SimpleNamespace(
        drive=SimpleNamespace(available_torque=lambda supply: available if supply.idle == 0.01 else None),
        plant=SimpleNamespace(supply=SimpleNamespace(idle=0.01)), scenario=SimpleNamespace(meter="its meter"),
    )  # fmt: skip
    statics = SimpleNamespace(servo_force=np.array([9.0, 7.0, 8.0]))
    high, low = servo_leg(0.0, end=1.0), servo_leg(10.0, end=2.5)
    found = values(run_findings.servo_findings(setup, statics, servo, (high, low)))
    assert asked == [("time", "drawn", "its meter", 0.01, meter)]
    names = {"current_peak": 0.0, "meter_peak": 0.1, "current_hold": 0.2, "motor_current_hold": 0.3, "hold_place": 0.4,
             "arrival": 0.5}  # fmt: skip
    assert found == {
        "servo_force": 7.0, "servo_torque_peak": 0.08, "servo_torque_share": pytest.approx(share) if share else None,
        "current_raw_peak": 1.5, "meter_peak": 0.77, "meter_hold": 0.6,
        **{f"{name}_high": pytest.approx(value) for name, value in names.items()},
        **{f"{name}_low": pytest.approx(10.0 + value) for name, value in names.items()},
    }  # fmt: skip
    assert set(found) == set(run_findings.OF_SERVO)
    for end, shown in ((0.5, 0.1), (0.4, None)):  # the first reading is at half a second
        none = values(run_findings.servo_findings(setup, statics, servo, (servo_leg(0.0, end=end), None)))
        assert none["meter_hold"] == shown
        assert {none[f"{name}_low"] for name in names} == {None}


def air_setup(stalled, speed=100.0):
    """Thrust 2 + pitch and torque 3 - pitch, over the square of speed, at the middle of five inflows."""
    pitch = np.array([-0.5, 0.0, 0.5])
    rows = np.outer(np.ones(3), [9.0, 9.0, 1.0, 9.0, 9.0])
    table = SimpleNamespace(
        axial=np.zeros(5),
        pitch=pitch,
        thrust=rows * (2.0 + pitch)[:, None],
        torque=rows * (3.0 - pitch)[:, None],
    )
    rotor = SimpleNamespace(speed=speed, pitch_range=(-0.4, 0.3))
    return SimpleNamespace(
        air=SimpleNamespace(table=table, rotor=stalled), scenario=SimpleNamespace(rotor=rotor)
    )


@pytest.fixture(autouse=True)
def stall(monkeypatch):
    monkeypatch.setattr(run_findings, "stall_pitch", lambda rotor, *_: rotor)


STATICS = SimpleNamespace(pitch=np.array([-0.4, 0.0, 0.3]), rod_force=np.array([-1.0, 3.0, -3.0]))


def test_thrust_and_power_by_hand():
    """Thrust with the square, power with the cube of speed; power of the end that takes more."""
    found = values(air_findings(air_setup((-0.3, 0.2)), STATICS, None))
    assert found == {
        "thrust_high": pytest.approx(2.3e4), "thrust_low": pytest.approx(1.6e4), "power": pytest.approx(3.4e6),
        "rod_force_zero_low": pytest.approx(-0.3), "rod_force_zero_high": pytest.approx(0.15),
        "stall_low": -0.3, "stall_high": 0.2,
    }  # fmt: skip
    steady = SimpleNamespace(pitch=STATICS.pitch, rod_force=np.ones(3))
    ends = values(air_findings(air_setup((-0.4, 0.3)), steady, None))  # no stall before the ends
    for name in ("stall_low", "stall_high", "rod_force_zero_low", "rod_force_zero_high"):
        assert ends[name] is None


@pytest.mark.parametrize("found", [True, False])
@pytest.mark.parametrize("leg", [SimpleNamespace(hold=0.2), None])
def test_hover_is_given_as_far_as_it_was_found(found, leg):
    hover = SimpleNamespace(found=found, pitch=0.1, thrust=3.0, power=7.0, rod_force=1.5, leg=leg, charge=9.0)
    read = values(air_findings(air_setup((-0.3, 0.2)), STATICS, hover))
    assert (read["hover_thrust"], read["charge_hover"]) == (3.0, 9.0)
    assert (read["hover_pitch"], read["hover_power"], read["rod_force_hover"]) == (
        (0.1, 7.0, 1.5) if found else (None, None, None)
    )
    assert read["current_hold_hover"] == (0.2 if leg else None)


def test_play_is_looked_for_about_the_hover_pitch_or_neutral():
    pitch = np.linspace(-0.3, 0.3, 601)
    free = FreePlay(pitch, 2.0 + 10.0 * np.abs(pitch - 0.02), np.abs(pitch), ((-0.2, -0.1), (0.15, 0.2)), 0.0)
    plain = values(free_play_findings(free, None))
    assert plain == {"float_low": -0.2, "float_high": -0.1, "lost_motion": pytest.approx(0.3)}
    lost = values(free_play_findings(free, SimpleNamespace(found=False, pitch=0.2)))
    assert lost == plain
    hover = values(free_play_findings(free, SimpleNamespace(found=True, pitch=0.2)))
    assert (hover["float_low"], hover["float_high"]) == (0.15, 0.2)
    assert hover["seat_ratio_hover"] == pytest.approx(2.0 + 10.0 * (0.18 - HOVER_BAND))
    assert radians(2.9) < HOVER_BAND < radians(3.1)
    none = replace(free, windows=())
    assert values(free_play_findings(none, None))["float_low"] is None


def test_a_zero_at_a_point_counts_once():
    pitch = np.arange(4.0)
    assert zero_crossings(pitch, np.array([0.0, 1.0, -3.0, -1.0])) == pytest.approx([0.0, 1.25])
    assert zero_crossings(pitch, np.array([-1.0, 0.0, 1.0, 0.0])) == pytest.approx([1.0, 3.0])
    assert zero_crossings(pitch, np.array([-1.0, -1.0, -1.0, 0.0])) == pytest.approx([3.0])


@pytest.fixture
def held(monkeypatch):
    """Each way's hold on the high and low side as told, and the friction band about a pitch."""
    asked = []
    ways = {}
    monkeypatch.setattr(
        run_findings,
        "held_after",
        lambda _, way, step_share: asked.append((way, step_share)) or ways[way],
    )

    def band(_, pitch):
        if pitch > 1.0:
            raise LinkageReach
        return SimpleNamespace(least=pitch - 0.1, most=pitch + 0.1)

    monkeypatch.setattr(run_findings, "hold_band", band)
    return asked, ways


def leg(hold, shown=0.0, ending=Ending.HELD, pitch=0.5):
    return SimpleNamespace(hold=hold, shown=shown, ending=ending, final_pitch=pitch)


def departed(stick):
    return SimpleNamespace(scenario=SimpleNamespace(departure=SimpleNamespace(stick=stick)))


def test_a_hold_is_read_each_way_and_its_band_where_it_was_held(held):
    asked, ways = held
    for number, way in enumerate(Way):
        ways[way] = (leg(1.0 + number, 2.0 + number), leg(-1.0 - number, 3.0 - number))
    read = values(hold_findings(departed(0.0), (leg(0.0), leg(0.0, pitch=-0.5)), 0.25))
    assert asked == [(way, 0.25) for way in Way]
    chosen = str(run_findings.way_at(0.0))
    assert read["holding_high"] == read[f"hold_{chosen}_high"]
    assert read["holding_low"] == read[f"hold_{chosen}_low"]
    for number, way in enumerate(Way):
        assert (read[f"hold_{way}_high"], read[f"hold_{way}_low"]) == (1.0 + number, -1.0 - number)
        if way in (Way.SLAM, Way.HAND):
            assert read[f"meter_peak_{way}"] == max(2.0 + number, 3.0 - number)
    assert [n for n in read if n.startswith("meter_peak")] == [
        f"meter_peak_{w}" for w in (Way.SLAM, Way.HAND)
    ]
    assert (read["hold_least_high"], read["hold_most_high"]) == pytest.approx((0.4, 0.6))
    assert (read["hold_least_low"], read["hold_most_low"]) == pytest.approx((-0.6, -0.4))


def test_no_band_where_nothing_is_held_or_the_linkage_does_not_reach(held):
    asked, ways = held
    for way in Way:
        ways[way] = (None, leg(0.7, shown=0.3))
    read = values(hold_findings(departed(0.0), (leg(0.0, ending=Ending.STALLED), None), 1.0, every_way=False))
    assert asked == [(run_findings.way_at(0.0), 1.0)]
    assert not [name for name in read if "least" in name or "most" in name]
    assert (read["holding_high"], read["holding_low"]) == (None, 0.7)
    beyond = values(hold_findings(departed(0.0), (leg(0.0, pitch=1.1), leg(0.0)), 1.0))
    assert "hold_least_high" not in beyond
    assert beyond["hold_least_low"] == pytest.approx(0.4)
    for way in Way:
        ways[way] = (None, None)
    assert not [name for name in values(hold_findings(departed(0.0), (None, None), 1.0)) if "meter" in name]


# -- curves ----------------------------------------------------------------------------------------------


def test_curves_go_under_their_names_with_their_kinds():
    """Every column is told apart; the meter keeps what it shows until its next reading, and what it showed first."""
    names = (
        "pitch moment air friction rod_force servo_force up down command_pitch servo_angle motor_current "
        "supply_current spin lost_motion seat_ratio free high low grip"
    )
    three = {name: np.arange(3.0) + 10.0 * number for number, name in enumerate(names.split())}
    statics = SimpleNamespace(**three, by_group={"grip": three["grip"]})
    gauge = SimpleNamespace(pitch=three["pitch"] + 1.0, up=three["up"], down=three["down"])
    time = np.array([-0.1, 0.2, 0.5])
    meter = SimpleNamespace(time=np.array([0.0, 0.2, 0.4, 0.6]), value=np.array([0.5, 0.6, 0.7, 0.8]))
    servo = SimpleNamespace(**{**three, "pitch": three["pitch"] + 2.0, "rod_force": three["rod_force"] + 2.0},
                            time=time, meter=meter)  # fmt: skip
    free = SimpleNamespace(
        pitch=three["free"], lost_motion=three["lost_motion"], seat_ratio=three["seat_ratio"]
    )
    high, low = (
        SimpleNamespace(time=time + shift, pitch=three[name]) for shift, name in ((1.0, "high"), (2.0, "low"))
    )
    tests = SimpleNamespace(
        statics=statics, gauge=gauge, servo=servo, free_play=free, release_high=high, release_low=low
    )
    found = run_curves.run_curves(tests)
    expected = {
        "lost_motion": {"pitch": (free.pitch, "angle"), "lost_motion": (free.lost_motion, "angle"),
                        "seat_ratio": (free.seat_ratio, "ratio")},
        "release_high": {"time": (high.time, "time"), "pitch": (high.pitch, "angle")},
        "release_low": {"time": (low.time, "time"), "pitch": (low.pitch, "angle")},
        "force_loop": {"pitch": (gauge.pitch, "angle"), "rod_force_up": (gauge.up, "force"),
                       "rod_force_down": (gauge.down, "force"), "rod_force_static": (statics.rod_force, "force"),
                       "servo_force": (statics.servo_force, "force")},
        "moments": {"pitch": (statics.pitch, "angle"), "moment": (statics.moment, "moment"),
                    "group_grip": (three["grip"], "moment"), "air": (statics.air, "moment"),
                    "friction": (statics.friction, "moment")},
        "run": {"time": (time, "time"), "command": (servo.command_pitch, "angle"),
                "servo_angle": (servo.servo_angle, "angle"), "pitch": (servo.pitch, "angle"),
                "rod_force": (servo.rod_force, "force"), "motor_current": (servo.motor_current, "current"),
                "supply_current": (servo.supply_current, "current"), "meter": (np.array([0.5, 0.6, 0.7]), "current"),
                "spin": (servo.spin, "rotation")},
    }  # fmt: skip
    assert found.keys() == expected.keys()
    for name, columns in expected.items():
        assert list(found[name].columns) == list(columns)
        assert found[name].kinds == {column: kind for column, (_, kind) in columns.items()}
        for column, (curve, _) in columns.items():
            assert np.array_equal(found[name].columns[column], curve), (name, column)


# -- which tests are run ---------------------------------------------------------------------------------


def test_steps_are_those_that_were_asked_for(monkeypatch):
    """The gauge's and the release's share is of the step's; a release is from its own side."""
    asked = {}
    for name in ("run_gauge", "run_servo", "hover_trim", "static_curves"):
        monkeypatch.setattr(
            bench_tests, name, lambda *_, name=name, **how: asked.__setitem__(name, how) or name
        )
    monkeypatch.setattr(bench_tests, "release_points", lambda _: (0.4, -0.3))
    monkeypatch.setattr(bench_tests, "run_release", lambda _, start, step_share: (start, step_share))
    tests = BenchTests("setup", 0.5, 0.25, groups=False, held=False)
    assert (tests.gauge, tests.servo, tests.hover) == ("run_gauge", "run_servo", "hover_trim")
    assert asked == {
        "static_curves": {"groups": False}, "run_gauge": {"step_share": 0.125}, "run_servo": {"step_share": 0.5},
        "hover_trim": {"step_share": 0.5, "held": False},
    }  # fmt: skip
    assert (tests.release_high, tests.release_low) == ((0.4, 0.125), (-0.3, 0.125))
    whole = BenchTests("setup")
    assert (whole.step_share, whole.gauge_share, whole.groups, whole.every_way, whole.held) == (
        1.0,
        1.0,
        *[True] * 3,
    )


@pytest.mark.parametrize(("gauge", "servo", "worse"), [(0.1, 0.2, 0.2), (0.3, 0.2, 0.3)])
def test_the_worse_audit_counts(gauge, servo, worse):
    tests = BenchTests(None)
    vars(tests).update(gauge=SimpleNamespace(energy_error=gauge), servo=SimpleNamespace(energy_error=servo))
    assert tests.energy_error() == worse
    assert values(tests.findings(["energy_error"])) == {"energy_error": worse}


@pytest.mark.parametrize(
    ("names", "every_way", "held"),
    [
        (["mass"], False, False), (["holding_high"], False, False), (["hold_slam_low"], True, False),
        (["meter_peak_hand"], True, False), (["charge_hover"], False, True), (["mass", "hold_least_high"], True, False),
        (["hover_pitch"], False, False),
    ],
)  # fmt: skip
def test_no_more_is_run_than_the_names_need(names, every_way, held):
    tests = needed_for(None, iter(names))
    assert (tests.groups, tests.every_way, tests.held) == (False, every_way, held)
    assert (tests.step_share, tests.gauge_share) == (1.0, 1.0)


def test_every_finding_is_registered_and_read_once():
    count = Counter(name for names, _ in bench_tests.READ_TOGETHER for name in names)
    assert set(count.values()) == {1}
    assert set(count) <= set(FINDINGS_TABLE)


# -- key paths -------------------------------------------------------------------------------------------


def test_numbers_are_found_by_key_path_and_put_there_in_a_copy(scenario_of):
    """Names of parts may hold points; "from" is a key like others; of a taper the first width stands for it."""
    piece = {"from": "2 mm", "length": "4 mm", "diameter": "3 mm"}
    pieces = [piece, {**piece, "from": "6 mm", "length": "5 mm"}]
    stack = {
        "group": "counterweight",
        "shape": "stack",
        "axis": "normal",
        "material": "steel",
        "pieces": pieces,
    }
    stack["at"] = {"radius": "30 mm"}
    scenario = scenario_of(part={"a.b": stack, "a": {**stack, "at": {"radius": "31 mm"}}})
    for key, value, kind in (
        ("rotor.speed", 9000.0 * pi / 30.0, "rotation"),
        ("linkage.play.rod", 0.05e-3, "length"),
        ("part.a.b.at.radius", 0.030, "length"),
        ("part.a.at.radius", 0.031, "length"),
        ("part.a.b.pieces.1.from", 6e-3, "length"),
        ("part.a.b.pieces.0.length", 4e-3, "length"),
        ("bench.programme.1.go", -1.0, None),
        ("blade.chord", 26e-3, "length"),
        ("part.blade.mass", 5.6e-3, "mass"),
    ):
        found, field = looked_up(scenario, key)
        assert found == pytest.approx(value)
        assert (field.kind if field else None) == kind
        changed = with_value(scenario, key, 0.77)
        assert looked_up(changed, key)[0] == 0.77
        if key == "blade.chord":
            assert changed.blade.chord == [(scenario.blade.chord[0][0], 0.77)]
        assert looked_up(scenario, key)[0] == pytest.approx(value)  # the other is as it was
    other = with_value(scenario, "part.a.b.pieces.1.from", 7e-3).part
    assert [one.from_ for one in other["a.b"].pieces] == [2e-3, 7e-3]
    assert [one.from_ for one in other["a"].pieces] == [2e-3, 6e-3]
    assert type(with_value(scenario, "bench.programme.1.go", 0.5).bench.programme) is type(
        scenario.bench.programme
    )
    assert looked_up(scenario, "blade.chord")[1].above == 0.0


# -- a variant's file ------------------------------------------------------------------------------------


def test_a_variant_is_written_line_by_line(tmp_path):
    base = tmp_path / "own" / "base.toml"
    base.parent.mkdir()
    base.write_text("", encoding="utf-8")
    scenario = SimpleNamespace(source=SimpleNamespace(files=(str(base), "other")))
    tables = {
        "level": 2,
        "part": {"ring 1": {"mass": "2 g", "at": {"radius": "3 mm"}}},
        "rotor": {"speed": "9 rpm"},
    }
    remarks = {"part.ring 1.at.radius": "guess", "level": "low", "part.ring 1.mass": "one", "part.ring 1": "none",
               "rotor.speeds": "other"}  # fmt: skip
    text = variant_file.variant_file(
        scenario,
        tmp_path,
        heading="H",
        title="T",
        tables=tables,
        remove=["a", "b"],
        remarks=remarks,
        comments=["# c"],
    )
    assert text.split("\n") == [
        "# c", "# H", 'title = "T"', 'base = "own/base.toml"', 'remove = ["a", "b"]', "level = 2  # low", "",
        '[part."ring 1"]', 'mass = "2 g"  # one', 'at = { radius = "3 mm" }  # guess', "",
        "[rotor]", 'speed = "9 rpm"', "",
    ]  # fmt: skip
    bare = variant_file.variant_file(scenario, base.parent, heading="H", title="T", tables={})
    assert bare == '# H\ntitle = "T"\nbase = "base.toml"\n'


def test_only_a_build_with_a_file_that_is_there_can_be_varied(tmp_path):
    for files, given in (((), "a scenario without a file"), ((str(tmp_path / "gone.toml"),), "gone.toml")):
        with pytest.raises(ScenarioError, match=given):
            variant_file.own_file(SimpleNamespace(source=SimpleNamespace(files=files)))


def test_what_a_tree_says_otherwise_or_says_at_all():
    before = {"same": 1, "new": 2, "list": [1, 2], "table": {"same": 1, "other": 2}, "was": {"a": 1}, "is": 3}
    after = {"same": 1, "new": 3, "list": [1, 3], "table": {"same": 1, "other": 3}, "was": 4, "is": {"a": 1},
             "more": None, "deep": {"b": 2}}  # fmt: skip
    assert variant_file._differing(before, after) == {
        "new": 3, "list": [1, 3], "table": {"other": 3}, "was": 4, "is": {"a": 1}, "more": None, "deep": {"b": 2},
    }  # fmt: skip
    assert variant_file._differing(before, before) == {}


def test_a_parts_key_is_typed_by_the_longest_name_that_it_begins_with():
    scenario = SimpleNamespace(part={"a": 1, "a.b": 2})
    for key, typed in (
        ("part.a.b.at.normal", 'part."a.b".at.normal'),
        ("part.a.c", 'part."a".c'),
        ("linkage.play.rod", "linkage.play.rod"),
        ("title", "title"),
    ):
        assert variant_file.typed_key(scenario, key) == typed


def test_a_file_on_another_drive_is_named_whole(monkeypatch, tmp_path):
    def apart(*_):
        raise ValueError

    assert variant_file.seen_from(tmp_path / "a" / "b.toml", tmp_path / "c") == "../a/b.toml"
    monkeypatch.setattr(variant_file.os.path, "relpath", apart)
    assert variant_file.seen_from(Path(tmp_path / "b.toml"), tmp_path) == (tmp_path / "b.toml").as_posix()


def test_sines_of_the_flat_blade_at_either_end(setup_of):
    """-(I_c - I_n) Omega^2 sin cos about the chord plane, and the mass's own arm: by what the assembly says."""
    found = values(run_findings.assembly_findings(setup_of(rotor={"coning": "0 deg"})))
    spin = 9000.0 * pi / 30.0
    for side, degrees in (("low", -24.0), ("high", 26.0)):
        angle = radians(degrees)
        moment = -(found["inertia_chordwise"] - found["inertia_normal"]) * spin**2 * sin(angle) * cos(angle)
        assert found[f"propeller_moment_{side}"] == pytest.approx(moment)
    assert found["centrifugal_load"] == pytest.approx(found["radial_moment"] * spin**2)
