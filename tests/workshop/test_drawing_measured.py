"""A reader of the DXF measures the part: outlines, circles, bores and threads as long and as wide as what is made."""

import io
from collections import Counter
from dataclasses import replace
from math import acos, dist, pi, sqrt
from pathlib import Path

import ezdxf
import numpy as np
import pytest

from featherbench.assembly import build_assembly
from featherbench.assembly.hardware import thread_of
from featherbench.checks import CAUTIONS
from featherbench.pictures.workshop_sheet import sheet_bytes, sheet_figure
from featherbench.scenario import read
from featherbench.sizing import size
from featherbench.sizing.drive import drive_of
from featherbench.views.first_lines import of_sizing
from featherbench.workshop.drawing import draw_sheet
from featherbench.workshop.dxf import sheet_dxf
from featherbench.workshop.sheet import millimetres

SCENARIOS = Path(__file__).parents[2] / "scenarios"
MM = 1e3


def measured(name, route):
    found = size(read(SCENARIOS / name / "plain.toml"), route)
    first = of_sizing(found)
    sheet = draw_sheet(found, CAUTIONS, first.stamp, first.lines)
    return found, sheet, ezdxf.read(io.StringIO(sheet_dxf(sheet).decode("utf-8"))).modelspace()


@pytest.fixture(
    scope="module",
    params=[
        ("survey-3kg", "bolt"),
        ("lifter-6kg", "arms"),
        ("survey-3kg", "arms"),
        ("tutorial-2kg", "collars"),
    ],
)
def turned(request):
    found, sheet, space = measured(*request.param)
    made = [replace(one, pieces=one.whole) for one in found.best.build.made if not one.standard]
    return made, sheet, space, found


@pytest.fixture(scope="module")
def stacked():
    return measured("scout-1kg", "standard")


def lines(space, layer, along):
    """Lengths of the straight lines of a layer that run along x or y, mm, to a micrometre."""
    found = Counter()
    for line in space.query(f'LINE[layer=="{layer}"]'):
        (x0, y0), (x1, y1) = line.dxf.start.vec2, line.dxf.end.vec2
        if (abs(y1 - y0) < 1e-9) == (along == "x"):
            found[round(dist((x0, y0), (x1, y1)), 3)] += 1
    return found


def held(found, lengths):
    """Each length is among those found, as near as a micrometre."""
    for length in lengths:
        assert any(abs(length - one) < 2e-3 for one in found), (length, sorted(found))


def thread(one):
    """Nominal diameter, mm, of a piece's thread; 0 without one."""
    return thread_of(one.thread).diameter if one.thread else 0.0


def outer(one, index):
    """Diameter, mm, that a piece is drawn with: of its thread where it has one outside."""
    return thread(one) if index in one.threaded else one.pieces[index].diameter * MM


def test_outlines_are_as_long_and_as_wide_as_the_part(turned):
    pieces, _, space, _ = turned
    long, wide = lines(space, "OUTLINE", "x"), lines(space, "OUTLINE", "y")
    expected_long = Counter()
    expected_wide = Counter()
    for one in pieces:
        for index, piece in enumerate(one.pieces):
            expected_long[round(piece.length * MM, 3)] += 2
            expected_wide[round(outer(one, index), 3)] += 2
    assert sum(long.values()) == sum(expected_long.values())
    held(expected_long, long)
    held(long, expected_long)
    held(expected_wide, wide)
    held(wide, expected_wide)


def test_the_end_view_has_the_parts_diameters(turned):
    pieces, _, space, _ = turned
    circles = [2.0 * circle.dxf.radius for circle in space.query('CIRCLE[layer=="OUTLINE"]')]
    expected = []
    for one in pieces:
        rod = len(one.threaded) == len(one.pieces)
        expected.append(thread(one) if rod else one.diameter * MM)
        if one.pieces[0].bore:
            expected.append(one.pieces[0].bore * MM)
    assert sorted(circles) == pytest.approx(sorted(expected), abs=1e-3)


