"""Sizing, sum by sum: what metal weighs and turns, what is tried, what a target asks; every figure written out."""

from dataclasses import replace
from math import acos, pi, sqrt
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.assembly import build_assembly
from featherbench.assembly.shapes import Piece
from featherbench.assembly.usual_hardware import plain_length
from featherbench.linkage.force import JointFriction
from featherbench.scenario import read
from featherbench.sizing.best import Alternative, rank, renamed
from featherbench.sizing.choices import even, nut_height, partners, steps_of, thinned, touched
from featherbench.sizing.design_space import find_design_space
from featherbench.sizing.drive import off_the_end
from featherbench.sizing.machined import Build, Column, MachinedPart, bar, column_of, mm
from featherbench.sizing.sizing_target import ROWS, SizingTarget
from featherbench.sizing.standard import standard_choices
from featherbench.sizing.tolerance import tolerances

MM = 1e-3
PLAIN = Path(__file__).parents[2] / "scenarios" / "survey-3kg" / "plain.toml"


def test_a_bar_by_hand():
    """4 mm round, bored 2 mm, from 3 to 8 mm: pi/4 x 12 mm^2 of it; second moment of the ring pi/64 (4^4 - 2^4)."""
    found = bar(4 * MM, 3 * MM, 8 * MM, 7850.0, 2 * MM)
    line = 7850.0 * pi / 4.0 * 12.0 * MM**2
    assert found.mass == pytest.approx(line * 5 * MM)
    assert found.first == pytest.approx(line * 5 * MM * 5.5 * MM)
    assert found.second == pytest.approx(line * (8.0**3 - 3.0**3) / 3.0 * MM**3)
    assert found.across == pytest.approx(7850.0 * pi / 64.0 * 240.0 * MM**4 * 5 * MM)
    assert bar(4 * MM, 3 * MM, 8 * MM, 7850.0).mass == pytest.approx(found.mass * 16.0 / 12.0)


def test_pieces_make_the_same_sums_as_bars_wherever_they_are_moved():
    """Each with a density of its own where it has one; a hexagon of s across flats has sqrt 3/2 s^2."""
    tube, rod = (
        Piece(3 * MM, 5 * MM, diameter=4 * MM, bore=2 * MM),
        Piece(8 * MM, 1 * MM, diameter=3 * MM, density=2700.0),
    )
    found = column_of((tube, rod), 7850.0, 1.5 * MM)
    by_hand = bar(4 * MM, 4.5 * MM, 9.5 * MM, 7850.0, 2 * MM).plus(bar(3 * MM, 9.5 * MM, 10.5 * MM, 2700.0))
    assert tuple(found) == pytest.approx(tuple(by_hand))
    nut = column_of((Piece(0.0, 2 * MM, across_flats=5 * MM),), 1000.0)
    assert nut.mass == pytest.approx(1000.0 * sqrt(3.0) / 2.0 * 25.0 * 2.0 * MM**3)
    pair = found.mirrored()
    assert tuple(pair) == pytest.approx((2.0 * found.mass, 0.0, 2.0 * found.second, 2.0 * found.across))
    rows = Column(*(np.arange(3.0) + 10.0 * place for place in range(4))).taken([2, 0])
    assert [value.tolist() for value in rows] == [[2.0, 0.0], [12.0, 10.0], [22.0, 20.0], [32.0, 30.0]]


@pytest.mark.parametrize(
    ("low", "high", "cut"),
    [
        (5.0, 10.0, (7.5, 10.0)),
        (0.0, 5.0, (2.5, 5.0)),
        (-10.0, -5.0, (-10.0, -7.5)),
        (-5.0, 0.0, (-5.0, -2.5)),
    ],
)
def test_flats_are_cut_at_the_end_away_from_the_axis(low, high, cut):
    """8 mm round, flats 7 mm apart (the widest spanner below 0.92 x 8), 2.5 mm long: two segments of half-angle
    acos(7/8) go, each r^2 (a - sin a cos a), r 4 mm.
    """
    found = off_the_end("M3", 8 * MM, low * MM, high * MM, 7850.0)
    angle = acos(7.0 / 8.0)
    line = 7850.0 * 2.0 * 16.0 * (angle - 7.0 / 8.0 * sqrt(1.0 - (7.0 / 8.0) ** 2)) * MM**2
    assert found.mass == pytest.approx(line * 2.5 * MM)
    assert found.first == pytest.approx(found.mass * (cut[0] + cut[1]) / 2.0 * MM)
    assert found.second == pytest.approx(line * (cut[1] ** 3 - cut[0] ** 3) / 3.0 * MM**3)


