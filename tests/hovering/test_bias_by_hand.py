"""A sweep of weights: which builds are flown, what decides at the very edge, what is said of it, by made-up points."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.aircraft.gyro_setting import SettingKind
from featherbench.assembly import MassMoments, compensation
from featherbench.bench.release import ReleaseVerdict
from featherbench.hovering import bias, bias_robust, bias_words, weight_amounts, wording
from featherbench.hovering.bias import largest_force, worse_release
from featherbench.hovering.bias_choice import FORCE_ALIKE, choose, least_loaded
from featherbench.hovering.draw_doubt import likely_share, range_over
from featherbench.hovering.play_verdict import Cause, Count
from featherbench.hovering.swept_point import FAILS, MOST_SHOWN, POINT_KINDS, Point
from featherbench.hovering.turning import FASTEST
from featherbench.hovering.wag_readings import winding_range
from featherbench.hovering.wag_verdict import Limits
from featherbench.hovering.weight_amounts import amount, swept, varied
from featherbench.numerals import quantity
from featherbench.sampling.inputs import Input
from featherbench.studies.findings import Finding
from made_up_sweeps import BARE, LIGHT, LOOSE, SLIGHT, SWEEP, chosen, point

NAN = float("nan")

# -- what is flown ---------------------------------------------------------------------------------------


def test_a_sweep_without_more_said_is_of_15_amounts_and_three_phases():
    assert np.asarray(bias.COMPENSATIONS) == pytest.approx(np.arange(15) * 0.1)
    assert np.rad2deg(bias.PHASES) == pytest.approx([-6.0, 0.0, 6.0])


def test_every_amount_is_flown_at_every_phase_in_the_same_draws(monkeypatch):
    """The gyro is set once a draw, or anew for each build where that is asked for."""
    base = SimpleNamespace(scenario="known")
    monkeypatch.setattr(bias, "to_known_digits", lambda scenario: f"known {scenario}")
    monkeypatch.setattr(bias, "build_setup", lambda scenario: base if scenario == "known it" else None)
    monkeypatch.setattr(
        bias, "flight_setup", lambda _: SimpleNamespace(aircraft=SimpleNamespace(tail_arm=2.0))
    )
    monkeypatch.setattr(bias, "swept", lambda setup, given: tuple(given) if setup is base else ())
    draws = [SimpleNamespace(seed=seed, number=number) for number, seed in enumerate((30, 31))]
    monkeypatch.setattr(
        bias, "hover_draws", lambda _, count, seed, **__: tuple(draws) if (count, seed) == (2, 3) else ()
    )
    monkeypatch.setattr(bias, "varied", lambda _, *pair: pair)
    monkeypatch.setattr(bias, "drawn_flight", lambda build, draw: (build, draw.number))
    monkeypatch.setattr(bias, "fly_draw", lambda *given: given)
    monkeypatch.setattr(
        bias, "_set_anew", lambda build, draw: SimpleNamespace(seed=draw.seed, number=("anew", build))
    )
    monkeypatch.setattr(bias, "read_point", lambda *given: given)
    monkeypatch.setattr(bias, "evened", lambda points: points)
    monkeypatch.setattr(bias, "choose", lambda found: found)
    how = {"compensations": [0.1, 0.2], "phases": np.array([-0.5, 0.5]), "seed": 3, "draws": 2}
    found = bias.bias("it", margin=1.5, **how)
    pairs = [(0.1, -0.5), (0.2, -0.5), (0.1, 0.5), (0.2, 0.5)]
    assert [one[1:3] for one in found.points] == pairs
    for build, *pair, flown, visible in found.points:
        assert build == tuple(pair)
        assert flown == tuple(((build, number), seed, 0.0015) for number, seed in enumerate((30, 31)))
        assert visible == 0.0015  # 3 mm at 2 m
    assert (found.asked, found.margin, found.visible, found.interrupted, found.scenario) == (
        4,
        1.5,
        0.0015,
        False,
        "known it",
    )
    assert found.draws == tuple(draws)
    anew = bias.bias("it", gyro_each=True, **how).points[1]
    assert [one[0][1] for one in anew[3]] == [("anew", (0.2, -0.5))] * 2
    assert bias.bias("it", **how).margin == 0.0
    assert bias.bias("it", limits=Limits(visible_travel=1e-3), **how).visible == 0.0005
    asked = []
    monkeypatch.setattr(bias, "hover_draws", lambda _, *given, **__: asked.append(given) or ())
    bias.bias("it")
    assert asked == [(12, 0)]


def test_a_gyro_set_anew_is_set_with_the_weights_that_it_flies(monkeypatch):
    monkeypatch.setattr(bias, "with_scenario", lambda build, scenario: (build, scenario))
    monkeypatch.setattr(bias, "gyro_setting", lambda setup, weights: (setup, weights))
    draw = bias.HoverDraw(3, "scenario", "old", 7)
    assert bias._set_anew("build", draw) == replace(draw, setting=(("build", "scenario"), True))


@pytest.mark.parametrize(("pitch", "go"), [(0.2, 0.4), (-0.3, -0.75), (0.0, 0.0)])
def test_the_servo_is_sent_to_both_ends_and_to_the_hover_pitch(pitch, go):
    """A share of 0.5 rad above zero, of 0.4 below."""
    rotor = SimpleNamespace(pitch_range=(-0.4, 0.5))
    ready = SimpleNamespace(
        trim=SimpleNamespace(pitch=pitch), setup=SimpleNamespace(scenario=SimpleNamespace(rotor=rotor))
    )
    moves = bias._moves(ready)
    assert [move.go for move in moves] == pytest.approx([1.0, -1.0, go])
    assert {(move.hold, move.over) for move in moves} == {(1.5, 0.0)}


def test_the_largest_force_is_of_either_sign_and_friction_comes_on_top():
    curves = SimpleNamespace(rod_force=np.array([-9.0, 0.0, 8.0]), rod_friction=np.array([0.5, 3.0, 1.2]))
    assert largest_force(curves) == pytest.approx(9.5)
    curves.rod_friction[2] = 2.0
    assert largest_force(curves) == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("sides", "worse"),
    [(("returns", "stays"), "stays"), (("runs out", "returns"), "runs out"), (("stays", "runs out"), "runs out"),
     (("returns", "returns"), "returns")],
)  # fmt: skip
def test_of_two_sides_the_worse_one_counts(monkeypatch, sides, worse):
    told = dict(zip(("high", "low"), map(ReleaseVerdict, sides), strict=True))
    monkeypatch.setattr(bias, "release_points", lambda _: tuple(told))
    monkeypatch.setattr(bias, "run_release", lambda _, start: SimpleNamespace(verdict=told[start]))
    assert worse_release(None) == worse


# -- amounts ---------------------------------------------------------------------------------------------


def test_weights_are_made_as_many_times_as_heavy_as_they_have_to_be(setup_of, weight):
    """Compensation goes with mass: of what the build's own pair does, half takes half the pair, none takes none."""
    base = setup_of(part=weight(2.0, 12.0))
    own = compensation(base.assembly, base.lead_lag)
    for kappa in (own, 0.5 * own, 2.0 * own, 0.0):
        weights, factor = amount(base, kappa)
        assert factor == pytest.approx(kappa / own, abs=1e-12)
        assert weights.mass == pytest.approx(4e-3)
    assert amount(base, -0.5)[1] == 0.0
    assert swept(base, (-0.2, 0.0, 0.3, 0.3, 0.7)) == (0.0, 0.3, 0.7)
    bare = setup_of()
    stand_in, factor = amount(bare, 0.5)
    assert (stand_in.mass, stand_in.radial) == pytest.approx((1e-3, 36e-6))
    assert stand_in.second[2, 2] == pytest.approx(1e-3 * 12e-3**2)
    half_a_gram = setup_of(part=weight(0.5, 12.0))
    assert factor == pytest.approx(0.5 / compensation(half_a_gram.assembly, half_a_gram.lead_lag))


