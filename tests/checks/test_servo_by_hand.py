"""Servo, tolerances and samples judged from figures set by hand: which move, which end, which count decides."""

import collections
from dataclasses import make_dataclass
from math import pi
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.bench.legs import Ending
from featherbench.checks import servo as judged
from featherbench.checks import within
from featherbench.checks.check import Check, Verdict
from featherbench.checks.within import AT_THE_END, worse_of
from featherbench.judging import biasing, sampled_checks, sizing
from featherbench.judging.sampled_checks import failing_samples, named, sample_checks
from featherbench.slips.tolerance import tolerance_remarks

DEG = pi / 180.0


class Supply(SimpleNamespace):
    """Of which copies are made like of a tuple with names."""

    def _replace(self, **changes):
        return Supply(**{**self.__dict__, **changes})


def torque_of(supply):
    """Of a servo that gives 0.02 N m a volt at its terminals, 0.1 ohm a tenth of that; 1 A of limit gives 0.11 N m."""
    volts = supply.voltage - supply.resistance
    return min(0.02 * volts, 0.11 * supply.limit)


def leg(target, final, ending=Ending.STALLED, start=0.0, rod_hold=0.0):
    return SimpleNamespace(
        target=target * DEG, final_pitch=final * DEG, ending=ending, start=start, rod_hold=rod_hold
    )


def run_of(legs=(), torque=(0.03, 0.05, 0.04), peak=0.01, limits=None, tolerance=0.0, **supply):
    """Pitch from -24 to 26 deg; the statics have -24, 10 and 26 deg and need 0.05 N m at 10."""
    own = {"voltage": 6.0, "resistance": 0.5, "limit": float("inf"), "idle": 0.02} | supply
    limits = {"servo_continuous_torque": None, "regulator_current": None} | (limits or {})
    scenario = SimpleNamespace(
        rotor=SimpleNamespace(speed=1000.0, pitch_range=(-24 * DEG, 26 * DEG)),
        bench=SimpleNamespace(spin=()),
        servo=SimpleNamespace(voltage=7.4),
        limits=SimpleNamespace(**limits),
        source=SimpleNamespace(tolerances={"rotor.speed": tolerance} if tolerance else {}),
    )
    drive = SimpleNamespace(available_torque=torque_of)
    plant = SimpleNamespace(supply=Supply(**own), linkage=None)
    statics = SimpleNamespace(
        pitch=np.array([-24.0, 10.0, 26.0]) * DEG,
        servo_torque=np.array(torque),
        rod_force=np.array([-4.0, 1.0, 5.0]),
    )
    return SimpleNamespace(
        setup=SimpleNamespace(plant=plant, drive=drive, scenario=scenario),
        scenario=scenario,
        statics=statics,
        servo=SimpleNamespace(legs=list(legs), torque_peak=peak, raw_peak=0.7),
    )


def test_the_worst_pitch_decides_or_a_larger_peak_of_the_moves():
    check = judged._torque(run_of(), True)
    assert (check.demand, check.section) == (0.05, "from rest at 10.0 deg of pitch")
    assert check.allowable == pytest.approx(0.02 * 5.5)
    assert check.name == judged.TORQUE
    assert check.source == "servo data sheet, at supply voltage less the drop in the lead"
    peak = judged._torque(run_of(peak=0.06), True)
    assert (peak.demand, peak.section) == (0.06, "peak of the moves")


@pytest.mark.parametrize(("limit", "held"), [(0.9, True), (1.1, False)])
def test_a_limit_of_the_supply_is_named_where_it_holds_the_servo_down(limit, held):
    check = judged._torque(run_of(limit=limit), True)
    assert ("held down by supply.limit" in check.source) == held
    assert check.allowable == pytest.approx(0.099 if held else 0.11)


@pytest.mark.parametrize(
    ("needed", "short"),
    [(0.109, False), (0.111, True), (0.147, True), (0.149, False)],  # 0.02 x 5.5 = 0.11; at 7.4 V 0.148
)
def test_a_torque_that_more_voltage_would_bring_is_told_as_the_supplys(needed, short):
    check = judged._torque(run_of(torque=(0.0, needed, 0.0)), True)
    assert check.name.endswith(judged.SUPPLY) == short
    more = run_of(
        torque=(0.0, 0.165, 0.0), voltage=8.4, resistance=0.5
    )  # beyond the data sheet: 0.168 at best
    assert judged._torque(more, True).name.endswith(judged.SUPPLY)


