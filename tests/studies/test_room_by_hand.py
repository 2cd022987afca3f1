"""Room about the bolt, what is bought or owned for it and how it is gripped: lengths and sides counted by hand."""

from math import acos, pi, sqrt
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.assembly import build_assembly
from featherbench.assembly.assembled import Solid
from featherbench.assembly.inch_threads import INCH
from featherbench.assembly.shapes import Piece
from featherbench.scenario import ScenarioError, own_tables, read
from featherbench.scenario.parts import NutPart, ScrewPart
from featherbench.sizing import (
    choices,
    collars,
    design_space,
    drive,
    own,
    owned,
    search,
    stacks,
    standard,
    turned,
)
from featherbench.sizing.collars import NONE, NUT, RING, _Way
from featherbench.sizing.fitted_bolt import FittedBolt, fitted_bolt
from featherbench.sizing.machined import NOTHING, Column, MachinedPart, bar, column_of
from featherbench.sizing.tolerance import _total
from made_up_rooms import room

MM = 1e-3
STEEL = 7850.0
PLAIN = Path(__file__).parents[2] / "scenarios" / "survey-3kg" / "plain.toml"


def block(radius, chord, height, size=(10.0, 8.0, 2.0), kind="box"):
    """Centre and size along radius, chord and normal, mm."""
    return Solid(
        kind, "normal", tuple(one * MM for one in (radius, chord, height)), tuple(one * MM for one in size)
    )


def part(name, *solids, group="grip", swings=False):
    moments = SimpleNamespace(mass=1e-3, centre=(0.03, 0.0, 0.0))
    return SimpleNamespace(name=name, solids=solids, group=group, swings=swings, moments=moments, volume=0.0)


# -- where a head and a nut come to rest ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("one", "above", "below"),
    [
        # the bolt stands at 34 mm, chord 2 mm; the block is 10 along the radius, 8 along the chord, 2 high
        (block(34, 2, 4), 5.0, None),
        (block(34, 2, -4), None, 5.0),
        (block(34, 2, 0), 1.0, 1.0),
        (block(34, 2, 0.4), 1.4, 0.6),
        (block(34, 2, -1), None, 2.0),
        (block(38.9, 2, 4), 5.0, None),
        (block(29.1, 2, 4), 5.0, None),
        (block(39.1, 2, 4), None, None),
        (block(28.9, 2, 4), None, None),
        (block(34, 5.9, 4), 5.0, None),
        (block(34, -1.9, 4), 5.0, None),
        (block(34, 6.1, 4), None, None),
        (block(34, -2.1, 4), None, None),
        (block(34, 2, 4, kind="round"), 5.0, None),
        (block(34, 2, 4, kind="hex"), 5.0, None),
        (block(34, 2, 4, kind="surface"), None, None),
    ],
)
def test_a_head_goes_down_to_what_stands_about_the_bolt(one, above, below):
    """Its own hardware aside; of several the one that reaches farthest."""
    bolt = SimpleNamespace(radius=34 * MM, chord=2 * MM)
    hardware = [part("nut", block(34, 2, 20), block(34, 2, -20), group="bolt")]
    low = part("low", block(34, 2, 0.0, (10.0, 8.0, 0.4)))
    for side, face in ((1.0, above), (-1.0, below)):
        alone = SimpleNamespace(parts=(*hardware, part("ear", one)), bolt=bolt)
        reached = design_space._face_left(alone, hardware, side)
        assert reached == (None if face is None else pytest.approx(face * MM))
        both = SimpleNamespace(parts=(part("ear", one), low), bolt=bolt)
        assert design_space._face_left(both, hardware, side) == pytest.approx((face or 0.2) * MM)


def test_an_arm_stands_on_what_reaches_across_the_axis_at_its_radius():
    """An ear 8 mm along the chord reaches over chord 0 from 4 mm to the side, and not from more; how high it is, 2 or
    12 mm, has no part in that.
    """
    for chord, high, face in (
        (3.9, 2.0, 4.0), (-3.9, 2.0, 4.0), (4.1, 2.0, None), (4.1, 12.0, None), (-4.1, 12.0, None),
    ):  # fmt: skip
        ear = part("ear", block(30, chord, 3.0, (10.0, 8.0, high)))
        found = design_space._outer_face([ear], 30 * MM)
        assert found == (None if face is None else pytest.approx(face * MM))
    wide = part("wide", block(30, 0.0, 3.0, (4.0, 8.0, 12.0)))
    assert design_space._outer_face([wide], 31.9 * MM) == pytest.approx(9 * MM)
    assert design_space._outer_face([wide], 32.1 * MM) is None


