"""What a choice is made of, by hand: sums above and below the axis, the piece with the thread, the limit it meets."""

from dataclasses import replace
from math import pi
from pathlib import Path

import numpy as np
import pytest

from featherbench.assembly import build_assembly
from featherbench.scenario import ScenarioError, read
from featherbench.sizing.arms import arm_choices
from featherbench.sizing.choices import UNEVEN_BOUGHT, UNEVEN_ON_AXIS, even, touched
from featherbench.sizing.design_space import find_design_space
from featherbench.sizing.machined import Column
from featherbench.sizing.standard import _Rack, _rack_build, _rack_columns, _rack_touched
from featherbench.sizing.turned import _turned, bolt_choices

MM = 1e-3
STEEL = 7850.0
PITCH_DIAMETER = (3.0 - 0.649519 * 0.5) * MM
NUT = STEEL * 2.4 * MM * (np.sqrt(3.0) / 2.0 * (5.5 * MM) ** 2 - pi / 4.0 * PITCH_DIAMETER**2)
WASHER = STEEL * 0.5 * MM * pi / 4.0 * ((7.0 * MM) ** 2 - (3.2 * MM) ** 2)
PLAIN = Path(__file__).parents[2] / "scenarios" / "survey-3kg" / "plain.toml"


def number(text):
    return float(text.split()[0]) * MM


@pytest.fixture(scope="module")
def plain():
    return read(PLAIN)


@pytest.fixture(scope="module")
def space(plain):
    """Head on 5 mm, nut on 5 mm, M3."""
    found = find_design_space(plain, build_assembly(plain))
    return replace(found, seat_above=5.0 * MM, seat_below=5.0 * MM)


RACK = _Rack(1, 2, 0, 3, 25.0 * MM)
"""Above two washers and a nut, on 5 to 8.4 mm; below three nuts, to 12.2 mm; the screw's end at 16.6 mm below."""


def test_what_lies_above_is_summed_above_and_the_screw_with_it(space):
    """A nut and two washers above; three nuts below, their middles at 6.2, 8.6 and 11 mm."""
    above, below = _rack_columns(space, RACK)
    assert below.mass == pytest.approx(3.0 * NUT)
    assert below.first == pytest.approx(-NUT * (6.2 + 8.6 + 11.0) * MM)
    alone, none = _rack_columns(space, replace(RACK, nuts_above=0, washers_above=0, nuts_below=0))
    assert (none.mass, none.first) == (0.0, 0.0)
    moved = above.mass - NUT - 2.0 * WASHER
    assert moved == pytest.approx(alone.mass)
    shift = 3.4 * MM  # the screw's own first moment moves up with its head
    own = alone.first + alone.mass * shift
    assert above.first == pytest.approx(own + WASHER * (5.25 + 5.75) * MM + NUT * 7.2 * MM)


def test_a_rack_says_which_of_its_parts_is_threaded_bought_and_how_many(space):
    build = _rack_build(space, RACK)
    screw, nut, washer = build.made
    assert (screw.name, screw.standard, screw.count, screw.thread) == (
        "long screw",
        "ISO 4762 M3x25",
        1,
        "M3",
    )
    assert [screw.pieces[index].thread for index in screw.threaded] == ["M3"]
    assert (nut.name, nut.standard, nut.count) == ("nut", "ISO 4032 M3", 4)
    assert (washer.name, washer.standard, washer.count) == ("washer", "ISO 7089 M3", 2)
    assert nut.mass == pytest.approx(NUT)
    assert washer.mass == pytest.approx(WASHER)
    assert {one.radius for one in build.made} == {space.radius}
    assert {one.chord for one in build.made} == {space.chord}
    heights = {
        name: number(part["at"]["normal"]) for name, part in build.parts.items() if "normal" in part["at"]
    }
    assert heights == pytest.approx(
        {
            "weight-washer-1": 5.25 * MM,
            "weight-washer-2": 5.75 * MM,
            "weight-nut-1": 7.2 * MM,
            "weight-nut-2": -6.2 * MM,
            "weight-nut-3": -8.6 * MM,
            "weight-nut-4": -11.0 * MM,
        }
    )
    clamping = [name for name, part in build.parts.items() if part["group"] == "bolt"]
    assert clamping == ["weight-screw", "weight-nut-2"]
    assert all(build.parts[name]["instead_of"] == list(space.replaced) for name in clamping)
    bare = _rack_build(replace(space, replaced=()), RACK)
    assert [name for name, part in bare.parts.items() if part["group"] == "bolt"] == ["weight-screw"]
    assert not any("instead_of" in part for part in bare.parts.values())
    assert number(build.parts["weight-screw"]["under_head"]) == pytest.approx(8.4 * MM)
    no_washer = _rack_build(space, replace(RACK, washers_above=0))
    assert [one.name for one in no_washer.made] == ["long screw", "nut"]