def test_a_slot_is_cut_at_the_end_away_from_the_axis():
    """3.5 mm round is too narrow for a spanner over M3: a slot of 0.8 by 0.9 mm, about 0.8 x 3.5 mm^2 of it."""
    for low, high, middle in ((5.0, 10.0, 9.55), (-10.0, -5.0, -9.55)):
        found = off_the_end("M3", 3.5 * MM, low * MM, high * MM, 7850.0)
        assert found.mass == pytest.approx(7850.0 * 0.8 * 3.5 * 0.9 * MM**3, rel=0.02)
        assert found.first == pytest.approx(found.mass * middle * MM)


def test_whole_steps_of_the_lathe_and_none_where_they_are_too_coarse(space):
    """M3 has a pitch of 0.5 mm: steps of up to half of it round, down or up; coarser ones leave a length as it is."""
    fine, coarse = replace(space, step=0.25 * MM), replace(space, step=0.3 * MM)
    assert fine.whole_steps(4.6 * MM) == pytest.approx(4.5 * MM)
    assert fine.whole_steps(4.6 * MM, True) == pytest.approx(4.75 * MM)
    assert fine.whole_steps(4.5 * MM) == fine.whole_steps(4.5 * MM, True) == pytest.approx(4.5 * MM)
    assert coarse.whole_steps(4.6 * MM) == coarse.whole_steps(4.6 * MM, True) == 4.6 * MM


def test_a_thing_made_is_as_long_and_as_wide_as_its_pieces():
    pieces = (Piece(-3 * MM, 5 * MM, diameter=4 * MM), Piece(2 * MM, 1 * MM, across_flats=5.5 * MM))
    one = MachinedPart("x", "steel", 7850.0, pieces, 0.03)
    assert (one.length, one.diameter) == pytest.approx((6 * MM, 5.5 * MM))
    assert one.mass == pytest.approx(column_of(pieces, 7850.0).mass)
    assert (mm(0.0125), mm(1.0 / 3000.0)) == ("12.5 mm", "0.333333333 mm")


def test_the_evenest_pairs_are_kept_class_by_class():
    """Left over of both: 0.01/1.99, 0.1/1.9 and 1/1 of their first moments; up to 1, 3, 6, 12 %, or all."""
    above, below = np.array([1.0, 1.0, 1.0]), np.array([-0.99, -0.9, 0.0])

    def kept(which, *classes):
        pair = [Column(0.0, value[which], 0.0, 0.0) for value in (above, below)]
        return even(*pair, *classes).tolist()

    assert kept([0, 1, 2]) == [True, False, False]
    assert kept([1, 2]) == [True, False]
    assert kept([2]) == [True]
    assert kept([1, 2], (0.05,)) == [True, True]  # none of that class: all of them
    assert kept([1, 2], (0.053,)) == [True, False]
    assert kept([0, 1, 2], (0.06, 1.0)) == [True, True, False]


def test_many_values_are_thinned_with_the_last():
    assert thinned(np.arange(10), 10).tolist() == list(range(10))
    assert thinned(np.arange(10), 4).tolist() == [0, 3, 6, 9]
    assert thinned(np.arange(11), 10).tolist() == [0, 2, 4, 6, 8, 10]