def test_a_build_of_a_sweep_turns_its_weights_about_the_feathering_axis_alone(setup_of, weight):
    """3 g at 30 mm out, 4 mm ahead and 12 mm up, turned by a quarter: what was up goes aft, and none of it outward."""
    body = MassMoments.of_body(3e-3, np.array([0.030, 0.004, 0.012]), np.zeros((3, 3)))
    placed = weight_amounts._weights(body, 0.5, 0.5 * np.pi)
    assert placed.moments.mass == pytest.approx(1.5e-3)
    assert placed.moments.centre == pytest.approx([0.030, -0.012, 0.004])
    assert placed.group == "counterweight"
    base = setup_of(part=weight(2.0, 12.0))
    own = varied(base, 0.5, 0.0)
    assert np.rad2deg(1.0 / own.plant.loads.per_radian) == pytest.approx(1.0)
    assert own.air is base.air
    assert [part.group for part in own.assembly.parts].count("counterweight") == 1
    assert len(own.assembly.parts) == len(base.assembly.parts)


def test_bolts_that_cancel_by_themselves_stand_for_all_that_is_less(setup_of, monkeypatch):
    base = setup_of()
    monkeypatch.setattr(weight_amounts, "compensation", lambda assembly, _: 0.2 + 0.4 * sum(
        part.group == "counterweight" for part in assembly.parts))  # fmt: skip
    assert swept(base, (0.0, 0.1, 0.2, 0.3)) == (0.2, 0.3)
    assert [amount(base, kappa)[1] for kappa in (0.0, 0.2, 0.3, 0.6, 1.0)] == pytest.approx(
        [0.0, 0.0, 0.25, 1.0, 2.0]
    )


