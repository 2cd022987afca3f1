"""Seats of head and nut, weights that come off with the bolt, collars on it and how far a lathe's steps go, by hand."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.assembly import build_assembly
from featherbench.assembly.assembled import Solid
from featherbench.assembly.shapes import Cut, Piece
from featherbench.scenario import ScenarioError, read
from featherbench.scenario import parts as written
from featherbench.sizing import best, collars, design_space, drive, own, standard
from featherbench.sizing.best import with_parts
from featherbench.sizing.choices import even, steps_of, thinned, touched
from featherbench.sizing.collars import NONE, NUT, RING, SCREWED, TIGHT, _Way
from featherbench.sizing.fitted_bolt import FittedBolt, _about, fitted_bolt
from featherbench.sizing.machined import NOTHING, Build, Column, MachinedPart
from featherbench.sizing.owned import Kind
from made_up_rooms import bored as space

MM = 1e-3
PLAIN = Path(__file__).parents[2] / "scenarios" / "survey-3kg" / "plain.toml"
WEIGHT = {"shape": "point", "mass": "1 g", "at": {"radius": "30 mm"}, "group": "counterweight"}


def round_solid(low, high, wide, place=(36.0, 2.0), **more):
    size = (wide * MM, wide * MM, (high - low) * MM)
    return Solid("round", "normal", (place[0] * MM, place[1] * MM, 0.5 * (low + high) * MM), size, **more)


@pytest.fixture(scope="module")
def shipped():
    scenario = read(PLAIN)
    return scenario, build_assembly(scenario)


# -- seats ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("found", "face", "seat", "said"),
    [
        # mm: where the old one stood, what stays there, where the new one goes
        (5.0, 5.0, 5.0, False),
        (5.4, 5.0, 5.0, False),  # half a millimetre off counts as lying on it
        (5.6, 5.0, 5.0, True),
        (11.35, 5.0, 5.0, True),
        (4.8, 5.0, 4.8, False),  # sunk in
        (5.3, None, 5.3, False),
        (None, 5.0, None, False),
    ],
)
@pytest.mark.parametrize(("side", "what", "where"), [(1.0, "head", "above"), (-1.0, "nut", "below")])
def test_a_new_head_or_nut_goes_down_to_what_stays(monkeypatch, found, face, seat, said, side, what, where):
    """And it is said of the right one, on the right side, with both heights."""

    def at(value):
        return None if value is None else value * MM

    monkeypatch.setattr(design_space, "_inner_face", lambda *_: at(found))
    monkeypatch.setattr(design_space, "_face_left", lambda *_: at(face))
    scenario = SimpleNamespace(envelope=SimpleNamespace(seat_above=None, seat_below=None))
    height, words = design_space._seat(None, [], scenario, side)
    assert height == (None if seat is None else pytest.approx(seat * MM))
    assert bool(words) is said
    if said:
        assert words.startswith(f"the {what} stood {found:g} mm {where} the axis")
        assert f"{face:g} mm {where} it (envelope.seat_{where}" in words
    other = {"seat_above": None, "seat_below": None, f"seat_{where}": 7 * MM}
    assert design_space._seat(None, [], SimpleNamespace(envelope=SimpleNamespace(**other)), side) == (
        7 * MM,
        "",
    )
    assert design_space._seat(None, [], SimpleNamespace(envelope=SimpleNamespace(**other)), -side)[1] == (
        words.replace(what, "nut" if side > 0.0 else "head").replace(
            where, "below" if side > 0.0 else "above"
        )
    )


def test_a_screw_rests_on_its_head_and_a_nut_on_what_is_nearest():
    """The plain shank from 1 mm up is no seat, the head from 6 is; of a nut with a narrow collar towards the grip the
    collar is.
    """
    kinds = {"screw": written.ScrewPart.model_construct(), "nut": written.NutPart.model_construct()}
    scenario = SimpleNamespace(part=kinds)
    screw = SimpleNamespace(
        name="screw",
        solids=(round_solid(-12, 1, 2.7, thread="M3"), round_solid(1, 6, 3), round_solid(6, 9, 5.5)),
    )
    nut = SimpleNamespace(name="nut", solids=(round_solid(-9.4, -7, 5.5), round_solid(-7, -6.5, 4)))
    assert design_space._inner_face([screw, nut], scenario, 1.0) == pytest.approx(6 * MM)
    assert design_space._inner_face([screw, nut], scenario, -1.0) == pytest.approx(6.5 * MM)


def test_the_room_has_the_seats_of_its_two_sides_and_a_bolt_that_has_both(monkeypatch, shipped):
    scenario, assembly = shipped
    seats = {1.0: 5 * MM, -1.0: 6 * MM}
    monkeypatch.setattr(design_space, "_seat", lambda *given: (seats[given[3]], f"said of {given[3]}"))
    monkeypatch.setattr(design_space, "fitted_bolt", lambda *given: given[3])
    room = design_space.find_design_space(scenario, assembly)
    assert (room.seat_above, room.seat_below, room.fitted) == (5 * MM, 6 * MM, (5 * MM, 6 * MM))
    assert room.reseated == ("said of 1.0", "said of -1.0")
    for side in (1.0, -1.0):
        seats[side], kept = None, seats[side]
        assert design_space.find_design_space(scenario, assembly).fitted is None
        seats[side] = kept


def test_arms_stand_on_a_grip_and_on_nothing_else_that_is_heavy(shipped):
    scenario, assembly = shipped
    moments = SimpleNamespace(mass=0.5, centre=(0.012, 0.0, 0.0))
    hub = SimpleNamespace(name="hub", group="hub", swings=False, moments=moments, solids=(), volume=0.0)
    bare = scenario.envelope.model_copy(update={"arm_radius": None})
    plain = scenario.model_copy(update={"envelope": bare})
    more = SimpleNamespace(parts=(*assembly.parts, hub), bolt=assembly.bolt)
    assert design_space.find_design_space(plain, more).arm_radius == (
        design_space.find_design_space(plain, assembly).arm_radius
    )


def test_of_two_ears_an_arm_stands_on_the_higher():
    ears = [
        SimpleNamespace(solids=(round_solid(0, high, 10, place=(30.0, 0.0)),)) for high in (4.0, 7.0, 5.0)
    ]
    assert design_space._outer_face(ears, 30 * MM) == pytest.approx(7 * MM)


@pytest.mark.parametrize(
    ("held_to", "held_by", "radius", "goes"),
    [
        ("bolt", "thread", 30.0, True),
        ("bolt", "clamped under head", 36.0, False),
        (None, "head", 36.0, True),
        (None, "clamped under nut", 36.0, False),
        (None, "thread", 30.0, False),
        ("grip", "thread", 36.0, False),
        (None, None, 36.0, True),
    ],
)
def test_a_weight_goes_with_the_bolt_that_holds_it(held_to, held_by, radius, goes):
    """Screwed to it or standing on it; what lies clamped, or is held to the grip, stays, and all that is no weight."""
    given = SimpleNamespace(held_to=held_to, held_by=held_by)
    scenario = SimpleNamespace(part={"weight": given})
    weight = SimpleNamespace(
        name="weight", group="counterweight", solids=(round_solid(9, 12, 7, place=(radius, 2.0)),)
    )
    found = design_space._carried(weight, scenario, [SimpleNamespace(name="bolt")], 36 * MM, 2 * MM)
    assert found is goes
    weight.group = "grip"
    assert not design_space._carried(weight, scenario, [SimpleNamespace(name="bolt")], 36 * MM, 2 * MM)


def test_a_build_with_weights_is_refused_or_kept_as_asked(shipped):
    plain, _ = shipped
    fitted = with_parts(plain, Build((), {"weight": WEIGHT, "other": WEIGHT}), "x")
    assert design_space.reference(fitted, "keep") == (fitted, ())
    with pytest.raises(ScenarioError) as refused:
        design_space.reference(fitted, "refuse")
    (problem,) = refused.value.problems
    assert (problem.key, "weight, other" in str(refused.value)) == ("part.weight", True)
    bare, off = design_space.reference(plain, "refuse")
    assert (set(bare.part), off) == (set(plain.part), ())


# -- the bolt that is there ----------------------------------------------------------------------------------------


HEAD, SHANK, THREAD = round_solid(6, 9, 5.5), round_solid(-4, 6, 3), round_solid(-12, -4, 2.7, thread="M3")
NUT_SOLID = round_solid(-9.4, -7, 5.5, tapped="M3")


def bolt_of(solids, nuts=(NUT_SOLID,), washers=(), swinging=(), seats=(6.0, 7.0)):
    moments = SimpleNamespace(mass=1e-3, first=np.zeros(3), second=np.zeros((3, 3)))

    def part(name, *own_solids, swings=False):
        return SimpleNamespace(name=name, solids=own_solids, moments=moments, swings=swings)

    hardware = [part("screw", *solids), *(part(f"nut{n}", one) for n, one in enumerate(nuts))]
    hardware += [part(f"washer{n}", one) for n, one in enumerate(washers)]
    kinds = {"scr": written.ScrewPart, "nut": written.NutPart, "was": written.WasherPart}
    given = {one.name: kinds[one.name[:3]].model_construct() for one in hardware}
    assembly = SimpleNamespace(
        parts=(*hardware, part("blade", *swinging, swings=True)),
        bolt=SimpleNamespace(radius=36 * MM, chord=2 * MM),
    )
    return fitted_bolt(SimpleNamespace(part=given), assembly, hardware, tuple(one * MM for one in seats))


def test_a_thread_inside_the_grip_or_above_alone_is_none_for_a_collar():
    """A second thread under the head takes none; one that begins half a micrometre within the head does; a screw
    without a thread below holds no nut there.
    """
    assert bolt_of((HEAD, SHANK, THREAD, round_solid(1, 3, 2.7, thread="M3"))).upper is None
    upper = bolt_of((HEAD, SHANK, THREAD, round_solid(8.9995, 12, 2.7, thread="M3"))).upper
    assert np.array(upper) / MM == pytest.approx([8.9995, 12.0])
    only = bolt_of((HEAD, round_solid(-12, 6, 3), round_solid(9, 12, 2.7, thread="M3")))
    assert only.startswith("they are laid out for a bolt with its head above")


def test_a_nut_above_and_one_below_are_no_place_for_collars():
    said = bolt_of((HEAD, SHANK, THREAD), nuts=(NUT_SOLID, round_solid(9, 11.4, 5.5, tapped="M3")))
    assert said.startswith("they are laid out for a bolt with its head above")


def test_a_head_in_two_pieces_rests_on_the_lower_and_a_threaded_nut_is_a_nut():
    two = bolt_of((round_solid(6, 7.5, 5.5), round_solid(7.5, 9, 5.5), SHANK, THREAD))
    assert (two.face, two.top) == (pytest.approx(6 * MM), pytest.approx(9 * MM))
    both = round_solid(-9.4, -7, 5.5, tapped="M3", thread="M5")
    assert bolt_of((HEAD, SHANK, THREAD), nuts=(both,)).screw == "screw"


def test_a_nut_that_stood_off_comes_down_on_its_own_washers():
    """Seats 5 and 5.5 mm: a washer of 0.5 below, of 0.8 above; head and nut stood 1 mm and more off."""
    washers = (round_solid(-6.0, -5.5, 7), round_solid(5.0, 5.8, 7))
    found = bolt_of((round_solid(8, 11, 5.5), SHANK, THREAD), washers=washers, seats=(5.0, 5.5))
    assert (found.base / MM, found.nut_base / MM) == pytest.approx((5.8, 6.0))


def test_a_long_box_stands_about_the_bolt_along_its_length():
    """20 mm along the radius and 8 along the chord: 9 mm off along the one, 3 along the other."""
    assembly = SimpleNamespace(bolt=SimpleNamespace(radius=36 * MM, chord=2 * MM))
    for radius, chord, about in (
        (45.0, 2.0, True),
        (36.0, 5.0, True),
        (36.0, 11.0, False),
        (47.0, 2.0, False),
    ):
        box = Solid("box", "normal", (radius * MM, chord * MM, 0.0), (20 * MM, 8 * MM, 4 * MM))
        assert _about(box, assembly) is about


def test_the_blade_reaches_down_as_far_as_its_lowest_piece():
    blade = (round_solid(-3, 3, 12), round_solid(-2, 4, 12))
    assert bolt_of((HEAD, SHANK, THREAD), swinging=blade).root == pytest.approx(3 * MM)


# -- collars -------------------------------------------------------------------------------------------------------


def bolt(movable=True, **more):
    values = {"face": 5.0, "base": 5.0, "top": 8.0, "end": 11.0, "thread_from": 2.9, "nut_from": 5.0, "nut_to": 7.4,
              "nut_thread": 5.0, "nut_base": 5.0, "root": 3.0}  # fmt: skip
    values = {name: value * MM for name, value in (values | more).items() if name not in ("upper", "sums")}
    upper = tuple(one * MM for one in more["upper"]) if "upper" in more else None
    screw, nut, rest = more.get("sums", (NOTHING, NOTHING, NOTHING))
    return FittedBolt(**values, upper=upper, screw_sums=screw, nut_sums=nut, rest_sums=rest, parts={},
                      screw="bolt", nuts=("nut",), movable=movable)  # fmt: skip


def way_of(above, below, diameter=7.0, over=0.0, under=0.0, many=True):
    sizes = (np.array([one * MM]) if many else one * MM for one in (diameter, over, under))
    return _Way(above, below, *sizes)


def fits(way, own_bolt, room=None):
    return bool(collars._fitting(room or space(), own_bolt, way).diameter.size)


def test_a_bolt_that_cannot_be_moved_goes_neither_up_nor_down():
    """Nor down to a face it stood off: head and nut of a turned bolt stay."""
    for change in ({"base": 4.9}, {"base": 5.1}, {"nut_base": 4.9}, {"nut_base": 5.1}):
        assert not fits(way_of(NONE, SCREWED, under=2.0), bolt(movable=False, **change)), change
        assert fits(way_of(NONE, SCREWED, under=2.0), bolt(**change)), change


def test_a_short_thread_above_the_head_does_not_limit_a_ring_under_it():
    own_bolt = bolt(upper=(8.0, 9.0), top=9.0)
    assert fits(way_of(RING, NONE, over=2.0), own_bolt)
    assert fits(way_of(SCREWED, NONE, over=1.0), own_bolt)
    assert not fits(way_of(SCREWED, NONE, over=1.1), own_bolt)


def test_a_ring_under_the_head_draws_the_end_out_of_a_collar_below():
    """11 mm of end: 2 mm of ring and a collar of 4 in the nut's place end flush, 4.1 does not hold."""
    assert collars._spare(space(), bolt(), way_of(RING, NUT, over=2.0, under=3.0, many=False)) == (
        pytest.approx(1 * MM)
    )
    assert fits(way_of(RING, NUT, over=2.0, under=4.0), bolt())
    assert not fits(way_of(RING, NUT, over=2.0, under=4.1), bolt())


