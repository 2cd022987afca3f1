"""Weights that stand beside the blade bolt, on arms: bending and pull at the foot, and the foot's thread."""

from __future__ import annotations

from math import hypot, pi, sqrt
from typing import NamedTuple

from featherbench.assembly.assembled import PlacedPart, Solid
from featherbench.assembly.hardware import MM, thread_of
from featherbench.assembly.materials import material
from featherbench.checks.bolt import DESIGN_FRACTION
from featherbench.checks.bolt_joint import Case
from featherbench.checks.check import Check, unknown
from featherbench.checks.fasteners import combined_stress
from featherbench.checks.foothold import misplaced
from featherbench.checks.sections import CHORD, NORMAL, RADIUS, section_of
from featherbench.checks.strength import part_strength
from featherbench.checks.thread import stripping_load


class Foot(NamedTuple):
    """Section of an arm where it stands on its carrier: area m^2, modulus m^3, thread, and words."""

    area: float
    modulus: float
    thread: str
    words: str


def arm_check(case: Case, part: PlacedPart, name: str) -> Check:
    """Stress at the foot under the load of the arm and what it carries, over yield; its thread where weaker."""
    given = case.scenario.part[part.name]
    load, turning = _carried(case, part)
    strength = part_strength(case.scenario, part.name)
    if isinstance(strength, str):
        return unknown(name, "stress", strength)
    if given.held_to is None and given.held_by == "one piece":
        return unknown(
            name, "stress", f'state part.{part.name}.held_to: what it is one piece with, such as "grip"'
        )
    apart = _two_pieces(case, part.name)
    if apart:
        return unknown(name, "stress", apart)
    wrong = misplaced(case, part, given.held_to)
    if wrong:
        return unknown(name, "stress", wrong)
    foot = _foot(part)
    if isinstance(foot, str):
        return unknown(name, "stress", foot)
    stress = combined_stress(turning / foot.modulus + load / foot.area, load / foot.area)
    allowed = DESIGN_FRACTION * strength.proof
    source = (
        f"{DESIGN_FRACTION:g} of yield ({strength.source}); bending, pull and shear of all that it carries"
    )
    check = Check(name, "stress", stress, allowed, source, f"foot, {foot.words}", load_path=True)
    return check if given.held_by == "one piece" else _thread_too(case, part, check, (load, turning), foot)


def _two_pieces(case: Case, name: str) -> str:
    """Why a part cannot be one piece with what it is said to be cut from; "" where it can."""
    given = case.scenario.part[name]
    if given.held_by != "one piece" or given.held_to is None:
        return ""
    carrier = case.scenario.part.get(given.held_to)
    if carrier is None:
        return f"part.{given.held_to} is not fitted"
    materials = [material(one.material).name if one.material else "" for one in (given, carrier)]
    if materials[0] == materials[1] != "":
        return ""
    stated = " and ".join(one or "a material not stated" for one in materials)
    return f"{stated} are not one piece: say how part.{name} is held to part.{given.held_to}"


def _thread_too(
    case: Case, part: PlacedPart, check: Check, carried: tuple[float, float], foot: Foot
) -> Check:
    """The thread in the grip, pulled and tilted, where it has less to spare than the foot. carried: N and N m."""
    given = case.scenario.part[part.name]
    carrier = given.held_to or _grip(case)
    if not foot.thread:
        wanted = f'part.{part.name} has no thread: state its thread, for example "M3", or another held_by'
        return unknown(check.name, "stress", wanted)
    if given.engagement is None or carrier is None:
        wanted = (
            f'state part.{part.name}.engagement, the length of full thread in the grip, for example "5 mm"'
        )
        return unknown(check.name, "stress", wanted)
    own, other = part_strength(case.scenario, part.name), part_strength(case.scenario, carrier)
    if isinstance(own, str) or isinstance(other, str):
        return unknown(check.name, "stress", other if isinstance(other, str) else str(own))
    load, turning = carried
    bears = DESIGN_FRACTION * stripping_load(foot.thread, given.engagement, own.proof, other.proof)
    where = f"{1e3 * given.engagement:.2f} mm of {foot.thread} in part.{carrier}"
    pulled = Check(
        check.name,
        "force",
        load,
        bears,
        f"{DESIGN_FRACTION:g} of what the weaker thread bears, FED-STD-H28; the whole load counted as pulling",
        where,
        load_path=True,
    )
    width, deep = thread_of(foot.thread).diameter * MM, given.engagement
    tilted = Check(
        check.name,
        "stress",
        edge_pressure(load, turning, width, deep),
        DESIGN_FRACTION * min(own.proof, other.proof),
        f"{DESIGN_FRACTION:g} of yield of the softer side; the arm tilts in its hole, no help from its shoulder",
        where,
        load_path=True,
    )
    return min((check, pulled, tilted), key=lambda one: one.safety or 0.0)


