"""What holds each weight on the bolt, by hand: its own strength, the bolt's, and which section decides."""

from math import pi

import pytest

from featherbench.checks.bolt_joint import Case
from featherbench.checks.endurance import stress_amplitude
from featherbench.checks.load_path import load_path_checks
from featherbench.checks.loose import SLACK
from featherbench.checks.thread import thread_areas
from featherbench.checks.weights import load_of

SPIN = 9000.0 * 2.0 * pi / 60.0 * 1.2
MM, G = 1e-3, 1e-3
CORE = (3.0 - 1.226869 * 0.5) * MM
TAKEN = dict.fromkeys(("standard", "size", "under_head", "shank_length", "property_class"))


def at(normal, radius=36.0, chord=0.0):
    return {"at": {"radius": f"{radius} mm", "normal": f"{normal} mm", "chord": f"{chord} mm"}}


def turned(*pieces, **more):
    """A bolt of 640 and 800 MPa from (from, length, diameter or thread) in mm."""
    rows = []
    for start, length, wide in pieces:
        size = {"thread": wide} if isinstance(wide, str) else {"diameter": f"{wide} mm"}
        rows.append({"from": f"{start} mm", "length": f"{length} mm", **size})
    own = {"yield_strength": "640 MPa", "ultimate_strength": "800 MPa"}
    return {**TAKEN, "shape": "stack", "axis": "normal", "material": "steel", "pieces": rows, **own, **more}


KNOB = {
    "group": "counterweight",
    "shape": "cylinder",
    "axis": "normal",
    "diameter": "8 mm",
    "length": "3 mm",
    "mass": "2 g",
    "material": "steel",
    "yield_strength": "400 MPa",
    "ultimate_strength": "500 MPa",
    "held_by": "head",
}
RING = {
    "group": "counterweight",
    "shape": "tube",
    "axis": "normal",
    "diameter": "5 mm",
    "bore": "3 mm",
    "length": "2 mm",
    "material": "brass",
    "held_by": "clamped under nut",
    **at(-5.5),
}
RINGED = {"bolt": {"size": "M3x20", "shank_length": "9.6 mm"}, "nut": at(-7.7)}
PULL = 2.0 * G * 36.0 * MM * SPIN**2


def held(path_of, name, **parts):
    return path_of(part=parts)[f'what holds the weight "{name}"']


@pytest.mark.parametrize(
    ("pieces", "height", "nut", "width"),
    [
        (((-9, 7, "M3"), (-2, 6.5, 3.0)), 6.0, -5.7, 3.0 * MM),
        (((-4.5, 6.5, 3.0), (2, 7, "M3")), -6.0, 5.7, 3.0 * MM),
        (((-9, 7, 3.0), (-2, 6.5, "M3")), 6.0, -5.7, CORE),
        (((-9, 7, "M3"), (-2, 6.5, 3.0), (4.5, 1.5, 2.0)), 6.0, -5.7, 2.0 * MM),  # a spigot inside it
    ],
)
@pytest.mark.parametrize(("own", "least"), [(500.0, 500.0), (900.0, 800.0)])
def test_a_head_breaks_off_where_it_stands_on_its_bolt(path_of, pieces, height, nut, width, own, least):
    """Sheared off at the bolt's end there, shank or core; the softer of the two, 0.6 of its ultimate, half of that."""
    knob = {**KNOB, **at(height), "ultimate_strength": f"{own} MPa"}
    check = held(path_of, "knob", bolt=turned(*pieces), knob=knob, nut=at(nut))
    assert check.demand == pytest.approx(PULL)
    assert check.allowable == pytest.approx(0.5 * 0.6 * least * 1e6 * pi / 4.0 * width**2)
    assert check.load_path


@pytest.mark.parametrize(
    ("height", "touches"), [(6.0, True), (6.04, True), (6.06, False), (-6.3, False), (12.0, False)]
)
def test_a_head_that_is_not_on_its_bolt_is_none(path_of, height, touches):
    bolt = turned((-4.5, 2.5, "M3"), (-2, 6.5, 3.0))
    check = held(path_of, "knob", bolt=bolt, knob={**KNOB, **at(height)})
    assert (check.verdict != "unknown") == touches
    assert touches or "does not touch" in check.source


