"""Weights on threaded arms by hand: which fit, what they weigh, how deep they go and what stands in the file."""

from dataclasses import replace
from math import pi
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.sizing.arms import _buried, _engaged, arm_choices
from featherbench.sizing.design_space import DesignSpace

MM = 1e-3
BRASS, STEEL = SimpleNamespace(name="brass", density=8500.0), SimpleNamespace(name="steel", density=7850.0)


def space(**changes):
    """M3 arms at 30 mm on a grip of light metal whose face is 5 mm over the axis; 11 and 12 mm of height."""
    bars = tuple(one * MM for one in (3, 4, 5, 6, 7, 8, 9))
    made = DesignSpace(
        above=12 * MM, below=11 * MM, over_all=30 * MM, bars=bars, step=0.1 * MM, materials=(BRASS, STEEL),
        radius=36 * MM, chord=0.0, widest=9 * MM, replaced=(), seat_above=None, seat_below=None, thread="M3",
        arm_radius=30 * MM, arm_widest=8 * MM, arm_face=5 * MM, arm_material=STEEL, arm_hole=2700.0,
    )  # fmt: skip
    return replace(made, **changes)


def made(choices):
    """(diameter, length, top) in mm of each choice, as it would be made."""
    found = []
    for index in range(choices.count):
        (weight,) = choices.make(index).made[0].pieces
        found.append([weight.diameter / MM, weight.length / MM, (weight.start + weight.length) / MM])
    return np.array(found)


def test_arms_carry_every_weight_that_fits_between_grip_and_limit():
    """5 to 8 mm wide, 2.4 mm high (a nut's) to 6, anywhere from the grip up to 11 mm, the lower of the two heights."""
    coarse = space(step=0.6 * MM)
    choices, why = arm_choices(coarse)
    assert why == []
    assert [one.words for one in choices] == [
        "brass weights on threaded arms",
        "steel weights on threaded arms",
    ]
    diameter, length, top = made(choices[0]).T
    assert sorted(set(np.round(diameter, 6))) == [5.0, 6.0, 7.0, 8.0]
    heights = [2.4, 3.0, 3.6, 4.2, 4.8, 5.4, 6.0]
    assert sorted(set(np.round(length, 6))) == heights
    assert sorted(set(np.round(top, 6))) == [round(5.0 + one, 6) for one in heights]
    assert (length <= top - 5.0 + 1e-6).all()
    # 7 heights and 7 tops, of which those fit whose weight is no longer than its arm: 28; four widths
    assert choices[0].count == 4 * 28
    assert (choices[0].radius, choices[0].chord, choices[0].removed) == (30 * MM, 0.0, ())


@pytest.mark.parametrize(("off", "kept"), [(0.0, True), (0.5e-9, True), (2e-9, False)])
def test_bars_fit_to_the_last_rounding(off, kept):
    """4.5 mm, one and a half threads, at least, and 8 mm at the arms' radius at most."""
    for bar, change in ((4.5 * MM - off, {}), (8 * MM + off, {})):
        choices, why = arm_choices(space(bars=(bar,), **change))
        assert bool(choices) is kept
        assert bool(why) is not kept
    assert "no bar between 4.5 and 8 mm" in arm_choices(space(bars=(4 * MM,)))[1][0]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"arm_face": None}, "no grip to stand on"),
        ({"arm_face": 11 * MM}, "no grip to stand on"),
        ({"arm_face": 8.7 * MM}, "no height over the grip"),
        ({"arm_face": 8.5 * MM}, None),
        ({"below": 7.3 * MM}, "no height over the grip"),
        ({"above": 7.3 * MM}, "no height over the grip"),
    ],
)
def test_why_no_arm_stands_is_said(change, words):
    """A weight is as thick as a nut, 2.4 mm, at least."""
    choices, why = arm_choices(space(**change))
    assert why == [] if words is None else words in why[0]
    assert bool(choices) is (words is None)


