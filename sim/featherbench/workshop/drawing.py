"""The workshop drawing as data: lines, circles, dimensions and words on one sheet, before any file format.

Coordinates are millimetres on paper; divided by the scale they are millimetres of the part. One sheet serves A4 and
Letter: all that matters lies within the area common to both.
"""

from __future__ import annotations

import itertools
import math
import textwrap
from collections.abc import Sequence
from dataclasses import replace

from featherbench.assembly import Solid
from featherbench.assembly.hardware import thread_of
from featherbench.plain_text import plain
from featherbench.sizing import MachinedPart, Sizing
from featherbench.sizing.drive import drive_of
from featherbench.workshop.sheet import (
    BLOCK,
    BOTTOM,
    DIM_SIZE,
    GAP,
    LEFT,
    RIGHT,
    ROW,
    SCALES,
    SIDES,
    TOP,
    Circle,
    Dim,
    Line,
    Point,
    Profile,
    Sheet,
    Words,
    both,
)
from featherbench.workshop.title_block import stamp, to_make, write_block
from featherbench.workshop.turned_details import bore_words, notes, thread_words

LETTER = 0.62 * DIM_SIZE
"""Width of a letter of a dimension, mm on paper."""
THREAD_LEFT = 88.0
"""Where the words of a thread begin, mm from the frame."""
END_OFF = 12.0
"""Of an end view's middle beyond the room for dimensions, mm."""
NOTE_SIZE, NOTE_STEP, NOTE_WIDE = 2.3, 3.2, 165
"""Of the notes below the views: height, from line to line, mm; letters of a line."""


def draw_sheet(sizing: Sizing, cautions: Sequence[str], word: str, why: Sequence[str]) -> Sheet:
    """The drawing of the part that size found. word: what is stamped across it, because the build must not be run or is
    over-balanced, "" for nothing; why: the lines over it.
    """
    turned = [replace(part, pieces=part.whole) for part in sizing.best.build.made if not part.standard]
    sheet = Sheet(_scale(sizing, turned), plain(sizing.plain.title))
    _frame(sheet)
    if turned:
        top = TOP - 9.0
        for part in turned:
            high = part.diameter * 1e3 * sheet.scale
            _turned(sheet, part, sizing.plain.rotor.blades, (LEFT + 14.0, top - 4.0 - high / 2.0))
            top -= high + ROW
        _notes(sheet, turned)
    else:
        _stack(sheet, sizing)
    write_block(sheet, sizing, cautions)
    sheet.stamp = stamp(word, why)
    return sheet


def _scale(sizing: Sizing, turned: list[MachinedPart]) -> float:
    """The largest scale at which all views fit."""
    across, along = RIGHT - LEFT, TOP - BOTTOM - BLOCK - 6.0
    for scale in SCALES:
        if turned:
            wide = max((part.length + part.diameter) * 1e3 * scale for part in turned) + SIDES + GAP
            high = sum(part.diameter * 1e3 * scale + ROW for part in turned)
        else:
            low, top = _stack_ends(sizing)
            wide, high = (top - low) * 1e3 * scale + 100.0, 10.0 * scale + 60.0
        if wide <= across and high <= along:
            return scale
    return SCALES[-1]


def _frame(sheet: Sheet) -> None:
    corners = [(LEFT, BOTTOM), (RIGHT, BOTTOM), (RIGHT, TOP), (LEFT, TOP), (LEFT, BOTTOM)]
    for start, end in itertools.pairwise(corners):
        sheet.lines.append(Line("frame", start, end))
    sheet.lines.append(Line("frame", (LEFT, BOTTOM + BLOCK), (RIGHT, BOTTOM + BLOCK)))


def _box(sheet: Sheet, layer: str, low: Point, high: Point) -> None:
    (x0, y0), (x1, y1) = low, high
    for start, end in (
        ((x0, y0), (x1, y0)),
        ((x1, y0), (x1, y1)),
        ((x1, y1), (x0, y1)),
        ((x0, y1), (x0, y0)),
    ):
        sheet.lines.append(Line(layer, start, end))


