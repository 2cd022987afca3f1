"""Whatever sizing offers, the sums it was chosen by are those of what is made, and the pieces touch each other."""

from dataclasses import replace
from math import inf
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.assembly import build_assembly
from featherbench.assembly.usual_hardware import plain_length
from featherbench.bench.setup import build_setup
from featherbench.scenario import read
from featherbench.sizing.arms import arm_choices
from featherbench.sizing.best import Alternative, best_of, nothing_against, with_parts
from featherbench.sizing.collars import collar_choices
from featherbench.sizing.design_space import find_design_space
from featherbench.sizing.machined import Column, column_of
from featherbench.sizing.search import _notes
from featherbench.sizing.sizing_target import sizing_target_of
from featherbench.sizing.standard import standard_choices
from featherbench.sizing.turned import bolt_choices

MM = 1e-3
PLAIN = Path(__file__).parents[2] / "scenarios" / "survey-3kg" / "plain.toml"
THICK = {"nut": 2.4 * MM, "washer": 0.5 * MM}
"""ISO 4032 and ISO 7089, M3."""


def room_with(**changes):
    scenario = read(PLAIN, {f"envelope.{key}": value for key, value in changes.items()})
    return find_design_space(scenario, build_assembly(scenario))


@pytest.fixture(scope="module")
def space():
    return room_with()


def number(text):
    return float(text.split()[0]) * MM


