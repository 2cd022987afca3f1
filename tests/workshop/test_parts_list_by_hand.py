"""The parts list, the title's fields and the notes for a turner, from parts set by hand: what is said, and where."""

import itertools
import math
from dataclasses import replace
from types import SimpleNamespace

import pytest

from featherbench.assembly.shapes import Piece
from featherbench.scenario import parts as written
from featherbench.sizing.machined import MachinedPart
from featherbench.workshop import parts_list, title_block
from featherbench.workshop.parts_list import Item, cut_solids, items_of, write_list
from featherbench.workshop.sheet import BOTTOM, RIGHT, Sheet
from featherbench.workshop.title_fields import write_fields
from featherbench.workshop.turned_details import bore_words, mass_tolerance, notes

MM = 1e-3


def solid(kind="round", chord=0.0, wide=5.0, thread="", tapped=""):
    """On the bolt's axis unless `chord`, mm before it."""
    size, centre = (5.0 * MM, wide * MM, 9.0 * MM), (34.0 * MM, chord * MM, 0.0)
    return SimpleNamespace(kind=kind, size=size, centre=centre, thread=thread, tapped=tapped)


def placed(name, group, *solids):
    return SimpleNamespace(name=name, group=group, solids=solids or (solid(),))


def machined(name="bolt", fitted=("new",), standard="", where="", count=1, **more):
    piece = Piece(0.0, 6 * MM, diameter=8 * MM)
    own = MachinedPart(name, "steel", 7850.0, (piece,), 0.03, 0.0, count, standard=standard, **more)
    return SimpleNamespace(**{**vars(own), "fitted": fitted, "where": where})


SCREW = written.ScrewPart(group="bolt", shape="screw", standard="ISO 4762", size="M3x16")
NUT = written.NutPart(group="bolt", shape="nut", standard="ISO 4032", size="M3")


def sizing(*parts, made=(), given=(), chord=0.0, route="bolt", swing="free"):
    assembly = SimpleNamespace(parts=parts, bolt=SimpleNamespace(chord=chord * MM))
    written_parts = {part.name: None for part in parts} | dict(given)
    return SimpleNamespace(
        best=SimpleNamespace(build=SimpleNamespace(made=made), route=route),
        run=SimpleNamespace(
            setup=SimpleNamespace(assembly=assembly, scenario=SimpleNamespace(part=written_parts))
        ),
        plain=SimpleNamespace(rotor=SimpleNamespace(blades=3), blade=SimpleNamespace(swing=swing)),
    )


def test_what_is_new_is_listed_first_then_grip_root_and_what_the_bolt_has_already():
    """Alike pieces share a row; what the section does not cut, weights that stay and other parts have none."""
    bought = machined("nut", ("nut-1", "nut-2"), "ISO 4032 M3", "above", 2)
    found, names = items_of(
        sizing(
            placed("washer-1", "bolt", solid()),
            placed("washer-2", "bolt", solid()),
            placed("beside", "bolt", solid(chord=20.0)),
            placed("weight", "counterweight"),
            placed("hub", "other"),
            placed("root", "blade", solid("box")),
            placed("shaft", "bolt", solid(thread="M3"), solid()),
            placed("own-nut", "bolt", solid(tapped="M3"), solid()),
            placed("hold", "grip", solid("box")),
            placed("new", "bolt", solid()),
            placed("nut-1", "bolt", solid()),
            made=(machined("weight bolt"), bought),
            given={"shaft": SCREW, "own-nut": NUT},
        )
    )
    assert found == [
        Item(1, "weight bolt", "sheet 1", "steel"),
        Item(2, "nut", "ISO 4032 M3 (above)", "steel"),
        Item(None, "grip", "as fitted", ""),
        Item(None, "blade root", "as fitted", ""),
        Item(None, "washer", "as fitted", ""),
        Item(None, "blade bolt", "ISO 4762 M3x16, as fitted", ""),
        Item(None, "nut", "ISO 4032 M3, as fitted", ""),
    ]
    assert names == {
        "new": 1, "nut-1": 2, "nut-2": 2, "hold": 3, "root": 4, "washer-1": 5, "washer-2": 5, "shaft": 6, "own-nut": 7,
    }  # fmt: skip
    assert parts_list._size(machined(standard="ISO 4032 M3")) == "ISO 4032 M3"