def test_a_head_on_a_bolt_of_unknown_strength(path_of):
    bolt = turned(
        (-9, 7, "M3"), (-2, 6.5, 3.0), material="nylon", yield_strength=None, ultimate_strength=None
    )
    check = held(path_of, "knob", bolt=bolt, knob={**KNOB, **at(6.0)})
    assert check.verdict == "unknown"
    assert "part.bolt" in check.source


@pytest.mark.parametrize(
    ("ring", "narrow"),
    [
        ({"diameter": "5 mm"}, 2.0),  # its wall, twice 1 mm
        ({"diameter": "9 mm"}, 2.675),  # the bolt's thread, as wide as it weighs
        ({"diameter": "9 mm", "bore": "4 mm"}, 2.675),
    ],
)
@pytest.mark.parametrize("above", [False, True])
def test_a_ring_bears_on_its_wall_or_on_its_bolt(path_of, ring, narrow, above):
    """170 MPa of brass, half of it, over 2 mm of length; the head is as good as a nut."""
    place = {**at(5.5), "held_by": "clamped under head"} if above else at(-5.5)
    bolt = {"size": "M3x20", "shank_length": "15 mm", "under_head": "6.5 mm" if above else "4.5 mm"}
    nut = at(-5.7) if above else at(-7.7)
    check = held(path_of, "ring", bolt=bolt, nut=nut, ring={**RING, "mass": "1 g", **ring, **place})
    assert check.demand == pytest.approx(0.5 * PULL)
    assert check.allowable == pytest.approx(0.5 * 170e6 * narrow * 2.0 * MM**2, rel=1e-3)


STEPPED = {
    **{key: value for key, value in RING.items() if key not in ("diameter", "bore", "length")},
    "shape": "stack",
    "pieces": [
        {"from": "-1 mm", "length": "1.2 mm", "diameter": "5.4 mm", "bore": "3 mm"},
        {"from": "0.2 mm", "length": "0.8 mm", "diameter": "9 mm", "bore": "3.4 mm"},
    ],
}


@pytest.mark.parametrize(("end", "through"), [(-9.0, True), (-6.0, False), (-5.0, False)])
def test_a_bolt_that_ends_within_a_ring_of_two_steps_clamps_none_of_it(path_of, end, through):
    """The ring reaches from -6.5 to -4.5 mm; the first of its steps as far as -5.3 mm."""
    bolt = turned((end, -2.0 - end, "M3"), (-2, 6.5, 3.0))
    check = held(path_of, "ring", bolt=bolt, nut=at(-7.7), ring=STEPPED)
    assert ("does not reach through it" in check.source) == (not through)


def test_a_ring_of_two_steps_is_as_thin_as_its_thinnest_and_as_long_as_both(path_of):
    check = held(path_of, "ring", **RINGED, ring=STEPPED)
    assert check.allowable == pytest.approx(0.5 * 170e6 * (5.4 - 3.4) * 2.0 * MM**2)
    assert "bore 3.40 mm, 2.00 mm long" in check.section


@pytest.mark.parametrize(
    ("changes", "holds"),
    [
        ({}, True),
        ({"ring": {"bore": "5.6 mm", "diameter": "9 mm"}}, False),  # a nut of 5.5 mm slips through
        ({"nut": at(-7.62)}, False),  # 0.08 mm inside the ring
        ({"nut": at(3.0)}, False),
        ({"nut": None}, False),
    ],
)
def test_a_nut_stands_beyond_the_ring_and_is_wider_than_its_bore(path_of, changes, holds):
    parts = {**RINGED, "ring": {**RING, **changes.get("ring", {})}, "nut": changes.get("nut", RINGED["nut"])}
    check = held(path_of, "ring", **parts)
    assert (check.verdict != "unknown") == holds