@pytest.fixture(scope="module")
def shipped():
    scenario = read(PLAIN)
    return scenario, build_assembly(scenario)


def test_only_what_is_of_the_bolt_and_stands_on_its_axis_comes_off(shipped):
    """A pin of group bolt beside it stays, and so does a bush of the grip about it."""
    scenario, assembly = shipped
    at = (assembly.bolt.radius / MM, assembly.bolt.chord / MM)
    pin = part("pin", block(at[0] - 8.0, at[1], 0.0), group="bolt")
    bush = part("bush", block(*at, 0.0))
    more = SimpleNamespace(parts=(*assembly.parts, pin, bush), bolt=assembly.bolt)
    room = design_space.find_design_space(scenario, more)
    assert room.replaced == ("blade-bolt", "lock-nut")
    assert (room.radius, room.chord) == (assembly.bolt.radius, assembly.bolt.chord)
    # a part 0.6 mm beside the axis is not on it, one 0.4 mm is
    for off, names in ((0.4, ("blade-bolt", "lock-nut")), (0.6, ())):
        moved = SimpleNamespace(
            parts=assembly.parts,
            bolt=SimpleNamespace(radius=assembly.bolt.radius + off * MM, chord=assembly.bolt.chord),
        )
        stated = scenario.model_copy(
            update={"envelope": scenario.envelope.model_copy(update={"thread": "M3"})}
        )
        assert design_space.find_design_space(stated, moved).replaced == names


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"arm_material": "unobtainable"}, "envelope.arm_material"),
        ({"materials": ("steel", "unobtainable")}, "envelope.materials.1"),
        ({"thread": "M99"}, None),
    ],
)
def test_a_material_or_thread_that_no_table_has_is_refused_by_its_key(shipped, change, key):
    scenario, assembly = shipped
    changed = scenario.model_copy(update={"envelope": scenario.envelope.model_copy(update=change)})
    with pytest.raises(ScenarioError) as refused:
        design_space.find_design_space(changed, assembly)
    (problem,) = refused.value.problems
    assert key is None or problem.key == key


# -- the bolt that is there ----------------------------------------------------------------------------------------


def turned_solid(low, high, wide, **more):
    size = (wide * MM, wide * MM, (high - low) * MM)
    return Solid("round", "normal", (36 * MM, 2 * MM, 0.5 * (low + high) * MM), size, **more)


def bolt_of(*solids):
    """A bolt of these pieces with its nut from 7 to 9.4 mm below."""
    moments = SimpleNamespace(mass=1e-3, first=np.zeros(3), second=np.zeros((3, 3)))
    screw = SimpleNamespace(name="screw", solids=solids, moments=moments, swings=False)
    nut = SimpleNamespace(
        name="nut", solids=(turned_solid(-9.4, -7, 5.5, tapped="M3"),), moments=moments, swings=False
    )
    kinds = {"screw": ScrewPart.model_construct(), "nut": NutPart.model_construct()}
    assembly = SimpleNamespace(parts=(screw, nut), bolt=SimpleNamespace(radius=36 * MM, chord=2 * MM))
    return fitted_bolt(SimpleNamespace(part=kinds), assembly, (screw, nut), (6 * MM, 7 * MM))


def test_a_bolt_whose_wide_part_is_below_has_no_head_above():
    """A shoulder of 5.5 mm from 3 to 6 mm below, a thread under it, and nothing above."""
    below = bolt_of(
        turned_solid(-6, -3, 5.5), turned_solid(-3, 6, 3), turned_solid(-12, -6, 2.7, thread="M3")
    )
    assert isinstance(below, str)
    assert below.startswith("they are laid out for a bolt with its head above")