def test_the_plane_through_the_bolt_cuts_what_reaches_over_it():
    """Bolt 2 mm before the axis: half of 5 mm on either side of it; not what only touches, not what is no solid."""
    cut = [solid(), solid(chord=4.4), solid(chord=-0.4)]
    beyond = [solid(chord=4.5), solid(chord=-0.5), solid(chord=-2.0), solid("point"), solid("aerofoil")]
    part = placed("x", "bolt", *cut, *beyond)
    assert cut_solids(sizing(part, chord=2.0), part) == cut
    assert cut_solids(sizing(part, chord=2.0), placed("x", "bolt", solid("hex"), solid("box")))


def test_the_list_is_written_column_by_column_and_row_by_row():
    """From 4.2 mm under the top of the block on, 3.1 mm a row; counts of each blade and of three."""
    sheet = Sheet(2.0, "x")
    items = [Item(2, "weight nut", "sheet 1", "brass"), Item(None, "grip", "as fitted", "")]
    write_list(sheet, sizing(route="arms"), items, ["mind."])
    across = [25.5 + x for x in (0.0, 9.0, 24.0, 35.0, 62.0, 118.0)]
    rows = {}
    for words in sheet.words:
        rows.setdefault(round(words.at[1], 6), []).append((words.at[0], words.text, words.bold, words.size))
    heads, first, second, locking, caution = (rows[height] for height in sorted(rows, reverse=True))
    assert sorted(rows, reverse=True)[:4] == pytest.approx([65.8, 62.7, 59.6, 59.6 - 1.4 - 3.1])
    said = ["item", "per blade", "in all", "what", "standard, size", "material"]
    assert heads == [(x, text, True, 2.4) for x, text in zip(across, said, strict=True)]
    assert [text for _, text, *_ in first] == ["1", "2", "6", "weight nut", "sheet 1", "brass"]
    assert [x for x, *_ in first] == [x for x, *_ in second] == across
    assert {(bold, size) for _, _, bold, size in (*first, *second)} == {(False, 2.4)}
    assert [text for _, text, *_ in second] == ["2", "", "", "grip", "as fitted", ""]
    assert [(x, size) for x, _, _, size in locking] == [(25.5, 2.4)]
    assert caution[0][:2] == (25.5, "Caution: mind.")
    assert max(rows) - min(rows) == pytest.approx(65.8 - (59.6 - 1.4 - 3.1 - 3.1 - 0.6))
    frame = {(line.layer, line.start, line.end) for line in sheet.lines}
    low = pytest.approx(59.6 - 1.4)
    assert ("frame", (190.0, 12.0), (190.0, 70.0)) in frame
    ((_, start, end),) = frame - {("frame", (190.0, 12.0), (190.0, 70.0))}
    assert (start, end) == ((23.5, low), (190.0, low))


def test_long_words_are_cut_to_their_column_and_locking_is_broken_to_the_lists_width(monkeypatch):
    sheet = Sheet(2.0, "x")
    told = []
    monkeypatch.setattr(parts_list, "write_cautions", lambda *given: told.append(given))
    write_list(sheet, sizing(route="collars"), [Item(1, "nut", "s" * 80, "m" * 80)], ["mind."])
    (size,) = [words.text for words in sheet.words if words.text.startswith("ss")]
    (material,) = [words.text for words in sheet.words if words.text.startswith("mm")]
    assert (len(size), len(material)) == (38, 28)
    lines = [words for words in sheet.words if words.at[0] == 25.5 and not words.bold][1:]
    assert len(lines) == 2
    assert 115 < len(lines[0].text) <= 130
    assert lines[0].at[1] - lines[1].at[1] == pytest.approx(3.1)
    ((onto, cautions, top, wide),) = told
    assert (onto, cautions, wide) == (sheet, ["mind."], 295.0)
    assert top == pytest.approx(lines[-1].at[1] - 3.1 - 0.6)


