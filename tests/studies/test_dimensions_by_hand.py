"""How far a slider of a weight goes and what follows it, by hand; and when to trust that a release tells nothing."""

from math import pi, sqrt

import pytest
from pydantic import TypeAdapter

from featherbench.exploring.dimensions import dimensions, outward, volume
from featherbench.fitting import next_measurement
from featherbench.scenario import parts as written
from featherbench.scenario.schema import Envelope

PARTS = TypeAdapter(written.Part)
ROOM = Envelope.model_construct(height_above=20e-3, height_below=19e-3, diameter=9e-3)
TURNED = {"shape": "cylinder", "axis": "normal", "diameter": "5 mm", "length": "6 mm"}
FLAT = {"shape": "cylinder", "axis": "radius", "diameter": "2 mm", "length": "12 mm"}
HEX = {"shape": "hex", "axis": "normal", "across_flats": "4 mm", "length": "3 mm", "bore": "2 mm"}
BLOCK = {"shape": "box", "size": {"radius": "8 mm", "chord": "7 mm", "normal": "6 mm"}}
SHOT = {"shape": "point", "mass": "2 g"}


def weight(height, shape, **changes):
    at = {"radius": "30 mm", "normal": f"{height} mm"}
    stuff = {} if shape is SHOT else {"material": "brass"}
    return PARTS.validate_python({"group": "counterweight", "at": at, **stuff, **shape, **changes})


def offered(parts, envelope=None, effect=None):
    """(word, start, low, high in mm, or g) of each slider of the first set."""
    return [
        (one.word, *(pytest.approx(1e3 * value) for value in (one.start, one.low, one.high)))
        for one in dimensions(parts, effect or {}, envelope)[0]
    ]


@pytest.mark.parametrize(
    ("parts", "envelope", "expected"),
    [
        # foot at 8 mm: twice as long, 1.8 times as wide or 3 mm more, 5 mm lower to 8 mm higher
        ([(11, TURNED)], None, [("length", 6, 1, 12), ("diameter", 5, 1, 9), ("foot above the axis", 8, 3, 16)]),
        # 19 mm of room on the lower side less 8 of the foot; no wider than 9 mm; 19 less its far end of 14 up
        ([(11, TURNED)], ROOM, [("length", 6, 1, 11), ("diameter", 5, 1, 9), ("foot above the axis", 8, 3, 13)]),
        # small ones: at least 4 mm longer and 3 mm wider, and down to what they are where that is less
        ([(5, {**HEX, "length": "0.8 mm", "across_flats": "3.5 mm"})], None,
         [("length", 0.8, 0.8, 4.8), ("across flats", 3.5, 1, 6.5), ("foot above the axis", 4.6, 0, 12.6)]),
        ([(5, HEX)], ROOM, [("length", 3, 1, 7), ("across flats", 4, 1, 7.2), ("foot above the axis", 3.5, 0, 16)]),
        # lying: the middle counts, and no foot keeps it from growing
        ([(5, FLAT)], ROOM, [("length", 12, 1, 24), ("diameter", 2, 1, 5), ("height above the axis", 5, 0, 13)]),
        # across the axis it has no foot and no height
        ([(0, TURNED)], None, [("length", 6, 1, 12), ("diameter", 5, 1, 9)]),
        ([(2, TURNED)], None, [("length", 6, 1, 12), ("diameter", 5, 1, 9)]),
        ([(11, BLOCK)], None, [("length", 6, 1, 12), ("foot above the axis", 8, 3, 16)]),
        ([(11, SHOT)], None, [("mass", 2, 0.1, 6), ("height above the axis", 11, 6, 19)]),
        ([(11, {**SHOT, "mass": "0.05 g"})], None, [("mass", 0.05, 0.05, 0.15), ("height above the axis", 11, 6, 19)]),
        # in less room than it already takes up it may still be as it is
        ([(25, {**TURNED, "diameter": "11 mm"})], ROOM,
         [("length", 6, 1, 6), ("diameter", 11, 1, 11), ("foot above the axis", 22, 17, 22)]),
    ],
)  # fmt: skip
def test_ranges_of_sliders_by_hand(parts, envelope, expected):
    named = {f"w{number}": weight(height, shape) for number, (height, shape) in enumerate(parts)}
    assert offered(named, envelope) == expected