def test_exactly_enough_is_enough():
    given, best = 0.02 * 5.5, 0.02 * 7.4
    just = judged._torque(run_of(torque=(0.0, given, 0.0), peak=given), True)
    assert (just.name, just.verdict, just.section) == (
        judged.TORQUE,
        Verdict.HOLDS,
        "from rest at 10.0 deg of pitch",
    )
    assert judged._torque(run_of(torque=(0.0, best, 0.0)), True).name == judged.TORQUE + judged.SUPPLY


def test_the_top_of_the_speeds_tolerance_counts_where_it_fails_alone(monkeypatch):
    """Statics of another speed are worked out anew, without the groups: here as the square of the speed."""
    asked = []

    def curves(_, speed, *, groups):
        asked.append((speed, groups))
        return SimpleNamespace(
            pitch=np.array([0.0]), servo_torque=np.array([0.1 * (speed / 1000.0) ** 2]), rod_force=None
        )

    monkeypatch.setattr(judged, "static_curves", curves)
    doubted = judged._torque(run_of(torque=(0.1, 0.1, 0.1), tolerance=100.0), True)
    assert asked == [(1100.0, False)]
    assert (doubted.demand, doubted.within) == (pytest.approx(0.121), True)
    assert (
        doubted.name == judged.TORQUE + judged.SUPPLY
    )  # 7.4 V would bring 0.148: the supply's, and it fails
    assert not judged._torque(run_of(torque=(0.1, 0.1, 0.1), tolerance=100.0), False).within
    level_arm(monkeypatch)
    whole = run_of([leg(10, 10, Ending.HELD)], torque=(0.1, 0.1, 0.1), tolerance=100.0)
    assert judged.servo_checks(whole)[0].within
    assert not judged.servo_checks(whole, within=False)[0].within
    assert not judged._torque(run_of(torque=(0.1, 0.1, 0.1), tolerance=40.0), True).within  # 0.108 of 0.11
    assert not judged._torque(run_of(torque=(0.1, 0.1, 0.1)), True).within


def test_the_move_that_made_the_least_of_its_way_is_told():
    """From 0 to 4, stopped at 2: half, and the shortest. From 2 to -24, stopped at -4: 6 of 26. Back to 26: half."""
    legs = [leg(4, 2, start=0.0), leg(-24, -4, start=1.0), leg(26, 11, start=2.0)]
    check = judged._travel(run_of(legs), legs)
    assert check.demand == pytest.approx(26 * DEG)
    assert check.allowable == pytest.approx(6 * DEG)
    assert check.section == "the move to -24.0 deg, stopped at -4.0 deg"
    assert (check.kind, check.source) == ("angle", "where the servo stalls in the run")
    for target, final in ((10, -5), (-10, 5)):  # pushed away from its mark: 15 deg to go, none of them made
        back = [leg(target, final)]
        pushed = judged._travel(run_of(back), back)
        assert (pushed.demand, pushed.allowable) == (pytest.approx(15 * DEG), 0.0)


@pytest.mark.parametrize(("limit", "short"), [(1.05, True), (1.1, False)])
def test_a_stalled_move_is_the_supplys_below_eight_tenths_of_what_the_servo_could_give(limit, short):
    """0.148 N m at its sheet's voltage: 0.1184; a limit of 1.05 A gives 0.1155 and one of 1.1 A 0.121."""
    legs = [leg(26, 13)]
    check = judged._travel(run_of(legs, limit=limit, voltage=7.4, resistance=0.0), legs)
    assert check.name.endswith(judged.SUPPLY) == short


def test_moves_begin_where_the_one_before_ended():
    run = run_of([leg(26, 13, start=0.0), leg(-24, 4, start=1.5)])
    assert judged._starts(run) == pytest.approx({0.0: 0.0, 1.5: 13 * DEG})
    run.scenario.rotor.pitch_range = (3 * DEG, 26 * DEG)
    assert judged._starts(run)[0.0] == pytest.approx(3 * DEG)
    run.scenario.rotor.pitch_range = (-24 * DEG, -3 * DEG)
    assert judged._starts(run)[0.0] == pytest.approx(-3 * DEG)