# -- what decides ----------------------------------------------------------------------------------------


def test_play_may_show_in_what_rounds_to_one_of_twelve():
    """1 of 8 is as often as 1.5 of 12; evened out shares count where there are any."""

    def shows(hits, of, **more):
        return replace(SLIGHT, shows=(True,) * hits + (False,) * (of - hits), **more)

    assert pytest.approx(0.125) == MOST_SHOWN
    assert shows(1, 8).quiet
    assert not shows(2, 15).quiet
    assert shows(9, 12, evened=0.125).quiet
    assert not shows(0, 12, evened=0.126).quiet
    assert shows(0, 12, evened=0.125 + 5e-10).quiet  # rounding of an evened share
    assert (shows(9, 12, evened=0.1).share, shows(9, 12).share) == (0.1, 0.75)
    assert shows(3, 12).shown == (3, 12)


def test_forces_within_two_per_cent_are_alike():
    assert FORCE_ALIKE == 0.02
    for force, wanted in ((10.2, 0.3), (10.21, 0.4)):
        light, heavy = point(0.3, force, 0), point(0.4, 10.0, 0)
        assert least_loaded((heavy, light)).compensation == wanted
    turned = [
        replace(SLIGHT, phase=phase, rod_force=force)
        for phase, force in ((0.1, 11.9), (-0.05, 12.0), (0.05, 12.1))
    ]
    assert least_loaded(turned) is turned[1]
    assert least_loaded([replace(one, phase=0.1) for one in turned]).rod_force == 11.9


@pytest.mark.parametrize(("ratio", "kept"), [(1.5, True), (1.49, False)])
def test_a_seat_ratio_just_as_asked_is_kept(ratio, kept):
    found = chosen((LIGHT, replace(SLIGHT, seat_ratio=ratio)), margin=1.5)
    assert (found.chosen.compensation == 0.4) is kept
    assert not [words for words in found.words if "keeps a load over friction" in words]