def test_a_stud_goes_as_deep_as_the_grip_allows():
    """Twice its 3 mm, half a millimetre of wall left before the axis, in tenths; a tenth in any case."""
    for face, deep in ((5.0, 4.5), (4.07, 3.5), (10.0, 6.0), (0.55, 0.1), (0.0, 0.1), (0.75, 0.2)):
        assert _engaged(space(), SimpleNamespace(start=face * MM)) / MM == pytest.approx(deep), face
    # in the grip it is 4.5 mm of steel of the thread's pitch diameter, 2.675 mm, for as much light metal
    buried = _buried(space(), 5 * MM)
    mass = (7850.0 - 2700.0) * pi / 4 * 2.675**2 * 4.5e-9
    assert buried.mass == pytest.approx(mass, rel=1e-3)
    assert buried.first == pytest.approx(buried.mass * 2.75 * MM)
    assert _buried(space(arm_hole=0.0), 5 * MM).mass == pytest.approx(mass * 7850.0 / 5150.0, rel=1e-3)


def test_an_arm_is_written_as_it_is_made():
    """A brass weight at the end of its arm, a foot of the arm in the grip, all with their twins below."""
    (choices, _), _ = arm_choices(space(step=0.25 * MM, bars=(7 * MM, 8 * MM)))
    sizes = made(choices)
    index = int(np.flatnonzero((np.abs(sizes - [7.0, 3.0, 10.0]) < 1e-6).all(axis=1))[0])
    build = choices.make(index)
    weight, stud = build.made
    assert (weight.name, weight.material, weight.density, weight.count, weight.thread, weight.tapped) == (
        "weight", "brass", 8500.0, 2, "M3", True,
    )  # fmt: skip
    assert (stud.name, stud.material, stud.density, stud.count, stud.threaded) == (
        "arm",
        "steel",
        7850.0,
        2,
        (0,),
    )
    assert (weight.radius, stud.radius, weight.chord, stud.chord) == (30 * MM, 30 * MM, 0.0, 0.0)
    assert (weight.fitted, stud.fitted) == (("weight",), ("weight-arm",))
    assert stud.screwed_in == pytest.approx(4.5 * MM)
    assert [(one.start / MM, one.length / MM) for one in (*weight.pieces, *stud.pieces)] == [
        (pytest.approx(7.0), pytest.approx(3.0)), (pytest.approx(5.0), pytest.approx(5.0)),
    ]  # fmt: skip
    assert build.beside.mass == pytest.approx(2.0 * _buried(space(), 5 * MM).mass)
    parts = build.parts
    assert {name: part["at"] for name, part in parts.items()} == {
        "weight-arm": {"radius": "30 mm", "normal": "7.5 mm"},
        "weight-arm-foot": {"radius": "30 mm", "normal": "2.75 mm"},
        "weight": {"radius": "30 mm", "normal": "8.5 mm"},
    }
    assert {name: part["length"] for name, part in parts.items()} == {
        "weight-arm": "5 mm", "weight-arm-foot": "4.5 mm", "weight": "3 mm",
    }  # fmt: skip
    assert (parts["weight-arm"]["engagement"], parts["weight"]["diameter"]) == ("4.5 mm", "7 mm")
    grams = float(parts["weight-arm-foot"]["mass"].split()[0])
    assert grams == pytest.approx(1e3 * _buried(space(), 5 * MM).mass)
    assert {part["mirror"] for part in parts.values()} == {"normal"}
    assert (parts["weight"]["held_to"], parts["weight-arm-foot"]["held_to"]) == ("weight-arm", "weight-arm")
    # the sums are those of the two weights, their arms, and what of these is in the grip
    ring = 8500.0 * pi / 4 * (49.0 - 2.675**2) * 3e-9
    arm = 7850.0 * pi / 4 * 2.675**2 * 5e-9
    cut = float(choices.weights.mass[index]) / 2.0 - arm - _buried(space(), 5 * MM).mass
    assert 0.75 * ring < cut < ring  # less what a spanner grips


def test_what_an_arm_touches_is_named():
    """Its top within a step of a limit of height, its width within a step of the widest."""
    (choices, _), _ = arm_choices(space(step=0.25 * MM, bars=(7 * MM, 8 * MM)))
    sizes = made(choices)

    def touched(diameter, length, top):
        rows = np.flatnonzero((np.abs(sizes - [diameter, length, top]) < 1e-6).all(axis=1))
        return choices.touching(int(rows[0]))

    assert touched(7.0, 3.0, 10.0) == []
    assert touched(7.0, 3.0, 11.0) == ["height_below"]
    assert touched(8.0, 3.0, 10.0) == ["diameter"]
