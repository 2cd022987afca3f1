"""Stacks from what is owned: the best of all, within every limit, and reasons where there is none."""

import itertools
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.assembly import compensation
from featherbench.bench.setup import build_setup
from featherbench.judging.sizing import size
from featherbench.scenario import ScenarioError, read
from featherbench.sizing.best import best_of, nothing_against, with_parts
from featherbench.sizing.design_space import find_design_space
from featherbench.sizing.machined import column_of
from featherbench.sizing.own import _touching, own_choices
from featherbench.sizing.sizing_target import sizing_target_of
from featherbench.sizing.stacks import half
from featherbench.sizing.variant import variant_text

MM = 1e-3
PLAIN = Path(__file__).parents[2] / "scenarios" / "survey-3kg" / "plain.toml"
SCREW = {"shape": "screw", "standard": "ISO 4762", "size": "M3x20", "count": 2, "shank_length": "9.5 mm"}
NUT = {"shape": "nut", "standard": "ISO 4032", "size": "M3", "count": 5}
WASHER = {"shape": "washer", "standard": "ISO 7089", "size": "M3", "count": 8}
COLLAR = {
    "shape": "tube",
    "diameter": "7 mm",
    "bore": "3.2 mm",
    "length": "2 mm",
    "mass": "0.5 g",
    "count": 4,
}
COLLAR |= {"yield_strength": "250 MPa"}
OWN = [SCREW, NUT, WASHER, COLLAR]


def scenario_with(own, **changes):
    return read(PLAIN, {"own": own, **{f"envelope.{key}": value for key, value in changes.items()}})


def room(own, **changes):
    scenario = scenario_with(own, **changes)
    setup = build_setup(scenario)
    return setup, find_design_space(scenario, setup.assembly)


@pytest.fixture(scope="module")
def owned():
    setup, space = room(OWN)
    (choices,), _ = own_choices(space)
    return setup, space, choices


def number(text):
    return float(text.split()[0]) * MM