def test_a_bore_is_drawn_as_wide_as_it_is(turned):
    """Hidden lines lie in pairs about the axis; a tapped bore's show the thread, a plain one's the bore."""
    pieces, _, space, _ = turned
    axes = {
        one.name: space.query(f'LINE[layer=="AXIS-{one.name.upper().replace(" ", "-")}"]')[0].dxf.start.y
        for one in pieces
    }
    rows = [line.dxf.start.y for line in space.query('LINE[layer=="HIDDEN"]')]
    bored = [(one, piece) for one in pieces for piece in one.pieces if piece.bore]
    assert len(rows) == 2 * len(bored)
    for one, piece in bored:
        half = 0.5 * (thread(one) if one.tapped else piece.bore * MM)
        assert 0.0 < 2.0 * half < piece.diameter * MM
        for side in (-half, half):
            assert any(abs(row - axes[one.name] - side) < 2e-3 for row in rows), (one.name, side)


def test_the_half_sections_that_are_turned_have_the_bore_of_the_part(turned):
    pieces, _, space, _ = turned
    for one in pieces:
        layer = one.name.upper().replace(" ", "-")
        axis = space.query(f'LINE[layer=="AXIS-{layer}"]')[0].dxf.start.y
        sections = space.query(f'LWPOLYLINE[layer=="PROFILE-{layer}"]')
        for piece, section in zip(one.pieces, sections, strict=True):
            x, y = zip(*section.get_points("xy"), strict=True)
            assert max(x) - min(x) == pytest.approx(piece.length * MM, abs=1e-4)
            assert 2.0 * (min(y) - axis) == pytest.approx(piece.bore * MM, abs=1e-4)
            assert 2.0 * (max(y) - axis) == pytest.approx(piece.diameter * MM, abs=1e-4)


def test_dimensions_name_the_parts_own_lengths(turned):
    pieces, _, space, _ = turned
    found = [dim.get_measurement() for dim in space.query("DIMENSION")]
    expected = []
    for one in pieces:
        expected.append(one.length * MM)
        if len(one.pieces) > 1:
            expected += [piece.length * MM for piece in one.pieces]
        if one.screwed_in:
            expected += [one.screwed_in * MM, (one.length - one.screwed_in) * MM]
        if len(one.threaded) < len(one.pieces):
            expected.append(one.diameter * MM)
        drive = drive_of(one)
        if drive and drive.across:
            expected.append(drive.across * MM)
    assert sorted(found) == pytest.approx(sorted(expected), abs=1e-3)


def test_words_say_how_far_a_thread_is_cut(turned):
    """A bolt that is plain where the blade swings on it must not be threaded there: the words say both lengths."""
    pieces, sheet, _, _ = turned
    said = [words.text for words in sheet.words]
    for one in pieces:
        if not one.thread:
            continue
        (line,) = [text for text in said if text.startswith(f"{one.thread} x") and _of(one, text)]
        partly = 0 < len(one.threaded) < len(one.pieces)
        assert ("full length" in line) == (bool(one.threaded) and not partly)
        if partly:
            cut = sum(one.pieces[index].length for index in one.threaded)
            assert f"over {millimetres(cut)} mm" in line
            for index in one.plain:
                assert f"plain Ø {millimetres(one.pieces[index].diameter)} mm" in line
        assert ("6H" in line) == one.tapped
        assert ("6g" in line) != one.tapped
        assert not any("counts as" in text for text in said)


def _of(one, text):
    return ("through" in text) == one.tapped


def test_pieces_lie_end_to_end_where_they_are(turned):
    """Steps of a piece in the order and at the places that they have along its axis."""
    pieces, _, space, _ = turned
    for one in pieces:
        layer = one.name.upper().replace(" ", "-")
        sections = space.query(f'LWPOLYLINE[layer=="PROFILE-{layer}"]')
        starts = [min(x for x, _ in section.get_points("xy")) for section in sections]
        low = min(piece.start for piece in one.pieces)
        assert [start - min(starts) for start in starts] == pytest.approx(
            [(piece.start - low) * MM for piece in one.pieces], abs=1e-4
        )


def test_a_scale_bar_is_as_long_as_it_says(turned):
    _, sheet, space, _ = turned
    (words,) = [one.text for one in sheet.words if "of the part =" in one.text]
    part, paper = float(words.split()[0]), float(words.split(" = ")[1].split()[0])
    assert paper == pytest.approx(part * sheet.scale)
    held(lines(space, "FRAME", "x"), [part])