def test_what_a_ring_lifts_is_the_screw_and_not_the_washers_below_it():
    """2 g of screw rise by 2 mm; 3 g of washers, the first moment of which is 3e-6, stay."""
    sums = (Column(2e-3, 1e-6, 0.0, 0.0), NOTHING, Column(3e-3, 3e-6, 0.0, 0.0))
    bare = collars._columns(space(), bolt(), way_of(RING, NONE, over=2.0), 7850.0)[0]
    full = collars._columns(space(), bolt(sums=sums), way_of(RING, NONE, over=2.0), 7850.0)[0]
    assert full.first - bare.first == pytest.approx([1e-6 + 2e-3 * 2 * MM + 3e-6])
    # where the nut stood off, a collar in its place is the whole of what is below
    loose, tight = (
        collars._columns(space(), bolt(nut_from=gap), way_of(NONE, NUT, under=3.0), 7850.0)[1]
        for gap in (5.3, 5.0)
    )
    assert [float(one[0]) for one in loose] == pytest.approx([float(one[0]) for one in tight])


def test_what_collars_touch_is_what_the_moved_bolt_touches():
    """Bars of 6, 7 and 9 mm: the widest counts. End at 11.95 of 12 mm; a ring of 2 mm draws it up to 9.95."""
    low = bolt(end=11.95)
    assert collars._touching(space(), low, way_of(NONE, SCREWED, under=1.0, many=False)) == ["height_below"]
    assert collars._touching(space(), low, way_of(RING, NONE, over=2.0, many=False)) == []
    assert collars._touching(space(), bolt(), way_of(RING, NONE, 6.95, over=1.0, many=False)) == []
    assert collars._touching(space(), bolt(), way_of(RING, NONE, 8.95, over=1.0, many=False)) == ["diameter"]