def test_how_tight_and_what_keeps_it_so_go_by_the_build():
    def said(route, swing):
        return parts_list._locking(sizing(route=route, swing=swing))

    assert said("arms", "free").startswith("Screw each stud in to its depth")
    assert said("bolt", "free").startswith("Nut only so tight that the blade still swings freely")
    assert said("bolt", "clamped").startswith("Nut tight; locked by a second nut")
    assert said("collars", "clamped").startswith("A ring's chamfer towards the screw's head;")
    assert said("collars", "clamped").endswith("Nut tight; locked by a second nut, a nut that locks itself, or thread "
                                               "lock: never by friction alone.")  # fmt: skip


def test_fields_of_the_title_have_their_labels():
    """0.8 mm from their left, 2.2 over their foot; from the lower row; which sheet it is stands in the last."""
    sheet = Sheet(2.0, "x")
    write_fields(sheet, "sheet 2 of 2")
    said = {words.text: (words.at, words.size) for words in sheet.words}
    wide = RIGHT - 190.0
    lower, upper = BOTTOM + 7.6 + 2.2, BOTTOM + 7.6 + 3.8 + 2.2
    expected = {
        "owner": (190.8, lower), "drawing no.": (190.8 + 0.5 * wide, lower), "drawn": (190.8, upper),
        "approved": (190.8 + 0.28 * wide, upper), "date": (190.8 + 0.56 * wide, upper),
        "sheet 2 of 2": (190.8 + 0.78 * wide, upper),
    }  # fmt: skip
    assert said == {text: (pytest.approx(at), 1.7) for text, at in expected.items()}
    assert {circle.centre for circle in sheet.circles} == {(RIGHT - 18.0, BOTTOM + 4.3)}


def titled(words="turned bolt", title="a rotor", notes=""):
    best = SimpleNamespace(words=words, achieved=0.5, mass=1e-3, load=9.0)
    source = SimpleNamespace(files=())
    return SimpleNamespace(
        best=best,
        plain=SimpleNamespace(title=title, notes=notes),
        given=SimpleNamespace(source=source),
        quantity="compensation",
        target=0.5,
    )


def test_the_titles_lines_draw_together_where_there_is_little_room():
    """Never lower than 1 mm over the fields, which end at 27.2 mm; 3.5 mm apart where that is room enough."""

    def rows(words):
        sheet = Sheet(2.0, "word " * 40)
        title_block.write_title(sheet, titled(words, notes="invented"))
        return [one.at[1] for one in sheet.words if one.at[0] == 192.5][-5:-1], sheet

    roomy, _ = rows("part")
    tight, sheet = rows(f"{25 * 'a'} {25 * 'b'} {18 * 'c'}")
    for found in (roomy, tight):
        step = min(3.5, (found[0] - 27.2 - 1.0) / 3.0)
        assert [one - two for one, two in itertools.pairwise(found)] == pytest.approx([step] * 3)
    assert roomy[0] - roomy[1] == 3.5
    assert tight[0] - tight[1] < 3.5
    assert tight[-1] == pytest.approx(28.2)
    assert [len(words.text) for words in sheet.words if words.bold][:3] == [25, 25, 18]


def test_a_very_long_name_is_cut():
    sheet = Sheet(2.0, "a rotor")
    title_block.write_title(sheet, titled("x" * 40 + "y" * 60))
    assert len("".join(words.text for words in sheet.words if words.bold)) == 70


RING = MachinedPart("ring", "steel", 7850.0, (Piece(0.0, 6 * MM, diameter=14 * MM, bore=4 * MM),), 0.03)


@pytest.mark.parametrize(
    ("bore", "wide", "chamfer"),
    [(1.6, 0.06, 0.2), (2.0, 0.06, 0.3), (2.5, 0.06, 0.3), (3.0, 0.06, 0.3), (3.2, 0.075, 0.3), (4.0, 0.075, 0.4),
     (6.0, 0.075, 0.4), (6.4, 0.09, 0.4), (10.0, 0.09, 0.4)],
)  # fmt: skip
def test_a_bore_has_the_fit_of_its_size_and_clears_the_radius_under_the_head(bore, wide, chamfer):
    """IT11 of ISO 286-1: 60 um to 3 mm, 75 to 6, 90 to 10; half of d_a - d of ISO 4762, rounded up (both MEM)."""
    piece = RING.pieces[0]._replace(bore=bore * MM)
    one = replace(RING, pieces=(piece,))
    assert f"H11 (+{wide:g} / 0 mm)" in bore_words(one)
    assert f"bore chamfered {chamfer:g} mm x 45° at both ends" in notes(one)