def test_steps_of_the_lathe_between_a_nut_and_the_limit():
    """From 2.4 mm, every 0.05 mm, to 10 - 4.5 mm; a step that does not divide them stays inside."""
    found = steps_of(SimpleNamespace(step=0.05 * MM), 4.5 * MM, 10 * MM, 2.4 * MM)
    assert (found[0], found[1], found[-1], found.size) == pytest.approx((2.4 * MM, 2.45 * MM, 5.5 * MM, 63))
    coarse = steps_of(SimpleNamespace(step=0.7 * MM), 4.5 * MM, 10 * MM, 2.4 * MM)
    assert coarse.tolist() == pytest.approx([2.8 * MM, 3.5 * MM, 4.2 * MM, 4.9 * MM])
    assert steps_of(SimpleNamespace(step=0.05 * MM), 4.5 * MM, 6 * MM, 2.4 * MM).size == 0
    fine = steps_of(SimpleNamespace(step=0.001 * MM), 0.0, 6 * MM, 2.4 * MM)
    assert 200 < fine.size <= 251
    assert nut_height(SimpleNamespace(thread="M3")) == pytest.approx(2.4 * MM)


def test_partners_balance_best():
    """Of first moments below from -1 to -20, those about -7.2 go with 7.2 above."""
    below = Column(0.0, -np.arange(1.0, 21.0), 0.0, 0.0)
    ones, others = partners(Column(0.0, np.array([7.2, 15.0]), 0.0, 0.0), below)
    assert ones.tolist() == [0] * 6 + [1] * 6
    assert sorted(-below.first[others[:6]]) == [5.0, 6.0, 7.0, 8.0, 9.0, 10.0]
    assert 15.0 in -below.first[others[6:]]


@pytest.fixture(scope="module")
def space():
    scenario = read(PLAIN)
    return find_design_space(scenario, build_assembly(scenario))


def test_limits_are_reached_within_a_step(space):
    tight = replace(
        space, above=16 * MM, below=14 * MM, over_all=28 * MM, step=0.1 * MM, bars=(6 * MM, 9 * MM)
    )

    def reached(above, below, diameter, widest=9.0):
        return touched(tight, above * MM, below * MM, diameter * MM, widest * MM)

    assert reached(15.8, 5.0, 8.0) == []
    assert reached(15.95, 5.0, 8.0) == ["height_above"]
    assert reached(5.0, 13.95, 8.0) == ["height_below"]
    assert reached(15.0, 12.95, 8.0) == ["bolt_length"]
    assert reached(15.0, 12.8, 8.0) == []
    assert reached(5.0, 5.0, 8.95) == ["diameter"]
    assert reached(5.0, 5.0, 8.0, 8.05) == ["diameter"]
    assert reached(5.0, 5.0, 8.0, 8.2) == []
    whole = replace(tight, over_all=30 * MM)
    assert touched(whole, 15.95 * MM, 13.95 * MM, 0.0, 1.0) == ["height_above", "height_below"]


def room_with(**changes):
    scenario = read(PLAIN, {f"envelope.{key}": value for key, value in changes.items()})
    return find_design_space(scenario, build_assembly(scenario))


def test_bars_are_turned_down_and_none_is_wider_than_the_room():
    """Of bars of 6 and 8.3 mm, each half millimetre up to 8 and the bars themselves, up to 7 mm; all steps without."""
    found = room_with(stock='["6 mm", "8.3 mm"]', lathe_step="0.5 mm", diameter="7 mm").bars
    assert found == pytest.approx([0.5 * MM * step for step in range(1, 15)])
    odd = room_with(stock='["6.2 mm"]', lathe_step="0.5 mm", diameter="7 mm").bars
    assert odd == pytest.approx([*(0.5 * MM * step for step in range(1, 13)), 6.2 * MM])
    assert room_with(stock="[]", lathe_step="0.5 mm", diameter="7 mm").bars[-1] == pytest.approx(7 * MM)


def test_keep_outs_narrow_the_room_on_either_side(space):
    """Twice the way from the bolt, at 34 mm, to what must stay clear; never below nothing."""
    at = space.radius
    assert at == pytest.approx(34 * MM)
    wide = {"diameter": "12 mm", "arm_radius": "30 mm"}
    assert room_with(**wide, clear_inboard="29.5 mm", clear_outboard="60 mm").widest == pytest.approx(9 * MM)
    assert room_with(**wide, clear_inboard="20 mm", clear_outboard="37 mm").widest == pytest.approx(6 * MM)
    assert room_with(**wide, clear_inboard="20 mm", clear_outboard="60 mm").widest == pytest.approx(12 * MM)
    both = room_with(**wide, clear_inboard="28 mm", clear_outboard="33 mm")
    assert (both.widest, both.arm_widest) == pytest.approx((0.0, 4 * MM))


