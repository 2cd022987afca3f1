"""Stacks, racks and turned bolts to the last rounding, and what is written of them, by hand."""

import itertools
from dataclasses import replace
from math import pi
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.assembly import build_assembly
from featherbench.assembly.shapes import Piece
from featherbench.linkage.force import JointFriction
from featherbench.scenario import read
from featherbench.sizing import own, owned, search, stacks, standard, tolerance, turned
from featherbench.sizing.choices import touched
from featherbench.sizing.design_space import find_design_space
from featherbench.sizing.machined import NOTHING, Build, Column, MachinedPart
from featherbench.sizing.sizing_target import SizingTarget
from featherbench.sizing.stacks import TIGHT
from made_up_rooms import room

MM = 1e-3
STEEL = 7850.0
PLAIN = Path(__file__).parents[2] / "scenarios" / "survey-3kg" / "plain.toml"


def kind(shape, high, density=STEEL, bore=3.2, wide=7.0, **more):
    pieces = (Piece(-high / 2.0 * MM, high * MM, diameter=wide * MM, bore=bore * MM),)
    if shape == "screw":
        pieces = (Piece(-high * MM, high * MM, diameter=3 * MM), Piece(0.0, 3 * MM, diameter=5.5 * MM))
    more = {"key": f"own.{shape}-{high}", "most": 3, "thread": "M3", "table": {"shape": shape}} | more
    label = f"{shape} {high:g}"
    return owned.Kind(shape, label, pieces=pieces, density=density, **more)


def half_of(*kinds, counts, heights):
    zero = np.zeros(len(heights))
    return stacks.Half(kinds, np.array(counts), np.array(heights) * MM, Column(zero, zero, zero, zero))


BARE = half_of(counts=np.zeros((1, 0), dtype=int), heights=[0.0])


# -- stacks --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("off", "taken"), [(0.0, True), (0.5, True), (2.0, False)])
def test_a_stack_fits_to_the_last_rounding(off, taken):
    """Head from 5 to 8 mm, end at 15 below, 23 over all; nuts of 8.5 from 6, and half a millimetre of pitch; rings of
    2 mm below let 13 mm of the shank be plain.
    """
    short = off * TIGHT / MM

    def fits(height=8.5, plain=0.0, rings=(), **change):
        nut = kind("nut", 2.4)
        lower = half_of(*rings, nut, counts=[[1] * (len(rings) + 1)], heights=[height])
        upper = half_of(*rings, counts=[[0] * len(rings)], heights=[0.0])
        screw = kind("screw", 20.0, plain=plain * MM)
        return bool(stacks.fitting(room(**{"below": 20.0} | change), screw, upper, lower).rows[0].size)

    assert fits(above=8.0 - short) is taken
    assert fits(below=15.0 - short) is taken
    assert fits(over_all=23.0 - short) is taken
    assert fits(height=8.5 + short) is taken
    assert fits(height=4.4, plain=13.0 + short, rings=(kind("ring", 2.0),)) is taken


@pytest.mark.parametrize(("chord", "classes"), [(2.0, 0.25), (-2.0, 0.25), (0.0, 0.7)])
def test_a_stack_is_as_even_as_its_place_asks(monkeypatch, chord, classes):
    asked = []
    monkeypatch.setattr(
        stacks, "even", lambda a, _, given: asked.append(given[0]) or np.ones(a.mass.size, bool)
    )
    lower = half_of(kind("nut", 2.4), counts=[[2]], heights=[4.8])
    own_room = SimpleNamespace(**{**vars(room()), "chord": chord * MM})
    assert stacks.fitting(own_room, kind("screw", 20.0), BARE, lower).rows[0].size
    assert asked == [classes]


