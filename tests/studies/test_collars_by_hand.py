"""Which collars fit on a bolt, to the last rounding, and what spanners and slots there are, by hand."""

from fractions import Fraction
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.assembly.inch_hardware import ASME_B18_3, ASME_B18_6_3, ASME_B18_22_1, THREAD_LENGTHS
from featherbench.sizing import choices, collars, design_space, drive
from featherbench.sizing.collars import NONE, NUT, RING, SCREWED, TIGHT, _Way
from featherbench.sizing.drive import ACROSS_FLATS, INCH_FLATS, SLOTS, metric_beside
from featherbench.sizing.fitted_bolt import FittedBolt
from featherbench.sizing.machined import Column, bar
from made_up_rooms import bored

MM = 1e-3
NO_SUMS = Column(0.0, 0.0, 0.0, 0.0)


def space(**more):
    """An M3 bolt's room, mm, as far as collars ask for it."""
    return bored(**{"bars": (7.0, 9.0)} | more)


def bolt(movable=True, **more):
    """Head from 5 to 8 mm above, thread from 5 to 14 below, a nut of 2.4 from 5; what swings reaches 3 mm down."""
    values = {
        "face": 5.0, "base": 5.0, "top": 8.0, "end": 11.0, "thread_from": 4.0, "nut_from": 5.0, "nut_to": 7.4,
        "nut_thread": 5.0, "nut_base": 5.0, "root": 3.0,
    }  # fmt: skip
    values = {name: value * MM for name, value in (values | more).items() if name != "upper"}
    upper = tuple(one * MM for one in more["upper"]) if "upper" in more else None
    return FittedBolt(**values, upper=upper, screw_sums=NO_SUMS, nut_sums=NO_SUMS, rest_sums=NO_SUMS, parts={},
                      screw="bolt", nuts=("nut",), movable=movable)  # fmt: skip


def fits(way, own=None, room=None):
    """Whether ways (above, below, diameter, over, under in mm) fit; one at a time."""
    above, below, *sizes = way
    found = collars._fitting(
        room or space(), own or bolt(), _Way(above, below, *(np.array([one * MM]) for one in sizes))
    )
    assert found.diameter.size == found.over.size == found.under.size
    return bool(found.diameter.size)


def edge(kept, way, place, side):
    """A size of `way` at place that just fits: so it does with half a rounding beyond, not with two."""
    off = list(way)
    assert kept(tuple(way))
    for share, fit in ((0.5, True), (2.0, False)):
        off[place] = way[place] + side * share * TIGHT / MM
        assert kept(tuple(off)) is fit, (share, off)


def test_a_ring_under_the_head_raises_it_to_the_limit_of_the_room():
    """Head 8 mm up, room to 12: 4 mm of ring. It draws the end up as far, which a pitch of thread must leave: 3.1."""
    long = bolt(end=14.0, thread_from=8.0)
    edge(lambda way: fits(way, long, space(below=14.0)), (RING, NONE, 7.0, 4.0, 0.0), 3, 1.0)
    edge(lambda way: fits(way, bolt(thread_from=2.9)), (RING, NONE, 7.0, 3.1, 0.0), 3, 1.0)
    # 11 mm of end less the ring within the room below
    edge(lambda way: fits(way, bolt(thread_from=2.9), space(below=9.0)), (RING, NONE, 7.0, 2.0, 0.0), 3, -1.0)


def test_a_ring_under_a_head_is_as_wide_as_the_head():
    """5.5 mm of M3 (ISO 4762)."""
    edge(fits, (RING, NONE, 5.5, 0.5, 0.0), 2, -1.0)
    edge(fits, (NONE, RING, 5.5, 0.0, 2.0), 2, -1.0)
    assert fits((NONE, SCREWED, 5.0, 0.0, 2.0))  # a tapped one need not be