def test_a_head_or_nut_that_comes_down_is_moved_as_well(monkeypatch):
    """Off its seat by 0.3 mm: the parts are written anew, and then no nut is taken off by name."""
    monkeypatch.setattr(
        collars, "moved_parts", lambda _, up, down, bare: {"moved": {"by": (up, down), "bare": bare}}
    )
    steel = SimpleNamespace(name="steel", density=7850.0)

    def built(above, below, over=0.0, under=0.0, **change):
        return collars._build(
            space(), bolt(**change), steel, way_of(above, below, 7.0, over, under, False)
        ).parts

    for change in ({"face": 5.3}, {"nut_from": 5.3}):
        found = built(NONE, SCREWED, under=2.0, **change)
        assert found["moved"]["instead_of"] == ["old"]
        assert "instead_of" not in found["lower-collar"]
    assert built(NONE, SCREWED, under=2.0).keys() == {"lower-collar"}
    assert "instead_of" not in built(NONE, SCREWED, under=2.0)["lower-collar"]
    assert built(NONE, NUT, under=3.0)["lower-collar"]["instead_of"] == ["nut"]
    both = built(RING, NUT, over=2.0, under=3.0)
    assert "instead_of" not in both["lower-collar"]
    assert both["moved"]["bare"] is True


def test_collars_are_offered_of_each_metal_that_fits(monkeypatch):
    """Chosen by how even they are only off the feathering axis' own normal."""
    asked = []
    monkeypatch.setattr(
        collars, "even", lambda a, _, classes: asked.append(classes) or np.ones(a.mass.size, bool)
    )
    metals = tuple(SimpleNamespace(name=name, density=8000.0) for name in ("brass", "bronze"))
    room = SimpleNamespace(**{**vars(space(step=0.5)), "fitted": bolt(), "materials": metals})
    found, reasons = collars.collar_choices(room)
    assert ([one.words.split(", ")[1] for one in found], reasons, asked) == (["brass", "bronze"], [], [])
    ways = [
        collars._fitting(room, bolt(), one)
        for one in collars._all(room, bolt(), metals[0], np.array(room.bars))
    ]
    assert found[0].count == sum(one.diameter.size for one in ways) > 50
    assert all(one.diameter.size for one in collars._all(
        SimpleNamespace(**{**vars(room), "above": 5.5 * MM}), bolt(), metals[0], np.array(room.bars)))  # fmt: skip
    assert isinstance(found[0].touching(0), list)
    for chord in (2 * MM, -2 * MM):
        collars.collar_choices(SimpleNamespace(**{**vars(room), "chord": chord}))
    assert asked == [(0.25, 1.0)] * 4
    none = SimpleNamespace(**{**vars(room), "fitted": bolt(end=7.0)})
    assert collars.collar_choices(none)[0] == []