@pytest.mark.parametrize(("wide", "holds"), [(5.4, True), (5.6, False)])
def test_a_head_is_wider_than_the_bore_of_what_it_clamps(path_of, wide, holds):
    """A socket head of 5.5 mm."""
    ring = {**RING, "diameter": "9 mm", "bore": f"{wide} mm", "held_by": "clamped under head", **at(5.5)}
    bolt = {"size": "M3x20", "under_head": "6.5 mm", "shank_length": "3 mm"}
    assert (held(path_of, "ring", bolt=bolt, ring=ring).verdict != "unknown") == holds


def test_a_head_of_its_own_part_clamps_too(path_of):
    """The knob says that it is the bolt's head; a knob that says nothing is none."""
    bolt = turned((-9, 7, "M3"), (-2, 8.5, 3.0))
    ring = {**RING, "held_by": "clamped under head", **at(5.5)}
    knob = {**KNOB, **at(8.0)}
    assert held(path_of, "ring", bolt=bolt, ring=ring, knob=knob).verdict != "unknown"
    silent = {**knob, "held_by": None}
    assert held(path_of, "ring", bolt=bolt, ring=ring, knob=silent).verdict == "unknown"


def test_a_weight_on_the_bolts_thread_by_hand(path_of):
    """3 mm of M3 less a pitch, or what is stated if that is less: brass 170 MPa on a bolt of 640."""
    weight = {
        **RING,
        "diameter": "6 mm",
        "bore": "2.675 mm",
        "tapped": "M3",
        "length": "3 mm",
        "held_by": "thread",
        **at(-8.4),
    }
    bolt = {"size": "M3x20", "property_class": None, "proof_strength": "640 MPa"}
    inside = thread_areas("M3")[1]
    check = held(path_of, "weight", bolt=bolt, weight=weight)
    assert check.allowable == pytest.approx(0.5 * 0.577 * 2.5 * MM * 170e6 * inside)
    short = held(path_of, "weight", bolt=bolt, weight={**weight, "engagement": "2 mm"})
    assert short.allowable == pytest.approx(0.5 * 0.577 * 1.5 * MM * 170e6 * inside)
    long = held(path_of, "weight", bolt=bolt, weight={**weight, "engagement": "9 mm"})
    assert long.allowable == pytest.approx(check.allowable)
    hard = held(
        path_of, "weight", bolt=bolt, weight={**weight, "material": "steel", "yield_strength": "900 MPa"}
    )
    assert hard.allowable == pytest.approx(0.5 * 0.577 * 2.5 * MM * 640e6 * thread_areas("M3")[0])


@pytest.mark.parametrize(("stated", "kind"), [("1.51 mm", "force"), ("1.49 mm", "length")])
def test_a_weight_on_less_thread_than_the_thinnest_nut_works_loose(path_of, stated, kind):
    """Half of M3 is 1.5 mm: from there on strength decides, below it the length does."""
    weight = {
        **RING,
        "bore": "2.675 mm",
        "tapped": "M3",
        "held_by": "thread",
        "engagement": stated,
        **at(-8.4),
    }
    check = held(path_of, "weight", bolt={"size": "M3x20"}, weight={**weight, "length": "3 mm"})
    assert check.kind == kind
    if kind == "length":
        assert (check.demand, check.allowable) == pytest.approx((1.5 * MM, 1.49 * MM))
        assert check.verdict == "fails"
        assert check.load_path


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"material": "brass"}, "part.knob is brass, part.bolt steel"),
        ({"shape": "tube", "bore": "3 mm"}, "a bore right through"),
        ({"shape": "tube", "bore": "2.675 mm", "tapped": "M3"}, 'state held_by = "thread"'),
        ({"material": "steel 4140"}, ""),
    ],
)
def test_what_was_put_on_a_bolt_is_no_head_of_it(path_of, changed, words):
    bolt = turned((-9, 7, "M3"), (-2, 6.5, 3.0))
    check = held(path_of, "knob", bolt=bolt, knob={**KNOB, **at(6.0), **changed})
    assert (check.verdict == "unknown") == bool(words)
    assert words in check.source