def test_what_keeps_a_bolt_closed():
    """A nut that locks itself, or two of which one is full; thin ones close nothing by themselves."""
    kinds = (kind("nut", 2.4), kind("nut", 1.8, thin=True), kind("nut", 3.85, locks=True), kind("ring", 1.0))
    for full, thin, locks, closed in (
        (0, 0, 0, False), (1, 0, 0, False), (2, 0, 0, True), (0, 1, 0, False), (0, 2, 0, False), (1, 1, 0, True),
        (0, 0, 1, True), (0, 1, 1, True), (0, 3, 0, False),
    ):  # fmt: skip
        found = stacks._keeps_itself(kinds, np.array([[full, thin, locks, 2]]))
        assert found.tolist() == [closed], (full, thin, locks)


def test_rings_lie_with_the_densest_outermost(monkeypatch):
    """A thick one of steel weighs more than a thin one of something denser, which goes outside it all the same."""
    thin, thick = kind("ring", 1.0, 9000.0), kind("ring", 2.0)
    asked, plain = [], own.half
    monkeypatch.setattr(own, "half", lambda *given: asked.append(list(given[1])) or plain(*given))
    kinds = (kind("screw", 20.0), thin, thick, kind("nut", 2.4))
    own.own_choices(SimpleNamespace(**vars(room()), own=kinds))
    assert asked == [[thick, thin], [thick, thin]]


@pytest.mark.parametrize(("off", "kept"), [(0.0, True), (0.5, True), (2.0, False)])
def test_a_ring_passes_its_bolt_and_its_room_to_a_rounding(off, kept):
    short = off * TIGHT / MM
    for ring in (kind("ring", 1.0, bore=3.0 - short), kind("ring", 1.0, wide=9.0 + short)):
        assert bool(own._usable(SimpleNamespace(**vars(room()), own=(ring,)))[0]) is kept


def test_a_stack_is_written_from_the_grip_outward():
    """Two rings of 1 mm on a seat of 5: the head lies at 7. Below, from 6: a ring, nuts of 2.4 mm at 8.2 and 10.6."""
    ring, nut, screw = kind("ring", 1.0), kind("nut", 2.4), kind("screw", 20.0)
    upper = half_of(ring, counts=[[2]], heights=[2.0])
    lower = half_of(ring, nut, counts=[[1, 2]], heights=[5.8])
    stack = SimpleNamespace(screw=screw, above=upper, below=lower)
    built = own._build(room(), stack, np.array([2]), np.array([1, 2]))
    heights = {name: table["at"].get("normal") for name, table in built.parts.items()}
    assert heights == {
        "own-screw": None, "own-above-1": "5.5 mm", "own-above-2": "6.5 mm", "own-below-1": "-6.5 mm",
        "own-below-2": "-8.2 mm", "own-below-3": "-10.6 mm",
    }  # fmt: skip
    assert built.parts["own-screw"]["under_head"] == "7 mm"
    groups = {name for name, table in built.parts.items() if table["group"] == "bolt"}
    assert groups == {"own-screw", "own-below-2"}
    assert {name for name, table in built.parts.items() if "instead_of" in table} == groups
    assert built.parts["own-screw"]["instead_of"] == ["bolt", "nut"]
    made = {one.name: (one.count, one.where, one.fitted) for one in built.made}
    assert made == {
        "screw": (1, "", ("own-screw",)),
        "ring": (3, "2 above and 1 below", ("own-above-1", "own-above-2", "own-below-1")),
        "nut": (2, "2 below", ("own-below-2", "own-below-3")),
    }
    assert [one.start for one in built.made[0].pieces] == pytest.approx([-13 * MM, 7 * MM])
    assert built.made[0].threaded == (0,)
    for over, under, where in ((1, 1, "1 above and 1 below"), (2, 0, "2 above"), (0, 2, "2 below")):
        other = own._build(room(), stack, np.array([over]), np.array([under, 2]))
        (rings,) = [one for one in other.made if one.name == "ring"]
        assert (rings.count, rings.where, len(rings.fitted)) == (2, where, 2)
    bare = own._build(
        SimpleNamespace(**{**vars(room()), "replaced": ()}), stack, np.array([2]), np.array([1, 2])
    )
    assert not any("instead_of" in table for table in bare.parts.values())