@pytest.mark.parametrize(("off", "kept"), [(0.5, True), (2.0, False)])
def test_a_bar_or_a_bolt_may_be_off_by_a_rounding(off, kept):
    """4.5 mm is the least of a collar for M3, 9 mm the room, 19 mm what the bolt has over all."""
    metals = (SimpleNamespace(name="brass", density=8000.0),)

    def said(**change):
        room = {**vars(space()), "fitted": bolt(), "materials": metals, **change}
        return (collars.collar_choices(SimpleNamespace(**room))[1] or [""])[0]

    assert ("no bar" not in said(bars=(4.5 * MM - off * TIGHT,))) is kept
    assert ("no bar" not in said(bars=(9.0 * MM + off * TIGHT,))) is kept
    assert ("over all" not in said(over_all=19 * MM - off * TIGHT)) is kept


# -- flats and slots -----------------------------------------------------------------------------------------------


def test_a_slot_is_weighed_against_flats_by_the_metal_it_takes():
    """M3 on 5.2 mm: flats of 4 mm take 5.46 mm^3, the slot of 0.8 x 5.2 x 0.9 about 3.7; a quarter more is 4.7."""
    assert drive.cuts("M3", 5.2 * MM, 8 * MM)[0] == 0.0
    assert drive.cuts("M3", 5.1 * MM, 8 * MM)[0] == 0.0  # 4.74 against 0.8 x 5.06 x 0.9 and a quarter, 4.56
    # M2.5 needs half a millimetre of wall on each side: 3.5 mm, so that the spanner of 3.2 does not do
    for wide, flats in ((4.0, 0.0), (4.4, 4.0), (3.5, 0.0)):
        across, _, _ = drive.cuts("M2.5", wide * MM, 8 * MM, 2 * MM)
        assert across[0] == pytest.approx(flats * MM)