def level_arm(monkeypatch):
    """A servo arm of 10 mm at every angle but 12 mm beyond 20 deg; the servo's angle is the pitch."""
    monkeypatch.setattr(judged, "servo_angle_for", lambda pitch, _: pitch)
    monkeypatch.setattr(
        judged, "servo_rod_travel", lambda angle, _: (0.0, 0.012 if abs(angle) > 20 * DEG else 0.010)
    )


def test_the_largest_held_torque_counts_whatever_its_sign(monkeypatch):
    """3 N on 10 mm, -4 on 10 and 2 on 12: 0.04 N m; one that stalled at 10 deg short of 26: 5 N there on 12 mm."""
    level_arm(monkeypatch)
    held = [
        leg(10, 10, Ending.HELD, rod_hold=3.0),
        leg(-10, -10, Ending.HELD, rod_hold=-4.0),
        leg(26, 30, Ending.HELD, rod_hold=2.0),  # overpowered past the end of the range
    ]
    assert judged._held(run_of(held)) == pytest.approx(0.04)
    stalled = [leg(26, 10, rod_hold=3.0)]
    assert judged._held(run_of(stalled)) == pytest.approx(0.06)
    down = [leg(-24, -10, rod_hold=-3.0)]
    assert judged._held(run_of(down)) == pytest.approx(0.048)
    between = [leg(18, 10, rod_hold=1.0)]  # half of the way from 1 N at 10 deg to 5 N at 26
    assert judged._held(run_of(between)) == pytest.approx(0.03)


def test_what_is_allowed_is_what_the_limits_state(monkeypatch):
    level_arm(monkeypatch)
    legs = [leg(10, 10, Ending.HELD, rod_hold=3.0)]
    stated = run_of(legs, limits={"servo_continuous_torque": 0.02, "regulator_current": 1.0})
    torque, continuous, regulator = judged.servo_checks(stated)
    assert (continuous.demand, continuous.allowable, continuous.source) == (
        pytest.approx(0.03),
        0.02,
        "limits.servo_continuous_torque",
    )
    assert (regulator.demand, regulator.allowable, regulator.kind) == (pytest.approx(0.72), 1.0, "current")
    assert regulator.section == "highest instant of the moves, starting and reversing included"
    assert torque.name == judged.TORQUE
    _, one, other = judged.servo_checks(run_of(legs))
    assert [one.verdict, other.verdict] == [Verdict.NOT_CHECKED] * 2
    assert (one.demand, other.demand) == (pytest.approx(0.03), pytest.approx(0.72))
    names = [check.name for check in judged.servo_checks(run_of([*legs, leg(26, 13, start=1.0)]))]
    assert names == [judged.TORQUE, judged.ARRIVAL + judged.SUPPLY, judged.CONTINUOUS, judged.REGULATOR]


def check(name, demand, allowable, section="", **more):
    return Check(name, "force", demand, allowable, "stated", section, **more)


def test_the_worst_of_those_that_fail_within_the_tolerances_replaces_what_holds():
    sure, poor, poorer = check("a", 1.0, 2.0), check("a", 3.0, 2.0), check("a", 4.0, 2.0, "at the nut")
    found = worse_of(sure, [poor, poorer, check("b", 9.0, 1.0)])
    assert (found.demand, found.within, found.section) == (4.0, True, f"at the nut, {AT_THE_END}")
    assert worse_of(sure, [poor]).section == AT_THE_END
    assert worse_of(sure, [check("a", 1.5, 2.0), check("b", 9.0, 1.0)]) is sure
    failing = check("a", 5.0, 2.0)
    assert worse_of(failing, [poorer]) is failing  # fails as written: that is what is said
    lacking = check("a", 1.0, None, load_path=True)
    assert worse_of(lacking, [poorer]) is lacking
    useless = check("a", 1.0, 0.0)
    assert worse_of(sure, [poor, useless]).allowable == 0.0


VALUES = {
    "rotor.speed": 1000.0,
    "part.grip.mass": 5e-3,
    "part.grip.density": 2700.0,
    "part.grip.size.radius": 0.03,
    "part.bolt.proof_strength": 830e6,
    "bearing.static_rating": 1400.0,
    "bearing.mean_diameter": 8e-3,
    "retention.engagement": 6e-3,
    "joint.clearance": 0.1e-3,
    "blade.mass": 12e-3,
    "blade.bolt_radius": 0.034,
    "linkage.engagement": 1.0,
}