def test_a_rack_reaches_as_high_as_its_head_and_as_low_as_its_screw(space):
    """11.4 mm above, 16.6 mm below."""
    tight = replace(space, step=0.1 * MM, over_all=1.0, above=11.45 * MM, below=20.0 * MM)
    assert _rack_touched(tight, RACK) == ["height_above"]
    assert _rack_touched(replace(tight, above=11.55 * MM, below=16.65 * MM), RACK) == ["height_below"]
    assert _rack_touched(replace(tight, above=11.55 * MM, below=16.75 * MM), RACK) == []


def test_an_arm_carries_its_weight_at_its_end_on_both_sides(space):
    """Every figure of the choice in its own place: diameter, length and top of the weight, foot of the arm."""
    choices = arm_choices(space)[0][0]
    for index in (0, choices.count // 2, choices.count - 1):
        build = choices.make(index)
        weight, arm = build.made
        assert (weight.count, arm.count, weight.thread, arm.thread) == (2, 2, "M3", "M3")
        assert weight.tapped
        assert arm.threaded == (0,)
        assert (weight.chord, arm.chord) == (0.0, 0.0)
        top = arm.pieces[0].start + arm.pieces[0].length
        assert arm.pieces[0].start == pytest.approx(space.arm_face)
        assert weight.pieces[0].start + weight.pieces[0].length == pytest.approx(top)
        assert weight.pieces[0].bore == arm.pieces[0].diameter == space.core
        drawn = build.parts["weight"]
        assert number(drawn["diameter"]) == pytest.approx(weight.pieces[0].diameter)
        assert number(drawn["length"]) == pytest.approx(weight.pieces[0].length)
        assert number(drawn["at"]["normal"]) == pytest.approx(top - 0.5 * weight.pieces[0].length)
        stands = build.parts["weight-arm"]
        assert number(stands["length"]) == pytest.approx(top - space.arm_face)
        assert number(stands["at"]["normal"]) == pytest.approx(0.5 * (top + space.arm_face))
        assert (
            number(stands["at"]["radius"]) == number(drawn["at"]["radius"]) == pytest.approx(space.arm_radius)
        )
        expected = touched(space, top, top, weight.pieces[0].diameter, space.arm_widest)
        assert choices.touching(index) == expected
    widest = [i for i in range(choices.count) if "diameter" in choices.touching(i)]
    assert 0 < len(widest) < choices.count


def test_a_turned_bolt_meets_the_limits_of_its_own_head_and_nut(space):
    """The wider of both counts; over all from top to end."""
    (metal,) = [one for one in space.materials if one.name == "steel 4140 normalised"][:1]
    one = _turned(
        space, metal, np.array([6.0, 7.0]) * MM, np.array([3.0, 4.0]) * MM, np.array([3.0, 4.0]) * MM
    )
    assert one.count
    for index in range(one.count):
        bolt, nut = one.make(index).made
        head = bolt.pieces[2]
        above, below = head.start + head.length, -nut.pieces[0].start
        wide = max(head.diameter, nut.pieces[0].diameter)
        for room in (
            replace(space, above=above + 0.5 * space.step),
            replace(space, below=below + 0.5 * space.step),
            replace(space, widest=wide + 0.5 * space.step),
            replace(space, over_all=above + below + 0.5 * space.step),
        ):
            again = _turned(
                room, metal, np.array([6.0, 7.0]) * MM, np.array([3.0, 4.0]) * MM, np.array([3.0, 4.0]) * MM
            )
            same = [i for i in range(again.count) if again.make(i).parts == one.make(index).parts]
            assert again.touching(same[0]) == touched(room, above, below, wide, room.widest) != []


def test_bolts_longer_than_over_all_are_left_out_and_one_of_just_that_length_is_not(space):
    heads = nuts = np.array([3.0, 4.0]) * MM
    (metal,) = [one for one in space.materials if one.name == "steel 4140 normalised"][:1]

    def lengths(most):
        one = _turned(replace(space, over_all=most), metal, np.array([7.0]) * MM, heads, nuts)
        made = [one.make(index).made for index in range(one.count)]
        return sorted({round((10.0 * MM + bolt.pieces[2].length + nut.length) / MM, 6) for bolt, nut in made})

    assert lengths(1.0) == lengths(18.0 * MM)
    assert max(lengths(17.0 * MM)) <= 17.0
    assert lengths(16.0 * MM) == [16.0]
    assert lengths(15.9 * MM) == []


def test_a_bolt_as_long_as_both_heights_meets_them_and_no_third_limit(space):
    whole = replace(space, above=16 * MM, below=14 * MM, over_all=30 * MM, step=0.1 * MM)
    assert touched(whole, 15.98 * MM, 13.98 * MM, 0.0, 1.0) == ["height_above", "height_below"]


def test_on_the_axis_normal_more_may_be_uneven_and_either_takes_all_in_the_end():
    """Left over 0.2, 0.5 and 0.9 of the first moments."""
    below = -np.array([(1.0 - share) / (1.0 + share) for share in (0.2, 0.5, 0.9)])
    pair = [Column(0.0, values, 0.0, 0.0) for values in (np.ones(3), below)]
    assert even(*pair, UNEVEN_BOUGHT).tolist() == [True, False, False]
    assert even(*pair, UNEVEN_ON_AXIS).tolist() == [True, True, False]
    last = [Column(0.0, values[2:], 0.0, 0.0) for values in (np.ones(3), below)]
    assert even(*last, UNEVEN_BOUGHT).tolist() == [True]


def test_a_stock_that_is_a_whole_step_counts_once(plain):
    """Bars of 6 and 8 mm and every tenth up to 8 mm: 80 diameters."""
    changed = read(PLAIN, {"envelope.stock": ["6 mm", "8 mm"], "envelope.lathe_step": "0.1 mm"})
    bars = find_design_space(changed, build_assembly(plain)).bars
    assert np.diff(bars) == pytest.approx(np.full(79, 0.1 * MM))
    odd = read(PLAIN, {"envelope.stock": ["6.35 mm"], "envelope.lathe_step": "0.1 mm"})
    assert find_design_space(odd, build_assembly(plain)).bars[-2:] == pytest.approx((6.3 * MM, 6.35 * MM))


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"materials": ("steel", "unobtainium")}, "envelope.materials.1"),
        ({"arm_material": "unobtainium"}, "envelope.arm_material"),
    ],
)
def test_a_metal_that_nobody_knows_is_refused_by_its_key(plain, changes, key):
    envelope = plain.envelope.model_copy(update=changes)
    with pytest.raises(ScenarioError) as error:
        find_design_space(plain.model_copy(update={"envelope": envelope}), build_assembly(plain))
    assert key in str(error.value)
    assert "unobtainium" in str(error.value)


def test_bolts_are_turned_from_each_strong_metal_and_from_no_other(space):
    choices, why = bolt_choices(space)
    assert why == []
    assert [one.words for one in choices] == [
        f"turned bolt and nut, {metal.name}" for metal in space.materials if metal.name != "brass"
    ]


def test_twins_double_all_sums_but_the_first_which_they_cancel():
    assert Column(1.0, 2.0, 3.0, 4.0).mirrored() == Column(2.0, 0.0, 6.0, 8.0)


def test_a_thread_without_a_nuts_seat_begins_a_pitch_above_the_axis(space):
    assert replace(space, seat_below=None).thread_from == pytest.approx(-0.5 * MM)
    assert space.thread_from == pytest.approx(4.5 * MM)
