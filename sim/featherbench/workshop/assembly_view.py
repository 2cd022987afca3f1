"""How the parts go together: a section along the bolt with numbered balloons, and the parts list.

Plain drawing practice, all from memory (MEM): sections and hatching ISO 128-3, of which screws, nuts and washers are
left out; item references ISO 6433. Blade straight out at zero pitch, above on the right.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

from featherbench.plain_text import plain
from featherbench.sizing import Sizing
from featherbench.workshop.parts_list import SIZE, cut_solids, items_of, write_list
from featherbench.workshop.sheet import (
    BLOCK,
    BOTTOM,
    LEFT,
    RIGHT,
    SCALES,
    TOP,
    Circle,
    Dim,
    Line,
    Point,
    Sheet,
    Words,
    both,
)
from featherbench.workshop.title_block import stamp, write_title

BALLOON, APART = 3.4, 9.0
"""Radius of a balloon, and from one to the next at least, mm on paper."""
HATCH, SAMPLE = 2.0, 0.1
"""From one hatching line to the next, and how finely lines are cut where something else lies, mm on paper."""
MORE = 2.5
"""mm of the part that a grip is drawn beyond the rest before it is broken off."""
ASIDE = 0.5
"""mm from the blade bolt from which on a part stands beside it."""
CLEAR = 0.3
"""mm of the part that a balloon's dot keeps from what lies over its part."""
TITLE = "assembled, in section along the blade bolt; blade tip upward, above (thrust side) on the right"
OVER, UNDER = 29.0, 24.0
"""Room above and below the section, mm."""


class Box(NamedTuple):
    """A cut solid on the paper: n to the right, radius upward, mm of the part; rank: what lies over what; item; new:
    it is one that was sized; broken: it goes on below.
    """

    low: Point
    high: Point
    rank: int
    item: int
    new: bool = False
    broken: bool = False

    def holds(self, x: float, y: float) -> bool:
        """Whether a point lies inside."""
        return self.low[0] < x < self.high[0] and self.low[1] < y < self.high[1]


def draw_assembly(sizing: Sizing, cautions: Sequence[str], word: str, why: Sequence[str]) -> Sheet:
    """The second sheet: parts that were sized in their places, with grip and blade root. word, why: as of sheet 1."""
    items, names = items_of(sizing)
    boxes = _boxes(sizing, names)
    sheet = Sheet(_scale(boxes), plain(sizing.plain.title))
    corners = [(LEFT, BOTTOM), (RIGHT, BOTTOM), (RIGHT, TOP), (LEFT, TOP), (LEFT, BOTTOM)]
    for start, end in itertools.pairwise(corners):
        sheet.lines.append(Line("frame", start, end))
    sheet.lines.append(Line("frame", (LEFT, BOTTOM + BLOCK), (RIGHT, BOTTOM + BLOCK)))
    sheet.words.append(Words((LEFT + 3.0, TOP - 7.0), 3.4, TITLE, True))
    _section(sheet, boxes)
    write_list(sheet, sizing, items, cautions)
    write_title(sheet, sizing, "sheet 2 of 2")
    sheet.stamp = stamp(word, why)
    return sheet


def _boxes(sizing: Sizing, names: dict[str, int]) -> list[Box]:
    """All that is cut: grip lowest, blade root over it, fasteners and weights over both."""
    deep = {name: one.screwed_in for one in sizing.best.build.made for name in one.fitted}
    found: list[Box] = []
    for part in sizing.run.setup.assembly.parts:
        if part.name not in names:
            continue
        rank, item = {"grip": 0, "blade": 1}.get(part.group, 2), names[part.name]
        new = part.name in sizing.best.build.parts
        for solid in cut_solids(sizing, part):
            n, r = 1e3 * solid.centre[2], 1e3 * solid.centre[0]
            along, across, into = 500.0 * solid.size[2], 500.0 * solid.size[0], 1e3 * deep.get(part.name, 0.0)
            low, high = (n - along - into, n + along) if n > 0.0 else (n - along, n + along + into)
            over = (
                1 if rank == 2 and not (solid.bore or solid.tapped) else 0
            )  # a bolt lies over what it goes through
            found.append(Box((low, r - across), (high, r + across), rank + over, item, new))
    return _broken_off(found)