def test_a_collar_goes_above_the_head_on_thread_only():
    """Head from 6 to 9 mm: a plain spigot on it carries nothing; of a thread in two pieces both ends count."""
    common = (turned_solid(6, 9, 5.5), turned_solid(-4, 6, 3), turned_solid(-12, -4, 2.7, thread="M3"))
    spigot = bolt_of(*common, turned_solid(9, 12, 3))
    assert (spigot.upper, spigot.top) == (None, pytest.approx(12 * MM))
    two = bolt_of(*common, turned_solid(9, 11, 2.7, thread="M3"), turned_solid(11, 15, 2.6, thread="M3"))
    assert np.array(two.upper) / MM == pytest.approx([9.0, 15.0])


# -- how a piece is gripped ----------------------------------------------------------------------------------------


def test_flats_are_taken_where_they_take_little_more_than_a_slot():
    """M3, 4 mm spanner, flats 2 mm long. On 5 mm they take 2 (r^2 a - h s) 2 = 4.09 mm^3 with r 2.5, h 2, and the slot
    of 0.8 by 0.9 mm 3.6 mm^3: flats, up to a quarter more. On 5.4 mm they take 6.96 and the slot 3.9 mm^3: a slot. A
    tapped piece gets its flats all the same, as the slot would cut into its thread.
    """

    def taken(wide):
        angle = acos(4.0 / wide)
        return 2.0 * ((wide / 2.0) ** 2 * angle - 2.0 * sqrt((wide / 2.0) ** 2 - 4.0)) * 2.0

    assert (taken(5.0), taken(5.4)) == pytest.approx((4.09, 6.96), abs=0.01)
    across, slot, long = (
        one[0] / MM if np.ndim(one) else one / MM for one in drive.cuts("M3", 5 * MM, 8 * MM)
    )
    assert (across, slot, long) == pytest.approx((4.0, 0.8, 2.0))
    across, slot, long = (
        one[0] / MM if np.ndim(one) else one / MM for one in drive.cuts("M3", 5.4 * MM, 8 * MM)
    )
    assert (across, slot, long) == pytest.approx((0.0, 0.8, 0.9))
    for bore in (2.675, 1.0):
        across, _, long = drive.cuts("M3", 5.4 * MM, 8 * MM, bore * MM)
        assert (across[0] / MM, long[0] / MM) == pytest.approx((4.0, 2.0))


def test_inch_pieces_get_inch_spanners():
    """6-32 is 0.138 inch, 3.505 mm: spanners from 4.505 mm, that is 3/16 inch (4.7625) and up (ASME B18.2, MEM); a slot
    as of M4, 1.2 by 1.1 mm (ISO 1207, MEM), which is nearer than M3 by a hair.
    """
    for wide, flats in (
        (5.5, 3 / 16),
        (7.0, 1 / 4),
        (8.7, 5 / 16),
        (9.6, 11 / 32),
        (12.2, 7 / 16),
        (16.0, 9 / 16),
    ):
        across, slot, _ = drive.cuts("6-32", wide * MM, 9 * MM, 3 * MM)
        assert across[0] == pytest.approx(flats * INCH * MM, abs=1e-7)
        assert slot == pytest.approx(1.2 * MM)
    assert drive.cuts("6-32", 5.0 * MM, 9 * MM, 3 * MM)[0] == 0.0
    for size, (wide, deep) in {"M2": (0.5, 0.6), "M2.5": (0.6, 0.7), "M4": (1.2, 1.1)}.items():
        _, slot, long = drive.cuts(size, 3.0 * MM, 9 * MM)
        assert (slot / MM, long[0] / MM) == pytest.approx((wide, deep))


# -- collars -------------------------------------------------------------------------------------------------------


def bolt_with_parts(monkeypatch):
    """Head on 5, nut from 5 to 7.4 mm below; both of a kind that can be written again."""
    values = {"face": 5.0, "base": 5.0, "top": 8.0, "end": 14.0, "thread_from": 4.0, "nut_from": 5.0, "nut_to": 7.4,
              "nut_thread": 5.0, "nut_base": 5.0, "root": 3.0}  # fmt: skip
    at = SimpleNamespace(radius=36 * MM, chord=0.0, normal=-6.2 * MM)
    parts = {name: SimpleNamespace(at=at, shank_diameter=None) for name in ("bolt", "nut")}
    monkeypatch.setattr("featherbench.sizing.fitted_bolt.kind_of", lambda *_: SimpleNamespace(table={}))
    return FittedBolt(
        **{name: value * MM for name, value in values.items()}, upper=None, screw_sums=Column(2e-3, 0.0, 0.0, 0.0),
        nut_sums=Column(0.5e-3, 0.0, 0.0, 0.0), rest_sums=NOTHING, parts=parts, screw="bolt", nuts=("nut",),
        movable=True,
    )  # fmt: skip