def _turned(sheet: Sheet, part: MachinedPart, blades: int, origin: Point) -> None:
    """Side view of a turned piece, and its view from the right; origin: left end of its axis."""
    unit = 1e3 * sheet.scale
    start = min(piece.start for piece in part.pieces)
    x, y = origin
    half = part.diameter * unit / 2.0
    end = x + part.length * unit
    nominal = thread_of(part.thread).diameter * 1e-3 if part.thread else 0.0
    sheet.words.append(
        Words((LEFT + 3.0, y + half + 4.5), 3.4, f"{part.name}: {to_make(part, blades)}", True)
    )
    sheet.lines.append(Line(f"axis {part.name}", (x - 4.0, y), (end + 4.0, y)))
    for index, piece in enumerate(part.pieces):
        x0, x1 = x + (piece.start - start) * unit, x + (piece.start + piece.length - start) * unit
        inner, outer = piece.bore * unit / 2.0, piece.diameter * unit / 2.0
        corners = ((x0, y + inner), (x1, y + inner), (x1, y + outer), (x0, y + outer))
        sheet.profiles.append(Profile(part.name, corners, y))
        shown = nominal * unit / 2.0 if index in part.threaded else outer
        _box(sheet, "outline", (x0, y - shown), (x1, y + shown))
        if index in part.threaded:
            _pair(sheet, "thread", x0, x1, y, 0.82 * shown)
        if piece.bore:
            _pair(sheet, "hidden", x0, x1, y, nominal * unit / 2.0 if part.tapped else inner)
    _lengths(sheet, part, origin)
    _diameters(sheet, part, origin, nominal)
    centre = (end + GAP + half, y)
    _end_view(sheet, part, centre, nominal * unit / 2.0)
    _drive(sheet, part, (end, y), (centre[0] + END_OFF, y))


def _pair(sheet: Sheet, layer: str, x0: float, x1: float, y: float, off: float) -> None:
    for side in (-off, off):
        sheet.lines.append(Line(layer, (x0, y + side), (x1, y + side)))


def _lengths(sheet: Sheet, part: MachinedPart, origin: Point) -> None:
    """Each piece's length, then the whole."""
    unit, (x, y) = 1e3 * sheet.scale, origin
    start = min(piece.start for piece in part.pieces)
    below = y - part.diameter * unit / 2.0
    several = [(piece.start, piece.length) for piece in part.pieces] if len(part.pieces) > 1 else []
    if part.screwed_in:  # of a stud: what goes into the grip, and what stands out of it
        several = [(start, part.screwed_in), (start + part.screwed_in, part.length - part.screwed_in)]
    tight = any(length * unit < LETTER * len(both(length)) for _, length in several)
    for row, (low, length) in enumerate(several):  # beside a line too short for them, words need a level each
        x0 = x + (low - start) * unit
        x1 = x0 + length * unit
        level = 5.0 + 4.5 * row if tight else 7.0
        sheet.dims.append(Dim((x0, below), (x1, below), (x0, below - level), "x", both(length)))
    level = 5.0 + 4.5 * len(several) if tight else 14.0 if several else 7.0
    end = x + part.length * unit
    sheet.dims.append(Dim((x, below), (end, below), (x, below - level), "x", both(part.length)))


def _diameters(sheet: Sheet, part: MachinedPart, origin: Point, nominal: float) -> None:
    """Outside diameter at the right, thread in words over the shank or beside the bore."""
    unit, (x, y) = 1e3 * sheet.scale, origin
    half, end = part.diameter * unit / 2.0, x + part.length * unit
    over = max(part.diameter, nominal) * unit / 2.0 + 4.5
    if any(index not in part.threaded for index in range(len(part.pieces))):
        sheet.dims.append(
            Dim((end, y - half), (end, y + half), (end + 8.0, y), "y", both(part.diameter, "Ø "))
        )
    if part.thread or part.pieces[0].bore:
        text = thread_words(part) if part.thread else bore_words(part)
        sheet.words.append(Words((LEFT + THREAD_LEFT, y + over), 2.8, text))


def _end_view(sheet: Sheet, part: MachinedPart, centre: Point, thread: float) -> None:
    unit, (x, y) = 1e3 * sheet.scale, centre
    plain_rod = all(index in part.threaded for index in range(len(part.pieces)))
    outer = thread if plain_rod else part.diameter * unit / 2.0
    x += END_OFF
    sheet.circles.append(Circle("outline", (x, y), outer))
    if part.tapped or plain_rod:
        sheet.circles.append(Circle("thread", (x, y), thread if part.tapped else 0.82 * thread))
    if part.pieces[0].bore:
        sheet.circles.append(Circle("outline", (x, y), part.pieces[0].bore * unit / 2.0))
    sheet.lines.append(Line("axis", (x - outer - 3.0, y), (x + outer + 3.0, y)))
    sheet.lines.append(Line("axis", (x, y - outer - 3.0), (x, y + outer + 3.0)))