def test_a_small_seat_ratio_that_is_asked_for_counts_too():
    floating = replace(SLIGHT, seat_ratio=0.4)
    assert chosen((LIGHT, floating), margin=0.5).chosen is LIGHT
    assert chosen((LIGHT, floating)).chosen is floating


@pytest.mark.parametrize(("ratios", "floats"), [((0.9, 0.9), True), ((0.9, 1.2), False), ((0.9, 1.0), False)])
def test_all_builds_float_where_none_carries_more_load_than_friction(ratios, floats):
    points = [replace(one, seat_ratio=ratio) for one, ratio in zip((LIGHT, SLIGHT), ratios, strict=True)]
    (said,) = [
        words for words in chosen(points, margin=2.0).words if "keeps a load over friction of 2" in words
    ]
    assert ("a pitch of no load at every amount" in said) is floats


def test_shares_that_rounding_parts_are_alike_where_play_shows_in_all():
    one, other = (
        replace(SLIGHT, evened=0.5 + off, rod_force=force) for off, force in ((0.0, 12.0), (1e-12, 9.0))
    )
    assert chosen((one, other)).chosen is other
    assert chosen((one, replace(other, evened=0.5 + 1e-8))).chosen is one


def test_demands_are_given_up_in_turn_and_said():
    """All break, all run out, in all play shows: each is said, and the one that shows it least is taken."""
    worst = [
        replace(one, strength=FAILS, release="runs out", shows=(True,) * 6 + (False,) * 6) for one in SWEEP
    ]
    worst[0] = replace(worst[0], shows=(True,) * 12)
    found = chosen(worst)
    assert found.chosen.compensation == 0.8  # of three alike in play the least force
    assert [words[:30] for words in found.words[1:]] == [
        "what carries blades or weights", "released, the blades of every ", "play shows in more than 1 of 1",
    ]  # fmt: skip
    # what may not be run is not chosen for its force, nor for keeping quiet
    best = replace(LOOSE, strength=FAILS, shows=(False,) * 12)
    loud = replace(LIGHT, shows=(True,) * 12)
    assert chosen((best, loud)).chosen is loud
    out = replace(LOOSE, release="runs out", shows=(False,) * 12)
    assert chosen((out, loud)).chosen is loud


def test_findings_and_ranges_are_those_of_the_choice():
    flown = {"wags": (1e-3, 3e-3), "charges": (30.0, 60.0), "heats": (0.1, 0.2)}
    one = replace(SLIGHT, **flown, rod_force_hover=2.5, seat_ratio=1.7, phase=0.1)
    other = replace(SLIGHT, compensation=0.9, rod_force=30.0, phase=-0.02, rod_force_hover=-9.0)
    found = chosen(
        (one, other, replace(other, rod_force_hover=3.0), replace(other, phase=0.03, rod_force_hover=0.0))
    )
    assert found.chosen is one
    assert {name: finding.value for name, finding in found.findings.items()} == {
        "bias_compensation": 0.4, "bias_phase": 0.1, "bias_rod_force": 12.0, "bias_rod_force_hover": 2.5,
        "bias_current_hold": 0.1, "bias_charge": pytest.approx(43.2), "bias_winding": 300.0, "bias_wag_heading": 2e-3,
        "bias_share_visible": pytest.approx(1.0 / 12.0), "bias_seat_ratio": 1.7,
    }  # fmt: skip
    assert found.ranges == {
        "bias_charge": range_over((30.0, 60.0)), "bias_winding": winding_range((0.1, 0.2)),
        "bias_wag_heading": range_over((1e-3, 3e-3)), "bias_share_visible": likely_share(1, 12),
    }  # fmt: skip
    assert one.charge_range == (30.0, 60.0)
    assert SLIGHT.charge_range == pytest.approx((43.2, 43.2))
    # neutral: of the straightest weights the one that loads hover least, either way
    assert (found.neutral.phase, found.neutral.rod_force_hover) == (-0.02, 3.0)
    assert [own.rod_force_hover for own in found.row(-0.02)] == [-9.0, 3.0]