def test_what_collars_move_is_written_where_it_goes(monkeypatch):
    """A ring of 1.5 mm under the nut moves the nut alone, one under the head the screw; a collar in its place, none."""
    fitted = bolt_with_parts(monkeypatch)
    room = SimpleNamespace(
        thread="M3", replaced=("bolt", "nut"), radius=36 * MM, chord=0.0, shank=3 * MM, core=2.675 * MM
    )
    steel = SimpleNamespace(name="steel", density=STEEL)

    def built(above, below, over=0.0, under=0.0):
        way = _Way(above, below, 7 * MM, over * MM, under * MM)
        return collars._build(room, fitted, steel, way)

    lower = built(NONE, RING, under=1.5)
    assert list(lower.parts) == ["bolt", "nut", "lower-collar"]
    assert lower.parts["nut"]["at"]["normal"] == "-7.7 mm"
    assert lower.parts["bolt"]["under_head"] == "5 mm"
    assert lower.parts["lower-collar"]["at"]["normal"] == "-5.75 mm"
    assert lower.parts["nut"]["instead_of"] == ["bolt", "nut"]
    upper = built(RING, NONE, over=2.0)
    assert list(upper.parts) == ["bolt", "nut", "upper-collar"]
    assert (upper.parts["bolt"]["under_head"], upper.parts["nut"]["at"]["normal"]) == ("7 mm", "-6.2 mm")
    assert upper.parts["upper-collar"]["at"]["normal"] == "6 mm"
    assert upper.beside.mass == pytest.approx(2.5e-3)
    instead = built(RING, NUT, over=2.0, under=4.0)
    assert list(instead.parts) == ["bolt", "upper-collar", "lower-collar"]
    assert instead.beside.mass == pytest.approx(2e-3)
    still = built(NONE, NUT, under=4.0)
    assert list(still.parts) == ["lower-collar"]
    assert still.parts["lower-collar"]["instead_of"] == ["nut"]


def test_each_way_with_each_size_is_tried_once(monkeypatch):
    """Two diameters; rings from 1 to 7 mm in steps of half a millimetre, 13 of them."""
    room = SimpleNamespace(above=12 * MM, below=12 * MM, step=0.5 * MM, thread="M3")
    brass = SimpleNamespace(name="brass")
    found = collars._all(room, bolt_with_parts(monkeypatch), brass, np.array([7 * MM, 8 * MM]))
    sizes = {(one.above, one.below): one.diameter.size for one in found}
    assert sizes[RING, NONE] == sizes[NONE, RING] == 2 * 13
    assert sizes[RING, RING] == 2 * 13 * 13


def test_the_lowest_column_is_a_partner_too():
    """Of first moments below from -1 to -20, those about -1.2 go with 1.2 above, -1 among them; about -20, -20."""
    below = Column(0.0, -np.arange(1.0, 21.0), 0.0, 0.0)
    _, others = choices.partners(Column(0.0, np.array([1.2, 30.0]), 0.0, 0.0), below)
    assert set(-below.first[others[:6]]) == {1.0, 2.0, 3.0, 4.0}
    assert set(-below.first[others[6:]]) == {18.0, 19.0, 20.0}


# -- what is owned -------------------------------------------------------------------------------------------------


def kind(shape="ring", high=1.0, **more):
    """A ring of 7 mm about 3.2, so many mm high; or a screw of 20 mm with a head of 3."""
    pieces = (Piece(-high / 2.0 * MM, high * MM, diameter=7 * MM, bore=3.2 * MM),)
    if shape == "screw":
        pieces = (
            Piece(-20 * MM, 20 * MM, diameter=3 * MM, thread="M3"),
            Piece(0.0, 3 * MM, diameter=5.5 * MM),
        )
    table = more.pop("table", {"shape": "washer"})
    return owned.Kind(shape, f"a {shape}", more.pop("key", "own.0"), more.pop("most", 9), more.pop("thread", "M3"),
                      pieces, STEEL, table, **more)  # fmt: skip


