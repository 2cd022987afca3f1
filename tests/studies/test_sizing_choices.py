"""Whatever sizing offers, the sums it was chosen by are those of what is made, and the pieces touch each other."""

from dataclasses import replace
from math import inf
from pathlib import Path

import pytest

from featherbench.assembly import build_assembly
from featherbench.scenario import read
from featherbench.studies.sizing.arms import arm_choices
from featherbench.studies.sizing.made import Column, column_of
from featherbench.studies.sizing.room import find_room
from featherbench.studies.sizing.standard import plain_length, standard_choices
from featherbench.studies.sizing.turned import bolt_choices

MM = 1e-3
PLAIN = Path(__file__).parents[2] / "scenarios" / "survey-3kg" / "plain.toml"
THICK = {"nut": 2.4 * MM, "washer": 0.5 * MM}
"""ISO 4032 and ISO 7089, M3."""


def room_with(**changes):
    scenario = read(PLAIN, {f"envelope.{key}": value for key, value in changes.items()})
    return find_room(scenario, build_assembly(scenario))


@pytest.fixture(scope="module")
def room():
    return room_with()


def number(text):
    return float(text.split()[0]) * MM


def some(choices, most=30):
    return range(0, choices.count, max(1, choices.count // most))


def summed(choices, index):
    """Mass, first and second moments of what is to be made, each piece where its scenario part says it is."""
    build, total = choices.make(index), Column(0.0, 0.0, 0.0, 0.0)
    for one in build.made:
        kind = one.name.split()[-1]
        bought = kind in THICK and one.standard
        same = [part for part in build.parts.values() if part["shape"] == kind]
        for place in [number(part["at"]["normal"]) for part in same] if bought else [0.0]:
            column = column_of(one.pieces, one.density, place)
            total = total.plus(column.mirrored() if one.count == 2 and not one.standard else column)
    return total


@pytest.mark.parametrize("make", [bolt_choices, arm_choices, standard_choices])
def test_what_is_chosen_by_is_what_is_made(room, make):
    for choices in make(room)[0]:
        assert choices.count
        for index in some(choices):
            chosen = choices.weights.taken(index)
            assert tuple(map(float, chosen)) == pytest.approx(
                tuple(map(float, summed(choices, index))), rel=1e-9, abs=1e-18
            )


def test_bought_pieces_touch_from_the_grip_outward(room):
    """Washers first, then nuts, above up to the screw's head, below with two nuts at least and the end past them."""
    (choices,) = standard_choices(room)[0]
    for index in some(choices):
        parts = choices.make(index).parts
        screw = parts["weight-screw"]
        head = number(screw["under_head"])
        for side, seat in ((1.0, room.seat_above), (-1.0, room.seat_below)):
            stack = sorted(
                (side * number(part["at"]["normal"]), part["shape"])
                for part in parts.values()
                if part["shape"] in THICK and side * number(part["at"]["normal"]) > 0.0
            )
            reached = seat
            for middle, kind in stack:
                assert middle == pytest.approx(reached + 0.5 * THICK[kind])
                reached += THICK[kind]
            kinds = [kind for _, kind in stack]
            assert kinds == sorted(kinds, key=("washer", "nut").index)
            if side > 0.0:
                assert head == pytest.approx(reached)
                assert head + 3.0 * MM <= room.above + 1e-9
            else:
                length = float(screw["size"].split("x")[1]) * MM
                assert kinds.count("nut") >= 2
                assert 0.5 * MM - 1e-9 <= length - head - reached <= 3.0 * 2.4 * MM
                assert length - head <= room.below + 1e-9


def test_bought_pieces_say_how_they_are_held(room):
    """Only the first nut below clamps and takes the old hardware's place; the others are weights on the thread."""
    (choices,) = standard_choices(room)[0]
    for index in some(choices, 12):
        build = choices.make(index)
        nuts = [part for name, part in build.parts.items() if part["shape"] == "nut"]
        clamps = [part for part in nuts if part["group"] == "bolt"]
        assert len(clamps) == 1
        below = [part for part in nuts if number(part["at"]["normal"]) < 0.0]
        assert clamps[0] is max(below, key=lambda part: number(part["at"]["normal"]))
        assert {part["held_by"] for part in nuts} == {"nut"}
        for part in build.parts.values():
            assert number(part["at"]["radius"]) == pytest.approx(room.radius)
            if part["shape"] == "washer":
                above = number(part["at"]["normal"]) > 0.0
                assert part["held_by"] == f"clamped under {'head' if above else 'nut'}"
            assert ("instead_of" in part) == (part["group"] == "bolt")
        length = float(build.parts["weight-screw"]["size"].split("x")[1]) * MM
        shank = build.parts["weight-screw"].get("shank_length")
        assert (number(shank) if shank else 0.0) == pytest.approx(plain_length("M3", length))
        counts = {one.name: one.count for one in build.made}
        assert counts["nut"] == len(nuts)


def test_turned_bolts_fit_and_are_flush_with_their_nut(room):
    tight = replace(room, over_all=21 * MM)
    for choices in bolt_choices(tight)[0]:
        assert choices.count
        for index in some(choices):
            bolt, nut = choices.make(index).made
            thread, shank, head = bolt.pieces
            assert head.start == pytest.approx(room.seat_above)
            assert nut.pieces[0].start == pytest.approx(thread.start)
            assert nut.pieces[0].start + nut.length == pytest.approx(-room.seat_below)
            assert thread.start + thread.length == pytest.approx(shank.start)
            assert shank.start == pytest.approx(-room.thread_from)
            assert shank.start + shank.length == pytest.approx(head.start)
            assert head.start + head.length - thread.start <= 21 * MM + 1e-9
            assert head.length >= 3.0 * MM - 1e-9
            assert nut.length >= 2.4 * MM - 1e-9
            assert min(head.diameter, nut.diameter) >= 5.5 * MM - 1e-9


def test_a_turned_bolt_needs_strong_metal_and_room(room):
    for changes, said in (
        ({"seat_above": None}, "state envelope.seat_above"),
        ({"seat_below": None}, "state envelope.seat_above"),
        ({"materials": ()}, "none of the materials may hold a blade"),
        ({"widest": 5.4 * MM}, "no room for a head"),
        ({"above": 5 * MM}, "no room for a head"),
        ({"below": 5 * MM}, "no room for a head"),
    ):
        choices, reasons = bolt_choices(replace(room, **changes))
        assert choices == []
        assert said in reasons[0]


def test_arms_need_a_grip_a_bar_and_height(room):
    for changes, said in (
        ({"arm_face": None}, "no grip to stand on"),
        ({"arm_face": room.below}, "no grip to stand on"),
        ({"above": room.arm_face}, "no grip to stand on"),
        ({"arm_widest": 4.4 * MM}, "no bar between 4.5 and 4.4 mm"),
        ({"below": room.arm_face + 2.3 * MM}, "no height over the grip"),
    ):
        choices, reasons = arm_choices(replace(room, **changes))
        assert choices == []
        assert said in reasons[0]


@pytest.mark.parametrize(("face", "deep"), [(4.0, 3.5), (8.0, 6.0), (0.3, 0.1), (6.6, 6.0)])
def test_an_arm_goes_as_deep_as_the_grip_leaves_a_wall(room, face, deep):
    """Two diameters at most, half a millimetre short of the axis, at least a tenth."""
    choices = arm_choices(replace(room, arm_face=face * MM))[0][0]
    arm = choices.make(0).parts["weight-arm"]
    assert number(arm["engagement"]) == pytest.approx(deep * MM)
    weight = choices.make(choices.count - 1).parts["weight"]
    assert (
        number(weight["at"]["normal"]) + 0.5 * number(weight["length"]) <= min(room.above, room.below) + 1e-9
    )
    assert choices.weights.first.tolist() == [0.0] * choices.count


def test_limits_of_a_choice_are_its_own(room):
    """The tallest of the widest touches height and diameter, the first neither."""
    for make, above in ((bolt_choices, room.above), (arm_choices, min(room.above, room.below))):
        choices = make(room)[0][0]
        for index in some(choices):
            tops = [p.start + p.length for one in choices.make(index).made for p in one.pieces]
            tall = max(tops) > above - room.step
            assert ("height_above" in choices.touching(index)) == (
                tall and max(tops) > room.above - room.step
            )
    (choices,) = standard_choices(room)[0]
    for index in some(choices):
        screw = choices.make(index).parts["weight-screw"]
        top, end = number(screw["under_head"]) + 3.0 * MM, float(screw["size"].split("x")[1]) * MM
        assert ("height_above" in choices.touching(index)) == (top > room.above - room.step)
        assert ("height_below" in choices.touching(index)) == (
            end - number(screw["under_head"]) > room.below - room.step
        )


def test_the_room_is_read_off_the_parts(room):
    """Seats at the faces of head and nut, the arm's foot on the grip's face, the bolt's own thread."""
    scenario = read(PLAIN)
    grip = scenario.part["grip"]
    assert room.arm_face == pytest.approx(0.5 * grip.size.normal)
    assert abs(room.arm_radius - grip.at.radius) < 0.5 * grip.size.radius
    assert room.seat_above == pytest.approx(scenario.part["blade-bolt"].under_head)
    nut = scenario.part["lock-nut"].at.normal
    assert -inf < nut < 0.0
    assert room.seat_below < -nut
    assert set(room.replaced) == {"blade-bolt", "lock-nut"}
    stated = room_with(seat_above="7 mm", seat_below="8 mm", arm_foot="6 mm", arm_radius="25 mm")
    assert (stated.seat_above, stated.seat_below) == pytest.approx((7 * MM, 8 * MM))
    assert (stated.arm_face, stated.arm_radius) == pytest.approx((6 * MM, 25 * MM))