def ends_of(tolerances, monkeypatch, parts=("grip", "bolt")):
    monkeypatch.setattr(within, "looked_up", lambda _, key: (VALUES[key], None))
    scenario = SimpleNamespace(
        source=SimpleNamespace(tolerances=tolerances), part=dict.fromkeys(parts, object())
    )
    ends, others = within._ends(scenario)
    return dict(ends), [(key, pytest.approx(value)) for key, value in others]


def test_loads_grow_and_strengths_shrink_to_the_ends_of_their_tolerances(monkeypatch):
    ends, others = ends_of(
        {
            "rotor.speed": 50.0,
            "part.grip.mass": 1e-3,
            "part.grip.density": 100.0,
            "part.bolt.proof_strength": 30e6,
            "bearing.static_rating": 1300.0,
            "retention.engagement": 7e-3,  # more than there is: next to nothing, not less than nothing
            "bearing.mean_diameter": 1e-3,  # makes no load path weaker
            "blade.mass": 1e-3,  # who samples it is told
            "linkage.engagement": 0.1,
        },
        monkeypatch,
    )
    assert ends == pytest.approx(
        {
            "rotor.speed": 1050.0,
            "part.grip.mass": 6e-3,
            "part.grip.density": 2800.0,
            "part.bolt.proof_strength": 800e6,
            "bearing.static_rating": 100.0,
            "retention.engagement": 6e-12,
        },
        rel=1e-9,
        abs=0.0,
    )
    assert others == []


def test_dimensions_are_tried_at_both_ends_and_parts_that_are_gone_at_none(monkeypatch):
    ends, others = ends_of(
        {
            "part.grip.size.radius": 1e-3,
            "joint.clearance": 0.02e-3,
            "blade.bolt_radius": 0.5e-3,
            "part.old.mass": 1e-3,
        },
        monkeypatch,
    )
    assert ends == {}
    assert others == [
        ("part.grip.size.radius", 0.031),
        ("part.grip.size.radius", 0.029),
        ("joint.clearance", 0.12e-3),
        ("joint.clearance", 0.08e-3),
        ("blade.bolt_radius", 0.0345),
        ("blade.bolt_radius", 0.0335),
    ]


SETUP = SimpleNamespace(scenario=(), assembly="as written", lead_lag="swung")


def test_builds_of_the_ends_are_tried_together_and_then_with_each_other_one(monkeypatch):
    """What stands at the ends stands in every one of them; what cannot be built is left out."""
    monkeypatch.setattr(within, "_ends", lambda _: ([("a", 1.0), ("b", 2.0)], [("c", 3.0), ("c", 4.0)]))
    monkeypatch.setattr(within, "with_value", lambda scenario, key, value: (*scenario, (key, value)))

    def build(scenario, like):
        assert like == "as written" or like[0] == "built"  # what may be taken over
        if ("c", 3.0) in scenario:
            raise within.ScenarioError([])
        return ("built", scenario)

    monkeypatch.setattr(within, "build_assembly", build)
    monkeypatch.setattr(
        within, "moments_at", lambda _, lead_lag: SimpleNamespace(radial=0.5 if lead_lag == "swung" else 0.0)
    )
    cases = list(within.worse_cases(SETUP))
    assert [case.scenario for case in cases] == [
        (("a", 1.0), ("b", 2.0)),
        (("a", 1.0), ("b", 2.0), ("c", 4.0)),
    ]
    assert {case.radial for case in cases} == {0.5}
    assert cases[0].assembly == ("built", cases[0].scenario)
    monkeypatch.setattr(within, "_ends", lambda _: ([], []))
    assert list(within.worse_cases(SETUP)) == []
    monkeypatch.setattr(within, "_ends", lambda _: ([], [("c", 4.0)]))
    assert len(list(within.worse_cases(SETUP))) == 2
    monkeypatch.setattr(within, "_ends", lambda _: ([("a", 1.0)], []))
    assert len(list(within.worse_cases(SETUP))) == 1