def test_a_stack_reaches_as_far_from_the_axis_as_it_says(stacked):
    """Lengths and widths of bought pieces, and the distances of the ends from the feathering axis."""
    found, _, space = stacked
    solids = [
        solid
        for part in found.run.setup.assembly.parts
        if part.name in found.best.build.parts
        for solid in part.solids
    ]
    long, wide = lines(space, "OUTLINE", "x"), lines(space, "OUTLINE", "y")
    held(long, [solid.size[2] * MM for solid in solids])
    held([solid.size[2] * MM for solid in solids], long)
    held(wide, [solid.size[0] * MM for solid in solids])
    held([solid.size[0] * MM for solid in solids], wide)
    ends = [solid.centre[2] + side * solid.size[2] / 2.0 for solid in solids for side in (-1.0, 1.0)]
    low, top = min(ends) * MM, max(ends) * MM
    dims = sorted(dim.get_measurement() for dim in space.query("DIMENSION"))
    assert dims == pytest.approx(sorted([abs(low), abs(top), top - low]), abs=1e-3)


def test_balance_on_the_sheet_by_hand(turned):
    """ISO 21940-11: G = e omega, so a rotor of mass m may be out by U = G m / omega; at radius r that is U / r of mass.

    What all new pieces of a blade together may differ by, and each of them as many times less as there are.
    """
    _, sheet, _, found = turned
    scenario = found.plain
    grade = float(scenario.limits.balance_grade.strip("G ")) * 1e-3
    mass = scenario.rotor.blades * found.run.value("mass")
    allowed = grade * mass / float(scenario.rotor.speed) / found.best.build.made[0].radius * 1e6
    text = " ".join(words.text.strip() for words in sheet.words)
    said = float(text.split("between blades to ")[1].split(" mg")[0])
    each = float(text.split("Per piece: ")[1].split(" mg")[0])
    assert said == pytest.approx(allowed, rel=0.06)  # two figures
    count = sum(one.count for one in found.best.build.made)
    assert each == pytest.approx(allowed / count, rel=0.06)


def test_the_general_tolerance_is_worth_what_the_sheet_says(turned):
    """In millimetres and in inches, and what it changes: slope times half-width."""
    _, sheet, _, found = turned
    text = " ".join(words.text.strip() for words in sheet.words)
    half = float(text.split("heads, nuts, weights ±")[1].split(" mm")[0])
    inches = float(text.split(" mm (±")[1].split(" in)")[0])
    assert half == pytest.approx(found.tolerances.general * MM)
    assert inches * 25.4 == pytest.approx(half, rel=0.03, abs=2e-3)
    worst = max(found.tolerances.effects, key=lambda one: abs(one.slope))
    assert f"What matters most is the {worst.dimension}:" in text
    change = float(text.split(" by ")[1].split(". Trim")[0])
    assert change == pytest.approx(abs(worst.slope) * found.tolerances.general, rel=0.06)


def test_the_cut_list_says_how_many_of_what_size_and_what_one_weighs(turned):
    pieces, sheet, space, found = turned
    text = " ".join(words.text.strip() for words in sheet.words)
    for one in pieces:
        line = text.split(f"{one.count} x {one.name}: ")[1].split(" g each")[0]
        said, off = (float(word.strip("±")) for word in line.split()[-2:])
        fine = 0.01 if said >= 0.5 else 0.001  # g, as far as a workshop's scale tells
        assert said * 1e-3 == pytest.approx(_finished(one, space), abs=0.55e-3 * fine)
        assert off >= fine
        if len(one.threaded) == len(one.pieces):
            out = (one.length - one.screwed_in) * MM
            assert f"{one.thread} thread, {one.length * MM:g} mm long, {out:g} mm of it projecting" in line
        else:
            wide, long = (float(part.split(" mm")[0]) for part in line.split("Ø ")[1].split(" x ")[:2])
            assert (wide, long) == pytest.approx((one.diameter * MM, one.length * MM), abs=1e-3)
        assert f"({one.density:.0f} kg/m³)" in line
    # per blade: all of them together, less the bolt and nut that they take the place of, and what the sheet is for
    added = sum(one.count * one.mass for one in found.best.build.made) + float(found.best.build.beside.mass)
    off = () if found.best.route == "arms" else found.space.replaced
    added -= sum(part.moments.mass for part in build_assembly(found.plain).parts if part.name in off)
    said = text.split("adds ")[1].split(" N per blade")[0].split(" g and ")
    assert float(said[0]) * 1e-3 == pytest.approx(added, abs=1e-6)
    assert float(said[1]) == pytest.approx(found.best.load, abs=0.06)
    target, reached = text.split("target ")[1].split(" scale")[0].split(", reached ")
    assert float(target.removesuffix(" N").split()[-1]) == pytest.approx(found.target, rel=1e-3)
    assert float(reached.split()[0]) == pytest.approx(found.best.achieved, rel=1e-3)


