"""Views and words of a sheet whose parts are set by hand: where each line, circle, dimension and word lies, in mm."""

import itertools
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg

from featherbench.assembly.shapes import Piece
from featherbench.checks import CAUTIONS
from featherbench.pictures.workshop_sheet import sheet_figure
from featherbench.sizing.drive import drive_of, with_drive
from featherbench.sizing.machined import MachinedPart
from featherbench.sizing.tolerance import Mismatch
from featherbench.workshop.drawing import draw_sheet
from featherbench.workshop.sheet import BOTTOM, LEFT, PAPER, RIGHT, TOP, Sheet, both, millimetres
from featherbench.workshop.title_block import (
    cut_list,
    invented,
    pieces,
    stamp,
    tolerance_words,
    write_cautions,
)
from featherbench.workshop.turned_details import notes

MM = 1e-3
MATCHED = Mismatch(1e-5, 1e-5, "", 12e-3, 0.37)
"""No grade stated: to one step of a scale of 10 mg."""
REACH = 4.123106
"""Half the height, on paper at twice the size, of a flat 8 mm across on a round of 9 mm: sqrt(81 - 64), mm."""
PITCH = 2.675
"""Pitch diameter of M3 x 0.5, mm, as which a thread weighs: 3 - 0.6495 x 0.5."""


def bolt():
    """M3: 4 mm of thread, 9 mm plain, a head of 9 x 5 mm."""
    steps = (
        Piece(-8 * MM, 4 * MM, diameter=PITCH * MM),
        Piece(-4 * MM, 9 * MM, diameter=3 * MM),
        Piece(5 * MM, 5 * MM, diameter=9 * MM),
    )
    return with_drive(
        MachinedPart("weight bolt", "steel", 7850.0, steps, 0.03, 0.0, 1, "M3", threaded=(0,), plain=(1,))
    )


def nut(high=6.0, wide=8.0):
    piece = Piece(-8 * MM, high * MM, diameter=wide * MM, bore=PITCH * MM)
    return with_drive(MachinedPart("weight nut", "brass", 8500.0, (piece,), 0.03, 0.0, 2, "M3", tapped=True))


def arm(long=10.0):
    rod = Piece(4 * MM, long * MM, diameter=PITCH * MM)
    return MachinedPart("arm", "steel", 7850.0, (rod,), 0.03, 0.0, 2, "M3", threaded=(0,))


def disc(high, wide):
    return MachinedPart("disc", "steel", 7850.0, (Piece(0.0, high * MM, diameter=wide * MM),), 0.03)


def plain(title="a rotor", notes=""):
    """A scenario of two blades."""
    return SimpleNamespace(title=title, notes=notes, rotor=SimpleNamespace(blades=2))


def answer(made, solids=(), **changes):
    """What a search would hand over."""
    best = {"achieved": 0.64871, "mass": 3.21e-3, "load": 98.76, "words": "turned bolt and nut, steel"}
    build = SimpleNamespace(made=tuple(made), parts={name: {} for name, _ in solids if name != "grip"})
    parts = [SimpleNamespace(name=name, solids=(solid,)) for name, solid in solids]
    whole = {
        "best": SimpleNamespace(build=build, **best),
        "plain": plain(),
        "given": SimpleNamespace(source=SimpleNamespace(files=())),
        "tolerances": SimpleNamespace(general=0.05 * MM, effects=(), mismatch=MATCHED),
        "run": SimpleNamespace(setup=SimpleNamespace(assembly=SimpleNamespace(parts=parts))),
        "quantity": "compensation",
        "target": 0.65,
    }
    return SimpleNamespace(**whole | changes)


def drawn(made, solids=(), **changes):
    return draw_sheet(answer(made, solids, **changes), ("Caution enough.",), "", ())


def lines(sheet, layer):
    return {
        tuple(sorted((rounded(line.start), rounded(line.end)))) for line in sheet.lines if line.layer == layer
    }


def rounded(point):
    return tuple(round(value, 6) for value in point)


def box(x0, x1, y0, y1):
    corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]
    return {tuple(sorted(pair)) for pair in itertools.pairwise(corners)}


def views(sheet):
    """Circles of the views; the sign of projection has its own."""
    return [one for one in sheet.circles if one.layer != "sign"]


def level(x0, x1, *rows):
    return {((x0, row), (x1, row)) for row in rows}


@pytest.fixture(scope="module")
def pair():
    """Bolt and nut at twice their size: axes at 189 - 4 - 9 and, 18 + 28 lower, at 143 - 4 - 8 mm; from 37.5 on."""
    return drawn([bolt(), nut()])


def test_outlines_of_both_are_twice_as_large_as_they_are(pair):
    """Threads as wide as their nominal 3 mm, on either side of the axis."""
    assert pair.scale == 2.0
    expected = box(37.5, 45.5, 173.0, 179.0) | box(45.5, 63.5, 173.0, 179.0) | box(63.5, 73.5, 167.0, 185.0)
    assert lines(pair, "outline") == expected | box(37.5, 49.5, 123.0, 139.0)
    assert lines(pair, "thread") == level(37.5, 45.5, 176.0 - 2.46, 176.0 + 2.46)
    assert lines(pair, "hidden") == level(37.5, 49.5, 128.0, 134.0)
    assert lines(pair, "axis weight bolt") == level(33.5, 77.5, 176.0)
    assert lines(pair, "axis weight nut") == level(33.5, 53.5, 131.0)