def test_the_load_of_a_weight_pulls_outward_whichever_way_it_is_counted(setup_of, sound):
    """One of a pair; and of one that stands on the other side of the shaft as much."""
    pair = {**RING, "mass": "1 g", "mirror": "normal"}
    setup = setup_of(**sound(part={"ring": pair}))
    case = Case(setup.scenario, setup.assembly, 1.0)
    part = next(one for one in case.assembly.parts if one.name == "ring")
    assert load_of(case, part) == pytest.approx(0.5 * PULL)
    beyond = setup_of(**sound(part={"ring": {**pair, **at(-5.5, radius=-36.0)}}))
    part = next(one for one in beyond.assembly.parts if one.name == "ring")
    assert load_of(Case(beyond.scenario, beyond.assembly, 1.0), part) == pytest.approx(0.5 * PULL)


@pytest.mark.parametrize(("wide", "closed"), [(3.5, True), (3.0, False)])
def test_a_collar_turned_on_a_bolt_is_a_head_and_a_shank_is_none(path_of, wide, closed):
    """Beside a thread that weighs as 2.675 mm a head is 15 % wider: 3.08 mm."""
    found = path_of(part={"bolt": turned((-9, 7, "M3"), (-2, 6.5, 3.0), (4.5, 3, wide))})
    assert ("head and nut of the blade bolt" not in found) == closed


def test_a_nut_on_the_head_closes_nothing(path_of):
    """It stands above the head, on no thread: the nut below is the one that counts, whatever the head is like."""
    name = "thread of the blade bolt in its nut"
    nut = {
        "group": "bolt",
        "shape": "nut",
        "standard": "ISO 4032",
        "size": "M3",
        "property_class": "10",
        **at(9.5),
    }
    for bolt in ({}, turned((-9, 7, "M3"), (-2, 6.5, 3.0), (4.5, 3, 3.5))):
        found = path_of(part={"extra": nut, "bolt": bolt})[name]
        assert found.section == "part.nut"
        assert found.allowable == pytest.approx(2.4 * MM)


def test_a_nut_turned_in_two_counts_by_what_is_engaged(path_of):
    """2.4 mm under the grip, and 1 mm further down that the thread does not reach."""
    pieces = [{"from": "-6.9 mm", "length": "2.4 mm", "diameter": "6 mm", "tapped": "M3"},
              {"from": "-13 mm", "length": "1 mm", "diameter": "6 mm", "tapped": "M3"}]  # fmt: skip
    gone = dict.fromkeys(("standard", "size", "property_class"))
    nut = {**gone, "shape": "stack", "axis": "normal", "material": "steel", "pieces": pieces, **at(0.0)}
    found = path_of(part={"nut": nut})
    assert found["thread of the blade bolt in its nut"].allowable == pytest.approx(2.4 * MM)
    assert "blade bolt, bending between the cheeks" in found
    assert found["blade bolt, bending between the cheeks"].section.startswith("plain shank, 3.00 mm")


def test_a_stud_screwed_into_a_cheek_may_still_slide_out_of_both(path_of):
    """Without a head the thread that is stated for the cheek closes one end at most."""
    stud = turned((-9, 7, "M3"), (-2, 11, 3.0))
    found = path_of(part={"bolt": stud, "nut": None}, joint={"thread_in_grip": "1.5 mm"})
    assert "below and above" in found["head and nut of the blade bolt"].source


def test_rings_in_a_pair_are_each_held_by_their_own_nut(path_of):
    """A stud with nuts at both ends, a ring under each: the one above stands for both, 2 mm of wall, 2 mm long."""
    stud = turned((-12, 8, "M3"), (-4, 8, 3.0), (4, 8, "M3"))
    nut = {"group": "bolt", "shape": "nut", "standard": "ISO 4032", "size": "M3", "property_class": "10"}
    pair = {**RING, "mirror": "normal"}
    check = held(path_of, "ring", bolt=stud, nut=at(-7.7), top={**nut, **at(7.7)}, ring=pair)
    assert check.allowable == pytest.approx(0.5 * 170e6 * 4.0 * MM**2)
    assert check.section.endswith("2.00 mm long")
    assert held(path_of, "ring", bolt=stud, nut=at(-7.7), ring=pair).verdict == "unknown"