def _drive(sheet: Sheet, part: MachinedPart, end: Point, middle: Point) -> None:
    """Flats, with the crossed lines of a plane face, or a slot; end: right end of the axis, middle: of the end view."""
    drive = drive_of(part)
    if drive is None:
        return
    unit, (x, y) = 1e3 * sheet.scale, end
    half = part.diameter * unit / 2.0
    off = (drive.across or drive.wide) * unit / 2.0
    reach = math.sqrt(max(half**2 - off**2, 0.0))
    low = x - drive.long * unit
    high = reach if drive.across else off
    for start, stop in (((low, y - high), (low, y + high)), ((low, y - high), (x, y - high))):
        sheet.lines.append(Line("flat", start, stop))
    sheet.lines.append(Line("flat", (low, y + high), (x, y + high)))
    if not drive.across:
        bore = part.pieces[-1].bore * unit / 2.0
        hollow = math.sqrt(max(bore**2 - off**2, 0.0)) if bore else 0.0
        for side in (-off, off):
            for way in (-1.0, 1.0):
                ends = ((middle[0] + way * hollow, y + side), (middle[0] + way * reach, y + side))
                sheet.lines.append(Line("flat", *ends))
        return
    sheet.lines.append(Line("diagonal", (low, y - high), (x, y + high)))
    sheet.lines.append(Line("diagonal", (low, y + high), (x, y - high)))
    for side in (-off, off):
        sheet.lines.append(Line("flat", (middle[0] + side, y - reach), (middle[0] + side, y + reach)))
    left, right = (middle[0] - off, y - reach), (middle[0] + off, y - reach)
    sheet.dims.append(Dim(left, right, (left[0], y - half - 7.0), "x", both(drive.across, "AF ")))


def _notes(sheet: Sheet, turned: list[MachinedPart]) -> None:
    """Below the views, just over the block."""
    texts = [*filter(None, (notes(part) for part in turned))]
    if texts:
        texts.append("No centre hole may remain on a finished piece (ISO 6411).")
    rows = [line for text in texts for line in textwrap.wrap(text, NOTE_WIDE)]
    for number, row in enumerate(reversed(rows)):
        at = (LEFT + 3.0, BOTTOM + BLOCK + 1.6 + NOTE_STEP * number)
        sheet.words.append(Words(at, NOTE_SIZE, row))


def _stack_ends(sizing: Sizing) -> tuple[float, float]:
    solids = _stack_solids(sizing)
    return (
        min(solid.centre[2] - solid.size[2] / 2.0 for _, solid in solids),
        max(solid.centre[2] + solid.size[2] / 2.0 for _, solid in solids),
    )


def _stack_solids(sizing: Sizing) -> list[tuple[str, Solid]]:
    names = set(sizing.best.build.parts)
    return [
        (part.name, solid)
        for part in sizing.run.setup.assembly.parts
        if part.name in names
        for solid in part.solids
    ]


def _stack(sheet: Sheet, sizing: Sizing) -> None:
    """Bought pieces as they are put together, head on the right; heights from the feathering axis."""
    unit = 1e3 * sheet.scale
    low, top = _stack_ends(sizing)
    x, y = LEFT + 50.0 - low * unit, BOTTOM + BLOCK + 70.0
    wide = 0.0
    for _, solid in _stack_solids(sizing):
        x0, x1 = (
            x + (solid.centre[2] - solid.size[2] / 2.0) * unit,
            x + (solid.centre[2] + solid.size[2] / 2.0) * unit,
        )
        half = solid.size[0] * unit / 2.0
        wide = max(wide, half)
        _box(sheet, "outline", (x0, y - half), (x1, y + half))
    sheet.lines.append(Line("axis", (x + low * unit - 4.0, y), (x + top * unit + 4.0, y)))
    sheet.lines.append(Line("axis", (x, y - wide - 8.0), (x, y + wide + 12.0)))
    sheet.words.append(Words((x + 1.5, y + wide + 9.0), 2.8, "feathering axis"))
    words = "assembled; nuts and washers as listed below, screw head on the right (above the blade)"
    sheet.words.append(Words((LEFT + 3.0, TOP - 7.0), 3.4, words, True))
    for end, level in ((low, 8.0), (top, 8.0)):
        x0, x1 = sorted((x, x + end * unit))
        sheet.dims.append(Dim((x0, y - wide), (x1, y - wide), (x0, y - wide - level), "x", both(abs(end))))
    ends = (x + low * unit, x + top * unit)
    sheet.dims.append(
        Dim((ends[0], y - wide), (ends[1], y - wide), (ends[0], y - wide - 16.0), "x", both(top - low))
    )