def test_a_plain_bore_is_hidden_as_acrossas_it_is():
    ring = MachinedPart("ring", "steel", 7850.0, (Piece(0.0, 6 * MM, diameter=8 * MM, bore=4 * MM),), 0.03)
    sheet = drawn([ring])
    assert sheet.scale == 10.0
    middle = 189.0 - 4.0 - 40.0
    assert lines(sheet, "hidden") == level(37.5, 97.5, middle - 20.0, middle + 20.0)
    assert [one.layer for one in sheet.circles if one.layer != "sign"] == ["outline", "outline"]
    assert any(words.text == "bore Ø 4 mm (0.1575 in) H11 (+0.075 / 0 mm), through" for words in sheet.words)


def test_half_sections_run_from_the_bore_to_the_outside(pair):
    sections = [(one.piece, one.axis, tuple(map(rounded, one.points))) for one in pair.profiles]
    assert sections == [
        ("weight bolt", 176.0, ((37.5, 176.0), (45.5, 176.0), (45.5, 178.675), (37.5, 178.675))),
        ("weight bolt", 176.0, ((45.5, 176.0), (63.5, 176.0), (63.5, 179.0), (45.5, 179.0))),
        ("weight bolt", 176.0, ((63.5, 176.0), (73.5, 176.0), (73.5, 185.0), (63.5, 185.0))),
        ("weight nut", 131.0, ((37.5, 133.675), (49.5, 133.675), (49.5, 139.0), (37.5, 139.0))),
    ]


def test_end_views_stand_52_mm_beyond_the_side_views(pair):
    """40 mm of room and 12 more, and half as wide as the part; a bore with its thread's circle."""
    found = [(one.layer, rounded(one.centre), round(one.radius, 6)) for one in views(pair)]
    assert found == [
        ("outline", (134.5, 176.0), 9.0),
        ("outline", (109.5, 131.0), 8.0),
        ("thread", (109.5, 131.0), 3.0),
        ("outline", (109.5, 131.0), PITCH),
    ]
    crosses = level(122.5, 146.5, 176.0) | {((134.5, 164.0), (134.5, 188.0))}
    assert lines(pair, "axis") == crosses | level(98.5, 120.5, 131.0) | {((109.5, 120.0), (109.5, 142.0))}


def test_dimensions_that_are_too_short_for_their_words_lie_on_levels_of_their_own(pair):
    """5, 9.5, 14 and 18.5 mm below; one alone 7 mm; diameters 8 mm beside; the spanner's 8 mm below the end view."""
    found = [
        (rounded(dim.start), rounded(dim.end), rounded(dim.through), dim.along, dim.text) for dim in pair.dims
    ]
    assert found == [
        ((37.5, 167.0), (45.5, 167.0), (37.5, 162.0), "x", "4 mm (0.1575 in)"),
        ((45.5, 167.0), (63.5, 167.0), (45.5, 157.5), "x", "9 mm (0.3543 in)"),
        ((63.5, 167.0), (73.5, 167.0), (63.5, 153.0), "x", "5 mm (0.1969 in)"),
        ((37.5, 167.0), (73.5, 167.0), (37.5, 148.5), "x", "18 mm (0.7087 in)"),
        ((73.5, 167.0), (73.5, 185.0), (81.5, 176.0), "y", "Ø 9 mm (0.3543 in)"),
        ((126.5, 176.0 - REACH), (142.5, 176.0 - REACH), (126.5, 160.0), "x", "AF 8 mm (0.3150 in)"),
        ((37.5, 123.0), (49.5, 123.0), (37.5, 116.0), "x", "6 mm (0.2362 in)"),
        ((49.5, 123.0), (49.5, 139.0), (57.5, 131.0), "y", "Ø 8 mm (0.3150 in)"),
        ((102.5, 131.0 - 3.872983), (116.5, 131.0 - 3.872983), (102.5, 116.0), "x", "AF 7 mm (0.2756 in)"),
    ]


def test_words_over_a_view_name_it_and_its_thread(pair):
    said = {words.text: (rounded(words.at), words.size, words.bold) for words in pair.words}
    assert said["weight bolt: make 2 (3 with a spare)"] == ((26.5, 189.5), 3.4, True)
    assert said["weight nut: make 4 (5 with a spare)"] == ((26.5, 143.5), 3.4, True)
    thread = "M3 x 0.5 - 6g over 4 mm (0.1575 in), then plain Ø 3 mm h9 (0.1181 in)"
    assert said[thread] == ((111.5, 189.5), 2.8, False)
    assert said["M3 x 0.5 - 6H through, tap drill Ø 2.5 mm (0.0984 in)"][0] == (111.5, 143.5)


def whole(one):
    """The same without flats or slot."""
    return replace(one, pieces=tuple(piece._replace(cut=None) for piece in one.pieces))


def taken(one):
    """m^3 that flats or slot take off."""
    return (whole(one).mass - one.mass) / one.density