def _broken_off(boxes: list[Box]) -> list[Box]:
    """The grip only as far inward as there is something to see, and a little more."""
    foot = min(box.low[1] for box in boxes if box.rank > 0) - MORE
    return [
        box._replace(low=(box.low[0], foot), broken=True)
        if box.rank == 0 and box.low[1] < foot < box.high[1]
        else box
        for box in boxes
        if box.high[1] > foot
    ]


def _ends(boxes: Sequence[Box]) -> tuple[Point, Point]:
    low = (min(one.low[0] for one in boxes), min(one.low[1] for one in boxes))
    return low, (max(one.high[0] for one in boxes), max(one.high[1] for one in boxes))


def _scale(boxes: Sequence[Box]) -> float:
    """The largest scale at which the section fits between its balloons and dimensions."""
    low, high = _ends(boxes)
    for scale in SCALES:
        wide, tall = (high[0] - low[0]) * scale + 40.0, (high[1] - low[1]) * scale + OVER + UNDER
        if wide <= RIGHT - LEFT and tall <= TOP - BOTTOM - BLOCK:
            return scale
    return SCALES[-1]


def _section(sheet: Sheet, boxes: Sequence[Box]) -> None:
    """Outlines as far as nothing lies over them, hatching, axis, heights from it, balloons."""
    low, high = _ends(boxes)
    room = 0.5 * (BOTTOM + BLOCK + TOP + UNDER - OVER)
    middle = room - 0.5 * (low[1] + high[1]) * sheet.scale
    origin = (0.5 * (LEFT + RIGHT) - 0.5 * (low[0] + high[0]) * sheet.scale, middle)

    def paper(x: float, y: float) -> Point:
        return origin[0] + x * sheet.scale, origin[1] + y * sheet.scale

    for box in boxes:
        over = [one for one in boxes if one.rank > box.rank]

        def free(x: float, y: float, over: Sequence[Box] = over) -> bool:
            return not any(one.holds(x, y) for one in over)

        (x0, y0), (x1, y1) = box.low, box.high
        for start, end in (
            ((x0, y0), (x1, y0)),
            ((x1, y0), (x1, y1)),
            ((x1, y1), (x0, y1)),
            ((x0, y1), (x0, y0)),
        ):
            thin = box.broken and start[1] == end[1] == y0
            _lines(sheet, "hatch" if thin else "outline", start, end, free, paper)
        if box.rank < 2:
            _hatch(sheet, box, free, paper)
    foot, top = paper(0.0, low[1])[1] - 6.0, paper(0.0, high[1])[1] + 6.0
    sheet.lines.append(Line("axis", (origin[0], foot), (origin[0], top)))
    sheet.words.append(Words((origin[0] + 1.0, foot - 3.0), SIZE, "feathering axis"))
    _reach(sheet, boxes, paper)
    _holes(sheet, boxes, paper)
    _balloons(sheet, boxes, paper)


def _lines(
    sheet: Sheet,
    layer: str,
    start: Point,
    end: Point,
    free: Callable[[float, float], bool],
    paper: Callable[..., Point],
) -> None:
    """A line as far as it is free."""
    long = math.dist(start, end)
    count = max(int(long * sheet.scale / SAMPLE), 1)
    shares = [(step + 0.5) / count for step in range(count)]
    seen = [free(start[0] + s * (end[0] - start[0]), start[1] + s * (end[1] - start[1])) for s in shares]
    for shown, run in itertools.groupby(range(count), key=seen.__getitem__):
        steps = list(run)
        if shown:
            a, b = steps[0] / count, (steps[-1] + 1) / count
            ends = [(start[0] + s * (end[0] - start[0]), start[1] + s * (end[1] - start[1])) for s in (a, b)]
            sheet.lines.append(Line(layer, paper(*ends[0]), paper(*ends[1])))


