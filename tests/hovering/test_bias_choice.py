"""What is chosen of a sweep, and what is said of it, by made-up points; which way the weights turn."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.aircraft.flight import flight_setup
from featherbench.aircraft.yaw_slopes import yaw_slopes
from featherbench.bench.setup import build_setup
from featherbench.bench.statics import static_curves
from featherbench.hovering import wording
from featherbench.hovering.bias import Strength, bias, judged, varied
from featherbench.hovering.bias_words import turn_words
from featherbench.hovering.turning import FASTEST, floating_turn
from featherbench.hovering.wag import MOST_GAIN
from featherbench.hovering.weight_amounts import _weights
from featherbench.pictures.sweep import _spans
from featherbench.scenario import read
from featherbench.studies.free_play import HOVER_BAND, FreePlay
from made_up_sweeps import BARE, LIGHT, LOOSE, SLIGHT, SWEEP, chosen, point


def test_of_the_builds_in_which_play_hardly_shows_the_least_loaded_is_chosen():
    found = chosen(SWEEP)
    assert found.chosen is SLIGHT  # 1 of 12 may show it, 2 of 12 may not
    assert found.play_shows
    assert found.findings["bias_compensation"].value == 0.4
    assert found.findings["bias_rod_force"].value == 12.0
    assert found.findings["bias_share_visible"].value == pytest.approx(1.0 / 12.0)
    assert found.findings["bias_charge"].value == pytest.approx(43.2)
    assert found.words[0] == (
        "play shows in 1 of 12 draws at 0.40 (so in 1 to 33 % of such tails), in 11 of 12 at 0.80, where hover loads "
        "the rod least, in 0 of 12 without weights"
    )


def test_what_less_and_more_weight_would_cost_is_one_sentence_each():
    less, more = chosen(SWEEP).costs()
    assert less == (
        "less weight (0.00): rod force 20.0 N instead of 12.0 N, 20.0 mAh in five minutes of hover instead of 12.0 "
        "(too close to tell), play shows in 0 of 12 draws instead of 1 (too close to tell); released, the blades "
        "return to centre"
    )
    assert more.startswith("more weight (0.60): rod force 6.00 N instead of 12.0 N")
    assert "play shows in 2 of 12 draws instead of 1" in more
    # at an end of the sweep there is a neighbour on one side only, and the order of the sweep does not matter
    assert [text[:11] for text in chosen((SLIGHT, LIGHT)).costs()] == ["less weight"]
    # in the units that people ask for
    assert "rod force 71.9 ozf instead of 43.2 ozf" in chosen(SWEEP).costs("trade")[0]
    assert chosen(SWEEP, interrupted=True, asked=9).costs() == []


@pytest.mark.parametrize(("margin", "wanted"), [(1.5, SLIGHT), (2.0, LIGHT)])
def test_a_seat_ratio_that_is_asked_for_is_kept(margin, wanted):
    assert chosen(SWEEP, margin).chosen is wanted


def test_a_hover_band_that_holds_zero_load_leaves_the_sweep_answerable():
    floating = [replace(one, seat_ratio=0.0) for one in SWEEP]
    found = chosen(floating, 1.3)
    assert found.chosen.compensation == SLIGHT.compensation
    assert any(
        "holds a pitch of no load at every amount, so the flights decide" in text for text in found.words
    )


def test_neighbours_are_those_of_the_same_phase():
    turned = tuple(replace(one, phase=0.05, rod_force=one.rod_force + 1.0) for one in SWEEP)
    found = chosen((*turned, *SWEEP))
    assert found.chosen is SLIGHT
    assert "rod force 20.0 N instead of 12.0 N" in found.costs()[0]


def test_of_equal_loads_the_straighter_weights_are_chosen():
    turned = [replace(SLIGHT, phase=phase) for phase in (-0.1, 0.05)]
    assert chosen([*turned, LIGHT, LOOSE]).chosen is turned[1]


def test_blades_that_run_out_are_chosen_only_where_all_do():
    out = replace(SLIGHT, release="runs out")
    found = chosen((LIGHT, out, BARE, LOOSE))
    assert found.chosen is LIGHT
    assert not any("qualifies run to full pitch" in text for text in found.words)
    every = chosen([replace(one, release="runs out") for one in SWEEP])
    assert every.chosen.compensation == SLIGHT.compensation
    assert any("every build that qualifies run to full pitch" in text for text in every.words)


def test_play_that_shows_everywhere_is_said_and_the_build_that_shows_it_least_taken():
    points = [replace(one, shows=(True,) * count) for one, count in zip(SWEEP, (9, 8, 10, 12), strict=True)]
    points = [replace(one, shows=one.shows + (False,) * (12 - len(one.shows))) for one in points]
    found = chosen(points)
    assert found.chosen is points[1]
    assert any("play shows in more than 1 of 12 draws in every build" in text for text in found.words)


def test_no_wag_anywhere_and_the_least_load_is_best():
    calm = replace(LOOSE, shows=(False,) * 12)
    found = chosen((LIGHT, SLIGHT, calm))
    assert not found.play_shows
    assert found.chosen is calm
    assert any("no wag to fear" in text for text in found.words)


def test_an_amount_that_breaks_something_is_chosen_only_where_all_do():
    """However little it loads the rod; and who looks at more weight is told what it breaks."""
    strengths = {one.compensation: Strength("holds", "") for one in SWEEP}
    strengths[SLIGHT.compensation] = Strength("fails", "1 check fails (thrust bearing 0.9 x)")
    found = judged(chosen(SWEEP), strengths)
    assert found.chosen.compensation == LIGHT.compensation
    assert found.costs()[-1].endswith("; DO NOT RUN: 1 check fails (thrust bearing 0.9 x)")
    assert not any("none of them may be run" in text for text in found.words)
    every = judged(chosen(SWEEP), dict.fromkeys(strengths, Strength("fails", "x")))
    assert every.chosen.compensation == SLIGHT.compensation
    assert any("none of them may be run" in text for text in every.words)


def test_a_sweep_broken_off_chooses_nothing():
    found = chosen((LIGHT, SLIGHT), interrupted=True, asked=75)
    assert found.chosen is None
    assert found.findings == {}
    assert found.words == ("interrupted: 2 of 75 builds were flown, too few to choose from",)
    assert chosen(()).chosen is None
    # who is interrupted when all is flown has his answer
    assert chosen(SWEEP, interrupted=True).chosen is SLIGHT


def test_what_is_shaded_reaches_half_a_step_beyond_and_is_joined():
    row = [point(kappa, 1.0, 0) for kappa in (0.0, 0.2, 0.4, 0.8)]
    assert _spans(row, [False, True, True, False]) == [pytest.approx((0.1, 0.6))]
    assert _spans(row, [True, False, False, True]) == [pytest.approx((0.0, 0.1)), pytest.approx((0.6, 0.8))]


# -- the builds of the sweep -----------------------------------------------------------------------------


@pytest.fixture(scope="module")
def weighted():
    return build_setup(read("scenarios/survey-3kg/worn.toml"))


@pytest.mark.parametrize("degrees", [-6.0, 4.0])
def test_turned_weights_do_at_a_pitch_what_straight_ones_do_that_much_further(weighted, degrees):
    """Turned by a phase, weights see pitch + phase: above zero they drive the blades on, so pitch rises at zero."""
    phase = np.deg2rad(degrees)
    straight, turned = (static_curves(varied(weighted, 0.7, one)) for one in (0.0, phase))
    weights = turned.by_group["counterweight"]
    inside = np.abs(turned.pitch) < np.deg2rad(18.0)
    expected = np.interp(turned.pitch[inside] + phase, straight.pitch, straight.by_group["counterweight"])
    assert weights[inside] == pytest.approx(expected, abs=2e-3 * np.abs(weights).max())
    assert np.sign(np.interp(0.0, turned.pitch, weights)) == np.sign(degrees)


def test_a_build_without_weights_gets_a_pair_either_side_of_the_chord_plane(setup_of):
    plain = setup_of()
    half = varied(plain, 0.5, 0.0)
    left = static_curves(half).moment - static_curves(half).air
    whole = static_curves(plain).moment - static_curves(plain).air
    assert left == pytest.approx(0.5 * whole, rel=1e-6, abs=1e-9)
    # a pair: nothing pulls up or down, and both pull outward at the bolt
    assert half.moments.product == pytest.approx(plain.moments.product, abs=1e-15)
    assert half.moments.first[2] == pytest.approx(plain.moments.first[2], abs=1e-15)
    added = half.moments.mass - plain.moments.mass
    assert half.moments.radial - plain.moments.radial == pytest.approx(added * plain.assembly.bolt.radius)


@pytest.mark.parametrize("phase", [-0.1, 0.1])
def test_a_point_reads_the_ends_of_the_range_and_hover(weighted, phase):
    """Of two builds of the sweep: the force at each end and the largest with friction, currents, the worse release."""
    from featherbench.aircraft.hover import hover_trim
    from featherbench.bench.servo_run import run_servo
    from featherbench.scenario.bench_tables import Move
    from featherbench.studies.free_play import HOVER_BAND, free_play_curves

    (one,) = bias(weighted.scenario, compensations=np.array([0.5]), phases=np.array([phase]), draws=2).points
    setup = varied(build_setup(weighted.scenario), 0.5, phase)
    curves = static_curves(setup, groups=False)
    assert (one.rod_force_low, one.rod_force_high) == pytest.approx(
        (curves.rod_force[0], curves.rod_force[-1])
    )
    assert one.rod_force == pytest.approx((np.abs(curves.rod_force) + curves.rod_friction).max())
    trim = hover_trim(setup, held=False)
    assert one.rod_force_hover == pytest.approx(trim.rod_force)
    free_play = free_play_curves(setup, curves)
    near = np.abs(free_play.pitch - trim.pitch) < HOVER_BAND
    assert one.seat_ratio <= free_play.seat_ratio[near].min() + 1e-12
    moves = [Move.model_construct(go=go, hold=1.5, over=0.0) for go in (1.0, -1.0)]
    legs = run_servo(setup, moves).legs
    assert one.current_peak == pytest.approx(max(leg.peak for leg in legs))
    assert one.current_hold == pytest.approx(max(leg.hold for leg in legs))
    # turned to one side the low end has more to hold, to the other the high end
    assert (legs[1].hold > legs[0].hold) == (phase > 0.0)
    assert one.phase == phase
    assert one.compensation == 0.5


@pytest.mark.parametrize(("ratio", "floats"), [(0.9, True), (1.2, False)])
def test_that_blades_float_in_the_hover_band_is_said_only_where_all_of_them_do(ratio, floats):
    """A load as large as friction keeps them seated, however little of it a margin of 2 is content with."""
    found = chosen([replace(one, seat_ratio=ratio) for one in SWEEP], margin=2.0)
    (said,) = [line for line in found.words if "keeps a load over friction of 2" in line]
    assert ("holds a pitch of no load" in said) is floats


@pytest.mark.parametrize("way", [1, -1])
def test_a_turn_reaches_where_the_blades_float_by_slopes(weighted, way):
    """0.8 deg of pitch away: thrust per pitch times it, over thrust per flow times the arm."""
    ready, spin = flight_setup(weighted), float(weighted.scenario.rotor.speed)
    hover, slopes = ready.trim.pitch, yaw_slopes(ready.trim.pitch, spin, ready.air)

    def turn(low, high, side=way):
        """With a float window so many degrees from the hover pitch."""
        window = sorted(hover + way * np.deg2rad(end) for end in (low, high))
        return floating_turn(ready, FreePlay(*[np.zeros(1)] * 3, (tuple(window),), 0.0), side)

    rate = slopes.by_pitch * np.deg2rad(0.8) / (slopes.by_flow * ready.frame.tail_arm)
    assert 0.2 < rate < FASTEST
    assert turn(0.8, 4.0) == pytest.approx(rate, rel=0.15)
    assert turn(-1.0, 4.0) == 0.0
    assert np.isnan(turn(0.8, 4.0, -way))
    assert np.isnan(turn(8.0, 9.0))


def test_what_the_stick_does_is_said_of_either_side_and_only_where_it_does():
    nan = float("nan")
    for with_it, against, said in (
        (nan, nan, None),
        (0.0, 0.0, None),
        (1.0, nan, "from 60 deg/s on the way the tail rotor pushes the blades float at 0.40"),
        (nan, 2.0, "from 110 deg/s on the way the main rotor's torque turns it the blades float"),
        (1.0, 2.0, "from 60 deg/s on the way the tail rotor pushes and from 110 deg/s on the way the main"),
    ):
        words = turn_words(replace(SLIGHT, turn_with=with_it, turn_against=against))
        assert bool(words) is (said is not None)
        assert said is None or said in words[0]


def test_the_float_window_is_held_against_the_band_about_the_hover_pitch(monkeypatch):
    """Hover at 4 deg, the band to either side of it; without a hover pitch nothing overlaps."""
    asked = []

    def floats(low, high):
        asked.append((low, high))
        return True

    monkeypatch.setattr(wording, "said_of", str)
    monkeypatch.setattr(wording, "seen_from", str)
    names = {"hover_pitch": np.deg2rad(4.0), "float_low": np.deg2rad(-1.0), "float_high": np.deg2rad(5.0)}
    found = SimpleNamespace(
        findings={name: SimpleNamespace(value=float(value)) for name, value in names.items()},
        free_play=SimpleNamespace(floats_between=floats), setting="as set", seen=1.0,
    )  # fmt: skip
    said = wording.wag_rests_on(found)
    assert asked == [pytest.approx((np.deg2rad(4.0) - HOVER_BAND, np.deg2rad(4.0) + HOVER_BAND))]
    assert "float window (-1.0 to 5.0 deg) overlaps the hover band" in said[1]
    assert said[-1] == f"a gyro margin of {MOST_GAIN:g} stands for {MOST_GAIN:g} or more"
    found.findings["hover_pitch"] = SimpleNamespace(value="not found")
    assert "stays clear of the hover band" in wording.wag_rests_on(found)[1]
    found.findings["float_low"] = SimpleNamespace(value=None)
    assert wording.wag_rests_on(found)[1].startswith("the float window stays clear")


def test_weights_of_a_sweep_turn_about_the_feathering_axis_and_stay_as_far_out():
    """Twice as heavy, turned by 5 deg: mass and first moment about the shaft twice, the centre at the same radius and
    as far from the axis; a centre above the chord goes aft.
    """
    part = next(one for one in build_setup(read("scenarios/survey-3kg/weighted.toml")).assembly.parts
                if one.group == "counterweight" and one.moments.centre[2] > 0.0)  # fmt: skip
    turned = _weights(part.moments, 2.0, np.deg2rad(5.0)).moments
    assert (turned.mass, turned.radial) == pytest.approx((2.0 * part.moments.mass, 2.0 * part.moments.radial))
    (r, c, n), (r0, c0, n0) = turned.centre, part.moments.centre
    assert r == pytest.approx(r0)
    assert np.hypot(c, n) == pytest.approx(np.hypot(c0, n0))
    assert np.arctan2(n, c) - np.arctan2(n0, c0) == pytest.approx(np.deg2rad(5.0))