def test_a_head_has_flats_or_a_slot_and_a_nut_flats(pair):
    """Flats 8 across on 9 mm take 2 x 1.3912 x 2.5 = 6.96 mm^3, a slot 0.8 x 0.9 x 9 = 6.48: as good as. On a head of
    4.8 mm of M2.5 a slot takes 0.6 x 0.7 x 4.8 = 2.02 and flats 3.0 mm^3. A slot would cut the nut's thread.
    """
    flats, other = drive_of(bolt()), drive_of(nut())
    assert (flats.across, flats.long) == (8 * MM, 2.5 * MM)
    assert taken(bolt()) == pytest.approx(6.956e-9, rel=1e-3)
    assert (other.across, other.long) == (7 * MM, 2.5 * MM)
    slotted, tall = sized("M2.5", 4.8, 10.7, 0.78)
    slot, small = drive_of(slotted), drive_of(tall)
    assert (slot.across, slot.wide, slot.long) == (0.0, 0.6 * MM, 0.7 * MM)
    assert taken(slotted) == pytest.approx(2.016e-9, rel=4e-3)  # its ends are round
    assert small.across == 4 * MM
    assert drive_of(arm()) is drive_of(disc(3.0, 9.0)) is drive_of(bought()) is None
    top, low = 176.0 + REACH, 176.0 - REACH
    flat = {((68.5, low), (68.5, top)), *level(68.5, 73.5, low, top)}
    flat |= {((x, low), (x, top)) for x in (126.5, 142.5)}
    assert flat <= lines(pair, "flat")
    assert {((68.5, low), (73.5, top)), ((68.5, top), (73.5, low))} <= lines(pair, "diagonal")


def test_a_slot_is_drawn_from_the_side_and_the_end():
    """0.6 mm wide, 0.7 mm deep at the head's end; across the whole round of 4.8 mm."""
    sheet = drawn(sized("M2.5", 4.8, 10.7, 0.78)[:1])
    found, scale = lines(sheet, "flat"), sheet.scale
    y, x = next(iter(lines(sheet, "axis weight bolt")))[0][1], 37.5 + (10.7 + 0.78 * 4.8) * scale
    notch = level(
        round(x - 0.7 * scale, 6), round(x, 6), round(y - 0.3 * scale, 6), round(y + 0.3 * scale, 6)
    )
    assert notch <= found
    assert not lines(sheet, "diagonal")
    middle, reach = sheet.circles[0].centre[0], (2.4**2 - 0.3**2) ** 0.5 * scale
    whole = {point for pair in found for point in pair if abs(point[0] - middle) > 2.3 * scale}
    assert {point[0] for point in whole} >= {round(middle - reach, 6), round(middle + reach, 6)}


@pytest.mark.parametrize("wide", [3.8, 4.8, 5.5, 5.6, 7.0, 9.0, 12.0])
def test_flats_leave_metal_beside_the_thread_and_are_acrossenough_to_grip(wide):
    """By a numerical sum over the round: what lies outside the spanner's width is what is said to be cut."""
    thread = "M2" if wide < 4.8 else "M2.5" if wide < 5.5 else "M3"
    size = float(thread[1:])
    high = Piece(0.0, 6 * MM, diameter=wide * MM, bore=0.88 * size * MM)
    one = with_drive(MachinedPart("nut", "steel", 7850.0, (high,), 0.03, 0.0, 1, thread, tapped=True))
    drive = drive_of(one)
    if drive.across:
        assert size + 1.0 <= drive.across / MM <= 0.92 * wide
        across = np.linspace(drive.across / MM / 2.0, wide / 2.0, 200_001)
        area = 4.0 * np.trapezoid(np.sqrt(np.maximum(wide**2 / 4.0 - across**2, 0.0)), across)
        assert taken(one) / MM**3 == pytest.approx(area * drive.long / MM, rel=1e-4)
    else:
        assert 0.2 * size <= drive.wide / MM <= 0.35 * size  # a screwdriver's blade
    assert 0.85 * whole(one).mass < one.mass < whole(one).mass


def sized(thread, wide, long, thick=0.45):
    """A bolt and its nut, of a thread of so many mm: head and nut `wide`, shank and thread `long` mm."""
    size = float(thread[1:])
    core, head = 0.88 * size * MM, max(size, thick * wide)
    steps = (
        Piece(-0.6 * long * MM, 0.4 * long * MM, diameter=core),
        Piece(-0.2 * long * MM, 0.6 * long * MM, diameter=size * MM),
        Piece(0.4 * long * MM, head * MM, diameter=wide * MM),
    )
    place = (0.03, 0.0, 1, thread)
    tall = Piece(-0.6 * long * MM, head * MM, diameter=wide * MM, bore=core)
    metal = ("steel 4140 normalised", 7850.0)
    return [
        with_drive(MachinedPart("weight bolt", *metal, steps, *place, threaded=(0,), plain=(1,))),
        with_drive(MachinedPart("weight nut", *metal, (tall,), *place, tapped=True)),
    ]