def test_a_sample_keeps_names_of_what_fails_and_of_what_is_not_known(monkeypatch):
    asked = []

    def checks(run, *, within):
        asked.append((run, within))
        return (
            check("thrust bearing at 1.2 x speed", 2.0, 1.0, load_path=True),
            check("rod ball link", 3.0, 1.0),
            check("blade bolt at 1.2 x speed", 1.0, 2.0, load_path=True),
            check("grip at 1.2 x speed", 1.0, None, load_path=True),
            check("regulator", 1.0, None),
        )

    monkeypatch.setattr(sampled_checks, "bench_checks", checks)
    assert sample_checks("a run") == {
        "checks_failing": "thrust bearing; rod ball link",
        "load_paths_unknown": "grip",
    }
    assert asked == [("a run", False)]


def test_samples_are_counted_by_what_they_fail_most_first():
    samples = [
        {"checks_failing": "", "load_paths_unknown": ""},
        {"checks_failing": "rod ball link", "load_paths_unknown": ""},
        {"checks_failing": "thrust bearing; rod ball link", "load_paths_unknown": ""},
        {"checks_failing": "", "load_paths_unknown": "grip"},
        {"force": 3.0},
        {"checks_failing": None, "load_paths_unknown": "rod ball link"},
    ]
    assert failing_samples(samples) == [samples[1], samples[2], samples[3], samples[5]]
    assert named(samples) == "rod ball link 3, thrust bearing 1, grip 1"
    assert named(samples[:1]) == ""


def remarked(read_value, key, half, kind, parts=("grip",)):
    from featherbench.slips import tolerance

    scenario = SimpleNamespace(
        source=SimpleNamespace(tolerances={key: half}), part=dict.fromkeys(parts, object())
    )
    patch = pytest.MonkeyPatch()
    field = SimpleNamespace(kind=kind) if kind else None
    patch.setattr(tolerance, "looked_up", lambda *_: (read_value, field))
    try:
        return list(tolerance_remarks(SimpleNamespace(scenario=scenario)))
    finally:
        patch.undo()


@pytest.mark.parametrize(
    ("key", "value", "kind", "most", "share"),
    [
        ("rotor.speed", 1000.0, "rotation", 50.0, 5),
        ("part.grip.mass", 5e-3, "mass", 1e-3, 20),
        ("blade.tip", 0.1, "length", 0.01, 10),
        ("linkage.play.horn", 1e-3, "length", 1e-3, 100),
        ("servo.stall_torque", 0.2, "moment", 0.2, 100),
        ("servo.gear_ratio", -0.3, "", 0.3, 100),
    ],
)
def test_a_tolerance_is_remarked_beyond_its_share(key, value, kind, most, share):
    """5 % of a speed, 20 % of a mass, 10 % of a length, as much as itself of play and of the rest."""
    assert remarked(value, key, 0.999 * most, kind) == []
    (said,) = remarked(value, key, 1.001 * most, kind)
    assert said.key == key
    assert said.usual == f"a tolerance of up to {share} % of it"
    assert " +/- " in said.given
    assert said.why == "measure it, or state what was measured"


def test_calipers_may_leave_three_tenths_of_a_millimetre_on_anything():
    assert remarked(1e-3, "joint.clearance", 0.299e-3, "length") == []
    assert len(remarked(1e-3, "joint.clearance", 0.301e-3, "length")) == 1
    assert len(remarked(1e-4, "part.grip.mass", 0.299e-3, "mass")) == 1  # of a length alone
    assert remarked(1e-3, "joint.clearance", 0.3e-3, "length") == []
    assert remarked(1000.0, "rotor.speed", 50.0, "rotation") == []  # 5 % of it, exactly
    assert remarked(0.0, "servo.stall_torque", 1.0, "moment") == []  # no share of nothing
    assert len(remarked(-1e-3, "joint.clearance", 0.301e-3, "length")) == 1


def test_a_tolerance_of_a_part_that_was_taken_off_is_none():
    assert remarked(5e-3, "part.old.mass", 5e-3, "mass") == []
    assert len(remarked(5e-3, "blade.old.mass", 5e-3, "mass")) == 1


def test_values_are_written_as_they_are_typed():
    (ratio,) = remarked(0.12345, "scale.thrust", 0.5, "")
    assert ratio.given == "0.123 +/- 0.5"
    (mass,) = remarked(5.4e-3, "part.grip.mass", 2e-3, "mass")
    assert mass.given == "5.4 g +/- 2 g"
    (long,) = remarked(5.43219e-3, "part.grip.mass", 2e-3, "mass")
    assert long.given == "5.432 g +/- 2 g"