def test_a_frame_has_a_row_for_each_build_and_counts_for_draws():
    found = chosen(SWEEP).to_frame()
    assert found["shown"].tolist() == [0, 1, 2, 11]
    assert found["draws"].tolist() == [12] * 4
    assert found["charge_flown [C]"].tolist() == pytest.approx([72.0, 43.2, 21.6, 14.4])
    assert not {"shows", "wags", "charges", "heats"} & set(found)
    assert set(POINT_KINDS) < set(Point.__dataclass_fields__)
    assert {name.split(" ")[-1] for name in found if name.split(" ")[0] in POINT_KINDS} == {
        "[rad]", "[N]", "[A]", "[rad/s]", "[C]", "[K]",
    }  # fmt: skip


# -- chosen anew -----------------------------------------------------------------------------------------


def test_the_choice_is_made_anew_in_each_draw_of_air_and_counted(monkeypatch):
    """By the draw's own flight and the forces in its air; of the row of the choice alone."""
    forces = {0.0: 20.0, 0.4: 12.0, 0.6: 6.0, 0.8: 4.0}
    monkeypatch.setattr(
        bias_robust, "aired_scenarios", lambda _, count, seed: [(seed, n) for n in range(count)]
    )
    monkeypatch.setattr(bias_robust, "build_setup", lambda scenario: scenario)
    monkeypatch.setattr(bias_robust, "with_amount", lambda air, kappa, phase: (air, kappa, phase))
    monkeypatch.setattr(bias_robust, "static_curves", lambda build, groups: build if not groups else None)
    monkeypatch.setattr(bias_robust, "largest_force", lambda build: forces[build[1]])
    monkeypatch.setattr(bias_robust, "worse_release", lambda build: ReleaseVerdict(
        "runs out" if build[0][1] == 2 and build[1] > 0.5 else "returns"))  # fmt: skip
    sweep = (*SWEEP, replace(BARE, phase=0.1, rod_force=1.0, shows=(True,) * 12))
    found = bias_robust.with_choices(replace(chosen(sweep), draws=(1, 2, 3)), seed=4)
    assert list(dict(found.choices)) == sorted(dict(found.choices))
    # in the first draw play shows at all but 0; in the second not at 0.4; in the third 0.4 is left of what may be run
    assert found.choices == ((0.0, 1), (0.4, 2))
    assert not found.interrupted

    again = bias_robust._redrawn(SWEEP[2], 1, (5, 1))
    assert (again.rod_force, again.shows, again.release) == (6.0, (True,), "returns")
    monkeypatch.setattr(
        bias_robust, "run_many", lambda *_, **__: SimpleNamespace(interrupted=True, results={})
    )
    broken = bias_robust.with_choices(replace(chosen(sweep), draws=(1, 2)))
    assert (broken.interrupted, broken.choices) == (True, ())
    monkeypatch.setattr(bias_robust, "choose", lambda found: replace(found, chosen=None))
    assert np.isnan(bias_robust._choice(found, SWEEP, (0, (5, 0))))