def test_what_is_chosen_by_is_what_is_built(owned):
    """Sums that the search goes by against the assembly of the variant's own parts."""
    setup, _, choices = owned
    assert choices.count > 60
    for index in range(0, choices.count, choices.count // 40):
        build = choices.make(index)
        parts = build_setup(with_parts(setup.scenario, build, "x"), setup.air).assembly.parts
        new = [part.moments for part in parts if part.name in build.parts]
        assert sum(one.mass for one in new) == pytest.approx(choices.weights.mass[index], rel=1e-9)
        assert sum(one.normal for one in new) == pytest.approx(choices.weights.second[index], rel=1e-9)
        assert sum(one.chordwise for one in new) == pytest.approx(choices.weights.across[index], rel=1e-9)
        for kind in ("screw", "nut", "washer", "collar"):
            made = sum(one.count for one in build.made if one.name == kind)
            written = {"collar": "tube"}.get(kind, kind)
            assert made == sum(part["shape"] == written for part in build.parts.values())


def test_pieces_touch_from_the_grip_outward_and_none_is_used_twice(owned):
    """Per blade half of what is owned, and the nut on the bolt; the last nut a pitch from the end."""
    _, space, choices = owned
    thick = {"nut": 2.4 * MM, "washer": 0.5 * MM, "tube": 2.0 * MM}
    for index in range(0, choices.count, choices.count // 60):
        parts = choices.make(index).parts
        screw = parts["own-screw"]
        for side, seat in ((1.0, space.seat_above), (-1.0, space.seat_below)):
            reached, lock = seat, 0
            for name, part in parts.items():
                if name == "own-screw" or ("above" in name) != (side > 0.0):
                    continue
                high = 3.85 * MM if part.get("standard") == "DIN 985" else thick[part["shape"]]
                assert side * number(part["at"]["normal"]) == pytest.approx(reached + high / 2.0)
                reached += high
                lock += part["shape"] == "nut"
            if side > 0.0:
                assert number(screw["under_head"]) == pytest.approx(reached)
                assert reached + 3.0 * MM <= space.above + 1e-9
            else:
                assert lock >= 1
                end = float(screw["size"].partition("x")[2]) * MM - number(screw["under_head"])
                assert reached + 0.5 * MM - 1e-9 <= end <= space.below + 1e-9
        shapes = [part["shape"] for part in parts.values()]
        assert shapes.count("washer") <= 4
        assert shapes.count("tube") <= 2
        assert sum(part.get("standard") == "ISO 4032" for part in parts.values()) <= 2


def stacked(up, low, nuts, screw):
    """Parts of one stack as a hand lays them, head's face and lower end of the nuts, mm.

    Washers, then the collar, which of 0.12 g over 0.5 mm and 0.5 g over 2 mm is the denser; full nuts before one that
    locks itself.
    """
    parts, place = {}, {"radius": "34 mm"}

    def lay(side, rows):
        face = 5.0
        for count, table, high in rows:
            for _ in range(count):
                own = {key: value for key, value in table.items() if key != "count"}
                own |= {"group": "counterweight", "axis": "normal"}
                own["at"] = {**place, "normal": f"{side * (face + high / 2.0)} mm"}
                parts[f"own-{'up' if side > 0 else 'low'}-{len(parts)}"] = own
                face += high
        return face

    head = lay(1.0, [(up[0], WASHER, 0.5), (up[1], COLLAR, 2.0)])
    lock = {"shape": "nut", "standard": "DIN 985", "size": "M3"}
    end = lay(
        -1.0, [(low[0], WASHER, 0.5), (low[1], COLLAR, 2.0), (nuts[0], NUT, 2.4), (nuts[1], lock, 3.85)]
    )
    own = {key: value for key, value in screw.items() if key != "count"} | {"group": "bolt", "at": place}
    parts["own-up-screw"] = {**own, "under_head": f"{head} mm", "instead_of": ["blade-bolt", "lock-nut"]}
    return parts, head, end


def test_the_best_is_the_best_of_all_counted_one_by_one():
    """Two washers and a collar a blade, two nuts and the one on the bolt, its screw and a longer one.

    Each stack that can be is built and weighed by itself.
    """
    few = [{**SCREW, "count": 2}, {**NUT, "count": 4}, {**WASHER, "count": 4}, {**COLLAR, "count": 2}]
    setup, space = room(few)
    rows = []
    sides = list(itertools.product(range(3), range(2)))
    for up, low, nuts, long in itertools.product(
        sides, sides, itertools.product(range(3), range(2)), (16, 20)
    ):
        parts, head, end = stacked(up, low, nuts, {**SCREW, "size": f"M3x{long}"})
        many = up[0] + low[0] > 2 or up[1] + low[1] > 1
        if many or not (nuts[1] or nuts[0] >= 2) or head + 3.0 > 16.0 or long - head > 15.0:
            continue
        if end + 0.5 > long - head + 1e-9:
            continue
        variant = read(PLAIN, {f"part.{name}": table for name, table in parts.items()})
        assembly = build_setup(variant, setup.air).assembly
        own = [part for part in assembly.parts if part.name in parts]
        above = sum(part.moments.first[2] for part in own if "up" in part.name)
        below = sum(part.moments.first[2] for part in own if "low" in part.name)
        if abs(above + below) > 0.7 * (abs(above) + abs(below)):
            continue
        share = abs(compensation(assembly, setup.lead_lag) - 0.55) / 0.55
        rows.append((share, sum(part.moments.mass for part in own)))
    (choices,), _ = own_choices(space)
    assert choices.every
    assert choices.count == len(rows) > 20
    bands = (0.005, 0.01, 0.02, 0.05, 0.1, 0.2, min(rows)[0] * 1.001)
    band = next(limit for limit in bands if min(rows)[0] <= limit)
    share, mass = min((row for row in rows if row[0] <= band), key=lambda row: row[1])
    found = best_of(setup, choices, sizing_target_of(setup, choices.removed), nothing_against)
    assert abs(found.residue) / 0.55 == pytest.approx(share, abs=1e-9)
    off = sum(part.moments.mass for part in setup.assembly.parts if part.name in choices.removed)
    assert found.mass == pytest.approx(mass - off, abs=1e-9)


def test_every_one_of_a_band_is_held_against_strength(owned):
    """Where all but the heaviest fail, the heaviest is found, however many are lighter."""
    setup, _, choices = owned
    target = sizing_target_of(setup, choices.removed)
    achieved = target.measure(choices.weights, choices.radius, choices.chord)
    near = np.flatnonzero(np.abs(achieved - 0.55) <= 0.05 * 0.55)
    assert near.size > 10
    heaviest = float(np.max(choices.weights.mass[near]))

    def judge(variant):
        mass = sum(part.moments.mass for part in variant.assembly.parts if part.name.startswith("own-"))
        return () if mass > heaviest - 1e-9 else ("weak",)

    assert best_of(setup, choices, target, judge).holds


def why(own, **changes):
    _, space = room(own, **changes)
    choices, reasons = own_choices(space)
    assert choices == []
    return "; ".join(reasons)


@pytest.mark.parametrize(
    ("own", "changes", "said"),
    [
        ([SCREW, NUT], {"bolt_length": "18 mm"}, "M3x20: 23 mm over all, envelope.bolt_length allows 18 mm"),
        (
            [{**SCREW, "size": "M3x12"}, NUT],
            {"bolt_length": "18 mm"},
            "too short: grip, nuts and one pitch take",
        ),
        ([SCREW, NUT], {"height_above": "7.5 mm"}, "its head is higher than envelope.height_above"),
        ([SCREW, NUT], {"height_below": "9.8 mm"}, "out below at least, envelope.height_below allows 9.8 mm"),
        ([SCREW, NUT], {"height_below": "8 mm"}, "nothing closes the bolt"),
        ([{**COLLAR, "bore": "2.5 mm"}, NUT], {"height_below": "8 mm"}, "nothing closes the bolt"),
    ],
)
def test_a_limit_that_leaves_nothing_is_named_with_its_figure(own, changes, said):
    assert said in why(own, **changes)


@pytest.mark.parametrize("shape", ["screw", "nut"])
def test_what_is_missing_is_named(shape):
    """Nothing of the bolt that is there now is of use, and of what is owned one shape is wanting."""
    _, space = room(OWN)
    left = replace(space, own=tuple(one for one in space.own if one.shape != shape))
    assert own_choices(left) == ([], [f"what you own: no M3 {shape} that can be used"])


@pytest.mark.parametrize("nuts", [False, True], ids=["above", "below"])
@pytest.mark.parametrize("tall", [1.5, 7.4, 12.0])
def test_one_side_is_filled_in_every_way_counted_one_by_one(owned, nuts, tall):
    """Numbers of each kind by trial, heights by adding them up, sums piece by piece where each of them lies.

    Full nuts, one that locks itself and the thin ones that only lock another: two of which one is full, or one that
    locks itself.
    """
    _, space, _ = owned
    thin = {"shape": "nut", "standard": "ISO 4035", "size": "M3", "count": 2}
    kinds = room([*OWN, thin])[1].own
    rings = [one for one in kinds if one.shape == "ring"]
    threaded = [one for one in kinds if one.shape == "nut"] if nuts else []
    assert [(one.locks, one.thin) for one in threaded] in ([], [(False, False), (False, True), (True, False)])
    every = [*rings, *threaded]
    side, seat = (-1.0, space.seat_below) if nuts else (1.0, space.seat_above)
    found = half(space, rings, threaded, tall * MM)
    by_hand = {}
    for counts in itertools.product(*(range(one.most + 1) for one in every)):
        pieces = [one for one, count in zip(every, counts, strict=True) for _ in range(count)]
        closing = [one for one in pieces if one.shape == "nut"]
        full = sum(not one.thin for one in closing)
        closes = full >= 1 and (len(closing) >= 2 or any(one.locks for one in closing))
        if sum(one.height for one in pieces) > tall * MM + 1e-9 or (nuts and not closes):
            continue
        face, sums = seat, np.zeros(4)
        for one in pieces:
            sums += column_of(one.pieces, one.density, side * (face + one.height / 2.0))
            face += one.height
        by_hand[counts] = (face - seat, *sums)
    assert sorted(map(tuple, found.counts.tolist())) == sorted(by_hand)
    for row, counts in enumerate(map(tuple, found.counts.tolist())):
        own = (found.heights[row], *(value[row] for value in found.sums))
        assert own == pytest.approx(by_hand[counts], rel=1e-9, abs=1e-18)


def test_how_high_long_and_wide_a_kind_is():
    """A hexagon is 2/sqrt 3 as wide across corners as across flats: 6.351 mm for 5.5."""
    screw, nut, washer, collar, *_ = room(OWN)[1].own
    assert nut.wide == pytest.approx(5.5 * 2.0 / 3.0**0.5 * MM)
    assert nut.height == pytest.approx(2.4 * MM)
    assert (screw.wide, screw.height, screw.shank) == pytest.approx((5.5 * MM, 3.0 * MM, 20.0 * MM))
    assert (washer.wide, washer.height, washer.bore) == pytest.approx((7.0 * MM, 0.5 * MM, 3.2 * MM))
    assert (collar.wide, collar.height, collar.bore) == pytest.approx((7.0 * MM, 2.0 * MM, 3.2 * MM))


@pytest.mark.parametrize(
    ("above", "shank", "room_above", "room_below", "over_all", "said"),
    [
        # two washers above are 1 mm on a seat of 5: the head of 3 mm ends at 9, 14 mm of a shank of 20 stand below
        (2, 20.0, 16.0, 15.0, 30.0, []),
        (2, 20.0, 9.05, 15.0, 30.0, ["height_above"]),
        (2, 20.0, 16.0, 14.05, 30.0, ["height_below"]),
        (2, 20.0, 16.0, 15.0, 23.05, ["bolt_length"]),
        (4, 20.0, 16.0, 15.0, 30.0, ["own.2.count"]),
    ],
)
def test_limits_that_a_stack_reaches_are_named(above, shank, room_above, room_below, over_all, said):
    _, space = room(OWN)
    space = replace(
        space, above=room_above * MM, below=room_below * MM, over_all=over_all * MM, step=0.1 * MM
    )
    screw, nut, washer, *_ = space.own
    assert screw.shank == pytest.approx(shank * MM)
    upper, lower = half(space, [washer], [], 3.0 * MM), half(space, [washer], [nut], 6.0 * MM)
    stack = SimpleNamespace(screw=screw, above=upper, below=lower)
    assert _touching(space, stack, np.array([above]), np.array([0, 1])) == said


def test_pieces_that_do_not_fit_are_named_and_left_out():
    own = [
        *OWN,
        {**COLLAR, "bore": "2.5 mm"},
        {**COLLAR, "diameter": "10 mm"},
        {**NUT, "size": "M4"},
        {**WASHER, "count": 1},
    ]
    choices, reasons = own_choices(room(own)[1])
    assert len(choices) == 1
    assert [reason.split(" (")[0] for reason in reasons] == ["own.4", "own.5", "own.6", "own.7"]
    for reason, said in zip(
        reasons,
        ("its bore of 2.5 mm does not pass", "10 mm across, where 9 mm fit", "the bolt is M3", "fewer than one"),
        strict=True,
    ):  # fmt: skip
        assert said in reason


def test_more_ways_than_can_be_looked_at_are_refused_in_words():
    own = [SCREW, *({**WASHER, "count": 60, "mass": f"{0.1 + 0.01 * n} g"} for n in range(5)), NUT]
    assert "more than are looked at" in why(own)


def test_without_a_list_the_route_says_what_to_write():
    with pytest.raises(ScenarioError) as refused:
        size(read(PLAIN), "own")
    assert "list it as [[own]]" in str(refused.value)


@pytest.mark.parametrize(
    ("piece", "key", "said"),
    [
        ({**COLLAR, "tapped": "M3"}, "own.0.bore", "either bore"),
        ({key: COLLAR[key] for key in COLLAR if key != "bore"}, "own.0.bore", "either bore"),
        ({**COLLAR, "bore": "8 mm"}, "own.0.bore", "below the outside of 7 mm"),
        ({key: COLLAR[key] for key in COLLAR if key != "mass"}, "own.0.mass", "as weighed"),
        ({**WASHER, "count": 0}, "own.0.count", "1"),
        ({**WASHER, "shape": "ring"}, "own.0.shape", "washer"),
        ({**WASHER, "cuont": 4}, "own.0.cuont", "did you mean count?"),
        ({key: WASHER[key] for key in WASHER if key != "count"}, "own.0.count", "count"),
        ({**WASHER, "size": 3}, "own.0.size", "text"),
        ({**COLLAR, "material": "brass", "density": "8.5 g/cm^3"}, "own.0.density", "not both"),
    ],
)
def test_a_piece_that_cannot_be_is_refused_by_its_key(piece, key, said):
    with pytest.raises(ScenarioError) as refused:
        scenario_with([piece])
    assert key in [problem.key for problem in refused.value.problems]
    assert said in str(refused.value)


def test_a_size_that_no_table_has_is_refused_by_its_key():
    with pytest.raises(ScenarioError) as refused:
        size(scenario_with([{**WASHER, "size": "M7"}]), "own")
    assert refused.value.problems[0].key == "own.0.size"


def test_a_stack_is_written_as_it_was_weighed(tmp_path):
    """The variant, read again, has the compensation that was found; what fails is said, and what is used up."""
    found = size(scenario_with(OWN), "own")
    text = variant_text(found, tmp_path)
    (tmp_path / "own.toml").write_text(text, encoding="utf-8")
    again = build_setup(read(tmp_path / "own.toml"))
    assert compensation(again.assembly, again.lead_lag) == pytest.approx(found.best.achieved, abs=1e-9)
    assert found.run.value("compensation") == pytest.approx(found.best.achieved, abs=1e-9)
    assert found.best.reached
    assert any("Every way to stack what you own was looked at" in note for note in found.notes)
    words = [one.where for one in found.best.build.made if one.name != "screw"]
    assert all("above" in one or "below" in one for one in words)