def test_a_ring_under_the_nut_leaves_it_a_pitch_of_thread():
    """11 mm of end, 7.4 of nut, 0.5 of pitch: 3.1 mm; where less stands out now, that much."""
    edge(fits, (NONE, RING, 7.0, 0.0, 3.1), 4, 1.0)
    edge(lambda way: fits(way, bolt(end=7.7)), (NONE, RING, 7.0, 0.0, 0.0), 4, 1.0)


def test_a_collar_that_locks_the_nut_stays_on_the_thread():
    """3.6 mm beyond the nut; in the nut's place 6 mm, flush with the end."""
    edge(fits, (NONE, SCREWED, 7.0, 0.0, 3.6), 4, 1.0)
    edge(fits, (NONE, NUT, 7.0, 0.0, 6.0), 4, 1.0)


def test_the_nut_stays_on_the_thread_and_the_blade_on_the_plain_shank():
    """Thread from 4 mm down: a ring of 1 mm draws it up to where the blade ends, at 3 mm."""
    assert fits((RING, NONE, 7.0, 1.0, 0.0))
    assert not fits((RING, NONE, 7.0, 1.0 + 2.0 * TIGHT / MM, 0.0))
    assert fits((RING, NONE, 7.0, 1.0 + 0.5 * TIGHT / MM, 0.0))
    # a blade that sat on the thread may go on doing so
    assert fits((RING, NONE, 7.0, 2.0, 0.0), bolt(thread_from=2.9))
    # half a rounding short is the plain shank, two are not
    for short, kept in ((0.5, False), (2.0, True)):
        assert fits((RING, NONE, 7.0, 1.0, 0.0), bolt(thread_from=3.0 - short * TIGHT / MM)) is kept
    # the nut's own thread begins at 5 mm; a ring under it goes down as far
    for start, below, under, kept in (
        (5.0, NONE, 0.0, True), (5.0 + 0.5e-6, NONE, 0.0, True), (5.0 + 2e-6, NONE, 0.0, False),
        (6.0, RING, 1.0, True), (6.0 + 2e-6, RING, 1.0, False), (5.0, NUT, 5.0, True), (5.0 + 2e-6, NUT, 5.0, False),
    ):  # fmt: skip
        assert fits((NONE, below, 7.0, 0.0, under), bolt(thread_from=start)) is kept, (start, below)
    # of a nut that stands off what it rests on, a tapped collar in its place begins at the rest
    standing = bolt(nut_base=4.8, nut_thread=5.2, nut_from=5.0)
    assert not fits((NONE, NUT, 7.0, 0.0, 5.0), standing._replace(thread_from=5.1 * MM, movable=True))


def test_a_collar_on_a_thread_above_the_head_stays_on_it():
    own = bolt(upper=(8.0, 11.0))
    edge(lambda way: fits(way, own), (SCREWED, NONE, 7.0, 3.0, 0.0), 3, 1.0)


@pytest.mark.parametrize(("off", "kept"), [(0.0, True), (0.5e-6, True), (2e-6, False)])
def test_a_bolt_that_cannot_be_moved_stays_where_it_is(off, kept):
    """Neither its head nor its nut may stand off what it rests on."""
    for change in ({"base": 5.0 + off}, {"nut_base": 5.0 + off}):
        assert fits((NONE, SCREWED, 7.0, 0.0, 2.0), bolt(movable=False, **change)) is kept
        assert fits((NONE, SCREWED, 7.0, 0.0, 2.0), bolt(**change))


def test_what_a_choice_touches_is_named():
    """3.6 mm of thread beyond the nut: a collar of 3.55 leaves less than a step of 0.1."""
    for movable, key in ((True, "part.bolt.size"), (False, "part.bolt.pieces")):
        for under, told in ((3.55, True), (3.5, False), (3.4, False)):
            way = _Way(NONE, SCREWED, 6 * MM, 0.0, under * MM)
            assert collars._touching(space(), bolt(movable), way) == ([key] if told else [])
    wide = _Way(NONE, SCREWED, 8.95 * MM, 0.0, 1 * MM)
    assert collars._touching(space(), bolt(), wide) == ["diameter"]
    assert collars._touching(space(widest=8.0), bolt(), wide._replace(diameter=7.95 * MM)) == ["diameter"]
    high = _Way(RING, NONE, 6 * MM, 3.95 * MM, 0.0)
    assert collars._touching(space(), bolt(end=14.0), high) == ["height_above"]