def test_a_piece_with_no_length_for_flats_gets_a_slot():
    """A millimetre of round is left: 1.05 mm leave no tenth for flats, 1.1 do."""
    assert drive.cuts("M3", 5 * MM, 1.05 * MM)[0] == 0.0
    across, _, long = drive.cuts("M3", 5 * MM, 1.1 * MM)
    assert (across[0] / MM, long[0] / MM) == pytest.approx((4.0, 0.1))


def test_flats_are_cut_to_the_last_rounding_of_width_and_length():
    for across in drive.ACROSS_FLATS[1:]:
        assert drive.cuts("M3", across / 0.92 * MM, 8 * MM, 2.5 * MM)[0][0] == pytest.approx(across * MM)
    for tenths in range(11, 30):
        long = drive.cuts("M3", 8 * MM, tenths * 0.1 * MM, 2.5 * MM)[2][0]
        assert long == pytest.approx((tenths - 10) * 0.1 * MM)


def test_what_is_gripped_is_the_threaded_parts_outermost_piece():
    """Neither its thread nor its plain shank; nothing of what is bought, of a ring, or of a hexagon."""
    thread, shank = (
        Piece(-12 * MM, 8 * MM, diameter=2.7 * MM, thread="M3"),
        Piece(-4 * MM, 9 * MM, diameter=3 * MM),
    )
    head = Piece(5 * MM, 4 * MM, diameter=8 * MM)
    one = MachinedPart(
        "bolt", "steel", 7850.0, (thread, shank, head), 0.03, thread="M3", threaded=(0,), plain=(1,)
    )
    assert drive.driven(one) is head
    for change in ({"thread": ""}, {"standard": "ISO 4762"}, {"pieces": (thread, shank)}):
        assert drive.driven(replace(one, **change)) is None
        assert drive.with_drive(replace(one, **change)) == replace(one, **change)
    hexagon = replace(one, pieces=(thread, shank, Piece(5 * MM, 4 * MM, across_flats=5.5 * MM)))
    assert drive.with_drive(hexagon) == hexagon
    assert drive.drive_of(one) is None
    made = drive.with_drive(one)
    assert drive.drive_of(made) == made.pieces[2].cut
    assert made.pieces[:2] == (thread, shank)
    for start, end, sign in ((5.0, 1, "+"), (-9.0, -1, "-")):
        nut = MachinedPart("nut", "steel", 7850.0, (Piece(start * MM, 4 * MM, diameter=8 * MM, bore=2.675 * MM),), 0.03,
                           thread="M3", tapped=True)  # fmt: skip
        piece = drive.with_drive(nut).pieces[0]
        assert piece.cut == Cut(pytest.approx(7 * MM), 0.0, pytest.approx(2.5 * MM), end)
        assert drive.written_cut(piece) == {"flats": "7 mm", "cut_length": "2.5 mm", "cut_at": sign}
    slotted = head._replace(cut=Cut(0.0, 0.8 * MM, 0.9 * MM, -1))
    assert drive.written_cut(slotted) == {"slot": "0.8 mm", "cut_length": "0.9 mm", "cut_at": "-"}
    assert drive.written_cut(head) == {}