def test_each_amount_of_a_sweep_is_judged_once_by_what_it_does(monkeypatch):
    """Whatever the phase; with what was asked for handed on."""
    points = [SimpleNamespace(compensation=value) for value in (0.0, 0.5, 0.5, 1.0)]
    swept, asked = SimpleNamespace(points=points), []
    study = SimpleNamespace(
        bias=lambda scenario, **options: asked.append((scenario, options)) or swept,
        judged=lambda found, strengths: (found, strengths),
    )
    monkeypatch.setattr(biasing, "study", study)
    monkeypatch.setattr(biasing, "build_setup", lambda scenario: f"{scenario} ready")
    monkeypatch.setattr(biasing, "strength_at", lambda base, kappa: (base, kappa))
    monkeypatch.setattr(biasing, "with_choices", lambda found, **_: found)
    found, strengths = biasing.bias("a build", margin=1.2)
    assert found is swept
    assert asked == [("a build", {"margin": 1.2})]
    assert strengths == {kappa: ("a build ready", kappa) for kappa in (0.0, 0.5, 1.0)}


@pytest.mark.parametrize("fitted", [False, True])
def test_weights_that_no_part_holds_pull_at_over_speed(monkeypatch, fitted):
    """Half of 2e-4 kg m more than the 5e-4 of the build, at 1.2 x 1,000 rad/s: 1e-4 x 1.44e6 = 144 N of 864 N."""

    class Moments(SimpleNamespace):
        """As many times as heavy."""

        def times(self, factor):
            return Moments(radial=factor * self.radial)

    part = collections.namedtuple("part", "group moments")
    parts = (part("grip", Moments(radial=5e-4)), *([part("counterweight", Moments(radial=2e-4))] * fitted))
    assembly = collections.namedtuple("assembly", "parts")(parts)
    scenario = SimpleNamespace(
        rotor=SimpleNamespace(speed=1000.0),
        bench=SimpleNamespace(spin=()),
        limits=SimpleNamespace(over_speed=1.2),
    )
    base = SimpleNamespace(scenario=scenario, assembly=assembly, lead_lag=None)
    monkeypatch.setattr(biasing, "replace", lambda one, **changes: one._replace(**changes))
    monkeypatch.setattr(biasing.study, "amount", lambda _, kappa: (SimpleNamespace(radial=2e-4), kappa))
    monkeypatch.setattr(
        biasing,
        "moments_at",
        lambda one, _: SimpleNamespace(radial=sum(piece.moments.radial for piece in one.parts)),
    )
    monkeypatch.setattr(biasing, "case_checks", lambda case: (check("bearing", case.whole, 900.0),))
    found = biasing.amount_checks(base, 0.5)
    assert found[0].demand == pytest.approx(864.0)
    if fitted:
        assert len(found) == 1
        return
    assert len(biasing.amount_checks(base, 0.0)) == 1
    assert found[1].name == f"{biasing.HELD} at 1.2 x speed"
    assert (found[1].demand, found[1].kind) == (pytest.approx(144.0), "force")
    assert found[1].verdict is Verdict.UNKNOWN


def test_what_speaks_against_a_part_is_a_figure_or_what_is_not_known(monkeypatch):
    """3 N asked of 2: 0.67 x; where nothing is known, what to state."""
    found = (
        check("blade bolt", 3.0, 2.0),
        Check("grip", "force", 3.0, None, "state its metal", load_path=True),
    )
    monkeypatch.setattr(sizing, "not_holding", lambda _: found)
    monkeypatch.setattr(sizing, "_too_coarse", lambda _: ("too coarse a scale",))
    assert sizing.against("a build") == ("blade bolt 0.67 x", "grip: state its metal", "too coarse a scale")


def test_sizing_hands_the_route_and_its_judge_on(monkeypatch):
    asked = []
    found = make_dataclass("Found", [("alternatives", tuple, ())], frozen=True)()
    monkeypatch.setattr(sizing, "search", lambda *words, **engine: asked.append((words, engine)) or found)
    assert sizing.size("a build", "arms", "keep", executor="two cores") == found
    ((words, engine),) = asked
    assert words == ("a build", "arms", sizing.against, "keep")
    assert engine["executor"] == "two cores"