def test_where_the_faces_of_collars_are():
    """A ring from 5 mm up; one above the head from its thread's foot; below the nut, or in its place."""
    own = bolt(upper=(8.0, 11.0))
    for way, over in ((RING, (5.0, 7.0)), (SCREWED, (8.0, 10.0))):
        assert np.array(collars._over(own, _Way(way, NONE, 0.0, 2 * MM, 0.0))) / MM == pytest.approx(over)
    for way, under in ((RING, (-7.0, -5.0)), (NUT, (-7.0, -5.0)), (SCREWED, (-9.4, -7.4))):
        assert np.array(collars._under(own, _Way(NONE, way, 0.0, 0.0, 2 * MM))) / MM == pytest.approx(under)
    # head and nut go as far as rings push them, and close what gap there is
    loose = bolt(face=5.3, nut_from=5.2, nut_to=7.6)
    for way, shifts in (
        ((RING, RING), (1.7, 0.8)),
        ((SCREWED, SCREWED), (-0.3, -0.2)),
        ((NONE, NUT), (-0.3, -0.2)),
    ):
        found = collars._shifts(loose, _Way(*way, 0.0, 2 * MM, 1 * MM))
        assert np.array(found) / MM == pytest.approx(shifts)


def test_sums_are_the_collars_on_top_of_what_they_move():
    """A steel ring of 7 mm about 3 mm and one in the nut's place: each on its own side, and no nut is left."""
    steel = 7850.0
    rings = _Way(RING, RING, np.array([7 * MM]), np.array([2 * MM]), np.array([1 * MM]))
    above, below = collars._columns(space(), bolt(), rings, steel)
    assert above.mass == pytest.approx(bar(7 * MM, 5 * MM, 7 * MM, steel, 3 * MM).mass)
    assert below.mass == pytest.approx(bar(7 * MM, -6 * MM, -5 * MM, steel, 3 * MM).mass)
    assert above.mass[0] == pytest.approx(steel * np.pi / 4 * (49 - 9) * 2 * 1e-9)
    own = bolt()._replace(nut_sums=Column(1e-3, 0.0, 0.0, 0.0), screw_sums=Column(2e-3, 0.0, 0.0, 0.0),
                          rest_sums=Column(3e-3, 0.0, 0.0, 0.0))  # fmt: skip
    kept = collars._columns(space(), own, rings, steel)
    assert kept[0].mass - above.mass == pytest.approx(5e-3)
    assert kept[1].mass - below.mass == pytest.approx(1e-3)
    instead = _Way(NONE, NUT, np.array([7 * MM]), np.array([0.0]), np.array([3 * MM]))
    above, below = collars._columns(space(), own, instead, steel)
    assert above.mass == pytest.approx(5e-3)
    whole = steel * np.pi / 4 * (49 - 2.5**2) * 3 * 1e-9
    assert 0.7 * whole < below.mass[0] < whole  # less what it is gripped by


def test_why_no_collar_fits_is_told_in_millimetres():
    """11 mm of end less 5 of seat, 2.4 of nut and 0.5 of pitch leave 3.1; never less than nothing."""
    assert collars._why_none(space(), bolt()).startswith(
        "the file's bolt leaves 3.1 mm beyond grip, nut and one pitch"
    )
    assert "leaves 3.4 mm" in collars._why_none(space(), bolt(base=4.7))
    assert "leaves 0 mm" in collars._why_none(space(), bolt(end=7.0))
    assert collars._narrowest(space()) == pytest.approx(4.5 * MM)  # one and a half threads, less than a head