def test_a_stud_weighs_with_what_goes_into_the_grip():
    """6 mm of it below 4 mm: from -2, 16 mm long; its weight on top stays as it is."""
    stud, top = Piece(4 * MM, 10 * MM, diameter=3 * MM), Piece(14 * MM, 3 * MM, diameter=8 * MM)
    one = MachinedPart("arm", "steel", 7850.0, (stud, top), 0.03, screwed_in=6 * MM)
    assert (one.whole[0].start, one.whole[0].length) == pytest.approx((-2 * MM, 16 * MM))
    assert one.whole[1:] == (top,)
    assert one.weighed - one.mass == pytest.approx(7850.0 * np.pi / 4.0 * 9.0 * 6.0 * MM**3)


# -- steps, classes and limits -------------------------------------------------------------------------------------


def test_lengths_in_whole_steps_stay_what_they_are(shipped):
    """Whatever the division leaves over."""
    room = replace(design_space.find_design_space(*shipped), step=0.1 * MM)
    for count in range(1, 200):
        length = count * room.step
        assert room.whole_steps(length) == pytest.approx(length, abs=1e-12)
        assert room.whole_steps(length, up=True) == pytest.approx(length, abs=1e-12)
        found = steps_of(room, 0.0, 25 * MM, length)
        assert (found[0], found[-1]) == pytest.approx((length, 25 * MM), abs=1e-12)
        bars = design_space._bars(SimpleNamespace(stock=(), diameter=length, lathe_step=0.1 * MM))
        assert (len(bars), bars[-1]) == (count, pytest.approx(length, abs=1e-12))