def half_of(*kinds, counts, heights):
    counts = np.array(counts)
    zero = np.zeros(len(heights))
    return stacks.Half(kinds, counts, np.array(heights) * MM, Column(zero, zero, zero, zero))


def test_a_ring_as_wide_as_the_room_goes_in():
    ring = kind()
    for widest, kept in ((7.0, True), (6.9, False)):
        found, reasons = own._usable(SimpleNamespace(**{**vars(room(widest=widest)), "own": (ring,)}))
        assert (found == [ring], bool(reasons)) == (kept, not kept)
    assert "7 mm across, where 6.9 mm fit" in reasons[0]


@pytest.mark.parametrize(
    ("seats", "least"),
    [((5.0, 6.0), "17.5"), ((0.0, 6.0), "12.5"), ((5.0, 0.0), "11.5"), ((9.0, 12.0), "27.5")],
)
def test_a_screw_that_is_too_short_is_told_how_long_it_must_be(seats, least):
    """Both seats, nuts of 6 mm at least and one pitch of M3, half a millimetre."""
    own_room = room(seat_above=seats[0], seat_below=seats[1], over_all=60.0, above=20.0)
    short = SimpleNamespace(label="M3x10", shank=10 * MM, height=3 * MM)
    upper = half_of(counts=np.zeros((1, 0), dtype=int), heights=[0.0])
    lower = half_of(counts=[[1], [2]], heights=[8.0, 6.0])
    said = own._why_none(own_room, [short], upper, lower)
    assert said == f"M3x10: too short: grip, nuts and one pitch take {least} mm"
    enough = short.__class__(label="M3", shank=(float(least) + 0.1) * MM, height=3 * MM)
    assert "too short" not in own._why_none(own_room, [enough], upper, lower)


def test_how_far_a_screw_comes_out_below_is_counted_from_its_head():
    """20 mm less a seat of 5 and 2 mm of rings, the most that go above: 13 mm, where 12 are free."""
    upper = half_of(kind(), counts=[[0], [2]], heights=[0.0, 2.0])
    lower = half_of(counts=[[1]], heights=[6.0])
    screw = SimpleNamespace(label="M3x20", shank=20 * MM, height=3 * MM)
    said = own._why_none(room(below=12.0), [screw], upper, lower)
    assert said.endswith("it comes 13 mm out below at least, envelope.height_below allows 12 mm")
    fits = own._why_none(room(below=13.0), [screw], upper, lower)
    assert fits.endswith("leaves no thread where the nuts are")
    # 5 mm of seat and 3 of head
    assert "head is higher" in own._why_none(room(above=7.9), [screw], upper, lower)
    assert "head is higher" not in own._why_none(room(above=8.0), [screw], upper, lower)
    assert "23 mm over all, envelope.bolt_length allows 22.9 mm" in own._why_none(
        room(over_all=22.9), [screw], upper, lower
    )


def test_nuts_are_no_rings_between_the_grip_and_the_thread():
    """Two rings of 1 mm and three nuts of 2.4: the thread must begin within 2 mm of the seat."""
    ring, nut = kind(high=1.0), kind("nut", high=2.4, table={"shape": "nut"})
    lower = half_of(ring, nut, counts=[[2, 3], [0, 2]], heights=[9.2, 4.8])
    assert stacks._rings_height(lower) / MM == pytest.approx([2.0, 0.0])


@pytest.mark.parametrize(
    ("plain", "taken"), [(0.0, True), (9.0, True), (11.0, True), (11.1, False), (14.0, False)]
)
def test_a_nut_lies_on_thread_and_not_on_the_plain_shank(plain, taken):
    """Head on 5 mm, nuts from 6 mm below: of 20 mm of shank the first 11 may be plain, to the last rounding."""
    nut = kind("nut", high=2.4, table={"shape": "nut"})
    upper = half_of(counts=np.zeros((1, 0), dtype=int), heights=[0.0])
    lower = half_of(nut, counts=[[2]], heights=[4.8])
    for rounding in (0.0, 1e-13, 0.5e-9):
        screw = kind("screw", plain=plain * MM + rounding, table={"shape": "screw"})
        found = stacks.fitting(room(), screw, upper, lower)
        assert bool(found.rows[0].size) is taken