def test_no_hole_is_reckoned_where_no_part_has_one(path_of):
    thick = {"root_thickness": "5 mm", "cheek_thickness": "1.9 mm"}
    assert "bolt hole in the blade root, tearing out" not in path_of(part={"root": None}, joint=thick)


def test_a_bush_in_the_grip_is_not_what_tears(path_of):
    """A bush of soft metal about the bolt has little behind its hole: the grip about it bears."""
    bush = {"group": "grip", "shape": "box", "size": {"radius": "5 mm", "chord": "5 mm", "normal": "2 mm"},
            "mass": "0.1 g", "material": "aluminium 6061", "yield_strength": "60 MPa", **at(3.0)}  # fmt: skip
    name = "bolt hole in the grip, tearing out"
    found = path_of(part={"bush": bush})[name]
    assert found.section.endswith("part.grip")
    assert found.allowable == pytest.approx(path_of()[name].allowable)


def test_a_long_nut_is_no_bolt(path_of):
    """Turned, tapped through, and longer than the screw that it is on."""
    pieces = [{"from": "-29.5 mm", "length": "25 mm", "diameter": "5 mm", "tapped": "M3"}]
    sleeve = {
        "group": "bolt",
        "shape": "stack",
        "axis": "normal",
        "pieces": pieces,
        "material": "steel",
        **at(0.0),
    }
    found = path_of(part={"sleeve": sleeve, "nut": None})
    assert found["blade bolt, shear in two planes"].section.startswith("plain shank, 3.00 mm")


THREAD = "thread of the blade bolt in its nut"


@pytest.mark.parametrize("group", ["blade", "counterweight"])
def test_a_thread_in_the_blade_closes_no_bolt(path_of, group):
    """A tapped bush that swings in the root stands nearer than the nut, and is none."""
    bush = {"group": group, "swings": True, "shape": "tube", "axis": "normal", "diameter": "4 mm", "bore": "2.675 mm",
            "tapped": "M3", "length": "1 mm", "mass": "0.05 g", **at(-1.0)}  # fmt: skip
    assert path_of(part={"bush": bush})[THREAD].section == "part.nut"


def test_of_two_nuts_that_close_a_stud_the_one_with_less_thread_counts(path_of):
    """The stud ends 1 mm inside the upper one."""
    stud = turned((-9, 5, "M3"), (-4, 8, 3.0), (4, 1.5, "M3"))
    nut = {"group": "bolt", "shape": "nut", "standard": "ISO 4032", "size": "M3", "property_class": "10"}
    found = path_of(part={"bolt": stud, "top": {**nut, **at(5.7)}})[THREAD]
    assert (found.section, found.allowable) == ("part.top", pytest.approx(1.0 * MM))


def test_a_plain_collar_beyond_a_ring_is_no_nut_and_the_widest_bore_counts(path_of):
    plain = {"group": "bolt", "shape": "tube", "axis": "normal", "diameter": "6 mm", "bore": "3 mm", "length": "2 mm",
             "material": "steel", **at(-7.5)}  # fmt: skip
    assert held(path_of, "ring", **{**RINGED, "nut": None}, ring=RING, plain=plain).verdict == "unknown"
    pieces = [{"from": "-1 mm", "length": "1 mm", "diameter": "9 mm", "bore": "3 mm"},
              {"from": "0 mm", "length": "1 mm", "diameter": "9 mm", "bore": "5.6 mm"}]  # fmt: skip
    gone = dict.fromkeys(("diameter", "bore", "length"))
    ring = {
        key: value for key, value in {**RING, **gone, "shape": "stack", "pieces": pieces}.items() if value
    }
    assert held(path_of, "ring", **RINGED, ring=ring).verdict == "unknown"


