"""Where moved weights would stand inside other parts, as far as the parts' outlines tell."""

from __future__ import annotations

from math import hypot
from typing import NamedTuple

from featherbench.assembly import Assembly, PlacedPart
from featherbench.assembly.assembled import Solid

LEAST = 0.05e-3
"""m along the normal from which metal in metal counts: closer than that nobody sets a weight."""
OUTLINES = ("round", "hex", "box")


class Overlap(NamedTuple):
    """A weight that stands inside another part, so many m deep along the normal."""

    weight: str
    part: str
    depth: float


def overlaps(now: Assembly, file: Assembly) -> list[Overlap]:
    """Weights that stand inside parts in which (or beside which) they do not stand in the file, the deepest first.

    Parts that overlap in the file are left alone: there a drawing is simpler than what was built. So are parts turned
    about the feathering axis by different angles.
    """
    before = _pairs(file)
    found = [
        Overlap(*pair, depth)
        for pair, depth in _pairs(now).items()
        if depth > LEAST and before.get(pair, 0.0) <= LEAST
    ]
    return sorted(found, key=lambda one: -one.depth)


def _pairs(assembly: Assembly) -> dict[tuple[str, str], float]:
    weights = [part for part in assembly.parts if part.group == "counterweight"]
    return {
        (weight.name, part.name): _depth(weight, part)
        for weight in weights
        for part in assembly.parts
        if part is not weight and not (part.group == "counterweight" and part.name < weight.name)
    }


def _depth(part: PlacedPart, other: PlacedPart) -> float:
    """How deep any solid of one stands in any of the other, m; 0 when they are apart."""
    return max(
        (
            _common(solid, beside)
            for solid in part.solids
            for beside in other.solids
            if solid.turn == beside.turn and solid.kind in OUTLINES and beside.kind in OUTLINES
        ),
        default=0.0,
    )


def _common(solid: Solid, other: Solid) -> float:
    """Length along the normal that two upright solids share, 0 when one stands beside or in the bore of the other."""
    low = max(solid.centre[2] - solid.size[2] / 2.0, other.centre[2] - other.size[2] / 2.0)
    high = min(solid.centre[2] + solid.size[2] / 2.0, other.centre[2] + other.size[2] / 2.0)
    return max(high - low, 0.0) if _meet_in_plan(solid, other) else 0.0


def _meet_in_plan(solid: Solid, other: Solid) -> bool:
    """Whether their outlines, seen along the normal, have an area in common."""
    across, along = (abs(solid.centre[place] - other.centre[place]) for place in (0, 1))
    if not (_upright(solid) and _upright(other)):
        wide, long = ((solid.size[place] + other.size[place]) / 2.0 for place in (0, 1))
        return across < wide - LEAST and along < long - LEAST
    apart = hypot(across, along)
    reach, beside = solid.size[0] / 2.0, other.size[0] / 2.0
    in_bore = apart + beside <= solid.bore / 2.0 + LEAST or apart + reach <= other.bore / 2.0 + LEAST
    return apart < reach + beside - LEAST and not in_bore


def _upright(solid: Solid) -> bool:
    return solid.kind != "box" and solid.axis == "normal"