def test_twins_share_their_sliders_and_grow_outward():
    """Foot kept: half of what the length gains is added to the height, on each side its own way."""
    twins = {
        "above": weight(11, TURNED),
        "below": weight(-13, TURNED),
        "odd": weight(-11, {**TURNED, "length": "7 mm"}),
    }
    first, second = dimensions(twins, {"odd": 1.0, "above": 2.0}, ROOM)
    length, width, height = first
    assert length.effects == (
        ("part.above.length", 1.0), ("part.below.length", 1.0),
        ("part.above.at.normal", 0.5), ("part.below.at.normal", -0.5),
    )  # fmt: skip
    assert width.effects == (("part.above.diameter", 1.0), ("part.below.diameter", 1.0))
    assert height.effects == (("part.above.at.normal", 1.0), ("part.below.at.normal", -1.0))
    # the twin further out decides: 19 - (13 - 3) mm of length, 19 - 16 mm of height
    assert 1e3 * length.high == pytest.approx(9.0)
    assert 1e3 * height.high == pytest.approx(8.0 + 3.0)
    assert second[0].part == "odd"
    assert dimensions(twins, {"odd": 3.0, "above": 2.0}, None)[0][0].part == "odd"
    lying = {"one": weight(5, FLAT)}
    assert dimensions(lying, {}, None)[0][0].effects == (("part.one.length", 1.0),)
    for other in (
        weight(-11, TURNED, mirror="normal"), weight(-11, {**TURNED, "diameter": "4 mm"}), weight(11, TURNED),
        weight(-11, TURNED, at={"radius": "31 mm", "normal": "-11 mm"}),
        weight(-11, TURNED, at={"radius": "30 mm", "chord": "1 mm", "normal": "-11 mm"}),
    ):  # fmt: skip
        assert len(dimensions({"one": weight(11, TURNED), "other": other}, {}, None)) == 2
    assert (
        len(
            dimensions(
                {"a": weight(11, TURNED), "b": weight(-11, TURNED), "c": weight(-11, TURNED)}, {}, None
            )
        )
        == 2
    )


@pytest.mark.parametrize(
    ("heights", "sets"), [((-11, 11), 1), ((11, -11), 1), ((-11, -11), 2), ((11, 11), 2)]
)
def test_twins_stand_on_either_side(heights, sets):
    pair = {name: weight(height, TURNED) for name, height in zip("ab", heights, strict=True)}
    assert len(dimensions(pair, {}, None)) == sets


@pytest.mark.parametrize(
    ("height", "shape", "follows"),
    [(11, TURNED, 0.5), (-11, TURNED, -0.5), (3, TURNED, 0.5), (-3, TURNED, -0.5), (2.9, TURNED, None),
     (-2.9, TURNED, None), (11, FLAT, None), (-11, BLOCK, -0.5), (11, BLOCK, 0.5)],
)  # fmt: skip
def test_a_weight_grows_away_from_the_axis_where_it_stands_on_one_side(height, shape, follows):
    """Its foot may stand on the axis itself; one that reaches across it, or lies, grows about its middle."""
    length = dimensions({"w": weight(height, shape)}, {}, None)[0][0]
    key = "part.w.size.normal" if shape is BLOCK else "part.w.length"
    assert length.effects == ((key, 1.0), *([("part.w.at.normal", follows)] if follows else []))


def test_a_foot_on_the_axis_can_be_raised_and_one_below_lowered():
    (*_, height) = dimensions({"w": weight(3, TURNED)}, {}, None)[0]
    assert (height.word, height.start, height.low) == ("foot above the axis", 0.0, 0.0)
    (*_, below) = dimensions({"w": weight(-11, TURNED)}, {}, None)[0]
    assert (1e3 * below.start, below.effects) == (pytest.approx(8.0), (("part.w.at.normal", -1.0),))
    mass, *_ = dimensions({"w": weight(11, SHOT)}, {}, None)[0]
    assert mass.effects == (("part.w.mass", 1.0),)