@pytest.mark.parametrize(
    ("thread", "wide", "long"),
    [("M1.6", 3.0, 5.0), ("M2", 3.8, 8.0), ("M2.5", 4.8, 10.7), ("M3", 5.5, 16.4), ("M3", 9.0, 12.0),
     ("M4", 9.5, 22.0), ("M5", 14.0, 30.0), ("M5", 20.0, 45.0)],
)  # fmt: skip
def test_no_words_lie_on_words_as_they_are_printed(thread, wide, long):
    """By the extents that the printed letters have, those of dimensions, too; all within the frame."""
    effects = (
        SimpleNamespace(dimension="diameter of the weight bolt", slope=-155.0),
        SimpleNamespace(dimension="height of the weight nut", slope=-150.0),
    )
    tolerances = SimpleNamespace(
        general=0.02 * MM, effects=effects, mismatch=Mismatch(5.2e-6, 1e-5, "G6.3", 12e-3, 0.37)
    )
    long_title = plain(
        "A helicopter of a builder who tells in one title what it is and whose, and of how many blades",
        "invented",
    )
    sheet = draw_sheet(
        answer(sized(thread, wide, long), tolerances=tolerances, plain=long_title), CAUTIONS, "", ()
    )
    figure = sheet_figure(sheet)
    renderer = FigureCanvasAgg(figure).get_renderer()
    boxes = [
        (text.get_text(), text.get_window_extent(renderer))
        for text in figure.axes[0].texts
        if text.get_text().strip()
    ]
    scale = figure.dpi / 25.4
    rules = [
        line.start[1] * scale
        for line in sheet.lines
        if line.layer == "frame" and line.start[1] == line.end[1]
    ]
    for words, box in boxes:
        assert not any(
            box.y0 + 0.2 * box.height < rule < box.y1 for rule in rules if box.x0 > 190.0 * scale
        ), words
        assert LEFT * scale <= box.x0
        assert box.x1 <= RIGHT * scale, words
        assert BOTTOM * scale <= box.y0
        assert box.y1 <= TOP * scale
    for (one, first), (other, second) in itertools.combinations(boxes, 2):
        across = min(first.x1, second.x1) - max(first.x0, second.x0)
        high = min(first.y1, second.y1) - max(first.y0, second.y0)
        assert across <= 0.0 or high <= 0.15 * min(first.height, second.height), (one, other, sheet.scale)


def test_notes_say_how_a_piece_is_gripped():
    """Nothing is left to be made up for: what is asked for is met with the flats cut."""
    sheet = drawn([bolt()])
    said = [words.text for words in sheet.words]
    assert "target compensation 0.65, reached 0.6487" in said
    notes = " ".join(words.text for words in sheet.words if words.at[0] == 26.5)
    assert "two flats AF 8 over 2.5 mm at the head's top;" in notes
    assert "run-out at most 0.5 mm" in notes
    assert "under head 0.1 to 0.2 mm" in notes
    assert "No centre hole may remain" in notes


@pytest.mark.parametrize(
    ("thread", "pitch", "radius"),
    [("M1.6", 0.35, 0.1), ("M2", 0.4, 0.1), ("M2.5", 0.45, 0.1), ("M3", 0.5, 0.1), ("M4", 0.7, 0.2), ("M5", 0.8, 0.2)],
)  # fmt: skip
def test_run_out_and_radius_under_the_head_are_those_of_the_size(thread, pitch, radius):
    """ISO 261's coarse pitches, and the least radius under the head of ISO 4762, r (both MEM)."""
    (bolt_of, _) = sized(thread, 3.0 * float(thread[1:]), 12.0)
    said = notes(bolt_of)
    assert f"run-out at most {pitch:g} mm" in said
    assert f"radius under head {radius:g} to {2.0 * radius:g} mm" in said


def test_a_threaded_rod_is_as_acrossas_its_thread_and_has_no_other_diameter():
    """At ten times its size: 100 mm long, 30 mm wide about an axis at 189 - 4 - 13.375; 24.6 mm at the root."""
    sheet = drawn([arm()])
    middle = 189.0 - 4.0 - 0.5 * 10.0 * PITCH
    assert sheet.scale == 10.0
    assert lines(sheet, "outline") == box(37.5, 137.5, middle - 15.0, middle + 15.0)
    assert lines(sheet, "thread") == level(37.5, 137.5, round(middle - 12.3, 6), round(middle + 12.3, 6))
    assert [dim.along for dim in sheet.dims] == ["x"]
    assert [(one.layer, round(one.radius, 6)) for one in views(sheet)] == [
        ("outline", 15.0),
        ("thread", 12.3),
    ]
    assert rounded(sheet.circles[0].centre) == rounded((137.5 + 40.0 + 0.5 * 10.0 * PITCH + 12.0, middle))
    x = sheet.circles[0].centre[0]
    assert level(round(x - 18.0, 6), round(x + 18.0, 6), middle) <= lines(sheet, "axis")
    (said,) = [words for words in sheet.words if words.text.startswith("M3")]
    assert said.text == "M3 x 0.5 - 6g, full length"
    assert said.at[1] == pytest.approx(middle + 15.0 + 4.5)


