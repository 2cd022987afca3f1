"""Does an arm stand where it is said to stand: on its carrier, in metal as deep as its thread is said to reach.

A weight drawn in the air beside its carrier would be judged by a lever that is too short, or by a thread in nothing.
"""

from __future__ import annotations

from featherbench.assembly.assembled import PlacedPart, Solid
from featherbench.checks.bolt_joint import Case
from featherbench.checks.loose import TOUCH
from featherbench.checks.sections import AXES, gap_between

DRAWN = ("box", "round", "hex")
"""Kinds of solids whose faces are known."""


def misplaced(case: Case, part: PlacedPart, carrier: str | None) -> str:
    """Why a part cannot be held as it says, "" where it can; carrier None: anything of the grip.

    What has no drawn outline (a weighed body, a mesh) cannot be held against its place.
    """
    named = [one for one in case.assembly.parts if one.name == carrier] or [
        one for one in case.assembly.parts if one.group == "grip" and carrier is None
    ]
    for one in named:
        if one.swings:
            return f"part.{one.name} swings with the blade: what stands on it is for its maker, not reckoned here"
    carriers = [solid for one in named for solid in one.solids]
    feet = [solid for solid in part.solids if solid.kind in DRAWN]
    if not feet or not carriers or any(solid.kind not in DRAWN for solid in carriers):
        return ""
    pieces = _nearest_pieces(case.scenario.part[part.name].mirror, feet, carriers)
    off = max(min(gap_between(foot, solid) for solid in carriers) for foot in pieces)
    whose = f"part.{carrier}" if carrier is not None else "the grip"
    if off > TOUCH:
        return f"part.{part.name} stands {1e3 * off:.2f} mm off {whose}: see its at, or say what it stands on"
    return _too_deep(case, part, feet, carriers, whose)


def _nearest_pieces(mirror: str | None, feet: list[Solid], carriers: list[Solid]) -> list[Solid]:
    """Of a part, and of its twin where it is mirrored, the solid nearest to the carrier: each has to stand on it."""
    sides: dict[bool, list[Solid]] = {}
    for foot in feet:
        beyond = mirror is not None and foot.centre[AXES.index(mirror)] > 0.0
        sides.setdefault(beyond, []).append(foot)
    return [
        min(side, key=lambda one: min(gap_between(one, solid) for solid in carriers))
        for side in sides.values()
    ]


def _too_deep(case: Case, part: PlacedPart, feet: list[Solid], carriers: list[Solid], whose: str) -> str:
    """A thread longer than the metal it is in; twins on opposite sides share it."""
    given, foot = case.scenario.part[part.name], feet[0]
    if given.held_by != "screwed into the grip" or given.engagement is None or foot.axis not in AXES:
        return ""
    along = AXES.index(foot.axis)
    across = [index for index in range(3) if index != along]
    there = [
        solid
        for solid in carriers
        if all(abs(foot.centre[i] - solid.centre[i]) <= 0.5 * solid.size[i] for i in across)
    ]
    low = min((solid.centre[along] - 0.5 * solid.size[along] for solid in there), default=0.0)
    high = max((solid.centre[along] + 0.5 * solid.size[along] for solid in there), default=0.0)
    deep = (high - low) * (0.5 if given.mirror == foot.axis else 1.0)
    if given.engagement <= deep + TOUCH:
        return ""
    said = f"part.{part.name}.engagement is {1e3 * given.engagement:.2f} mm"
    return f"{said}, and {whose} has {1e3 * deep:.2f} mm there{' for each twin' if given.mirror == foot.axis else ''}"