def test_a_studs_hole_is_told_with_its_drill():
    """M3 x 0.5: drilled 2.5 mm (common practice), three pitches deeper than the full thread of 6 mm."""
    rod = Piece(4 * MM, 6 * MM, diameter=2.675 * MM)
    stud = MachinedPart("arm", "steel", 7850.0, (rod,), 0.022, 0.0, 2, "M3", threaded=(0,), screwed_in=6 * MM)
    said = notes(stud)
    assert (
        "hole in the grip M3 x 0.5 - 6H, 22 mm from the shaft on the feathering axis, square to the chord, above and "
        "below: full thread 6 mm, tap drill Ø 2.5 mm (0.0984 in) up to 1.5 mm deeper, or through"
    ) in said
    before = notes(replace(stud, chord=4 * MM))
    assert "M3 x 0.5 - 6H, 22 mm from the shaft, 4 mm before the axis, square" in before


def test_what_is_turned_off_makes_a_mass_uncertain_by_diameter_and_height():
    """Of a disc: d m = rho (pi D h / 2) d D and rho (pi D^2 / 4) d h; a thread, a shank and a piece without a round
    of its own do not count.
    """
    half = 0.05 * MM
    disc = Piece(0.0, 5 * MM, diameter=9 * MM)
    around, face = math.pi * 9 * 5 / 2.0, math.pi * 81.0 / 4.0
    expected = 7850.0 * half * math.hypot(around, face) * 1e-6
    own = MachinedPart("disc", "steel", 7850.0, (disc,), 0.03)
    assert mass_tolerance(own, half) == pytest.approx(expected)
    shank, thread = Piece(-9 * MM, 9 * MM, diameter=3 * MM), Piece(-13 * MM, 4 * MM, diameter=2.7 * MM)
    bolt = replace(own, pieces=(thread, shank, disc), thread="M3", threaded=(0,), plain=(1,))
    assert mass_tolerance(bolt, half) == pytest.approx(expected)
    hexagon = Piece(5 * MM, 3 * MM, across_flats=5 * MM)
    assert mass_tolerance(replace(own, pieces=(disc, hexagon)), half) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("wide", "half", "said"),
    [
        (3.0, 0.05, "0.044 ±0.003 g each"),
        (3.0, 0.0, "0.044 ±0.001 g each"),
        (10.0, 0.0, "0.493 ±0.001 g each"),
        (11.0, 0.0, "0.60 ±0.01 g each"),
        (14.0, 0.02, "0.97 ±0.02 g each"),
    ],
)
def test_a_piece_of_less_than_half_a_gram_is_told_to_the_milligram(wide, half, said):
    """Discs 0.8 mm high of steel, 7.85 mg a mm^3; never closer than the last figure that is told."""
    disc = MachinedPart("d", "steel", 7850.0, (Piece(0.0, 0.8 * MM, diameter=wide * MM),), 0.03)
    assert title_block._grams(disc, half * MM) == said


def test_bought_pieces_weigh_what_they_weigh_and_a_stud_is_as_long_as_it_is_cut():
    disc = Piece(0.0, 2 * MM, diameter=5 * MM)
    nut = MachinedPart("n", "steel", 7850.0, (disc,), 0.03, standard="ISO 4032 M3", where="above")
    grams = f"{7.85e-3 * math.pi * 25.0 / 2.0:.2f} g each"
    assert title_block._grams(nut, 0.1) == grams
    rod = MachinedPart("arm", "steel", 7850.0, (disc,), 0.03, 0.0, 2, "M3", threaded=(0,), screwed_in=4 * MM)
    both = SimpleNamespace(
        best=SimpleNamespace(build=SimpleNamespace(made=(nut, rod))), tolerances=SimpleNamespace(general=0.0)
    )
    _, first, second = title_block.cut_list(both)
    assert first == f"1 x n: ISO 4032 M3 (above the blade), steel (7850 kg/m³), {grams}"
    assert second.startswith("2 x arm: M3 thread, 6 mm long, 2 mm of it projecting, steel")