@pytest.mark.parametrize(
    ("made", "scale"),
    [
        ([disc(7.7, 9.0)], 10.0),  # (7.7 + 9) x 10 + 82 = 249 of 250 mm across
        ([disc(7.9, 9.0)], 5.0),
        ([disc(3.0, 9.3)], 10.0),  # 93 + 28 = 121 of 122 mm high
        ([disc(3.0, 9.5)], 5.0),
        ([disc(3.0, 3.2), disc(3.0, 3.3)], 10.0),  # 65 + 56 = 121
        ([disc(3.0, 3.3), disc(3.0, 3.4)], 5.0),
        ([disc(1.0, 2.0), disc(12.4, 4.2)], 10.0),  # the longest of them: 166 + 82 = 248
        ([disc(1.0, 2.0), disc(12.7, 4.2)], 5.0),
        ([disc(20.0, 40.0)], 2.0),  # (20 + 40) x 2 + 82 = 202; 80 + 28 = 108
        ([disc(50.0, 40.0)], 1.0),
        ([disc(150.0, 90.0)], 1.0),  # does not fit at all: as small as there is
    ],
)
def test_the_largest_scale_that_fits_is_taken(made, scale):
    assert drawn(made).scale == scale


def solid(centre, size):
    return SimpleNamespace(centre=(0.034, 0.0, centre * MM), size=tuple(value * MM for value in size))


def test_what_is_stamped_is_handed_over_with_why():
    sheet = draw_sheet(answer([bolt()]), ("Caution enough.",), "DO NOT RUN", ("the bolt gives way",))
    assert sheet.stamp.word == "DO NOT RUN"
    assert [line.text for line in sheet.stamp.lines] == ["the bolt gives way"]
    assert drawn([bolt()]).stamp is None


def test_the_paper_is_a4_on_its_side():
    """ISO 216."""
    assert PAPER == (297.0, 210.0)


def test_the_name_of_the_part_is_broken_to_its_room():
    """At 40 letters: six words of six and their blanks are 41."""
    best = answer([bolt()]).best
    best.words = " ".join(f"part{n:02d}" for n in range(10))
    rows = [words for words in drawn([bolt()], best=best).words if words.text.startswith("part")]
    assert [len(words.text.split()) for words in rows] == [5, 5]
    assert rows[0].at[1] - rows[1].at[1] == pytest.approx(4.6)


STACK = (
    ("grip", solid(0.0, (60.0, 20.0, 40.0))),
    ("weight-screw", solid(0.0, (3.0, 3.0, 18.0))),
    ("weight-screw", solid(10.5, (5.5, 5.5, 3.0))),
    ("weight-washer-1", solid(-5.0, (7.0, 6.0, 0.5))),
)
"""Of a screw from -9 to 12 mm, a washer 7 mm wide along the radius; the grip was there before."""


def bought():
    row = Piece(-9 * MM, 21 * MM, diameter=3 * MM)
    return MachinedPart("long screw", "steel", 7850.0, (row,), 0.03, 0.0, 1, "M3", "ISO 4762 M3x18", (0,))


def test_bought_pieces_are_drawn_as_they_are_put_together():
    """Five times as large (21 x 5 + 100 <= 250, 50 + 60 <= 122): the feathering axis at 73.5 + 45 = 118.5 mm."""
    sheet = drawn([bought()], STACK)
    assert sheet.scale == 5.0
    screw = box(73.5, 163.5, 132.5, 147.5) | box(163.5, 178.5, 126.25, 153.75)
    assert lines(sheet, "outline") == screw | box(92.25, 94.75, 122.5, 157.5)
    assert lines(sheet, "axis") == level(69.5, 182.5, 140.0) | {((118.5, 114.5), (118.5, 169.5))}
    found = [
        (rounded(dim.start), rounded(dim.end), rounded(dim.through), dim.along, dim.text)
        for dim in sheet.dims
    ]
    assert found == [
        ((73.5, 122.5), (118.5, 122.5), (73.5, 114.5), "x", both(9 * MM)),
        ((118.5, 122.5), (178.5, 122.5), (118.5, 114.5), "x", both(12 * MM)),
        ((73.5, 122.5), (178.5, 122.5), (73.5, 106.5), "x", both(21 * MM)),
    ]
    said = {words.text: (rounded(words.at), words.size, words.bold) for words in sheet.words}
    assert said["feathering axis"] == ((120.0, 166.5), 2.8, False)
    (heading,) = [text for text in said if text.startswith("assembled; nuts and washers")]
    assert said[heading] == ((26.5, 191.0), 3.4, True)


def test_a_short_stack_is_not_drawn_higher_than_there_is_room():
    assert drawn([bought()], [("weight-screw", solid(0.0, (3.0, 3.0, 12.0)))]).scale == 5.0
    assert drawn([bought()], [("weight-screw", solid(0.0, (3.0, 3.0, 29.0)))]).scale == 5.0
    assert drawn([bought()], [("weight-screw", solid(0.0, (3.0, 3.0, 31.0)))]).scale == 2.0