def _hatch(sheet: Sheet, box: Box, free: Callable[[float, float], bool], paper: Callable[..., Point]) -> None:
    """Lines at 45 degrees, those of the blade root the other way."""
    (x0, y0), (x1, y1) = box.low, box.high
    way, step = (1.0 if box.rank == 0 else -1.0), HATCH * math.sqrt(2.0) / sheet.scale
    corners = [y - way * x for x, y in itertools.product((x0, x1), (y0, y1))]
    for number in range(math.ceil(min(corners) / step), math.floor(max(corners) / step) + 1):
        c = number * step  # y = way x + c
        ends = sorted(((y0 - c) / way, (y1 - c) / way))
        a, b = max(x0, ends[0]), min(x1, ends[1])
        if b > a:
            _lines(sheet, "hatch", (a, way * a + c), (b, way * b + c), free, paper)


def _reach(sheet: Sheet, boxes: Sequence[Box], paper: Callable[..., Point]) -> None:
    """How far what is new reaches, above and below."""
    new = [box for box in boxes if box.new]
    below, above = min(box.low[0] for box in new), max(box.high[0] for box in new)
    foot = min(box.low[1] for box in boxes)
    for row, end in enumerate(
        (above, below)
    ):  # words stand beside what is too short for them: a level for each
        level = paper(0.0, foot)[1] - 13.0 - 5.5 * row
        x0, x1 = sorted((0.0, end))
        text = f"{'below' if end < 0.0 else 'above'} {both(abs(end) * 1e-3)}"
        start, stop = paper(x0, foot), paper(x1, foot)
        sheet.dims.append(Dim(start, stop, (start[0], level), "x", text))


def _holes(sheet: Sheet, boxes: Sequence[Box], paper: Callable[..., Point]) -> None:
    """How far from the blade bolt what is new stands, where it stands beside it."""
    middles = {
        new: [0.5 * (one.low[1] + one.high[1]) for one in boxes if one.new is new and one.rank > 1]
        for new in (True, False)
    }
    if not middles[True] or not middles[False]:
        return
    bolt, arm = middles[False][0], middles[True][0]
    if abs(bolt - arm) < ASIDE:
        return
    start, end = (paper(max(one.high[0] for one in boxes), radius) for radius in (arm, bolt))
    text = f"hole to blade bolt {both(abs(bolt - arm) * 1e-3)}"
    sheet.dims.append(Dim(start, end, (start[0] + 9.0, start[1]), "y", text))


def _balloons(sheet: Sheet, boxes: Sequence[Box], paper: Callable[..., Point]) -> None:
    """Over the section from left to right, each with a line to a dot in its part."""
    over = paper(0.0, max(box.high[1] for box in boxes))[1] + 14.0
    rows = []
    for item in sorted({box.item for box in boxes if box.item}):
        own = [box for box in boxes if box.item == item]
        rows.append((_seen(own, boxes), item))
    rows.sort()
    left = 0.0
    for (x, y), item in rows:
        at = paper(x, y)
        middle = max(at[0], left + APART) if left else at[0]
        left = middle
        centre = (middle, over)
        sheet.circles.append(Circle("sign", centre, BALLOON))
        sheet.words.append(Words((middle - 0.9 * len(str(item)), over - 1.1), 3.2, str(item)))
        away = math.dist(centre, at)
        foot = (centre[0] + BALLOON * (at[0] - centre[0]) / away, over + BALLOON * (at[1] - over) / away)
        sheet.lines.append(Line("sign", foot, at))
        sheet.circles.append(Circle("sign", at, 0.4))


def _seen(own: Sequence[Box], boxes: Sequence[Box]) -> Point:
    """A point of a part that nothing lies over, as high as can be."""
    best: tuple[float, Point] | None = None
    for box in own:
        over = [one for one in boxes if one.rank > box.rank]
        for i, j in itertools.product(range(1, 10), range(1, 10)):
            x = box.low[0] + i / 10.0 * (box.high[0] - box.low[0])
            y = box.low[1] + j / 10.0 * (box.high[1] - box.low[1])
            hidden = any(
                one.holds(x + dx, y + dy) for one in over for dx in (-CLEAR, CLEAR) for dy in (-CLEAR, CLEAR)
            )
            worth = y - 0.2 * abs(i - 5) - 100.0 * hidden
            if best is None or worth > best[0]:
                best = (worth, (x, y))
    assert best is not None
    return best[1]