def test_only_what_is_listed_can_be_used_up():
    """Of what is on the bolt now there is one for each blade; that is no limit of the list."""
    for key, said in (("own.1", ["own.1.count"]), ("part.lock-nut", [])):
        nut = kind("nut", 2.4, key=key, most=1)
        stack = SimpleNamespace(
            screw=kind("screw", 16.0), above=BARE, below=half_of(nut, counts=[[1]], heights=[2.4])
        )
        assert own._touching(room(), stack, np.array([], dtype=int), np.array([1])) == said


def test_what_is_owned_is_read_as_it_is_typed():
    common = {"shape": "tube", "diameter": "7 mm", "length": "2 mm", "count": 4}
    listed = [
        {
            **common,
            "tapped": "M3",
            "material": "brass",
        },
        {**common, "bore": "3.2 mm", "material": "brass"},
        {"shape": "nut", "standard": "DIN 985", "size": "M3", "count": 4},
        {"shape": "nut", "standard": "ISO 4032", "size": "M3", "count": 4},
        {"shape": "screw", "standard": "ISO 4762", "size": "M3x20", "count": 2, "shank_length": "9.5 mm"},
    ]
    tapped, bored, lock, nut, screw = (
        owned.kind_of(given, f"own.{n}", 2) for n, given in enumerate(read(PLAIN, {"own": listed}).own)
    )
    assert (tapped.shape, tapped.thread, tapped.label) == ("nut", "M3", "Ø 7 x 2 mm, tapped M3")
    assert (tapped.table["tapped"], tapped.table["bore"]) == (
        "M3",
        "2.6752405 mm",
    )  # 3 - 0.64952 x 0.5 (ISO 724, MEM)
    strengths = {"yield_strength": 250e6, "proof_strength": 300e6, "ultimate_strength": 400e6}
    assert owned._table(SimpleNamespace(shape="screw", **strengths)) == {
        "shape": "screw", "yield_strength": "250 MPa", "proof_strength": "300 MPa", "ultimate_strength": "400 MPa",
    }  # fmt: skip
    assert (bored.shape, bored.thread, bored.label) == ("ring", "", "Ø 7 x 2 mm, bore 3.2 mm")
    assert "tapped" not in bored.table
    assert bored.table["material"] == tapped.table["material"] == "brass"
    assert 8300.0 < bored.density < 8800.0
    assert (lock.locks, nut.locks, lock.thin, nut.thin) == (True, False, False, False)
    assert (nut.plain, screw.plain, screw.table["shank_length"]) == (0.0, 9.5 * MM, "9.5 mm")
    assert "shank_length" not in nut.table


# -- bought hardware -----------------------------------------------------------------------------------------------


def test_racks_fill_the_room_and_no_more(monkeypatch):
    """In tenths of a millimetre: up to two nuts of 2.4 and three washers of 0.5 above, two or three nuts below."""
    monkeypatch.setattr(standard, "MOST_NUTS", 2)
    monkeypatch.setattr(standard, "MOST_WASHERS", 3)
    for above, below, over_all in ((114, 200, 280), (143, 152, 260), (95, 165, 1000), (300, 300, 600)):
        expected = set()
        for nuts, washers, low, under, long in itertools.product(
            range(3), range(4), range(4), range(2, 4), (10, 12, 16, 20, 25, 30, 35, 40)
        ):
            over = 24 * nuts + 5 * washers
            spare = 10 * long - over - 110 - 5 * low - 24 * under
            inside = 50 + over + 30 <= above and 10 * long - over - 50 <= below and 10 * long + 30 <= over_all
            if inside and 5 <= spare <= 71:
                expected.add((nuts, washers, low, under, long))
        found = standard._racks(room(above=above / 10, below=below / 10, over_all=over_all / 10))
        racks = {
            (one.nuts_above, one.washers_above, one.washers_below, one.nuts_below, round(one.length / MM))
            for one in found
        }
        assert racks == expected
    assert racks