def test_the_frame_lies_on_a4_and_on_letter(pair):
    """250 x 186 mm, the words in the lowest 58, the title from 190 mm on; a bar of five millimetres of the part."""
    expected = box(23.5, 273.5, 12.0, 198.0) | level(23.5, 273.5, 70.0) | {((190.0, 12.0), (190.0, 70.0))}
    bar = level(192.5, 202.5, 17.5) | {((x, 16.5), (x, 18.5)) for x in (192.5, 202.5)}
    fields = level(190.0, 273.5, 19.6, 23.4, 27.2) | {((231.75, 19.6), (231.75, 23.4))}
    fields |= {((x, 23.4), (x, 27.2)) for x in (213.38, 236.76, 255.13)}
    assert lines(pair, "frame") == expected | bar | fields
    said = {words.text: (rounded(words.at), words.size) for words in pair.words}
    assert said["5 mm of the part = 10 mm on paper"] == ((192.5, 13.3), 2.4)
    small = drawn([disc(50.0, 40.0)])
    assert "20 mm of the part = 20 mm on paper" in [words.text for words in small.words]
    assert level(192.5, 212.5, 17.5) <= lines(small, "frame")


def test_the_sign_of_projection_is_of_the_third_angle_and_lies_under_the_fields(pair):
    """Two rings about one centre; right of them a cone of the same two diameters, the small end towards them (ISO
    5456-2, MEM). Its lines of centres go through both rings as far on either side; all lies in a strip of 7.6 mm.
    """
    small, large = sorted((one for one in pair.circles if one.layer == "sign"), key=lambda one: one.radius)
    x, y = large.centre
    assert small.centre == large.centre
    assert (small.radius, large.radius) == (1.3, 2.6)
    assert BOTTOM < y - large.radius < y + large.radius < BOTTOM + 7.6
    assert x + 6.0 + 7.0 + 1.0 < RIGHT
    near, far = x + 6.0, x + 13.0
    ends = [(near, y - 1.3), (near, y + 1.3), (far, y + 2.6), (far, y - 2.6)]
    cone = {tuple(sorted(map(rounded, side))) for side in itertools.pairwise([*ends, ends[0]])}
    across, up = lines(pair, "sign") - cone
    if across[0][0] == across[1][0]:
        across, up = up, across
    assert cone < lines(pair, "sign")
    assert [across[0][1], across[1][1]] == pytest.approx([y, y])
    assert across[0][0] < x - large.radius < far < across[1][0]
    assert [up[0][0], up[1][0]] == pytest.approx([x, x])
    assert y - up[0][1] == pytest.approx(up[1][1] - y)
    assert large.radius < up[1][1] - y < 1.5 * large.radius


def test_the_title_says_target_and_what_is_reached_line_by_line():
    """From 64 mm down: the part in larger letters, the build, that data is invented, a gap, four lines."""
    sheet = drawn([bolt(), nut()], plain=plain(notes="Invented, for a test"))
    right = [(words.at, words.size, words.text, words.bold) for words in sheet.words if words.at[0] == 192.5]
    expected = [
        (64.0, 3.4, "turned bolt and nut, steel", True),
        (59.4, 2.6, "a rotor", False),
        (55.9, 2.6, "invented data", True),
        (51.4, 2.6, "target compensation 0.65, reached 0.6487", False),
        (47.9, 2.6, "adds 3.210 g and 98.8 N per blade at speed", False),
        (44.4, 2.6, "scale 2:1 printed at 100 %; all lengths mm (inch)", False),
        (40.9, 2.6, "drawn by calculation, not certified; model aircraft only", False),
    ]
    assert [(round(at[1], 6), *rest) for at, *rest in right[:-1]] == expected
    force = drawn([bolt()], quantity="rod_force", target=3.14159)
    assert "target rod force 3.142 N, reached 0.6487 N" in [words.text for words in force.words]
    assert "invented data" not in [words.text for words in force.words]


def test_a_long_title_is_broken_and_ends_after_three_lines():
    sheet = drawn([bolt()], plain=plain(" ".join(f"word{n:02d}" for n in range(25))))
    rows = [words for words in sheet.words if words.text.startswith("word")]
    assert [len(words.text.split()) for words in rows] == [7, 7, 7]  # seven times 6, six blanks: 48 of 52
    assert rows[0].at[1] - rows[1].at[1] == pytest.approx(3.5)


def test_the_list_of_what_to_make_by_hand():
    """Of the head pi/4 x 81 x 5, shank pi/4 x 9 x 9, thread pi/4 x 2.675^2 x 4 mm^3, at 7.85 mg each: 3.171 g."""
    heading, first, second, third, fourth = cut_list(answer([bolt(), nut(), arm(), bought()]))
    assert heading == "For each blade, finished (to be weighed):"
    grams = 7.85e-3 * 3.14159265 / 4.0 * (81.0 * 5.0 + 9.0 * 9.0 + PITCH**2 * 4.0)
    flats = 7.85e-3 * 6.956
    off = 7.85e-3 * 0.05 * 3.14159265 * ((9.0 * 5.0 / 2.0) ** 2 + (81.0 / 4.0) ** 2) ** 0.5
    assert first == (
        f"1 x weight bolt: Ø 9 x 18 mm, steel (7850 kg/m³), {grams - flats:.2f} ±{off:.2f} g each"
    )
    assert second.startswith("2 x weight nut: Ø 8 x 6 mm, brass (8500 kg/m³), ")
    assert third.startswith("2 x arm: M3 thread, 10 mm long, steel")
    assert fourth.startswith("1 x long screw: ISO 4762 M3x18, steel")
    assert pieces(answer([bolt(), nut(), arm()])) == 5