def test_only_the_air_of_a_draw_is_another(monkeypatch):
    """Doubts of loop and shaking were flown already, and tolerances are of the build."""

    def one(key, of_model):
        return SimpleNamespace(key=key, of_model=of_model)

    known = [
        one("doubt.air_stall", True),
        one("doubt.damping", True),
        one("servo.stall_torque", False),
        one("doubt.b", True),
    ]
    monkeypatch.setattr(bias_robust, "varied_inputs", lambda _: known)
    monkeypatch.setattr(
        bias_robust, "sample_places", lambda inputs, count, seed: np.full((count, inputs), float(seed))
    )
    monkeypatch.setattr(bias_robust, "values_at", lambda inputs, place: (len(inputs), place))
    monkeypatch.setattr(
        bias_robust,
        "varied",
        lambda scenario, inputs, values: (scenario, [own.key for own in inputs], values),
    )
    found = bias_robust.aired_scenarios("it", 3, 7)
    assert found == [("it", ["doubt.air_stall", "doubt.b"], (2, (7.0, 7.0)))] * 3
    known[:] = known[1:3]
    assert bias_robust.aired_scenarios("it", 3, 7) == ["it"] * 3
    asked = []
    monkeypatch.setattr(
        bias_robust, "aired_scenarios", lambda _, count, seed: asked.append((count, seed)) or []
    )
    bias_robust.with_choices(replace(chosen(SWEEP), draws=(1, 2)), seed=9)
    bias_robust.with_choices(replace(chosen(SWEEP), draws=(1, 2)))
    assert asked == [(2, 10), (2, 1)]  # not the places of the flights again
    assert Input("a", 1.0, 2.0, "ratio").of_model is False


# -- what is said ----------------------------------------------------------------------------------------


def test_neighbours_differ_in_play_or_charge_or_cannot_be_told_apart():
    quiet, loud = (
        replace(SLIGHT, charges=(40.0,) * 12),
        replace(BARE, shows=(True,) * 12, charges=(30.0,) * 12),
    )
    (less,) = bias_words.costs([quiet, loud], loud)
    assert less == (
        "less weight (0.40): rod force 12.0 N instead of 6.00 N, 11.1 mAh in five minutes of hover instead of 8.3, "
        "play shows in 1 of 12 draws instead of 12; released, the blades return to centre"
    )
    (more,) = bias_words.costs([quiet, loud], quiet)
    assert more.startswith("more weight (0.60)")
    alike = replace(loud, shows=quiet.shows, charges=quiet.charges, strength=FAILS, against="x")
    (same,) = bias_words.costs([quiet, alike], quiet)
    assert same.count("(too close to tell)") == 2
    assert same.endswith("; DO NOT RUN: x")
    middle = bias_words.costs([LIGHT, SLIGHT, BARE], SLIGHT)
    assert [words[:18] for words in middle] == ["less weight (0.00)", "more weight (0.60)"]


def test_play_is_told_of_the_choice_neutral_and_the_least_weight_once_each():
    some = replace(LIGHT, compensation=0.1)
    assert bias_words.play_words(SLIGHT, SLIGHT, [SLIGHT, LOOSE]) == (
        "play shows in 1 of 12 draws at 0.40 (so in 1 to 33 % of such tails)"
    )
    words = bias_words.play_words(SLIGHT, LOOSE, [some, SLIGHT, LOOSE])
    assert words.endswith(", in 11 of 12 at 0.80, where hover loads the rod least, in 0 of 12 at 0.10")
    assert bias_words.play_words(SLIGHT, some, [some, SLIGHT]).count("0 of 12") == 1


def test_which_amounts_were_left_out_and_which_could_have_been():
    """As long as they might be run, have less force, and are not plainly louder."""
    kept = replace(SLIGHT, charges=(40.0,) * 12)
    three = [replace(kept, compensation=kappa, rod_force=12.0) for kappa in (0.1, 0.2)]
    (said,) = bias_words.doubt_words([*three, kept], kept)
    assert said.startswith("0.10, 0.20 and 0.40 can't be told apart by play or mAh in 12 draws")
    for change in ({"strength": FAILS}, {"release": "runs out"}, {"shows": (True,) * 2 + (False,) * 10}):
        assert bias_words.doubt_words([replace(three[0], **change), kept], kept) == ()
    louder = replace(three[0], shows=(True,) * 2 + (False,) * 10)
    assert bias_words.doubt_words([replace(louder, rod_force=12.0), kept], kept) == ()  # no less force
    # of alike forces the lighter weight was chosen, not the quieter
    alike = bias_words.doubt_words([kept, replace(kept, compensation=0.5, rod_force=11.9)], kept)
    assert [said[:38] for said in alike] == ["0.40 and 0.50 can't be told apart by pl"[:38]]
    # evened out it keeps quiet, but was seen to be plainly louder
    seen = replace(three[0], shows=(True,) * 9 + (False,) * 3, evened=0.1)
    assert bias_words.doubt_words([seen, kept], kept) == ()
    (said,) = bias_words.doubt_words([replace(louder, rod_force=11.9), kept], kept)
    assert said.startswith("0.10, of less rod force, was left out for play alone (2 of 12 draws)")
    assert bias_words.doubt_words([replace(louder, rod_force=11.9, strength=FAILS), kept], kept) == ()


