"""What closes the blade bolt: a head and a nut, or a thread in the grip; how much thread, and does it strip."""

from __future__ import annotations

from math import pi
from typing import NamedTuple

from featherbench.assembly.assembled import Solid
from featherbench.assembly.hardware import MM, core_diameter, is_thin, thread_of
from featherbench.checks.bolt import DESIGN_FRACTION, PRELOAD_FRACTION
from featherbench.checks.bolt_joint import Bolt, Case, find_bolt, heads, pin_joint
from featherbench.checks.check import Check, unknown
from featherbench.checks.sections import ends, on_axis
from featherbench.checks.strength import Strength, part_strength
from featherbench.checks.thread import stripping_load
from featherbench.scenario import parts as written

THREAD = "thread of the blade bolt in its nut"
STRIPS = "thread of the blade bolt, stripping"
ENDS = "head and nut of the blade bolt"
SHORTEST = 0.8
"""Of the thread's diameter, that a nut's thread must be long (height of a standard nut, ISO 4032)."""

ROUNDING = 1e-7
"""m"""


class Engaged(NamedTuple):
    """name of the part with the inside thread; height: of its thread, engaged: of it on the bolt's thread, m."""

    name: str
    height: float
    engaged: float


def nut_checks(case: Case) -> tuple[Check, ...]:
    """Both ends closed, thread long enough, thread strong enough."""
    bolt = find_bolt(case)
    if isinstance(bolt, str):
        return tuple(unknown(name, kind, bolt) for name, kind in ((THREAD, "length"), (STRIPS, "force")))
    found = _closing(case, bolt)
    if isinstance(found, str):
        return (*_ends(case, bolt), unknown(THREAD, "length", found), unknown(STRIPS, "force", found))
    return (*_ends(case, bolt), _long_enough(case, bolt, found), _strips(case, bolt, found))


def engaged_with(case: Case, solids: tuple[Solid, ...], name: str) -> Engaged | None:
    """How much of the inside thread of a part is on the outside thread of `solids`, of one size; None: it has none."""
    part = next(one for one in case.assembly.parts if one.name == name)
    rows = []
    for solid in part.solids:
        if not solid.tapped:
            continue
        low, high = ends(solid)
        over = sum(
            max(min(high, ends(male)[1]) - max(low, ends(male)[0]), 0.0)
            for male in solids
            if male.thread == solid.tapped and on_axis(solid, (male.centre[0], male.centre[1]))
        )
        rows.append(Engaged(name, round(high - low, 7), round(over, 7)))
    return max(rows, key=lambda one: one.engaged) if rows else None


def _closing(case: Case, bolt: Bolt) -> Engaged | str:
    """The nut with most thread on the bolt, or the grip's own thread."""
    if not bolt.thread:
        return "the blade bolt has no thread: state the screw that it is, or the thread of its turned piece"
    given = case.scenario.joint.thread_in_grip
    if given is not None:
        parts = case.shown.grip_parts
        if not parts:
            return "state the grip as a part that the bolt passes through"
        return _in_cheek(case, bolt, parts[0], given)
    headed = [side for side in (-1.0, 1.0) if _headed(case, bolt, side)]
    found = [_nearest(case, bolt, side) for side in (-1.0, 1.0) if side not in headed]
    nuts = [one for one in found if one is not None]
    if not nuts:
        return (
            'state its nut: a part of shape "nut" on the bolt, or one with tapped = "M3"; or joint.thread_in_grip '
            "where it screws into a cheek"
        )
    return min(nuts, key=lambda one: one.engaged)


def _in_cheek(case: Case, bolt: Bolt, name: str, given: float) -> Engaged | str:
    """The thread that is stated for a cheek, as far as the cheek is thick and the bolt has thread in it."""
    joint = pin_joint(case)
    if isinstance(joint, str):
        return joint
    reached = [0.0]
    for side, face in zip((-1.0, 1.0), joint.faces, strict=True):
        if _headed(case, bolt, side):
            continue
        outer, inner = side * face, side * face - joint.cheek
        spans = [sorted(side * end for end in ends(male)) for male in bolt.solids if male.thread]
        reached.append(sum(max(min(outer, high) - max(inner, low), 0.0) for low, high in spans))
    return Engaged(name, given, round(min(given, max(reached)), 7))


def _nearest(case: Case, bolt: Bolt, side: float) -> Engaged | None:
    """The inside thread nearest the joint on one side: it closes the joint, what comes after only locks it."""
    found = [
        (side * solid.centre[2], part.name)
        for part in case.assembly.parts
        if part.group in ("bolt", "counterweight") and not part.swings and part.name != bolt.name
        for solid in part.solids
        if solid.tapped and on_axis(solid, case.place) and side * solid.centre[2] > 0.0
    ]
    return engaged_with(case, bolt.solids, min(found)[1]) if found else None