def test_evenness_counts_either_side_and_either_sign():
    """Left over of 1 and -3: 2 of 4; of -1 and -3, both below, all of 4."""
    above, below = (Column(0.0, np.array(one), 0.0, 0.0) for one in ([1.0, 1.0], [-3.0, -1.0]))
    assert even(above, below, (0.25, 1.0)).tolist() == [False, True]
    lower, under = (Column(0.0, np.array(one), 0.0, 0.0) for one in ([-1.0, 2.0], [-3.0, -3.0]))
    assert even(lower, under, (0.05, 0.2, 1.0)).tolist() == [False, True]
    assert even(lower, under, (0.05, 0.1, 1.0)).tolist() == [True, True]
    assert thinned(np.arange(10), 6).tolist() == [0, 2, 4, 6, 8, 9]


def test_a_length_that_the_two_heights_allow_anyway_is_no_limit():
    room = space(over_all=24.0)
    assert touched(room, 11.98 * MM, 11.98 * MM, 5 * MM, 9 * MM) == ["height_above", "height_below"]
    room = space(over_all=23.9)
    assert touched(room, 11.89 * MM, 11.96 * MM, 5 * MM, 9 * MM) == ["height_below", "bolt_length"]


def test_a_whole_step_short_of_a_limit_is_not_at_it():
    """Whatever the division leaves over: of 13 mm, 12.9 in steps of 0.1 was."""
    for limit in range(6, 30):
        seat, steps = 5 * MM, (limit - 5) * 10
        room = space(above=limit, below=limit, over_all=2.0 * limit, bars=(limit,))
        for short, named in ((1, False), (0, True)):
            reach = seat + round((steps - short) * 0.1 * MM, 9)
            assert touched(room, reach, 0.0, 0.0, 1.0) == ["height_above"] * named, limit
            assert touched(room, 0.0, reach, 0.0, 1.0) == ["height_below"] * named, limit
            assert touched(room, 0.0, 0.0, reach, 1.0) == ["diameter"] * named, limit
            tight = space(above=30.0, below=30.0, over_all=limit)
            assert touched(tight, reach / 2.0, reach / 2.0, 0.0, 1.0) == ["bolt_length"] * named, limit