def shows(kappa, hits):
    return replace(SLIGHT, compensation=kappa, shows=(True,) * hits + (False,) * (12 - hits))


def test_where_play_shows_more_beside_an_amount_that_is_said():
    row = [shows(0.1, 9), shows(0.2, 2), shows(0.3, 1), shows(0.4, 3), shows(0.5, 12)]
    assert bias_words._shown(row, [1]) == "2 of 12 there, 9 of 12 beside it at 0.10"
    assert bias_words._shown(row, [0]) == "9 of 12 draws"
    assert bias_words._shown(row, [2]) == "1 of 12 there, 3 of 12 beside it at 0.40"
    assert bias_words._shown(row, [4]) == "12 of 12 draws"
    assert bias_words._shown(row[2:], [0]) == "1 of 12 there, 3 of 12 beside it at 0.40"
    assert bias_words._shown([shows(0.1, 2), shows(0.2, 2)], [0]) == "2 of 12 draws"
    assert bias_words._shown(row, [0, 1, 3]) == "9, 2 and 3 of 12 draws, evened out among neighbours"


@pytest.mark.parametrize(
    ("charge", "words"),
    [((36.0, 72.0), "10.0 to 20.0"), ((36.0, 36.1), "10.0"), ((36.0, 36.2), "10.0 to 10.1")],
)
def test_charge_is_told_in_milliampere_hours(charge, words):
    """3.6 C each."""
    assert bias_words.in_mah(charge) == words


def test_turns_are_told_in_tens_of_degrees():
    assert pytest.approx(np.deg2rad(360.0)) == FASTEST
    (said,) = bias_words.turn_words(
        replace(SLIGHT, turn_with=np.deg2rad(94.0), turn_against=np.deg2rad(96.0))
    )
    assert "from 90 deg/s on the way the tail rotor pushes and from 100 deg/s on" in said
    assert (
        bias_words.turn_words(replace(SLIGHT, turn_with=np.deg2rad(94.0), turn_against=0.0))[0].count("deg/s")
        == 1
    )


def setting(kind=SettingKind.FOUND, hunts_at=0.5, frequency=2.34):
    return SimpleNamespace(
        rate_gain=0.3, hold_gain=1.25, kind=kind, hunts_at=hunts_at, frequency=frequency, back_off=0.4
    )


def test_a_setting_is_told_with_where_it_hunts_and_what_was_taken_back():
    gains = "gyro: rate gain 0.3 s, hold gain 1.25"
    end = "40 % taken back (aircraft.gyro.back_off); set without play and without weights"
    assert wording.said_of(setting(SettingKind.STATED)) == f"{gains}, as stated"
    assert wording.said_of(setting()) == (
        f"{gains}: raised until the tail just hunts, then backed off (it hunts from 0.5 s on, known to 5 %, then at "
        f"2.3 Hz), {end}"
    )
    assert wording.said_of(setting(hunts_at=NAN)).endswith(f"then backed off, {end}")
    assert wording.seen_from(np.deg2rad(0.2387)).startswith(
        "a wag is seen from 0.24 deg within 1 s (--visible"
    )