def test_a_slim_head_that_stands_off_lets_the_bolt_slide(path_of):
    """A collar of 3.5 mm, 1.5 mm off the grip."""
    found = path_of(part={"bolt": turned((-9, 7, "M3"), (-2, 8, 3.0), (6, 3, 3.5))})
    assert found[SLACK].demand == pytest.approx(1.5 * MM)


@pytest.mark.parametrize(
    ("pieces", "width"),
    [
        (
            ((-9, 6.4, "M3"), (-2.6, 7.1, 3.0), (4.5, 3, 6.0)),
            CORE,
        ),  # in the clearance: where root and cheek shear it
        (((-9, 6.2, "M3"), (-2.8, 7.3, 3.0), (4.5, 3, 6.0)), 3.0 * MM),
        (
            ((-9, 5, "M3"), (-4, 3, 3.0), (-1, 2, 2.0), (1, 3.5, 3.0), (4.5, 3, 6.0)),
            3.0 * MM,
        ),  # a neck in the root
    ],
)
def test_a_bolt_is_sheared_between_root_and_cheek(path_of, pieces, width):
    """From 2.5 to 2.6 mm on either side; 800 MPa."""
    check = path_of(part={"bolt": turned(*pieces)})["blade bolt, shear in two planes"]
    assert check.allowable == pytest.approx(0.5 * 0.6 * 800e6 * 2.0 * pi / 4.0 * width**2)


def test_a_thread_in_the_upper_half_of_the_root_presses_it_too(path_of):
    """Head below, plain to 0.5 mm above the middle: 2.675 mm wide beyond."""
    over = {"bolt": {"head": "-", "under_head": "-4.5 mm", "shank_length": "5 mm"}, "nut": at(5.7)}
    for parts in (over, {"bolt": {"shank_length": "5 mm"}}):
        found = path_of(part=parts)
        pull = found["blade bolt, shear in two planes"].demand
        assert found["bolt pressure in the blade root"].demand == pytest.approx(
            pull / (2.675 * 5.0 * MM**2), rel=1e-3
        )


WASHER = {"group": "bolt", "shape": "washer", "standard": "ISO 7089", "size": "M3", "material": "steel"}


@pytest.mark.parametrize(
    ("normal", "head", "loose"),
    [
        (-4.75, 4.5, False),  # from -4.5 to -5, where the nut begins
        (-4.79, 4.5, False),  # 0.04 mm inside it
        (-4.81, 4.5, True),  # 0.06 mm
        (-7.2, 4.5, True),
        (4.75, 5.0, False),
        (4.79, 5.0, False),
        (8.5, 5.0, True),
    ],
)
def test_a_washer_lies_within_head_and_nut_or_is_asked_with_its_own_load(
    setup_of, sound, normal, head, loose
):
    parts = {
        "bolt": {"size": "M3x20", "under_head": f"{head} mm"},
        "nut": at(-6.2),
        "washer": {**WASHER, **at(normal)},
    }
    setup = setup_of(**sound(part=parts))
    found = [one for one in load_path_checks(setup) if "washer" in one.name]
    assert bool(found) == loose
    for one in found:
        mass = next(part for part in setup.assembly.parts if part.name == "washer").moments.mass
        assert one.demand == pytest.approx(mass * 36.0 * MM * SPIN**2)


def test_gaps_add_up_and_what_fills_them_does_not(path_of):
    """Nut 0.6 mm off, head 0.5 mm off: 1.1 mm; a swinging ring or one of the grip fills nothing, a washer does."""
    off = {"bolt": {"size": "M3x20", "under_head": "5 mm"}, "nut": at(-6.3)}
    assert path_of(part=off)[SLACK].demand == pytest.approx(1.1 * MM)
    fill = {**RING, "length": "0.5 mm", "held_by": None, **at(4.75)}
    assert path_of(part={**off, "fill": {**fill, "swings": True}})[SLACK].demand == pytest.approx(1.1 * MM)
    assert path_of(part={**off, "fill": {**fill, "group": "other"}})[SLACK].demand == pytest.approx(1.1 * MM)
    assert SLACK not in path_of(part={**off, "fill": fill})