def _headed(case: Case, bolt: Bolt, side: float) -> bool:
    """Whether the bolt has a head on that side: its own, or a part that says it is one."""
    own = [one for one in heads(case, bolt) if side * one.centre[2] > 0.0]
    said = [
        solid
        for part in case.assembly.parts
        if case.scenario.part[part.name].held_by == "head"
        for solid in part.solids
        if on_axis(solid, case.place) and side * solid.centre[2] > 0.0
    ]
    return bool(own or said)


def _long_enough(case: Case, bolt: Bolt, found: Engaged) -> Check:
    """All of a bought nut's thread, which its standard makes long enough; a turned or a thin one needs 0.8 of the
    diameter.
    """
    shortest = SHORTEST * thread_of(bolt.thread).diameter * MM
    nut = case.scenario.part[found.name]
    bought = isinstance(nut, written.NutPart)
    thin = isinstance(nut, written.NutPart) and is_thin(nut.standard)
    low = found.height < shortest - ROUNDING and (thin or not bought)
    source = "thread of both, one in the other, from the parts; needed is all of the nut's, or what is stated"
    whole = "all of its thread"
    if thin:
        source += f"; a thin nut locks another, {SHORTEST:g} of the diameter has to hold"
    elif bought:
        whole = "a whole nut"
        source += "; " + _matched(case, bolt, found)
    wanted = shortest if low else found.height
    return Check(
        THREAD, "length", wanted, found.engaged, source, f"part.{found.name}", load_path=True, holding=whole
    )


def _matched(case: Case, bolt: Bolt, found: Engaged) -> str:
    """What a whole standard nut is made for, by its class beside the bolt's."""
    own, nut = part_strength(case.scenario, bolt.name), part_strength(case.scenario, found.name)
    if isinstance(own, Strength) and isinstance(nut, Strength) and nut.ultimate >= own.ultimate:
        return "a whole nut of the bolt's class or above is made so that the bolt breaks first (ISO 898-2, from memory)"
    return "its class is below the bolt's, or not known: its own thread decides, see stripping"


def _strips(case: Case, bolt: Bolt, found: Engaged) -> Check:
    own, nut = part_strength(case.scenario, bolt.name), part_strength(case.scenario, found.name)
    for one in (own, nut):
        if isinstance(one, str):
            return unknown(STRIPS, "force", one)
    assert isinstance(own, Strength)
    assert isinstance(nut, Strength)
    pull = PRELOAD_FRACTION * own.proof * pi / 4.0 * core_diameter(bolt.thread) ** 2
    allowed = DESIGN_FRACTION * stripping_load(bolt.thread, found.engaged, own.proof, nut.proof)
    source = (
        f"{DESIGN_FRACTION:g} of what the weaker thread bears at its tolerance limits, FED-STD-H28; bolt {own.source}, "
        f"nut {nut.source}; pull: tightened to {PRELOAD_FRACTION:g} of proof stress (assumed)"
    )
    return Check(STRIPS, "force", pull, allowed, source, f"part.{found.name}", load_path=True)


def _ends(case: Case, bolt: Bolt) -> tuple[Check, ...]:
    """A bolt that can slide out of its grip at one end: said, as a load path that is not known."""
    joint = pin_joint(case)
    if isinstance(joint, str):
        return ()
    open_ends = [
        words
        for side, face, words in ((-1.0, joint.faces[0], "below"), (1.0, joint.faces[1], "above"))
        if not _closed(case, bolt, side, face)
    ]
    if not open_ends or (len(open_ends) == 1 and case.scenario.joint.thread_in_grip is not None):
        return ()
    wanted = (
        f"nothing keeps part.{bolt.name} in its grip {' and '.join(open_ends)}: state its head and its nut"
    )
    return (unknown(ENDS, "force", wanted, case.pull),)


def _closed(case: Case, bolt: Bolt, side: float, face: float) -> bool:
    """Whether a head or a nut stands beyond a face on that side."""
    own = heads(case, bolt)
    for part in case.assembly.parts:
        given = case.scenario.part[part.name]
        for solid in part.solids:
            low, high = sorted(side * end for end in ends(solid))
            if part.swings or not on_axis(solid, case.place) or 0.5 * (low + high) < side * face:
                continue
            if part.name == bolt.name and solid in own:
                return True
            if part.group in ("bolt", "counterweight") and (solid.tapped or given.held_by in ("head", "nut")):
                return True
    return False


def is_nut(case: Case, name: str) -> bool:
    """A standard nut."""
    return isinstance(case.scenario.part[name], written.NutPart)