def test_as_many_rings_as_fill_the_room_exactly_are_counted():
    """Three rings of 0.1 mm in 0.3, and so for other heights and numbers, whatever the division leaves over."""
    for high in (0.1, 0.3, 0.5, 0.7, 1.1, 1.9):
        for many in range(1, 9):
            ring = kind(high=high)
            found = stacks.half(room(), [ring], (), sum([ring.height] * many))
            assert found.counts[:, 0].tolist() == list(range(many + 1)), (high, many)
    # room as it is read off two written heights
    assert stacks.half(room(), [kind(high=0.1)], (), 5.3 * MM - 5 * MM).counts.size == 4


def test_a_screw_weighs_about_the_axis_with_its_head_where_it_lies():
    """As one whose pieces were drawn there: 7 and 9 mm up."""
    screw = kind("screw")
    found = stacks._head(screw, np.array([7.0, 9.0]) * MM)
    for row, up in enumerate((7.0, 9.0)):
        there = column_of(screw.pieces, STEEL, up * MM)
        assert [value[row] for value in found] == pytest.approx(list(there))
    by_hand = bar(3 * MM, -13 * MM, 7 * MM, STEEL).plus(bar(5.5 * MM, 7 * MM, 10 * MM, STEEL))
    assert found.first[0] == pytest.approx(by_hand.first)


def test_what_is_owned_is_listed_by_what_it_is_and_of_what():
    ring = kind(table={"shape": "tube", "material": "brass"})
    made = own._made(room(), ring, ring.pieces, 3, "2 above and 1 below")
    assert (made.name, made.material, made.count, made.standard) == ("collar", "brass", 3, "a ring")
    assert (made.density, made.thread, made.where) == (STEEL, "M3", "2 above and 1 below")
    assert (made.radius, made.chord) == (36 * MM, 0.0)
    weighed = own._made(room(), kind(table={"shape": "tube"}), ring.pieces, 1, "")
    assert (weighed.name, weighed.material) == ("collar", "as weighed")
    assert own._made(room(), kind(), ring.pieces, 1, "").material == "steel"


def test_a_measured_ring_is_written_as_it_was_typed():
    """8.5 g/cm^3 are 8500 kg/m^3, 0.5 g and 250 MPa as typed; it lies about its own middle."""
    common = {"shape": "tube", "diameter": "7 mm", "bore": "3.2 mm", "length": "2 mm", "count": 4}
    for more, key, text in (
        ({"density": "8.5 g/cm^3"}, "density", "8500 kg/m^3"),
        ({"mass": "0.5 g"}, "mass", "0.5 g"),
        ({"material": "brass", "yield_strength": "250 MPa"}, "yield_strength", "250 MPa"),
    ):
        (given,) = read(PLAIN, {"own": [{**common, **more}]}).own
        assert isinstance(given, own_tables.OwnTube)
        found = owned.kind_of(given, "own.0", 2)
        assert found.table[key] == text
        assert found.column.first == pytest.approx(0.0, abs=1e-15)
    volume = pi / 4.0 * (7.0**2 - 3.2**2) * 2.0 * MM**3
    (heavy,) = read(PLAIN, {"own": [{**common, "mass": "0.5 g"}]}).own
    assert owned.kind_of(heavy, "own.0", 2).density == pytest.approx(0.5e-3 / volume)


# -- what is bought ------------------------------------------------------------------------------------------------


def test_why_no_screw_of_the_series_fits_is_told_in_millimetres():
    """Seats of 5 mm, two nuts of 2.4 and a pitch of 0.5 take 15.3: M3x16 (ISO 4762, MEM), with its head of 3 mm 19."""
    bought = room(seat_below=5.0, above=8.2, below=16.0, over_all=18.0)
    bought = design_space.DesignSpace(
        **vars(bought) | {"replaced": ()}, materials=(), arm_radius=0.03, arm_widest=9 * MM,
        arm_face=None, arm_material=None,
    )  # fmt: skip
    assert standard._why_none(bought) == (
        "the shortest that does, M3x16, is 19 mm over all: envelope.bolt_length allows 18 mm"
    )
    assert standard.standard_choices(bought)[1] == [f"standard hardware: {standard._why_none(bought)}"]