def test_a_room_knows_its_thread(space):
    """M3: shank as wide, core 2.675 mm by pitch diameter, thread from half a millimetre before the nut's seat.

    The nut stood 0.075 mm off the grip: a new one lies on it.
    """
    assert (space.thread, space.shank) == ("M3", pytest.approx(3 * MM))
    assert space.core == pytest.approx((3.0 - 0.649519 * 0.5) * MM)
    assert (space.seat_above, space.seat_below) == pytest.approx((5 * MM, 5 * MM))
    assert space.thread_from == pytest.approx(4.5 * MM)
    # without a head's seat it is counted from the axis: 5 - 0.5 mm is 30 whole steps of 0.15 mm
    assert replace(space, seat_above=None, step=0.15 * MM).thread_from == pytest.approx(4.5 * MM)
    assert replace(space, seat_above=5.1 * MM, step=0.15 * MM).thread_from == pytest.approx(
        4.5 * MM
    )  # 9.6 of 9.6
    assert replace(space, seat_above=5.0 * MM, step=0.15 * MM).thread_from == pytest.approx(
        4.45 * MM
    )  # 9.45 of 9.5
    assert room_with(thread="M4").shank == pytest.approx(4 * MM)
    over = room_with(bolt_length="20 mm")
    assert (over.over_all, space.over_all) == pytest.approx((20 * MM, space.above + space.below))


@pytest.mark.parametrize(
    ("thread", "length", "plain"),
    [
        ("M3", 20, 0.0),
        ("M3", 25, 4.5),
        ("M3", 40, 19.5),
        ("M4", 40, 40 - 20 - 3.5),
        ("M2", 16, 0.0),
        ("M2", 20, 2.0),
    ],
)
def test_how_far_a_screw_is_plain(thread, length, plain):
    """ISO 4762: length less 2 d + 12 mm of thread and five pitches, in mm."""
    assert plain_length(thread, length * MM) == pytest.approx(plain * MM, abs=1e-9)


def test_bought_hardware_needs_seats_and_room(space):
    for changes, said in (
        ({"seat_above": None}, "state envelope.seat_above"),
        ({"seat_below": None}, "state envelope.seat_above"),
        ({"widest": 6.9 * MM}, "wider than the diameter"),
        ({"above": 5 * MM}, "no M3 screw of the series fits"),
    ):
        choices, reasons = standard_choices(replace(space, **changes))
        assert choices == []
        assert said in reasons[0]


def sizing_target_of(quantity, **changes):
    """Two pitches; the slopes of the five moments all unlike."""
    slopes = np.array([[1.0, 2.0], [3.0, 5.0], [7.0, 11.0], [13.0, 17.0], [19.0, 23.0]])
    own = {
        "quantity": quantity, "value": 0.5, "plain": 4e-6, "kept": 3e-6, "pitch": np.array([0.1, 0.2]),
        "moment": np.array([1e-3, -2e-3]), "slopes": slopes, "friction": np.array([[1e-3, 2e-3], [3.0, 5.0]]),
        "travel": np.array([10e-3, 12e-3]), "blades": 2.0, "radial": 4e-4, "rod_friction": 0.2, "gain": 1.5,
        "joints": JointFriction(0.0, 0.0),
    }  # fmt: skip
    return SizingTarget(**own | changes)


WEIGHTS = Column(np.array([2e-3]), np.array([1e-5]), np.array([1.5e-6]), np.array([1e-8]))
RADIUS, CHORD = 0.03, 2e-3


def test_compensation_of_weights_by_hand():
    """I_c of 2 g at 2 mm, 8e-9, and across, 1e-8; I_n 1.5e-6: 1 - (3e-6 + 1.8e-8 - 1.5e-6)/4e-6."""
    assert sizing_target_of("compensation").measure(WEIGHTS, RADIUS, CHORD) == pytest.approx(
        [1.0 - 1.518 / 4.0]
    )