RETENTION = "what holds the grip, starts and turns"


@pytest.mark.parametrize(
    ("stated", "width", "notch", "limit"),
    [
        ({}, 4.0 - 1.226869 * 0.7, 3.0, 59.5),
        ({"thread": "M2"}, 2.0 - 1.226869 * 0.4, 3.0, 59.5),
        ({"diameter": "1.6 mm"}, 1.6, 2.3, 1e9),
        ({"number": 2, "diameter": "1.6 mm"}, 1.6, 2.3, 1e9),
    ],
)
def test_what_holds_the_grip_lasts_by_hand(path_of, setup_of, sound, stated, width, notch, limit):
    """Class 10.9, tightened to 0.3 of 830 MPa: a rolled thread by VDI, or the bar over its notch with its mean."""
    setup = setup_of(**sound())
    share = 1.5 / 2.0 if "number" in stated else 1.0
    stress = share * float(setup.moments.radial) * SPIN**2 / (pi / 4.0 * (width * MM) ** 2)
    bar = 0.5 * 1040e6 * 4.51 * 1040.0**-0.265 / notch
    allowed = 0.7 * min(bar * (1.0 - (0.3 * 830e6 + 0.5 * stress) / 1040e6), limit * 1e6)
    check = path_of(retention=stated)[RETENTION]
    assert check.demand == pytest.approx(stress_amplitude(stress))
    assert check.allowable == pytest.approx(allowed, rel=1e-6)


def test_the_thread_of_what_holds_the_grip_by_hand(path_of):
    """6 mm of M4 less 0.7: half of 830 MPa of its own thread, or of the yield that is stated for what it is in."""
    name = "thread of what holds the grip"
    outside, inside = thread_areas("M4")
    for into, bears in ((100.0, 100e6 * inside), (2000.0, 830e6 * outside)):
        check = path_of(retention={"into": None, "into_yield": f"{into} MPa"})[name]
        assert check.allowable == pytest.approx(0.5 * 0.577 * 5.3 * MM * bears)
    assert path_of(retention={"into": None})[name].source.startswith("state retention.engagement")
    assert "worse of" not in path_of()["what holds the grip on its axis"].source
    assert "worse of 3" in path_of(retention={"number": 3})["what holds the grip on its axis"].source


def test_a_spindle_of_nothing_stated_is_not_steel(path_of):
    check = path_of(retention={"property_class": None})["what holds the grip on its axis"]
    assert check.verdict == "unknown"
    assert "strength unknown" in check.source


def test_a_standard_nut_is_held_by_its_thread_without_a_word(path_of):
    nut = {
        "group": "counterweight",
        "shape": "nut",
        "standard": "ISO 4032",
        "size": "M3",
        "property_class": "10",
    }
    check = held(path_of, "extra", bolt={"size": "M3x20"}, extra={**nut, **at(-8.2)})
    assert check.allowable == pytest.approx(0.5 * 0.577 * 1.9 * MM * min(
        830e6 * thread_areas("M3")[0], 0.75 * 1040e6 * thread_areas("M3")[1]
    ))  # fmt: skip


def test_metal_in_a_blade_is_asked_whatever_it_weighs_and_a_weighed_point_is_not(path_of):
    inside = {"group": "blade", "shape": "cylinder", "axis": "radius", "diameter": "3 mm", "length": "6 mm",
              "material": "aluminium 6061", **at(0.0, 100.0)}  # fmt: skip
    point = {"group": "blade", "shape": "point", "mass": "0.3 g", **at(0.0, 100.0)}
    found = path_of(part={"inside": inside, "point": point})
    assert {name.split('"')[1] for name in found if '"' in name} == {"inside"}