# -- tables ----------------------------------------------------------------------------------------------


def test_spanners_are_those_that_are_made():
    """Metric widths (ISO 272, MEM) of nuts from M1.6 to M16; inch ones from 1/8 to 1 (ASME B18.2, MEM) in fractions."""
    assert ACROSS_FLATS == (3.2, 4.0, 5.0, 5.5, 7.0, 8.0, 10.0, 13.0, 16.0, 18.0, 21.0, 24.0)
    inch = "1/8 5/32 3/16 1/4 5/16 11/32 3/8 7/16 1/2 9/16 5/8 3/4 7/8 1"
    assert pytest.approx([25.4 * float(Fraction(one)) for one in inch.split()], abs=6e-5) == INCH_FLATS


def test_slots_are_as_deep_as_their_screws_allow():
    """ISO 1207 (MEM): nominal width, and depth, which the standard gives as a least of 0.45 to 1.3 mm, rounded up."""
    for size, (wide, deep, least) in {
        "M1.6": (0.4, 0.5, 0.45), "M2": (0.5, 0.6, 0.6), "M2.5": (0.6, 0.7, 0.7), "M3": (0.8, 0.9, 0.85),
        "M4": (1.2, 1.1, 1.1), "M5": (1.2, 1.3, 1.3),
    }.items():  # fmt: skip
        assert SLOTS[size] == (wide, deep)
        assert least <= deep < least + 0.1
        assert metric_beside(size) == size


def test_inch_hardware_is_that_of_the_standards():
    """In fractions where it goes by fractions: washers (ASME B18.21.1 type A, the narrow one of 1/4) and nuts (B18.2.2)
    rounded to three digits; heads of socket screws (B18.3) as high as the thread is wide, MEM.
    """
    washers = {
        "2-56": "3/32 1/4 .020", "4-40": "1/8 5/16 .032", "6-32": "5/32 3/8 .049", "8-32": "3/16 7/16 .049",
        "10-24": "7/32 1/2 .049", "10-32": "7/32 1/2 .049", "1/4-20": "9/32 5/8 .065", "1/4-28": "9/32 5/8 .065",
    }  # fmt: skip
    nuts = {
        "2-56": "3/16 .066", "4-40": "1/4 .098", "5-40": "5/16 .114", "6-32": "5/16 .114", "8-32": "11/32 .130",
        "10-24": "3/8 .130", "10-32": "3/8 .130", "1/4-20": "7/16 .193", "1/4-28": "7/16 .193",
    }  # fmt: skip
    heads = {
        "2-56": ".140 .086 5/64 .038", "4-40": ".183 .112 3/32 .051", "5-40": ".205 .125 3/32 .057",
        "6-32": ".226 .138 7/64 .064", "8-32": ".270 .164 9/64 .077", "10-24": ".312 .190 5/32 .090",
        "10-32": ".312 .190 5/32 .090", "1/4-20": ".375 .250 3/16 .120", "1/4-28": ".375 .250 3/16 .120",
    }  # fmt: skip
    threads = dict(zip(nuts, ["5/8", "3/4", "3/4", "3/4", "7/8", "7/8", "7/8", "1", "1"], strict=True))
    lengths = {size: (long,) for size, long in THREAD_LENGTHS.items()}
    for table, told in (
        (ASME_B18_22_1, washers),
        (ASME_B18_6_3, nuts),
        (ASME_B18_3, heads),
        (lengths, threads),
    ):
        assert table.keys() == told.keys()
        for size, text in told.items():
            close = 6e-3 if table is lengths else 6e-4
            by_hand = [float(Fraction(one)) for one in text.split()]
            assert [one / 25.4 for one in table[size]] == pytest.approx(by_hand, abs=close), size


