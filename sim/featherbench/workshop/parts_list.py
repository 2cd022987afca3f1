"""The parts list of the assembly: how many of what, of which size and material, how tight (ISO 7573, MEM)."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import NamedTuple

from featherbench.assembly import PlacedPart, Solid
from featherbench.plain_text import plain
from featherbench.scenario import parts as written
from featherbench.sizing import MachinedPart, Sizing
from featherbench.workshop.sheet import BLOCK, BOTTOM, LEFT, Line, Sheet, Words
from featherbench.workshop.title_block import TITLE_LEFT, write_cautions

ROW, SIZE = 3.1, 2.4
"""Of the parts list: height of a row and of its words, mm."""
ACROSS = 295.0
"""Of the cautions, as CAUTION_WIDE: the list leaves them little height."""
COLUMNS = (
    (0.0, "item"),
    (9.0, "per blade"),
    (24.0, "in all"),
    (35.0, "what"),
    (62.0, "standard, size"),
    (118.0, "material"),
)


class Item(NamedTuple):
    """A row of the parts list: number per blade (None: as fitted), what, standard or size, material."""

    number: int | None
    what: str
    size: str
    material: str


def items_of(sizing: Sizing) -> tuple[list[Item], dict[str, int]]:
    """Rows in order, and of each part of the scenario its row, counted from 1."""
    made = sizing.best.build.made
    rows = [Item(one.count, one.name, _size(one), one.material) for one in made]
    names = {name: number for number, one in enumerate(made, 1) for name in one.fitted}
    own: dict[tuple[str, str], list[str]] = {}
    order = {"grip": 0, "blade": 1, "bolt": 2}
    for part in sorted(sizing.run.setup.assembly.parts, key=lambda one: order.get(one.group, 3)):
        if part.group in order and part.name not in names and cut_solids(sizing, part):
            own.setdefault(_fitted(sizing, part), []).append(part.name)
    for what, fitted in own.items():
        rows.append(Item(None, *what, ""))
        names |= dict.fromkeys(fitted, len(rows))
    return rows, names


def _fitted(sizing: Sizing, part: PlacedPart) -> tuple[str, str]:
    """What a part is that the build has already, and its size."""
    given = sizing.run.setup.scenario.part[part.name]
    if part.group != "bolt":
        return {"grip": "grip", "blade": "blade root"}[part.group], "as fitted"
    what = "blade bolt" if any(one.thread for one in part.solids) else "washer"
    what = "nut" if any(one.tapped for one in part.solids) else what
    if isinstance(given, written.ScrewPart | written.NutPart | written.WasherPart):
        return what, f"{given.standard} {given.size}, as fitted"
    return what, "as fitted"


def _size(one: MachinedPart) -> str:
    if not one.standard:
        return "sheet 1"
    return " ".join(filter(None, (one.standard, one.where and f"({one.where})")))


def cut_solids(sizing: Sizing, part: PlacedPart) -> list[Solid]:
    """Its solids that the plane through the feathering axis and the bolt's axis cuts."""
    chord = sizing.run.setup.assembly.bolt.chord
    return [
        solid
        for solid in part.solids
        if solid.kind in ("box", "round", "hex") and abs(solid.centre[1] - chord) < solid.size[1] / 2.0
    ]


def write_list(sheet: Sheet, sizing: Sizing, items: Sequence[Item], cautions: Sequence[str]) -> None:
    """Parts list, how it is tightened and locked, and all cautions."""
    sheet.lines.append(Line("frame", (TITLE_LEFT, BOTTOM), (TITLE_LEFT, BOTTOM + BLOCK)))
    y, blades = BOTTOM + BLOCK - 4.2, sizing.plain.rotor.blades
    for x, head in COLUMNS:
        sheet.words.append(Words((LEFT + 2.0 + x, y), SIZE, head, True))
    for number, item in enumerate(items, 1):
        y -= ROW
        counts = ("", "") if item.number is None else (str(item.number), str(item.number * blades))
        for (x, _), text in zip(
            COLUMNS,
            (str(number), *counts, item.what, plain(item.size, 38), plain(item.material, 28)),
            strict=True,
        ):
            sheet.words.append(Words((LEFT + 2.0 + x, y), SIZE, text))
    sheet.lines.append(Line("frame", (LEFT, y - 1.4), (TITLE_LEFT, y - 1.4)))
    y -= 1.4
    for line in textwrap.wrap(_locking(sizing), 130):
        y -= ROW
        sheet.words.append(Words((LEFT + 2.0, y), SIZE, line))
    write_cautions(sheet, cautions, y - ROW - 0.6, ACROSS)


def _locking(sizing: Sizing) -> str:
    """How tight, and what keeps it so."""
    if sizing.best.route == "arms":
        return "Screw each stud in to its depth, its weight on to the outer end, flats outward; thread lock on both."
    swing = (
        "Nut only so tight that the blade still swings freely on its plain shank"
        if sizing.plain.blade.swing == "free"
        else "Nut tight"
    )
    if sizing.best.route == "collars":
        swing = f"A ring's chamfer towards the screw's head; a tapped collar with thread lock, flats outward. {swing}"
    return (
        f"{swing}; locked by a second nut, a nut that locks itself, or thread lock: never by friction alone."
    )
