"""What is chosen of a sweep, and what is said of it, by made-up points; which way the weights turn."""

from dataclasses import replace

import numpy as np
import pytest

from featherbench.bench.setup import build_setup
from featherbench.bench.statics import static_curves
from featherbench.scenario import read
from featherbench.studies.bias import PLAY_FLOOR, SEAT_MARGIN, Point, Strength, _chosen, bias, judged, varied

SEEN = 2e-3
"""rad of wag that is seen, in the made-up sweeps."""


def point(compensation, rod_force, seat_ratio, wag, phase=0.0, release="returns"):
    return Point(
        compensation=compensation,
        phase=phase,
        rod_force=rod_force,
        rod_force_low=-rod_force,
        rod_force_high=rod_force,
        rod_force_hover=0.5 * rod_force,
        current_peak=0.5,
        current_hold=0.2,
        current_hover=0.1,
        release=release,
        seat_ratio=seat_ratio,
        float_low=float("nan"),
        float_high=float("nan"),
        wag_heading=wag,
    )


LIGHT = point(0.2, 20.0, 3.0, 1.0e-3)
SLIGHT = point(0.4, 12.0, 1.5, 1.0e-3)
BARE = point(0.6, 6.0, 1.1, 1.2e-3)
LOOSE = point(0.8, 4.0, 0.5, 2.0e-2)
SWEEP = (LIGHT, SLIGHT, BARE, LOOSE)


def chosen(points, margin=SEAT_MARGIN, seen=SEEN):
    return _chosen(None, tuple(points), margin, seen, False)  # the scenario is only handed on


@pytest.mark.parametrize(
    ("margin", "wanted"), [(1.0, BARE), (1.1, BARE), (1.3, SLIGHT), (1.5, SLIGHT), (2.0, LIGHT), (3.0, LIGHT)]
)
def test_of_the_builds_that_keep_the_margin_the_least_loaded_is_chosen(margin, wanted):
    found = chosen(SWEEP, margin)
    assert found.chosen is wanted
    assert found.play_shows
    assert found.findings["bias_compensation"].value == wanted.compensation
    assert found.findings["bias_rod_force"].value == wanted.rod_force
    assert found.findings["bias_rod_force_hover"].value == wanted.rod_force_hover
    assert found.findings["bias_seat_ratio"].value == wanted.seat_ratio


def test_the_margin_that_is_kept_unasked_lets_a_seat_ratio_of_one_point_one_go():
    assert bias.__kwdefaults__["margin"] == SEAT_MARGIN
    assert 1.2 <= SEAT_MARGIN <= 1.5
    assert chosen(SWEEP).chosen is SLIGHT


def test_what_less_and_more_weight_would_cost_is_said():
    less, more = chosen(SWEEP).words[-2:]
    assert less.startswith("less weight (compensation 0.20): rod force 20.0 N instead of 12.0 N")
    assert "seat ratio 3.0 instead of 1.5" in less
    assert more.startswith("more weight (compensation 0.60): rod force 6.0 N instead of 12.0 N")
    assert "wag 0.07 instead of 0.06 deg" in more
    assert more.endswith("released, the blades return to centre")
    # at an end of the sweep there is a neighbour on one side only, and the order of the sweep does not matter
    words = chosen(SWEEP[::-1], 2.0).words
    assert [text[:11] for text in words] == ["more weight"]


def test_neighbours_are_those_of_the_same_phase():
    turned = tuple(replace(one, phase=0.05, rod_force=one.rod_force + 1.0) for one in SWEEP)
    found = chosen((*turned, *SWEEP))
    assert found.chosen is SLIGHT
    assert "rod force 20.0 N instead of 12.0 N" in found.words[-2]


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


def test_a_margin_that_no_build_keeps_is_said_and_the_quiet_build_of_least_load_shown():
    found = chosen(SWEEP, 5.0)
    assert found.chosen is BARE
    assert "no build of the sweep keeps a seat ratio of 5" in found.words[0]


def test_no_wag_anywhere_and_the_least_load_is_best():
    calm = replace(LOOSE, wag_heading=1.5e-3)
    found = chosen((LIGHT, SLIGHT, BARE, calm))
    assert not found.play_shows
    assert found.chosen is calm
    assert "no wag to fear" in found.words[0]


def test_wag_that_the_servo_leaves_anyway_is_not_held_against_a_build():
    """Seated builds wag by 4 mrad, 0.23 deg: up to 1.3 times that is no play; more is."""
    assert PLAY_FLOOR == 1.3
    points = [
        replace(one, wag_heading=wag) for one, wag in zip(SWEEP, (4e-3, 5.1e-3, 4e-3, 5.3e-3), strict=True)
    ]
    found = chosen(points)
    assert found.floor == pytest.approx(4e-3)  # the middle one of 4, 4, 5.1
    assert found.chosen is points[1]
    assert found.play_shows
    assert "leave 0.23 deg of wag, more than the 0.11 deg that is seen" in found.words[-1]


def test_an_amount_that_breaks_something_is_chosen_only_where_all_do():
    """However little it loads the rod; and who looks at more weight is told what it breaks."""
    strengths = {one.compensation: Strength("holds", "") for one in SWEEP}
    strengths[SLIGHT.compensation] = Strength("fails", "1 check fails (thrust bearing 0.9 x)")
    found = judged(chosen(SWEEP), strengths)
    assert found.chosen.compensation == LIGHT.compensation
    assert found.words[-1].endswith("; DO NOT RUN: 1 check fails (thrust bearing 0.9 x)")
    assert not any("none of them may be run" in text for text in found.words)
    every = judged(chosen(SWEEP), dict.fromkeys(strengths, Strength("fails", "x")))
    assert every.chosen.compensation == SLIGHT.compensation
    assert any("none of them may be run" in text for text in every.words)


def test_nothing_flown_is_nothing_chosen():
    assert chosen(()).chosen is None


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

    (one,) = bias(weighted.scenario, compensations=np.array([0.5]), phases=np.array([phase])).points
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