def _finished(one, space):
    """kg: all of its rounds less what the flats or the slot of the DXF take, by the lines of its end view."""
    volume = sum(pi / 4.0 * (p.diameter**2 - p.bore**2) * p.length for p in one.pieces) / 1e-9
    drive = drive_of(one)
    if drive is None:
        return one.density * volume * 1e-9
    axis = space.query(f'LINE[layer=="AXIS-{one.name.upper().replace(" ", "-")}"]')[0].dxf.start.y
    radius, deep, off = one.diameter * MM / 2.0, drive.long * MM, (drive.across or drive.wide) * MM / 2.0
    drawn = [
        line
        for line in space.query('LINE[layer=="FLAT"]')
        if abs(line.dxf.start.y + line.dxf.end.y - 2.0 * axis) < 2e-3
        or abs(abs(line.dxf.start.y - axis) - off) < 2e-3
    ]
    assert drawn
    if drive.across:
        upright = max(abs(line.dxf.end.y - line.dxf.start.y) for line in drawn)
        assert upright == pytest.approx(2.0 * sqrt(radius**2 - off**2), abs=2e-3)
        cut = 2.0 * (radius**2 * acos(off / radius) - off * sqrt(radius**2 - off**2)) * deep
    else:
        across, bore = np.linspace(-off, off, 20_001), one.pieces[-1].bore * MM / 2.0
        ends = np.sqrt(radius**2 - across**2) - np.sqrt(np.maximum(bore**2 - across**2, 0.0))
        cut = 2.0 * np.trapezoid(ends, across) * deep
    return one.density * (volume - cut) * 1e-9


COARSE = {"M2": "0.4", "M2.5": "0.45", "M3": "0.5", "M4": "0.7", "M5": "0.8"}
"""Coarse pitches, mm (ISO 261, MEM)."""


def test_threads_are_called_by_size_and_pitch(turned):
    """With the drill for a tapped one: diameter less pitch (common practice, no source)."""
    pieces, sheet, _, _ = turned
    for one in (one for one in pieces if one.thread):
        begin = f"{one.thread} x {COARSE[one.thread]} - 6"
        said = [words.text for words in sheet.words if words.text.startswith(begin)]
        partly = 0 < len(one.threaded) < len(one.pieces)
        kind = "H through" if one.tapped else "g over " if partly else "g, full length"
        (own,) = [text for text in said if kind in text]
        if one.tapped:
            drill = float(one.thread[1:]) - float(COARSE[one.thread])
            assert float(own.split("tap drill Ø ")[1].split(" mm")[0]) == pytest.approx(drill)


def test_paper_shows_what_the_dxf_does(turned):
    """SVG and PDF: a sheet of A4, its lines and circles where the drawing has them."""
    _, sheet, _, _ = turned
    figure = sheet_figure(sheet)
    assert figure.get_size_inches() * 25.4 == pytest.approx((297.0, 210.0))
    (axes,) = figure.axes
    assert tuple(axes.get_position().bounds) == (0.0, 0.0, 1.0, 1.0)
    assert (*axes.get_xlim(), *axes.get_ylim()) == (0.0, 297.0, 0.0, 210.0)
    drawn = {tuple(map(tuple, line.get_xydata().round(6))) for line in axes.lines}
    for line in sheet.lines:
        assert (tuple(round(v, 6) for v in line.start), tuple(round(v, 6) for v in line.end)) in drawn
    rings = sorted((*patch.center, patch.radius) for patch in axes.patches if hasattr(patch, "radius"))
    expected = sorted((*one.centre, one.radius) for one in sheet.circles)
    assert sum(rings, ()) == pytest.approx(sum(expected, ()))
    words = {text.get_text(): text.get_position() for text in axes.texts}
    for one in sheet.words:
        assert one.text in words
    svg = sheet_bytes(sheet, "svg").decode("utf-8")
    width = float(svg.split('width="')[1].split("pt")[0])
    assert width / 72.0 * 25.4 == pytest.approx(297.0, abs=0.01)