def test_a_tail_that_wags_without_play_is_told_with_its_best_cure():
    def words(*causes):
        return wording.healthy_words(SimpleNamespace(tight_causes=causes, healthy=Count(3, 12)))

    assert words() == ()
    assert words(Cause("shaking", Count(2, 3), 0.1), Cause("play", Count(1, 3), 0.1)) == (
        "Without any play it would be seen to wag in 3 of 12 draws; without shaking it is quiet in 2 of these 3.",
    )
    assert words(Cause("shaking", Count(0, 3), 0.1)) == (
        "Without any play it would be seen to wag in 3 of 12 draws.",
    )


def test_how_often_the_choice_changes_is_told_where_it_was_asked():
    found = replace(chosen(SWEEP), choices=((0.3, 2), (0.45, 10)))
    assert wording.choice_words(found) == (
        "chosen anew in 12 draws of air, loop and play: 0.30 in 2, 0.45 in 10",
    )
    assert wording.choice_words(replace(found, chosen=None)) == ()
    assert wording.choice_words(chosen(SWEEP)) == ()


@pytest.mark.parametrize(("kept", "told"), [(2, False), (3, True)])
def test_a_pace_is_told_where_most_draws_keep_a_cycle_up(kept, told):
    draws = [SimpleNamespace(frequency=2.0)] * kept + [SimpleNamespace(frequency=NAN)] * (4 - kept)
    found = SimpleNamespace(
        draws=draws,
        findings={"wag_frequency": Finding(2.0, "frequency")},
        ranges={"wag_frequency": (1.5, 2.5)},
    )
    assert wording.pace_words(found, "metric") == (", 1.5 to 2.5 Hz" if told else "")


def test_rest_after_a_kick_is_told_with_in_how_many_draws():
    def found(*rests):
        return SimpleNamespace(
            draws=[SimpleNamespace(rests=one) for one in rests],
            findings={"wag_settling": Finding(1.0, "time")},
            ranges={"wag_settling": (0.5, 2.0)},
        )

    inf = float("inf")
    assert (
        wording.rest_words(found(1.0, inf, NAN), "metric")
        == "after a kick it rests within 0.50 to 2.00 s in 1 of 3 draws"
    )
    assert wording.rest_words(found(inf, NAN), "metric") == "after a kick it does not come to rest"


def test_values_are_told_by_their_kind():
    assert wording.told_words("bias_winding", Finding(310.0, "temperature"), "metric") == "37 degC"
    assert wording.told_words("wag_verdict", Finding("quiet", "text"), "metric") == "quiet"
    assert wording.told_words("wag_verdict", Finding("hunts without any play", "text"), "metric") == (
        "the tail hunts without any play"
    )
    assert wording.told_words("other", Finding("only disturbed", "text"), "metric") == "only disturbed"
    assert wording.told_words("force", Finding(12.0, "force"), "metric") == "12.0 N"
    assert wording.told_words("bias_winding", Finding(None, "temperature"), "metric") == quantity(
        None, "temperature", "metric"
    )
    assert wording.told_words("wag_verdict", Finding("as it was", "text"), "metric") == "as it was"
    assert wording.ends_of(None) == {}
    assert wording.ends_of((1.0, 2.0)) == {"low": 1.0, "high": 2.0}
    assert [wording.number_of(Finding(value, "force")) for value in (1.5, None, "text")] == [1.5, None, None]


def test_a_sweep_that_nobody_broke_off_is_chosen_from():
    assert chosen(SWEEP, asked=9).chosen is SLIGHT


def test_a_sweep_that_was_flown_whole_is_chosen_from_even_if_it_was_broken_off_then():
    found = chosen(SWEEP, interrupted=True, asked=4)
    assert found.chosen is not None
    assert choose(replace(found, asked=5)).words == (
        "interrupted: 4 of 5 builds were flown, too few to choose from",
    )
    assert choose(replace(found, points=(), asked=0)).words == ("nothing was flown",)