@pytest.mark.parametrize(
    ("over_all", "said"),
    [(19.05, ["bolt_length"]), (22.0, ["bolt_length"]), (22.95, ["bolt_length"]), (23.0, []), (25.0, [])],
)
def test_a_longer_screw_that_the_bolts_length_forbids_is_told(over_all, said):
    """After M3x16 comes M3x20, 23 mm with its head."""
    bought = SimpleNamespace(**{**vars(room(above=20.0, below=26.0, over_all=over_all)), "bars": (9 * MM,)})
    assert standard._rack_touched(bought, standard._Rack(0, 0, 0, 2, 16 * MM)) == said


def test_of_a_rack_is_told_what_it_touches(monkeypatch):
    rack = standard._Rack(0, 0, 0, 2, 16 * MM)
    monkeypatch.setattr(standard, "_racks", lambda _: [rack])
    bought = SimpleNamespace(**{**vars(room(seat_below=5.0, above=20.0, below=26.0, over_all=22.0)),
                                "bars": (9 * MM,), "replaced": ()})  # fmt: skip
    (found,), _ = standard.standard_choices(bought)
    assert found.touching(0) == ["bolt_length"]


def test_pieces_in_two_places_weigh_twice_and_balance():
    one = MachinedPart("a", "steel", STEEL, (Piece(5 * MM, 2 * MM, diameter=4 * MM),), 0.03)
    two = MachinedPart("b", "steel", STEEL, (Piece(5 * MM, 3 * MM, diameter=4 * MM),), 0.03, count=2)
    total = _total((one, two), {})
    assert total.mass == pytest.approx(one.mass + 2.0 * two.mass)
    assert total.first == pytest.approx(one.column.first)
    assert _total((one, two), {"b": NOTHING}).mass == pytest.approx(one.mass)


def test_a_turned_bolt_is_written_in_two_parts_and_no_piece_twice(shipped):
    """Shank and thread hold the blade; the head, 8 mm by 4, and the nut, 9 by 3, are weights."""
    scenario, assembly = shipped
    own_room = design_space.find_design_space(scenario, assembly)
    metal = own_room.materials[0]
    built = turned._bolt_build(own_room, metal, 8 * MM, 4 * MM, 9 * MM, 3 * MM)
    rows = {name: table["pieces"] for name, table in built.parts.items()}
    assert (built.made[0].threaded, built.made[0].plain) == ((0,), (1,))
    assert [len(rows[name]) for name in ("weight-bolt-shank", "weight-bolt-head", "weight-nut")] == [2, 1, 1]
    assert [row.get("thread") for row in rows["weight-bolt-shank"]] == ["M3", None]
    head, nut = rows["weight-bolt-head"][0], rows["weight-nut"][0]
    assert (head["from"], head["length"], head["diameter"]) == ("5 mm", "4 mm", "8 mm")
    assert (nut["from"], nut["length"], nut["diameter"], nut["tapped"]) == ("-8 mm", "3 mm", "9 mm", "M3")
    assert [built.parts[name]["group"] for name in rows] == ["bolt", "counterweight", "counterweight"]


# -- what is said of it --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("quantity", "value", "hopeless"),
    [("seat_ratio", 2.5, True), ("seat_ratio", 1.5, False), ("compensation", 2.5, False)],
)
def test_only_a_load_above_that_without_weights_is_out_of_reach_of_any(quantity, value, hopeless):
    """Without weights it is twice the friction: 2.5 no weight can give, 1.5 other limits end."""
    best = SimpleNamespace(
        holds=True,
        reached=False,
        against=(),
        touching=("diameter",),
        achieved=1.8,
        words="a bolt",
        route="bolt",
    )
    said = " ".join(search._notes(best, SimpleNamespace(quantity=quantity, value=value), (), 2.0))
    assert ("takes load on the rod" in said) is hopeless
    assert (f"the target of {value:g} cannot be met: envelope.diameter" in said) is not hopeless


def test_other_processes_are_sent_the_build_and_the_way(monkeypatch):
    def run(sent, numbered, executor):
        assert (sent.setup, sent.route, sent.judge, executor) == ("build", "arms", "judge", "pool")
        return SimpleNamespace(interrupted=False, results={n: f"best {aim}" for n, aim in numbered})

    monkeypatch.setattr(search, "Sent", SimpleNamespace(of=lambda there: there))
    monkeypatch.setattr(search, "run_many", run)
    assert search._Elsewhere("pool", "arms")("build", [], ["a", "b"], "judge") == ["best a", "best b"]