def some(choices, most=30):
    return range(0, choices.count, max(1, choices.count // most))


def summed(choices, index):
    """Mass, first and second moments of what is to be made, each piece where its scenario part says it is."""
    build = choices.make(index)
    total = Column(0.0, 0.0, 0.0, 0.0).plus(build.beside)
    for one in build.made:
        kind = one.name.split()[-1]
        bought = kind in THICK and one.standard
        same = [part for part in build.parts.values() if part["shape"] == kind]
        for place in [number(part["at"]["normal"]) for part in same] if bought else [0.0]:
            column = column_of(one.pieces, one.density, place)
            total = total.plus(column.mirrored() if one.count == 2 and not one.standard else column)
    return total


@pytest.mark.parametrize("make", [bolt_choices, arm_choices, collar_choices, standard_choices])
def test_what_is_chosen_by_is_what_is_made(space, make):
    for choices in make(space)[0]:
        assert choices.count
        for index in some(choices):
            chosen = choices.weights.taken(index)
            assert tuple(map(float, chosen)) == pytest.approx(
                tuple(map(float, summed(choices, index))), rel=1e-9, abs=1e-18
            )


def test_bought_pieces_touch_from_the_grip_outward(space):
    """Washers first, then nuts, above up to the screw's head, below with two nuts at least and the end past them."""
    (choices,) = standard_choices(space)[0]
    for index in some(choices):
        parts = choices.make(index).parts
        screw = parts["weight-screw"]
        head = number(screw["under_head"])
        for side, seat in ((1.0, space.seat_above), (-1.0, space.seat_below)):
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
                assert head + 3.0 * MM <= space.above + 1e-9
            else:
                length = float(screw["size"].split("x")[1]) * MM
                assert kinds.count("nut") >= 2
                assert 0.5 * MM - 1e-9 <= length - head - reached <= 3.0 * 2.4 * MM
                assert length - head <= space.below + 1e-9


def test_bought_pieces_say_how_they_are_held(space):
    """Only the first nut below clamps and takes the old hardware's place; the others are weights on the thread."""
    (choices,) = standard_choices(space)[0]
    for index in some(choices, 12):
        build = choices.make(index)
        nuts = [part for name, part in build.parts.items() if part["shape"] == "nut"]
        clamps = [part for part in nuts if part["group"] == "bolt"]
        assert len(clamps) == 1
        below = [part for part in nuts if number(part["at"]["normal"]) < 0.0]
        assert clamps[0] is max(below, key=lambda part: number(part["at"]["normal"]))
        assert {part["held_by"] for part in nuts} == {"nut"}
        for part in build.parts.values():
            assert number(part["at"]["radius"]) == pytest.approx(space.radius)
            if part["shape"] == "washer":
                above = number(part["at"]["normal"]) > 0.0
                assert part["held_by"] == f"clamped under {'head' if above else 'nut'}"
            assert ("instead_of" in part) == (part["group"] == "bolt")
        length = float(build.parts["weight-screw"]["size"].split("x")[1]) * MM
        shank = build.parts["weight-screw"].get("shank_length")
        assert (number(shank) if shank else 0.0) == pytest.approx(plain_length("M3", length))
        counts = {one.name: one.count for one in build.made}
        assert counts["nut"] == len(nuts)


def test_turned_bolts_fit_and_end_with_their_nut_in_whole_steps_of_the_lathe(space):
    tight = replace(space, over_all=21 * MM)
    for choices in bolt_choices(tight)[0]:
        assert choices.count
        for index in some(choices):
            bolt, nut = choices.make(index).made
            thread, shank, head = bolt.pieces
            assert head.start == pytest.approx(space.seat_above)
            assert -1e-9 <= nut.pieces[0].start - thread.start < 0.1 * MM  # out by less than a step
            assert -thread.start <= space.below + 1e-9
            for length in (thread.length, shank.length, head.length, nut.length):
                assert length / (0.1 * MM) == pytest.approx(round(length / (0.1 * MM)), abs=1e-6)
            assert nut.pieces[0].start + nut.length == pytest.approx(-space.seat_below)
            assert thread.start + thread.length == pytest.approx(shank.start)
            assert shank.start == pytest.approx(-space.thread_from)
            assert shank.start + shank.length == pytest.approx(head.start)
            assert head.start + head.length - thread.start <= 21 * MM + 1e-9
            assert head.length >= 3.0 * MM - 1e-9
            assert nut.length >= 2.4 * MM - 1e-9
            assert min(head.diameter, nut.diameter) >= 5.5 * MM - 1e-9


def test_a_turned_bolt_needs_strong_metal_and_room(space):
    for changes, said in (
        ({"seat_above": None}, "state envelope.seat_above"),
        ({"seat_below": None}, "state envelope.seat_above"),
        ({"materials": ()}, "none of the materials may hold a blade"),
        ({"widest": 5.4 * MM}, "no room for a head"),
        ({"above": 5 * MM}, "no room for a head"),
        ({"below": 5 * MM}, "no room for a head"),
    ):
        choices, reasons = bolt_choices(replace(space, **changes))
        assert choices == []
        assert said in reasons[0]


def test_arms_need_a_grip_a_bar_and_height(space):
    for changes, said in (
        ({"arm_face": None}, "no grip to stand on"),
        ({"arm_face": space.below}, "no grip to stand on"),
        ({"above": space.arm_face}, "no grip to stand on"),
        ({"arm_widest": 4.4 * MM}, "no bar between 4.5 and 4.4 mm"),
        ({"below": space.arm_face + 2.3 * MM}, "no height over the grip"),
    ):
        choices, reasons = arm_choices(replace(space, **changes))
        assert choices == []
        assert said in reasons[0]


@pytest.mark.parametrize(("face", "deep"), [(4.0, 3.5), (8.0, 6.0), (0.3, 0.1), (6.6, 6.0)])
def test_an_arm_goes_as_deep_as_the_grip_leaves_a_wall(space, face, deep):
    """Two diameters at most, half a millimetre short of the axis, at least a tenth."""
    choices = arm_choices(replace(space, arm_face=face * MM))[0][0]
    arm = choices.make(0).parts["weight-arm"]
    assert number(arm["engagement"]) == pytest.approx(deep * MM)
    weight = choices.make(choices.count - 1).parts["weight"]
    assert (
        number(weight["at"]["normal"]) + 0.5 * number(weight["length"])
        <= min(space.above, space.below) + 1e-9
    )
    assert choices.weights.first.tolist() == [0.0] * choices.count


def test_limits_of_a_choice_are_its_own(space):
    """The tallest of the widest touches height and diameter, the first neither."""
    for make, above in ((bolt_choices, space.above), (arm_choices, min(space.above, space.below))):
        choices = make(space)[0][0]
        for index in some(choices):
            tops = [p.start + p.length for one in choices.make(index).made for p in one.pieces]
            tall = max(tops) > above - space.step
            assert ("height_above" in choices.touching(index)) == (
                tall and max(tops) > space.above - space.step
            )
    (choices,) = standard_choices(space)[0]
    for index in some(choices):
        screw = choices.make(index).parts["weight-screw"]
        top, end = number(screw["under_head"]) + 3.0 * MM, float(screw["size"].split("x")[1]) * MM
        assert ("height_above" in choices.touching(index)) == (top > space.above - space.step)
        assert ("height_below" in choices.touching(index)) == (
            end - number(screw["under_head"]) > space.below - space.step
        )


def test_the_room_is_read_off_the_parts(space):
    """Seats at the faces of head and nut, the arm's foot on the grip's face, the bolt's own thread."""
    scenario = read(PLAIN)
    grip = scenario.part["grip"]
    assert space.arm_face == pytest.approx(0.5 * grip.size.normal)
    assert abs(space.arm_radius - grip.at.radius) < 0.5 * grip.size.radius
    assert space.seat_above == pytest.approx(scenario.part["blade-bolt"].under_head)
    nut = scenario.part["lock-nut"].at.normal
    assert -inf < nut < 0.0
    assert space.seat_below < -nut
    assert set(space.replaced) == {"blade-bolt", "lock-nut"}
    stated = room_with(seat_above="7 mm", seat_below="8 mm", arm_foot="6 mm", arm_radius="25 mm")
    assert (stated.seat_above, stated.seat_below) == pytest.approx((7 * MM, 8 * MM))
    assert (stated.arm_face, stated.arm_radius) == pytest.approx((6 * MM, 25 * MM))


@pytest.fixture(scope="module")
def asked(space):
    """The shipped build, the turned bolts of its first metal, and what its target asks of them."""
    setup = build_setup(read(PLAIN))
    choices = bolt_choices(space)[0][0]
    return setup, choices, sizing_target_of(setup, choices.removed)


def by_residue(asked):
    _, choices, own = asked
    achieved = own.measure(choices.weights, choices.radius, choices.chord)
    return achieved, np.abs(own.value - achieved) / own.value, np.asarray(choices.weights.mass)


def test_the_lightest_of_those_nearest_the_target_is_taken(asked):
    """Within half a per cent of it, if any is; its mass and load are what it adds to the bolt and nut that come off."""
    setup, choices, own = asked
    achieved, share, mass = by_residue(asked)
    inside = np.flatnonzero(share <= 0.005)
    assert inside.size > 9
    lightest = inside[np.argmin(mass[inside])]
    best = best_of(setup, choices, own, nothing_against)
    off = [part for part in setup.assembly.parts if part.name in choices.removed]
    assert len(off) == 2
    assert best.achieved == pytest.approx(achieved[lightest])
    assert best.residue == pytest.approx(own.value - achieved[lightest])
    assert best.mass == pytest.approx(mass[lightest] - sum(part.moments.mass for part in off))
    radial = mass[lightest] * choices.radius - sum(part.moments.radial for part in off)
    assert best.load == pytest.approx(radial * float(setup.scenario.rotor.speed) ** 2)
    assert (best.reached, best.holds, best.touching) == (True, True, tuple(choices.touching(lightest)))


def test_a_heavier_one_is_taken_where_the_light_ones_do_not_hold(asked):
    """Of nine from light to heavy the first that holds; where none does the lightest, with what is against it."""
    setup, choices, own = asked
    _, share, mass = by_residue(asked)
    by_mass = np.sort(mass[share <= 0.005])
    seen = []

    def third(variant):
        seen.append(
            sum(part.moments.mass for part in variant.assembly.parts if part.name.startswith("weight-"))
        )
        return () if len(seen) == 3 else ("bolt 0.6 x",)

    best = best_of(setup, choices, own, third)
    assert seen == sorted(seen)
    assert seen[0] == pytest.approx(by_mass[0])
    assert seen[2] == pytest.approx(by_mass[round(2 * (by_mass.size - 1) / 8 - 0.499)])
    assert best.holds
    none = best_of(setup, choices, own, lambda _: ("bolt 0.6 x",))
    assert (none.holds, none.against) == (False, ("bolt 0.6 x",))
    assert none.mass == pytest.approx(best_of(setup, choices, own, nothing_against).mass)


def test_what_cannot_be_reached_comes_as_near_as_it_can(asked):
    setup, choices, own = asked
    far = replace(own, value=9.0)
    achieved, _, _ = by_residue(asked)
    best = best_of(setup, choices, far, nothing_against)
    assert not best.reached
    assert best.achieved == pytest.approx(achieved.max(), rel=1e-2)
    assert best.residue == pytest.approx(9.0 - best.achieved)
    almost = replace(own, value=float(achieved.max()) / 0.951)
    assert best_of(setup, choices, almost, nothing_against).reached
    beyond = replace(own, value=float(achieved.max()) / 0.949)
    assert not best_of(setup, choices, beyond, nothing_against).reached


def test_new_parts_take_the_place_of_old_ones(asked):
    setup, choices, _ = asked
    variant = with_parts(setup.scenario, choices.make(0), "a bolt")
    assert variant.title == f"{setup.scenario.title}: a bolt"
    assert set(variant.replaced) == {"blade-bolt", "lock-nut"}
    assert set(variant.part) == set(setup.scenario.part) - {"blade-bolt", "lock-nut"} | set(
        choices.make(0).parts
    )
    assert setup.scenario.replaced == {}


def noted(own=0.5, without=0.7, quantity="compensation", taken=(), **changes):
    one = {"route": "bolt", "words": "a bolt", "build": None, "achieved": 0.4567, "residue": 0.0, "mass": 0.0}
    one |= {"load": 0.0, "touching": (), "reached": True}
    target = SimpleNamespace(quantity=quantity, value=own)
    return _notes(Alternative(**one | changes), target, taken, without)


def test_notes_say_what_was_taken_off_what_ends_it_and_how_it_is_fixed():
    """One sentence for each thing that is so, and none for what is not."""
    (turned,) = noted()
    assert turned.startswith("a turned bolt has no property class")
    assert [note.split(":")[0][:18] for note in noted(route="standard")] == ["the screw clamps t"]
    assert [note.split(":")[0][:18] for note in noted(route="arms")] == ["an arm screws into"]
    assert noted(against=("bolt 0.6 x", "nut 0.2 x"))[0] == (
        "do not make it: nothing that was tried holds; against it: bolt 0.6 x; nut 0.2 x."
    )
    assert noted(taken=("a", "b"))[0] == "what of the scenario was taken off and is replaced: a, b."
    assert (
        noted(touching=("diameter", "height_above"))[0]
        == "it uses up envelope.diameter, envelope.height_above."
    )
    assert noted(reached=False)[0] == (
        "the target of 0.5 cannot be met: the coarse steps of the hardware end it. Nearest is 0.457, with a bolt."
    )
    assert noted(reached=False, touching=("diameter",))[0].startswith(
        "the target of 0.5 cannot be met: envelope.diameter and the density of the materials end it."
    )
    seat = noted(quantity="seat_ratio", own=0.8, reached=False)
    assert seat[0] == "without weights the load over friction is 0.7; weights short of neutral only lower it."
    assert "more of it takes load on the rod" in seat[1]
    assert "more seat" not in " ".join(noted(quantity="seat_ratio", own=0.6, reached=False))
    assert "more seat" not in " ".join(noted(quantity="seat_ratio", own=0.8))
    assert "more seat" not in " ".join(noted(quantity="seat_ratio", own=0.7, reached=False))