def test_blocks_are_offered_only_where_nothing_is_turned():
    both = {"block": weight(11, BLOCK), "bar": weight(11, TURNED)}
    assert [found[0].part for found in dimensions(both, {"block": 9.0}, None)] == ["bar"]
    assert [found[0].part for found in dimensions({"block": weight(11, BLOCK)}, {}, None)] == ["block"]


def test_all_weights_move_outward_together_by_hand():
    """5 mm out; inward 5 mm, or four fifths of the way to the axis of the nearest."""
    three = {"a": weight(11, TURNED), "b": weight(-12, SHOT), "c": weight(0, SHOT)}
    one = outward(three)
    assert one.effects == (("part.a.at.normal", 1.0), ("part.b.at.normal", -1.0))
    assert (one.start, 1e3 * one.low, 1e3 * one.high) == pytest.approx((0.0, -5.0, 5.0))
    assert 1e3 * outward({**three, "near": weight(3, SHOT)}).low == pytest.approx(-2.4)


def stack(*pieces, height=0.0, **changes):
    """Of (from, length, diameter) in mm."""
    rows = [{"from": f"{f} mm", "length": f"{n} mm", "diameter": f"{d} mm"} for f, n, d in pieces]
    return weight(height, {"shape": "stack", "axis": "normal", "pieces": rows}, **changes)


def test_a_stack_grows_at_its_ends_by_hand():
    """Bolt from -14 to 14 mm with a ring at each end: the upper from 8 to 13, the lower from -14 to -8."""
    ends = stack((-14, 6, 6), (-8, 16, 3), (8, 5, 5.5))
    upper, upper_wide, lower, lower_wide = dimensions({"w": ends}, {}, ROOM)[0]
    assert [one.word for one in (upper, upper_wide, lower, lower_wide)] == [
        "upper length", "upper diameter", "lower length", "lower diameter",
    ]  # fmt: skip
    assert upper.effects == (("part.w.pieces.2.length", 1.0),)
    assert lower.effects == (("part.w.pieces.0.length", 1.0), ("part.w.pieces.0.from", -1.0))
    assert [1e3 * value for value in (upper.start, upper.low, upper.high)] == pytest.approx([5, 1, 10])
    assert [1e3 * value for value in (lower.start, lower.low, lower.high)] == pytest.approx([6, 1, 11])
    assert [1e3 * value for value in (upper_wide.start, upper_wide.low, upper_wide.high)] == pytest.approx(
        [5.5, 1, 9]
    )
    bare = dimensions({"w": ends}, {}, None)[0]
    assert 1e3 * bare[2].high == pytest.approx(12.0)
    assert 1e3 * bare[1].high == pytest.approx(1.8 * 5.5)
    short = dimensions({"w": stack((-14, 0.5, 6), (8, 3, 1))}, {}, None)[0]
    assert [1e3 * one.high for one in short] == pytest.approx([7.0, 4.0, 4.5, 10.8])
    assert [1e3 * one.low for one in short] == pytest.approx([1.0, 1.0, 0.5, 1.0])


def test_a_stack_on_one_side_or_across_the_axis_by_hand():
    (through, _) = dimensions({"w": stack((-10, 20, 3))}, {}, ROOM)[0]
    assert through.word == "length"
    assert through.effects == (("part.w.pieces.0.length", 1.0), ("part.w.pieces.0.from", -0.5))
    assert 1e3 * through.high == pytest.approx(40.0)
    (above, _) = dimensions({"w": stack((2, 4, 3), height=5)}, {}, ROOM)[0]
    assert above.word == "length"
    assert above.effects == (("part.w.pieces.0.length", 1.0),)
    assert 1e3 * above.high == pytest.approx(8.0)
    (below, _) = dimensions({"w": stack((-6, 4, 3), height=-9)}, {}, ROOM)[0]
    assert below.effects == (("part.w.pieces.0.length", 1.0), ("part.w.pieces.0.from", -1.0))
    assert 1e3 * below.high == pytest.approx(19 - 9 - 6 + 4)
    twin = dimensions({"w": stack((-14, 6, 6), (8, 5, 5.5), mirror="normal")}, {}, None)[0]
    assert [one.word for one in twin] == ["length", "diameter"]
    lying = weight(
        5,
        {
            "shape": "stack",
            "axis": "radius",
            "pieces": [{"from": "0 mm", "length": "4 mm", "diameter": "3 mm"}],
        },
    )
    assert dimensions({"w": lying}, {}, None) == [[]]