def moments_by_hand():
    chordwise, first = 2e-3 * CHORD**2 + 1e-8, 1e-5
    sums = [chordwise, 1.5e-6, CHORD * first, 2e-3 * RADIUS * CHORD, first * RADIUS]
    rows = ((1.0, 3.0, 7.0, 13.0, 19.0), (2.0, 5.0, 11.0, 17.0, 23.0))
    return [float(start + np.dot(sums, row)) for start, row in zip((1e-3, -2e-3), rows, strict=True)]


def test_a_seat_ratio_by_hand():
    """Moment of both blades over the friction that it has to beat, where that is least."""
    friction = [1e-3 + (4e-4 + 2e-3 * RADIUS) * 3.0, 2e-3 + (4e-4 + 2e-3 * RADIUS) * 5.0]
    ratios = [abs(2.0 * moment) / hold for moment, hold in zip(moments_by_hand(), friction, strict=True)]
    assert sizing_target_of("seat_ratio").measure(WEIGHTS, RADIUS, CHORD) == pytest.approx([min(ratios)])


def test_a_rod_force_by_hand():
    """Both blades' moment and friction over the rod's travel per pitch, the rod's own beside; by the gauge's gain."""
    friction = [1e-3 + (4e-4 + 2e-3 * RADIUS) * 3.0, 2e-3 + (4e-4 + 2e-3 * RADIUS) * 5.0]
    forces = [
        2.0 * abs(moment) / travel + hold / travel + 0.2
        for moment, hold, travel in zip(moments_by_hand(), friction, (10e-3, 12e-3), strict=True)
    ]
    assert sizing_target_of("rod_force").measure(WEIGHTS, RADIUS, CHORD) == pytest.approx([1.5 * max(forces)])


def test_many_choices_are_measured_as_one():
    """More than are judged at a time, every one as by itself."""
    count = ROWS + 3
    many = Column(*(np.linspace(1.0, 2.0, count) * float(value[0]) for value in WEIGHTS))
    found = sizing_target_of("rod_force").measure(many, RADIUS, CHORD)
    assert found.shape == (count,)
    for place in (0, ROWS - 1, ROWS, count - 1):
        assert sizing_target_of("rod_force").measure(many.taken([place]), RADIUS, CHORD) == pytest.approx(
            [found[place]]
        )


def test_a_seat_needs_blades_that_centre_themselves():
    """3e-6 kept, and 1.8e-8 of the weights' own, less their I_n: 3.0e-6 leaves some, 3.1e-6 none."""
    weights = WEIGHTS._replace(second=np.array([3.0e-6, 3.1e-6]))
    assert sizing_target_of("seat_ratio").usable(weights, CHORD).tolist() == [True, False]
    assert sizing_target_of("compensation").usable(weights, CHORD).tolist() == [True, True]


def tolerated(grade="G6.3", value=0.5, step=0.05 * MM, quantity="compensation"):
    """A round head of 8 x 4 mm that stands from 5 to 9 mm, of steel, and its allowances."""
    head = MachinedPart("head", "steel", 7850.0, (Piece(5 * MM, 4 * MM, diameter=8 * MM),), 0.03)
    bought = MachinedPart(
        "screw", "steel", 7850.0, (Piece(0.0, 4 * MM, diameter=3 * MM),), 0.03, standard="ISO 4762"
    )
    plain = SimpleNamespace(
        limits=SimpleNamespace(balance_grade=grade),
        rotor=SimpleNamespace(blades=2, speed=1000.0),
        workshop=SimpleNamespace(scale_step=1e-5),
    )
    run = SimpleNamespace(value=lambda name: {"mass": 0.02}[name])
    return tolerances(
        Build((head, bought)), sizing_target_of(quantity, value=value), SimpleNamespace(step=step), plain, run
    )