def test_flats_are_the_widest_that_leave_enough_round():
    """At most 0.92 of the width: 5 mm across on 5.435 mm, to the last rounding; no longer than half of that nor 2.5 mm,
    and a millimetre of round is left.
    """

    def flats(wide, high):
        across, _, long = drive.cuts("M3", wide * MM, high * MM, 2.5 * MM)
        return float(across[0]) / MM, float(long[0]) / MM

    just = 5.0 / 0.92
    assert flats(just, 8.0) == (pytest.approx(5.0), pytest.approx(2.5))
    assert flats(just - 1e-6, 8.0) == (pytest.approx(4.0), pytest.approx(2.0))
    assert flats(just, 2.7) == (pytest.approx(5.0), pytest.approx(1.7))
    assert flats(12.0, 8.0) == (pytest.approx(10.0), pytest.approx(2.5))
    assert flats(4.3, 8.0)[0] == 0.0  # the least that leaves half a millimetre beside the thread is 4 mm


def test_an_arms_hole_takes_out_of_the_part_of_the_grip_that_stands_highest(monkeypatch):
    """27 g in 10 cm^3 are 2700 kg/m^3; of parts that do not reach there, or whose volume nobody knows, nothing."""
    faces = {"low": 4e-3, "high": 6e-3, "apart": None, "drawn": 9e-3}
    monkeypatch.setattr(
        design_space, "_outer_face", lambda parts, radius: faces[parts[0].name] if radius == 0.03 else None
    )

    def part(name, grams, volume):
        return SimpleNamespace(name=name, volume=volume, moments=SimpleNamespace(mass=grams * 1e-3))

    low, high = part("low", 78.5, 1e-5), part("high", 27.0, 1e-5)
    apart, drawn = part("apart", 9.0, 1e-5), part("drawn", 9.0, 0.0)
    assert design_space._density_at([low, high, apart, drawn], 0.03) == pytest.approx(2700.0)
    assert design_space._density_at([low, apart], 0.03) == pytest.approx(7850.0)
    assert design_space._density_at([apart, drawn], 0.03) == 0.0
    assert design_space._density_at([low], 0.05) == 0.0


def test_limits_that_a_choice_reaches_to_within_a_step_are_named():
    """Room of 12 mm up and down, 20 over all, bars to 9 mm; a step of 0.1 short of a limit is not at it."""
    room = space(over_all=20.0)
    for above, below, wide, named in (
        (11.95, 5.0, 5.0, ["height_above"]), (11.85, 5.0, 5.0, []), (5.0, 11.95, 5.0, ["height_below"]),
        (5.0, 11.85, 5.0, []), (10.0, 9.95, 5.0, ["bolt_length"]), (10.0, 9.85, 5.0, []),
        (5.0, 5.0, 8.95, ["diameter"]), (5.0, 5.0, 8.85, []),
    ):  # fmt: skip
        assert choices.touched(room, above * MM, below * MM, wide * MM, 20 * MM) == named, (
            above,
            below,
            wide,
        )
    # where the heights alone limit the bolt, its length does not; without bars the widest that is asked about counts
    assert choices.touched(space(over_all=24.0), 11 * MM, 11 * MM, 5 * MM, 20 * MM) == []
    bare = SimpleNamespace(**{**vars(room), "bars": ()})
    assert choices.touched(bare, 5 * MM, 5 * MM, 19.95 * MM, 20 * MM) == ["diameter"]
    assert choices.touched(room, 5 * MM, 5 * MM, 6.95 * MM, 7 * MM) == ["diameter"]