def tolerated(**changes):
    own = {"general": 0.05 * MM, "effects": (), "mismatch": MATCHED}
    return answer([bolt(), nut(), nut()], tolerances=SimpleNamespace(**own | changes))


def test_tolerances_in_words_by_hand():
    """0.05 mm at -82 per metre: 0.0041; 8.4 mg of a set of five pieces: 1.7 mg each."""
    effects = (
        SimpleNamespace(dimension="height of the weight nut", slope=-82.0),
        SimpleNamespace(dimension="diameter of the weight nut", slope=20.0),
    )
    said, other = tolerance_words(tolerated(effects=effects))
    assert said.startswith(
        "Diameter and height of heads, nuts, weights ±0.05 mm (±0.0020 in); else ISO 2768-m,"
    )
    assert "is the height of the weight nut: 0.05 mm changes the compensation by 0.0041. Trim" in said
    assert other == (
        "Match the complete sets between blades to one step of your scale, 10 mg: ISO 21940-11 G12, 0.37 N once a "
        "turn, blades only (no limits.balance_grade stated)."
    )
    (matched,) = tolerance_words(tolerated(mismatch=Mismatch(8.4e-6, 8e-6, "G6.3", 6e-3, 0.2)))
    assert matched.startswith("Match the complete sets between blades to 8.4 mg (ISO 21940-11 G6.3,")
    assert matched.endswith("Per piece: 1.7 mg.")
    (coarse,) = tolerance_words(tolerated(mismatch=Mismatch(8.4e-6, 1e-5, "G6.3", 7.5e-3, 0.25)))
    assert coarse.endswith("A scale of 10 mg does not show that: it leaves G7.5, 0.25 N once a turn.")


def test_words_begin_under_the_views_and_the_first_is_bold():
    sheet = drawn([bolt(), nut()])
    rows = [words for words in sheet.words if words.at[0] == 25.5]
    assert [round(words.at[1], 6) for words in rows[:4]] == [65.0, 61.5, 58.0, 54.5]
    assert [words.bold for words in rows[:4]] == [True, False, False, False]
    assert {words.size for words in rows[:4]} == {2.6}
    assert (rows[5].text, rows[5].at[1], rows[5].size) == (
        "Caution: Caution enough.",
        pytest.approx(46.5),
        2.4,
    )


def test_a_long_line_goes_on_a_little_to_the_right():
    """At most 108 characters of one line."""
    long = "a very long name of a build grade that goes on, " * 5
    thing = MachinedPart(
        long.strip(), "steel", 7850.0, (Piece(0.0, 6 * MM, diameter=8 * MM),), 0.03, standard="ISO 1"
    )
    sheet = drawn([thing], [("x", solid(0.0, (3.0, 3.0, 12.0)))])
    rows = [words.text for words in sheet.words if words.at[0] == 25.5]
    assert max(map(len, rows[:4])) <= 108
    assert len(rows[1]) > 100
    assert rows[2].startswith("    ")


@pytest.mark.parametrize(("count", "size"), [(1, 2.4), (10, 2.4), (11, 2.0), (12, 1.8), (13, 1.6), (40, 1.6)])
def test_cautions_grow_smaller_until_all_have_room(count, size):
    """30 mm, lines 0.9 mm apart: ten of 2.4 mm; eleven take 31 mm of 2.2 and 29 of 2.0; twelve 29.7 of 1.8."""
    sheet = Sheet(2.0, "")
    write_cautions(sheet, ["mind."] * count, 43.0)
    assert [words.size for words in sheet.words] == [size] * count
    assert [words.at for words in sheet.words] == [
        pytest.approx((25.5, 43.0 - row * (size + 0.9))) for row in range(count)
    ]


def test_cautions_are_no_smaller_than_they_need_be():
    """Eleven lines of 2.2 mm and ten gaps: 31 mm from the first to the last."""
    sheet = Sheet(2.0, "")
    write_cautions(sheet, ["mind."] * 11, 44.1)
    assert {words.size for words in sheet.words} == {2.2}


def test_cautions_are_as_acrossas_the_frame_of_the_words():
    """268 mm over 2.4 mm: 111 characters."""
    sheet = Sheet(2.0, "")
    write_cautions(sheet, ["a " * 200], 60.0)
    assert [len(words.text) for words in sheet.words][:2] == [110, 111]
    assert sheet.words[0].text.startswith("Caution: a a")


def test_a_stamp_tells_why_in_three_lines_at_most():
    """Upward from 1.6 mm over the frame, 3.5 mm apart, the first on top; what has no room is said to be left off."""
    assert stamp("", ("why",)) is None
    made = stamp("DO NOT RUN", ("one", "two"))
    assert made.word == "DO NOT RUN"
    assert [(line.text, line.size, line.bold) for line in made.lines] == [
        ("one", 2.6, True),
        ("two", 2.6, True),
    ]
    assert [line.at for line in made.lines] == [
        pytest.approx((23.5, 203.1)),
        pytest.approx((23.5, 199.6)),
    ]
    three = stamp("DO NOT RUN", ("one", "two", "three"))
    assert [line.text for line in three.lines] == ["one", "two", "three"]
    four = stamp("DO NOT RUN", ("one", "two", "x" * 130, "four"))
    assert [line.text for line in four.lines] == [
        "one",
        "two",
        "x" * 110 + " ... (all of them: featherbench predict)",
    ]
    wide = stamp("DO NOT RUN", ("a " * 150,))
    assert [len(line.text) for line in wide.lines] == [149, 149]