def test_what_a_dimension_is_worth_by_hand():
    """Compensation grows by I_n less I_c over 4e-6: of the head rho pi/4 d^2 (9^3 - 5^3)/3 less rho pi/64 d^4 x 4."""
    found = {one.dimension: one.slope for one in tolerated().effects}
    wide = 7850.0 * pi / 4.0 * (2.0 * 8.0 * (9.0**3 - 5.0**3) / 3.0 - 4.0 * 8.0**3 / 16.0 * 4.0) * MM**4
    high = 7850.0 * pi / 4.0 * (8.0**2 * 9.0**2 - 8.0**4 / 16.0) * MM**4
    assert found == pytest.approx(
        {"diameter of the head": wide / 4e-6, "height of the head": high / 4e-6}, rel=1e-5
    )
    assert tolerated().effects[0].dimension == max(found, key=lambda name: abs(found[name]))


def test_what_hangs_below_grows_away_from_the_grip():
    """The mirror image of a head from 5 to 9 mm does the same, and is as sensitive."""
    plain = SimpleNamespace(
        limits=SimpleNamespace(balance_grade=None),
        rotor=SimpleNamespace(blades=2, speed=1000.0),
        workshop=SimpleNamespace(scale_step=1e-5),
    )
    nut = MachinedPart("head", "steel", 7850.0, (Piece(-9 * MM, 4 * MM, diameter=8 * MM),), 0.03)
    below = tolerances(
        Build((nut,)),
        sizing_target_of("compensation"),
        SimpleNamespace(step=0.05 * MM),
        plain,
        SimpleNamespace(value=lambda _: 0.02),
    )
    assert {one.dimension: one.slope for one in below.effects} == pytest.approx(
        {one.dimension: one.slope for one in tolerated().effects}, rel=1e-5
    )


def test_the_general_tolerance_is_the_coarsest_that_the_target_allows():
    """All dimensions off at once, by chance, move it by 2 % at most; 0.01 at least, half a step at most."""
    spread = sqrt(sum(one.slope**2 for one in tolerated().effects))
    for half in (0.1, 0.05, 0.02, 0.01):
        just = 1.001 * half * MM * spread / 0.02
        assert tolerated(value=just, step=1.0 * MM).general == pytest.approx(half * MM)
    assert tolerated(value=1e-9).general == pytest.approx(0.01 * MM)
    assert tolerated(value=1e9, step=0.05 * MM).general == pytest.approx(0.025 * MM)
    assert tolerated(value=1e9, step=0.001 * MM).general == pytest.approx(0.01 * MM)


def test_how_unlike_the_pieces_of_two_blades_may_be():
    """6.3 mm/s x 40 g / 1,000 rad/s at 30 mm: 8.4 mg, which a scale of 10 mg does not show.

    Its step at 30 mm is 0.3 g mm: of 40 g at 1,000 rad/s 7.5 mm/s, and 0.3 N once a turn; without a grade, that counts.
    """
    unlike, bare = tolerated().mismatch, tolerated(grade=None).mismatch
    assert unlike == pytest.approx((8.4e-6, 1e-5, "G6.3", 7.5e-3, 0.3))
    assert not unlike.shows
    assert bare == pytest.approx((1e-5, 1e-5, "", 7.5e-3, 0.3))
    assert bare.shows
    assert tolerated(grade="fine").mismatch.grade == ""
    assert tolerated(grade="G8").mismatch.shows


def alternative(load=5.0, residue=0.0, reached=True, against=()):
    return Alternative("bolt", "", Build(()), 0.5, residue, 1e-3, load, (), reached, against)


def test_what_holds_comes_first_then_what_is_on_target_then_what_is_light():
    light, heavy = alternative(4.0, 0.02), alternative(6.0)
    near, far = alternative(1.0, -0.1, reached=False), alternative(0.5, 0.3, reached=False)
    weak = alternative(0.1, against=("bolt 0.6 x",))
    assert sorted([weak, far, heavy, near, light], key=rank) == [light, heavy, near, far, weak]
    assert (light.holds, weak.holds) == (True, False)


def test_new_parts_take_no_name_that_is_taken_and_still_find_each_other():
    parts = {"arm": {"shape": "cylinder"}, "weight": {"held_to": "arm"}, "nut": {"held_to": "grip"}}
    found = renamed(Build((), parts), {"arm", "arm-new", "weight"}).parts
    assert found == {
        "arm-new-new": {"shape": "cylinder"},
        "weight-new": {"held_to": "arm-new-new"},
        "nut": {"held_to": "grip"},
    }