@pytest.mark.parametrize(
    ("kind", "start", "held"),
    [
        (RING, 5.0, "clamped under head"),
        (RING, -7.0, "clamped under nut"),
        (SCREWED, 8.0, "thread"),
        (NUT, -7.0, "nut"),
    ],
)
def test_a_collar_stands_in_the_file_where_it_is(kind, start, held):
    steel = SimpleNamespace(name="steel", density=7850.0)
    one = collars._collar(space(), steel, "upper collar", kind, (7 * MM, start * MM, (start + 2.0) * MM))
    table = collars._table(space(), one, kind)
    assert table["at"] == {"radius": "36 mm", "chord": "0 mm", "normal": f"{start + 1.0:g} mm"}
    assert (table["diameter"], table["length"], table["held_by"]) == ("7 mm", "2 mm", held)
    assert (table["bore"], table.get("tapped")) == (
        "3 mm" if kind == RING else "2.5 mm",
        None if kind == RING else "M3",
    )
    assert one.fitted == ("upper-collar",)
    whole = 7850.0 * np.pi / 4.0 * (49.0 - (9.0 if kind == RING else 6.25)) * 2e-9
    assert 0.6 * whole < one.weighed <= whole * (1.0 + 1e-9)
    assert (one.weighed == pytest.approx(whole)) is (kind == RING)  # the others are cut for a spanner


def test_why_there_are_no_collars_is_said():
    """No bolt, one that takes none, one that is too long, no bar that is wide enough, no room on it."""

    def why(own, **change):
        kept, said = collars.collar_choices(
            SimpleNamespace(**{**vars(space()), "materials": (), "fitted": own, **change})
        )
        assert kept == []
        return said[0]

    assert why(None).startswith("collars: state envelope.seat_above and seat_below")
    assert why("drawn otherwise") == "collars: drawn otherwise"
    long = why(bolt(), over_all=18.9 * MM)
    assert long == "collars: the file's bolt is 19 mm over all, envelope.bolt_length allows 18.9 mm"
    assert "leaves 3.1 mm" in why(bolt(), over_all=19 * MM)
    for bars, said in (((4.4,), "no bar between 4.5 and 9 mm"), ((9.1,), "no bar between"), ((4.5,), "leaves 3.1 mm"),
                       ((9.0,), "leaves 3.1 mm"), ((), "no bar between")):  # fmt: skip
        assert said in why(bolt(), bars=tuple(one * MM for one in bars))


def test_ways_on_to_a_bolt_are_every_pair_of_what_goes_above_and_below():
    """A ring of a millimetre at least; a lock of 0.6 diameters beyond the nut; in the nut's place as high as a nut,
    where the metal is strong; and none of both is no way.
    """
    metal, strong = (
        SimpleNamespace(name=name, density=1.0) for name in ("brass", next(iter(design_space.STRONG)))
    )
    wide, room = np.array([7 * MM, 8 * MM]), space(step=0.5)
    for own, material, pairs in (
        (bolt(), metal, {(RING, NONE), (NONE, RING), (NONE, SCREWED), (RING, RING), (RING, SCREWED)}),
        (bolt(movable=False), metal, {(NONE, SCREWED)}),
        (bolt(movable=False, upper=(8.0, 11.0)), strong,
         {(NONE, SCREWED), (NONE, NUT), (SCREWED, NONE), (SCREWED, SCREWED), (SCREWED, NUT)}),
    ):  # fmt: skip
        ways = {(one.above, one.below): one for one in collars._all(room, own, material, wide)}
        assert set(ways) == pairs
        for (above, below), one in ways.items():
            assert set(one.diameter) == set(wide)
            lows = {NONE: 0.0, RING: 1.0, SCREWED: 2.0, NUT: 2.5}  # 1.8 and 2.4 in steps of half a millimetre
            assert (one.over.min() / MM, one.under.min() / MM) == pytest.approx((lows[above], lows[below]))
            # up to the room of 12 mm less the seat, below to the bolt's end of 11
            tops = {NONE: 0.0, RING: 7.0, SCREWED: 3.0}
            bottoms = {NONE: 0.0, RING: 7.0, SCREWED: 3.5, NUT: 6.0}
            assert (one.over.max() / MM, one.under.max() / MM) == pytest.approx((tops[above], bottoms[below]))
