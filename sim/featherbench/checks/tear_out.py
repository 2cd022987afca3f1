"""Does the blade bolt tear out of the end of the grip or of the blade root, or break what is left beside its hole.

Behind the hole two planes shear, from the hole to the end, as long as the metal behind it; beside it what the hole
leaves of the width is pulled. Both at yield, a stated fraction of it; the mean stress over each section (E. F. Bruhn,
Analysis and Design of Flight Vehicle Structures, chapter D1, from memory, allows more).
"""

from __future__ import annotations

from typing import NamedTuple

from featherbench.assembly import PlacedPart
from featherbench.checks.bolt import DESIGN_FRACTION
from featherbench.checks.bolt_joint import Case, find_bolt, pin_joint, shank_width
from featherbench.checks.check import Check, unknown
from featherbench.checks.sections import CHORD, RADIUS, ends, on_axis
from featherbench.checks.strength import part_strength
from featherbench.checks.thread import SHEAR_OF_YIELD

GRIP, ROOT = "bolt hole in the grip, tearing out", "bolt hole in the blade root, tearing out"
OUTWARD, INWARD = 1.0, -1.0
ROUNDING = 1e-7
"""m"""


class Hole(NamedTuple):
    """m: diameter; behind: from the hole to the end that the bolt pulls toward; beside: width less the hole, both sides
    together, of the thinner side twice.
    """

    diameter: float
    behind: float
    beside: float


def tear_out_checks(case: Case) -> tuple[Check, ...]:
    """Cheeks toward the outer end of the grip, root toward its inner end; silent where bolt or joint are not known."""
    bolt, joint = find_bolt(case), pin_joint(case)
    if isinstance(bolt, str) or isinstance(joint, str):
        return ()
    shown = case.shown
    sides = (
        (GRIP, shown.grip_parts, OUTWARD, 2.0 * joint.thin_cheek),
        (ROOT, shown.root_parts, INWARD, joint.root),
    )
    return tuple(_torn(case, shank_width(bolt, joint), *side) for side in sides if side[1])


def _torn(
    case: Case, wide: float, name: str, parts: tuple[str, ...], toward: float, thickness: float
) -> Check:
    """The weaker side of the blade; of parts on one side, as a cheek and its bush, the one that bears most."""
    name += case.at
    rows = []
    shared = [part for part in case.assembly.parts if part.name in parts]
    reaches = [ends(solid) for part in shared for solid in part.solids if on_axis(solid, case.place)]
    middle = 0.5 * (min(low for low, _ in reaches) + max(high for _, high in reaches))
    for part in shared:
        strength = part_strength(case.scenario, part.name)
        if isinstance(strength, str):
            return unknown(name, "force", strength, case.pull)
        hole = hole_of(case, part, wide, toward)
        behind = SHEAR_OF_YIELD * 2.0 * hole.behind
        bears = DESIGN_FRACTION * strength.proof * thickness * min(behind, hole.beside)
        where = f"{1e3 * hole.behind:.2f} mm behind the hole"
        if hole.beside < behind:
            where = f"{1e3 * 0.5 * hole.beside:.2f} mm beside the hole"
        rows.append((_sides(case, part, middle), (bears, f"{where}, part.{part.name}", strength.source)))
    sides = ([row for reached, row in rows if side in reached] for side in (1.0, -1.0))
    bears, where, source = min(max(side) for side in sides if side)
    said = f"{DESIGN_FRACTION:g} of what two planes behind the hole, or the width beside it, bear at yield ({source})"
    return Check(name, "force", case.pull, bears, said, where, load_path=True)


def _sides(case: Case, part: PlacedPart, middle: float) -> set[float]:
    """On which sides of the joint's middle, m along the normal, it has metal at the bolt: 1 above, -1 below."""
    reaches = [ends(solid) for solid in part.solids if on_axis(solid, case.place)]
    above = {1.0 for _, high in reaches if high > middle + ROUNDING}
    return above | {-1.0 for low, _ in reaches if low < middle - ROUNDING}


def hole_of(case: Case, part: PlacedPart, diameter: float, toward: float) -> Hole:
    """What of a part stands behind and beside a hole at the blade bolt; toward: 1 outward, -1 inward."""
    solids = [solid for solid in part.solids if on_axis(solid, case.place)]
    radius, chord = case.place
    half = 0.5 * diameter
    behind = max(toward * (s.centre[RADIUS] - radius) + 0.5 * s.size[RADIUS] for s in solids) - half
    left = min(
        max(side * (s.centre[CHORD] - chord) + 0.5 * s.size[CHORD] for s in solids) for side in (1.0, -1.0)
    )
    return Hole(diameter, max(behind, 0.0), 2.0 * max(left - half, 0.0))