def test_where_the_series_of_screws_ends_the_bolts_length_is_no_limit():
    """M3 goes to 60 mm (ISO 4762, MEM), 63 with its head: 70 mm over all would take a longer one."""
    room = SimpleNamespace(**vars(space(above=40.0, below=70.0, over_all=70.0)), seat_above=5 * MM)
    assert standard._rack_touched(room, standard._Rack(0, 0, 0, 2, 60 * MM)) == []
    assert standard._rack_touched(room, standard._Rack(0, 0, 0, 2, 55 * MM)) == []


# -- what is owned -------------------------------------------------------------------------------------------------


def kind(shape, high, **more):
    pieces = (Piece(-high / 2.0 * MM, high * MM, diameter=7 * MM, bore=3.2 * MM),)
    if shape == "screw":
        pieces = (Piece(-high * MM, high * MM, diameter=3 * MM), Piece(0.0, 3 * MM, diameter=5.5 * MM))
    return Kind(shape, shape, f"own.{shape}{high}", 3, "M3", pieces, 7850.0, {"shape": shape}, **more)


def test_stacks_are_sought_in_the_room_of_each_side_up_to_so_many_ways(monkeypatch):
    """16 mm less a seat of 5 above, 15 less 6 below; of two screws each way counts."""
    kinds = (kind("screw", 20.0), kind("screw", 25.0), kind("ring", 1.0), kind("nut", 2.4))
    room = SimpleNamespace(
        **vars(space(above=16.0, below=15.0)), seat_above=5 * MM, seat_below=6 * MM, own=kinds
    )
    rooms, halves, plain = [], [], own.half

    def half(given, rings, nuts, limit):
        rooms.append((len(nuts), round(limit / MM, 9)))
        halves.append(plain(given, rings, nuts, limit))
        return halves[-1]

    monkeypatch.setattr(own, "half", half)
    assert own.own_choices(room)[0]
    assert rooms == [(0, 11.0), (1, 9.0)]
    ways = 2 * halves[0].heights.size * halves[1].heights.size
    monkeypatch.setattr(own, "MOST_WAYS", ways)
    assert own.own_choices(room)[0]
    monkeypatch.setattr(own, "MOST_WAYS", ways - 1)
    assert "more than are looked at" in own.own_choices(room)[1][0]
    for seat in ("seat_above", "seat_below"):
        found, reasons = own.own_choices(SimpleNamespace(**{**vars(room), seat: None}))
        assert (found, reasons[0].startswith("what you own: state envelope.seat_above")) == ([], True)


def test_a_new_part_of_an_old_name_has_none_of_its_tolerances(shipped):
    plain, _ = shipped
    halves = {"part.weight.mass": 1e-5, "part.weight-2.mass": 2e-5, "rotor.speed": 1.0}
    toleranced = plain.model_copy(update={"source": replace(plain.source, tolerances=halves)})
    fitted = with_parts(toleranced, Build((), {"weight": WEIGHT, "other": WEIGHT}), "x")
    assert fitted.source.tolerances == {"part.weight-2.mass": 2e-5, "rotor.speed": 1.0}
    assert best._is_of("part.a.mass", ("a", "b"))
    assert not best._is_of("part.ab.mass", ("a", "b"))