def ends(*pieces, envelope=None, **changes):
    """(word, whether the piece starts elsewhere as it grows, longest in mm) of each length of a stack."""
    found = dimensions({"w": stack(*pieces, **changes)}, {}, envelope)[0]
    return [(one.word, dict(one.effects).get(f"part.w.pieces.{number}.from", 0.0), pytest.approx(1e3 * one.high))
            for one in found if "length" in one.word for number in [one.effects[0][0].split(".")[3]]]  # fmt: skip


@pytest.mark.parametrize(
    ("pieces", "changes", "expected"),
    [
        # on the axis' very plane a piece stands on one side; its place counts from the part's own
        ([(0, 4, 3)], {}, [("length", 0.0, 8.0)]),
        ([(-4, 4, 3)], {}, [("length", -1.0, 8.0)]),
        ([(-4, 4, 3)], {"height": 10}, [("length", 0.0, 8.0)]),
        ([(2, 4, 3)], {"height": -10}, [("length", -1.0, 8.0)]),
        # a piece across the axis is the upper end where another is the lower one
        ([(-14, 6, 6), (-8, 16, 3)], {}, [("upper length", 0.0, 32.0), ("lower length", -1.0, 12.0)]),
        # 20 mm of room above less 2 + 9 of the foot; 19 below less the 3 that the piece ends under the axis
        ([(9, 8, 3)], {"height": 2, "envelope": ROOM}, [("length", 0.0, 9.0)]),
        ([(-14, 9, 3)], {"height": 2, "envelope": ROOM}, [("length", -1.0, 16.0)]),
    ],
)  # fmt: skip
def test_ends_of_a_stack_by_hand(pieces, changes, expected):
    assert ends(*pieces, **changes) == expected


def test_a_piece_with_flats_is_set_by_its_flats():
    hexed = weight(0, {"shape": "stack", "axis": "normal", "pieces": [
        {"from": "2 mm", "length": "4 mm", "across_flats": "5 mm"}]})  # fmt: skip
    _, wide = dimensions({"w": hexed}, {}, None)[0]
    assert (wide.word, 1e3 * wide.start) == ("across flats", pytest.approx(5.0))
    assert wide.effects == (("part.w.pieces.0.across_flats", 1.0),)


@pytest.mark.parametrize(
    ("shape", "cubic_mm"),
    [
        (TURNED, pi / 4 * 25 * 6),
        ({"shape": "tube", "axis": "normal", "diameter": "5 mm", "bore": "3 mm", "length": "6 mm"}, pi / 4 * 16 * 6),
        (HEX, (sqrt(3) / 2 * 16 - pi / 4 * 4) * 3),
        (BLOCK, 8 * 7 * 6),
        ({"shape": "stack", "axis": "normal", "pieces": [
            {"from": "0 mm", "length": "4 mm", "diameter": "3 mm", "bore": "2 mm"},
            {"from": "4 mm", "length": "2 mm", "across_flats": "5 mm"},
        ]}, pi / 4 * 5 * 4 + sqrt(3) / 2 * 25 * 2),
    ],
)  # fmt: skip
def test_volumes_by_hand(shape, cubic_mm):
    assert volume(weight(11, shape)) == pytest.approx(1e-9 * cubic_mm)
    assert volume(weight(11, SHOT)) is None


def test_without_friction_a_release_tells_the_sign_of_the_load_alone(monkeypatch):
    """No scatter to speak of, so a yes or no pins a margin of nothing to next to nothing, and never to less."""
    monkeypatch.setattr(next_measurement, "_margin", lambda _base: 0.0)
    assert 0.0 < next_measurement._release_doubt(None, 0.0) < 1e-8