def test_what_of_a_rack_lies_above_and_what_below():
    """Screw, one nut and two washers above; a washer and two nuts below."""
    above, below = standard._rack_columns(room(), standard._Rack(1, 2, 1, 2, 25 * MM))
    nut, washer = (
        standard._rack_columns(room(), standard._Rack(*more, 25 * MM))[1].mass
        for more in ((0, 0, 0, 1), (0, 0, 1, 0))
    )
    screw = standard._rack_columns(room(), standard._Rack(0, 0, 0, 0, 25 * MM))[0].mass
    assert above.mass == pytest.approx(screw + nut + 2.0 * washer)
    assert below.mass == pytest.approx(washer + 2.0 * nut)
    assert below.first < 0.0
    rack = standard._Rack(1, 2, 1, 2, 25 * MM)
    assert standard._where(rack, "nut") == "1 above and 2 below"
    assert standard._where(rack, "washer") == "2 above and 1 below"
    assert standard._where(standard._Rack(0, 0, 1, 2, 25 * MM), "washer") == "1 below"


@pytest.mark.parametrize(("chord", "classes"), [(2.0, 0.25), (-2.0, 0.25), (0.0, 0.7)])
def test_racks_are_as_even_as_their_place_asks(monkeypatch, chord, classes):
    asked = []
    monkeypatch.setattr(standard, "_racks", lambda _: [standard._Rack(0, 0, 0, 2, 20 * MM)])
    monkeypatch.setattr(
        standard, "even", lambda a, _, given: asked.append(given[0]) or np.ones(a.mass.size, bool)
    )
    for widest, count in (
        (7.0, 1),
        (7.0 - 0.5e-6, 1),
        (7.0 - 2e-6, 0),
    ):  # an ISO 7089 washer (MEM) is 7 mm across
        own_room = SimpleNamespace(**{**vars(room(widest=widest)), "chord": chord * MM})
        assert len(standard.standard_choices(own_room)[0]) == count
    assert asked == [classes] * 2


def test_of_bought_nuts_the_first_below_clamps():
    for nuts_above in (0, 2):
        built = standard._rack_build(room(), standard._Rack(nuts_above, 1, 1, 2, 25 * MM))
        clamps = [name for name, table in built.parts.items() if table["group"] == "bolt"]
        assert clamps == ["weight-screw", f"weight-nut-{nuts_above + 1}"]
        counts = {one.name: one.count for one in built.made}
        assert built.made[0].threaded == (0,)
        assert counts == {"long screw": 1, "nut": nuts_above + 2, "washer": 2}
        assert {"weight-washer-1", "weight-washer-2"} < set(built.parts)
    bare = standard._rack_build(
        SimpleNamespace(**{**vars(room()), "replaced": ()}), standard._Rack(0, 0, 0, 2, 20 * MM)
    )
    assert [table["group"] for table in bare.parts.values()] == ["bolt", "counterweight", "counterweight"]


# -- turned bolts --------------------------------------------------------------------------------------------------


def test_turned_bolts_use_the_room_to_its_edges_and_say_so():
    """Bars from the least of a head, 5.5 mm (ISO 4762, MEM), to the room's 9; strong metal alone."""
    scenario = read(PLAIN)
    shipped = find_design_space(scenario, build_assembly(scenario))
    edges = {"above": 9 * MM, "below": 9 * MM, "over_all": 18 * MM, "widest": 9 * MM, "step": 0.25 * MM}
    small = replace(shipped, **edges, bars=tuple(one * MM for one in (5.4, 5.5, 6.2, 7.1, 9.0, 9.1)))
    (found,), _ = turned.bolt_choices(small)
    assert found.words.endswith("steel 4140 normalised")
    wide, longest, deepest, named = set(), 0.0, 0.0, set()
    for index in range(found.count):
        bolt, nut = found.make(index).made
        thread, _, head = bolt.pieces
        wide |= {round(head.diameter / MM, 6), round(nut.diameter / MM, 6)}
        top, bottom = head.start + head.length, -nut.pieces[0].start
        longest, deepest = max(longest, top - thread.start), max(deepest, -thread.start)
        said = touched(small, top, bottom, max(head.diameter, nut.diameter), 9 * MM)
        assert found.touching(index) == said
        named |= set(said)
    assert wide == {5.5, 6.2, 7.1, 9.0}
    pairs = [found.make(index).made for index in range(found.count)]
    (unlike, *_) = [
        n for n, (one, two) in enumerate(pairs) if {one.diameter, two.diameter} == {7.1 * MM, 9 * MM}
    ]
    assert "diameter" in found.touching(unlike)
    assert (longest, deepest) == pytest.approx((18 * MM, 9 * MM))
    assert {"diameter", "height_above", "height_below"} <= named