def test_data_is_invented_where_title_notes_or_a_file_says_so(tmp_path):
    def said(title="a rotor", notes="", files=()):
        source = SimpleNamespace(files=[str(file) for file in files])
        given = SimpleNamespace(source=source)
        return invented(answer([bolt()], plain=plain(title, notes), given=given))

    assert not said()
    assert said(title="An Invented rotor")
    assert said(notes="all invented")
    file, late = tmp_path / "one.toml", tmp_path / "late.toml"
    file.write_text("# invented data\n", encoding="utf-8")
    late.write_text("x" * 2100 + "invented", encoding="utf-8")
    assert said(files=[file])
    assert not said(files=[late, tmp_path / "none.toml"])


def test_lengths_are_written_in_both_units():
    assert [millimetres(value * MM) for value in (3.0, 2.6752, 0.1, 120.0)] == ["3", "2.675", "0.1", "120"]
    assert both(25.4 * MM, "Ø ") == "Ø 25.4 mm (1.0000 in)"


def test_a_studs_lengths_are_what_goes_into_the_grip_and_what_stands_out():
    """4 of 10 mm, beside lines long enough for their words: on one level, the whole below."""
    sheet = drawn([replace(arm(6.0), screwed_in=4 * MM)])
    foot = 189.0 - 4.0 - 10.0 * PITCH
    found = [(rounded(dim.start), rounded(dim.end), rounded(dim.through), dim.text) for dim in sheet.dims]
    assert found == [
        ((37.5, foot), (77.5, foot), (37.5, foot - 7.0), both(4 * MM)),
        ((77.5, foot), (137.5, foot), (77.5, foot - 7.0), both(6 * MM)),
        ((37.5, foot), (137.5, foot), (37.5, foot - 14.0), both(10 * MM)),
    ]


def stepped(first):
    """A length of 9 mm round and 10 mm more, as wide: five times as large on the paper."""
    steps = (Piece(0.0, first * MM, diameter=9 * MM), Piece(first * MM, 10 * MM, diameter=9 * MM))
    return drawn([MachinedPart("disc", "steel", 7850.0, steps, 0.03)])


@pytest.mark.parametrize(("first", "below"), [(5.9, [7.0, 7.0, 14.0]), (5.7, [5.0, 9.5, 14.0])])
def test_words_that_fit_beside_their_line_need_no_level_of_their_own(first, below):
    """18 letters of 0.62 x 2.6 mm are 29.0 mm: 5.9 mm are 29.5 on the paper, 5.7 are 28.5."""
    sheet = stepped(first)
    assert sheet.scale == 5.0
    along = [dim for dim in sheet.dims if dim.along == "x"]
    assert [dim.start[1] - dim.through[1] for dim in along] == pytest.approx(below)
    assert len(along[0].text) == 18


def test_a_slot_across_a_bore_leaves_the_bore_out():
    """M1.6 in a round of 2.8 mm: 0.4 mm wide, from the bore's edge to the outside on both sides of the end view."""
    part = sized("M1.6", 2.8, 8.0)[1]
    bore = part.pieces[0].bore / MM
    sheet = drawn([part])
    scale, (x, y) = sheet.scale, views(sheet)[0].centre
    near, far = (scale * (radius**2 - 0.2**2) ** 0.5 for radius in (0.5 * bore, 1.4))
    assert 0.0 < near < far
    ends = {
        tuple(sorted((rounded((x + way * near, y + side)), rounded((x + way * far, y + side)))))
        for way in (-1.0, 1.0)
        for side in (-0.2 * scale, 0.2 * scale)
    }
    found = {pair for pair in lines(sheet, "flat") if min(pair[0][0], pair[1][0]) > x - 1.5 * scale}
    assert found == ends


def test_a_bores_words_stand_over_its_view_and_notes_over_the_block():
    """4.5 mm over the outside; notes from 1.6 mm over the words' block, 3.2 mm apart, the first on top."""
    ring = MachinedPart("ring", "steel", 7850.0, (Piece(0.0, 6 * MM, diameter=8 * MM, bore=4 * MM),), 0.03)
    sheet = drawn([ring])
    (bore,) = [words for words in sheet.words if words.text.startswith("bore Ø")]
    assert bore.at == (111.5, pytest.approx(189.0 - 4.0 - 40.0 + 40.0 + 4.5))
    rows = [words for words in sheet.words if words.size == 2.3]
    assert len(rows) > 1
    assert [words.at for words in rows] == [
        (26.5, pytest.approx(70.0 + 1.6 + 3.2 * number)) for number in range(len(rows))
    ]
    assert rows[0].text.startswith("No centre hole")
    assert rows[-1].text.startswith("ring: ")
