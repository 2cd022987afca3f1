"""The workshop drawing as data: lines, circles, dimensions and words on one sheet, before any file format.

Coordinates are millimetres on paper; divided by the scale they are millimetres of the part. One sheet serves A4 and
Letter: all that matters lies within the area common to both.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from featherbench.assembly import Solid
from featherbench.assembly.hardware import thread_of
from featherbench.plain_text import plain
from featherbench.sizing import MachinedPart, Sizing
from featherbench.workshop.sheet import (
    BLOCK,
    BOTTOM,
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
from featherbench.workshop.title_block import stamp, write_block


def draw_sheet(sizing: Sizing, cautions: Sequence[str], word: str, why: Sequence[str]) -> Sheet:
    """The drawing of the part that size found. word: what is stamped across it, because the build must not be run or is
    over-balanced, "" for nothing; why: the lines over it.
    """
    turned = [part for part in sizing.best.build.made if not part.standard]
    sheet = Sheet(_scale(sizing, turned), plain(sizing.plain.title))
    _frame(sheet)
    if turned:
        top = TOP - 9.0
        for part in turned:
            high = part.diameter * 1e3 * sheet.scale
            _turned(sheet, part, (LEFT + 14.0, top - 4.0 - high / 2.0))
            top -= high + ROW
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


def _turned(sheet: Sheet, part: MachinedPart, origin: Point) -> None:
    """Side and end view of a turned piece; origin: left end of its axis."""
    unit = 1e3 * sheet.scale
    start = min(piece.start for piece in part.pieces)
    x, y = origin
    half = part.diameter * unit / 2.0
    end = x + part.length * unit
    nominal = thread_of(part.thread).diameter * 1e-3 if part.thread else 0.0
    sheet.words.append(Words((LEFT + 3.0, y + half + 4.5), 3.4, f"{part.name}, {part.count} per blade", True))
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


def _pair(sheet: Sheet, layer: str, x0: float, x1: float, y: float, off: float) -> None:
    for side in (-off, off):
        sheet.lines.append(Line(layer, (x0, y + side), (x1, y + side)))


def _lengths(sheet: Sheet, part: MachinedPart, origin: Point) -> None:
    """Each piece's length, then the whole."""
    unit, (x, y) = 1e3 * sheet.scale, origin
    start = min(piece.start for piece in part.pieces)
    below = y - part.diameter * unit / 2.0
    for piece in part.pieces if len(part.pieces) > 1 else ():
        x0 = x + (piece.start - start) * unit
        x1 = x0 + piece.length * unit
        sheet.dims.append(Dim((x0, below), (x1, below), (x0, below - 7.0), "x", both(piece.length)))
    level = 14.0 if len(part.pieces) > 1 else 7.0
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
    if part.thread:
        sheet.words.append(Words((LEFT + 64.0, y + over), 2.8, _thread_words(part)))


def _thread_words(part: MachinedPart) -> str:
    """Its thread, how far it is cut, what is plain beside it, and the diameter that it weighs as."""
    size = f"{part.thread} x {thread_of(part.thread).pitch:g}"
    if part.tapped:
        return f"{size} tapped through; counts as {both(part.pieces[0].bore, 'Ø ')}"
    core = both(part.pieces[part.threaded[0]].diameter, "Ø ")
    if len(part.threaded) == len(part.pieces):
        return f"{size} thread, full length; counts as {core}"
    cut = both(sum(part.pieces[index].length for index in part.threaded))
    shank = "".join(f", then plain {both(part.pieces[index].diameter, 'Ø ')}" for index in part.plain)
    return f"{size} over {cut}{shank}; thread counts as {core}"


def _end_view(sheet: Sheet, part: MachinedPart, centre: Point, thread: float) -> None:
    unit, (x, y) = 1e3 * sheet.scale, centre
    plain_rod = all(index in part.threaded for index in range(len(part.pieces)))
    outer = thread if plain_rod else part.diameter * unit / 2.0
    x += 12.0
    sheet.circles.append(Circle("outline", (x, y), outer))
    if part.tapped or plain_rod:
        sheet.circles.append(Circle("thread", (x, y), thread if part.tapped else 0.82 * thread))
    if part.tapped:
        sheet.circles.append(Circle("outline", (x, y), part.pieces[0].bore * unit / 2.0))
    sheet.lines.append(Line("axis", (x - outer - 3.0, y), (x + outer + 3.0, y)))
    sheet.lines.append(Line("axis", (x, y - outer - 3.0), (x, y + outer + 3.0)))


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