def edge_pressure(load: float, moment: float, width: float, deep: float) -> float:
    """Pressure at the edge of a hole, Pa, in which a stud stands `deep` (m): F/(d L) + 6 (M + F L/2)/(d L^2).

    load N across the stud and moment N m, both at the hole's mouth: pressure linear over the depth, from the balance
    of force and moment about its middle.
    """
    about_middle = moment + 0.5 * load * deep
    return load / (width * deep) + 6.0 * about_middle / (width * deep**2)


def _grip(case: Case) -> str | None:
    """The heaviest part of the grip."""
    grips = [one for one in case.assembly.parts if one.group == "grip" and not one.swings]
    return max(grips, key=lambda one: one.moments.mass).name if grips else None


def _carried(case: Case, part: PlacedPart) -> tuple[float, float]:
    """Load of the arm and of all that hangs on it, N, and its moment about the foot, N m; of one piece."""
    names = {part.name}
    for _ in case.scenario.part:
        names |= {other for other, given in case.scenario.part.items() if given.held_to in names}
    foot, load, turning = _foot_place(part), 0.0, 0.0
    for other in case.assembly.parts:
        if other.name not in names:
            continue
        pieces = 2.0 if case.scenario.part[other.name].mirror else 1.0
        own = abs(other.moments.radial) * case.squared / pieces
        solid = max(other.solids, key=lambda one: (one.centre[NORMAL], one.size[NORMAL]))
        away = hypot(solid.centre[CHORD] - foot[0], solid.centre[NORMAL] - foot[1])
        load += own
        turning += own * away
    return load, turning


def _foot_place(part: PlacedPart) -> tuple[float, float]:
    """Chord and normal of the foot, m: the point of the arm nearest to the feathering axis."""
    solid = _first(part)
    place = []
    for index in (CHORD, NORMAL):
        centre, half = solid.centre[index], 0.5 * solid.size[index]
        place.append(centre if abs(centre) < half else centre - half if centre > 0.0 else centre + half)
    if abs(solid.centre[NORMAL]) >= 0.5 * solid.size[NORMAL]:
        place[0] = solid.centre[CHORD]
    return place[0], place[1]


def _first(part: PlacedPart) -> Solid:
    """The solid that stands lowest, of the piece above."""
    above = [one for one in part.solids if one.centre[NORMAL] >= 0.0] or list(part.solids)
    return min(above, key=lambda one: one.centre[NORMAL])


def _foot(part: PlacedPart) -> Foot | str:
    weighed_only = part.volume <= 0.0  # what is drawn of it is a box of the same inertia, not its metal
    if weighed_only or not part.solids or part.solids[0].kind in ("point", "surface", "blade"):
        return f"part.{part.name} has no shape to reckon with: state it as a box, cylinder or stack"
    solid = _first(part)
    if solid.kind == "box":
        across = (
            solid.size[CHORD] if abs(solid.centre[NORMAL]) >= 0.5 * solid.size[NORMAL] else solid.size[NORMAL]
        )
        deep = solid.size[RADIUS]
        words = f"{1e3 * deep:.2f} x {1e3 * across:.2f} mm"
        return Foot(deep * across, across * deep**2 / 6.0, "", words)
    section = section_of(solid)
    if solid.kind == "hex":
        return Foot(sqrt(3.0) / 2.0 * section.width**2, pi * section.width**3 / 32.0, "", section.words)
    return Foot(section.area, section.modulus, section.thread, section.words)