# -- what a dimension is worth, and what is said -------------------------------------------------------------------


def test_a_dimension_is_worth_what_it_does_among_the_others():
    """By the square of the whole mass m: 2 m times what a micrometre adds, rho pi d L/2 and rho pi d^2/4 each; of
    threads and plain shanks none.
    """
    pieces = tuple(Piece(n * 4 * MM, 4 * MM, diameter=wide * MM) for n, wide in enumerate((3.0, 6.0, 8.0)))
    bolt = MachinedPart("bolt", "steel", STEEL, pieces, 0.03, threaded=(0,))
    nut = MachinedPart("nut", "steel", STEEL, (Piece(-4 * MM, 4 * MM, diameter=6 * MM),), 0.03)
    target = SimpleNamespace(measure=lambda total, *_: np.array([total.mass**2]))
    found = tolerance._effects(Build((bolt, nut), {}, NOTHING), target)
    mass = bolt.mass + nut.mass
    each = [(6.0, "bolt"), (8.0, "bolt"), (6.0, "nut")]
    by_hand = [
        (f"{words} of the {name}", 2.0 * mass * STEEL * pi * slope * MM**2)
        for wide, name in each
        for words, slope in (("diameter", wide * 4.0 / 2.0), ("height", wide**2 / 4.0))
    ]
    assert [one.dimension for one in found] == [words for words, _ in by_hand]
    assert [one.slope for one in found] == pytest.approx([slope for _, slope in by_hand], rel=1e-5)


@pytest.mark.parametrize(
    ("value", "general"), [(0.0126, 0.05), (-0.0126, 0.05), (0.0124, 0.02), (1.0, 0.1), (1e-6, 0.01)]
)
def test_all_dimensions_together_may_be_worth_a_fiftieth(monkeypatch, value, general):
    """3 and -4 per metre are 5 together: 0.05 mm of each is 0.25e-3, a fiftieth of 0.0125; the larger comes first."""
    effects = [tolerance.Effect("a", 3.0), tolerance.Effect("b", -4.0)]
    monkeypatch.setattr(tolerance, "_effects", lambda *_: effects)
    monkeypatch.setattr(tolerance, "set_mismatch", lambda *given: given)
    build = SimpleNamespace(made=(SimpleNamespace(radius=0.03),))
    run = SimpleNamespace(value={"mass": 0.02}.get)
    found = tolerance.tolerances(build, SimpleNamespace(value=value), room(), "plain", run)
    assert (found.general, found.mismatch) == (pytest.approx(min(general, 0.05) * MM), ("plain", 0.02, 0.03))
    assert [one.dimension for one in found.effects] == ["b", "a"]


def test_what_goes_into_the_grip_is_told_in_grams():
    stud, weight = SimpleNamespace(screwed_in=6 * MM), SimpleNamespace(screwed_in=0.0)
    for made, said in (((weight,), False), ((stud,), True), ((stud, weight), True)):
        best = SimpleNamespace(build=SimpleNamespace(made=made, beside=SimpleNamespace(mass=0.23e-3)))
        found = search._buried(best)
        assert bool(found) is said
        assert not said or found[0].endswith(": 0.23 g a blade.")


