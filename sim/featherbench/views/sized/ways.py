"""All ways to a target beside one another, as they are ranked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from featherbench.checks.wording import times_text
from featherbench.numerals import row_texts
from featherbench.sizing.tolerance import UNMATCHED
from featherbench.views.view import POINT, Column, Row, Table

if TYPE_CHECKING:
    from featherbench.sizing import Alternative, Sizing

TARGET_KINDS = {"compensation": "ratio", "seat_ratio": "ratio", "rod_force": "force"}
RANKED = (
    "Ranked: what holds before what does not, what reaches the target before what misses it, then by added load; above "
    "and below are how far new parts reach from the feathering axis."
)
MOST = 8
"""Alternatives that are shown."""


def ways_table(sizing: Sizing, system: str) -> Table:
    """The best of each route and material, as they are ranked, the chosen one first."""
    shown, kind = sizing.alternatives[:MOST], TARGET_KINDS[sizing.quantity]
    columns, cells = [Column()], [[_way(one) for one in shown]]
    for title, own, values, gives_way in (
        (sizing.quantity.replace("_", " "), kind, [one.achieved for one in shown], 0),
        ("off target", kind, [one.residue for one in shown], 1),
        ("adds", "mass", [one.mass for one in shown], 2),
        ("load", "force", [one.load for one in shown], 0),
        ("above", "length", [one.above for one in shown], 3),
        ("below", "length", [one.below for one in shown], 3),
    ):
        texts, unit, _ = row_texts(list(values), own, system)
        columns.append(Column(f"{title} {unit}".rstrip(), POINT, gives_way=gives_way))
        cells.append(texts)
    cells.append([_strength(one) for one in shown])
    rows = tuple(Row(row) for row in zip(*cells, strict=True))
    heading = "Ways to do it, least load first" if len(shown) > 1 else "The way to do it"
    remarks = [f"{_way(one)}: {'; '.join(one.against)}." for one in shown if not one.holds][:2]
    table = (*columns, Column("strength"))
    return Table(heading, table, rows, remarks=(*remarks, *([RANKED] if len(shown) > 1 else [])))


def _way(one: Alternative) -> str:
    """In few words."""
    bare = {"standard": "bought hardware", "own": "what you own"}
    made = {"bolt": "bolt and nut", "arms": "arms", "collars": "collars"}
    return bare.get(one.route) or f"{made[one.route]}, {one.build.made[0].material}"


def _strength(one: Alternative) -> str:
    """Of what keeps blades and weights on, the worst; and whether the target is missed."""
    missed = "" if one.reached else ", misses"
    if one.margin is not None and one.against and all(why.startswith(UNMATCHED) for why in one.against):
        return f"OK, {times_text(one.margin)}, scale too coarse{missed}"
    if one.margin is None or (one.against and one.margin >= 1.0):
        return ("unknown" if one.against else "not asked") + missed
    return f"{'OK' if one.holds else 'FAILS'}, {times_text(one.margin)}{missed}"