def test_what_is_reached_is_not_called_out_of_reach():
    best = SimpleNamespace(
        holds=True, reached=True, against=(), touching=(), achieved=2.5, words="rings", route="collars"
    )
    target = SimpleNamespace(quantity="seat_ratio", value=2.5)
    said = " ".join(search._notes(best, target, (), 2.0))
    assert "cannot be met" not in said
    assert "the bolt stays the file's own" in said
    own_best = SimpleNamespace(**{**vars(best), "route": "own"})
    assert "lock the nut that does not lock itself" in " ".join(search._notes(own_best, target, (), 2.0))


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_rod_force_is_as_large_whichever_way_it_points(sign):
    """2e-3 N m of each of two blades over a metre of travel a radian: 4e-3 N."""
    zero = np.zeros(1)
    target = SizingTarget(
        quantity="rod_force", value=1.0, plain=3e-6, kept=3e-6, pitch=np.array([0.1]), moment=np.array([sign * 2e-3]),
        slopes=np.zeros((5, 1)), friction=np.zeros((2, 1)), travel=np.ones(1), blades=2.0, radial=0.0, rod_friction=0.0,
        joints=JointFriction(0.0, 0.0),
    )  # fmt: skip
    assert target.measure(Column(*(zero for _ in range(4))), 0.03, 0.0) == pytest.approx([4e-3])


def test_other_processes_find_the_choices_of_the_way_anew(monkeypatch):
    monkeypatch.setattr(
        search, "find_design_space", lambda scenario, assembly: f"room of {scenario} and {assembly}"
    )
    monkeypatch.setattr(
        search, "_all_choices", lambda room, route: ([f"{route} in {room}", "other"], ["why"])
    )
    monkeypatch.setattr(search, "best_of", lambda *given: given)
    setup = SimpleNamespace(scenario="file", assembly="parts")
    there = search._There(setup, "arms", "judge")
    assert there((0, "aim")) == (setup, "arms in room of file and parts", "aim", "judge")
    assert there((1, "aim"))[1] == "other"


def test_a_search_that_is_broken_off_says_so(monkeypatch):
    monkeypatch.setattr(search, "Sent", SimpleNamespace(of=lambda there: there))
    monkeypatch.setattr(search, "run_many", lambda *_, **__: SimpleNamespace(interrupted=True, results={}))
    with pytest.raises(KeyboardInterrupt):
        search._Elsewhere("pool", "arms")("build", [], [], "judge")


def test_a_scale_shows_what_is_a_step_of_it():
    for share, shown in ((1.0, True), (1.0 - 0.5e-9, True), (1.0 - 2e-9, False), (2.0, True)):
        assert tolerance.Mismatch(share * 1e-5, 1e-5, "", 0.0, 0.0).shows is shown


@pytest.mark.parametrize(
    ("above", "below", "over_all", "said"),
    [(20.0, 15.0, 22.0, ["bolt_length"]), (9.0, 12.0, 21.0, []), (9.0, 12.0, 20.5, ["bolt_length"])],
)
def test_the_bolts_length_is_a_limit_only_where_it_is_less_than_both_heights(above, below, over_all, said):
    """After M3x16, 19 mm with its head, comes 23 mm."""
    own_room = room(above=above, below=below, over_all=over_all)
    assert standard._rack_touched(own_room, standard._Rack(0, 0, 0, 2, 16 * MM)) == said


@pytest.mark.parametrize(("off", "named"), [(0.5, False), (2.0, True)])
def test_what_is_off_by_a_rounding_is_not_named_as_in_the_way(off, named):
    """23 mm over all, head at 8, end 15 below with a seat of 5, or 20 with none; 11.5 + 8.5 mm of nuts."""
    short = off * TIGHT / MM
    screw, lower = kind("screw", 20.0), half_of(kind("nut", 2.4), counts=[[2]], heights=[4.8])

    def said(nuts=lower, **change):
        return own._why_none(room(**change), [screw], BARE, nuts)

    assert ("over all" in said(over_all=23.0 - short)) is named
    assert ("head is higher" in said(above=8.0 - short)) is named
    assert ("comes 15 mm out below" in said(below=15.0 - short)) is named
    assert ("comes 20 mm out below" in said(seat_above=0.0, below=20.0 - short)) is named
    tall = half_of(kind("nut", 2.4), counts=[[2]], heights=[8.5 + short])
    assert ("too short" in said(tall, below=20.0)) is named
