"""What holds each weight on the blade bolt: nothing that is not said is taken as holding."""

from __future__ import annotations

from typing import NamedTuple

from featherbench.assembly.assembled import PlacedPart, Solid
from featherbench.assembly.hardware import MM, thread_of
from featherbench.checks.arms import arm_check
from featherbench.checks.bolt import DESIGN_FRACTION
from featherbench.checks.bolt_joint import Bolt, Case, find_bolt
from featherbench.checks.check import Check, unknown
from featherbench.checks.fasteners import SHEAR_SHARE
from featherbench.checks.loose import TOUCH, apart_checks, has_to_say, slack_checks
from featherbench.checks.nut import engaged_with, is_nut
from featherbench.checks.sections import ends, on_axis, section_of
from featherbench.checks.strength import Strength, part_strength
from featherbench.checks.thread import stripping_load
from featherbench.scenario import parts as written

LEAST_ENGAGED = 0.5
"""Of the thread's diameter: thinner than any standard thin nut (ISO 4035, from memory), a weight works loose."""
NOT_KNOWN = "not known what holds it: state part.{name}.held_by, for example {example}"


def weight_checks(case: Case) -> tuple[Check, ...]:
    """One of each weight, and of whatever else is not held by bolt, grip or blade; and what lies loose."""
    bolt = find_bolt(case)
    found = [_held(case, part, bolt) for part in case.assembly.parts if has_to_say(case, part, bolt)]
    return (*found, *slack_checks(case, bolt), *apart_checks(case))


def load_of(case: Case, part: PlacedPart) -> float:
    """Centrifugal load of one piece of a part, N."""
    pieces = 2.0 if case.scenario.part[part.name].mirror else 1.0
    return abs(part.moments.radial) * case.squared / pieces


class Fixing(NamedTuple):
    """What a weight is held to, how, and with which load, N. solids: of the carrier. name: of the check."""

    part: PlacedPart
    held_by: str
    carrier: str
    solids: tuple[Solid, ...]
    name: str
    load: float

    def lacks(self, what_to_state: str) -> Check:
        """Not known whether it holds."""
        return unknown(self.name, "force", what_to_state, self.load)

    def bears(self, allowed: float, source: str, section: str) -> Check:
        """Held against what it bears, N."""
        return Check(self.name, "force", self.load, allowed, source, section, load_path=True)


def _held(case: Case, part: PlacedPart, bolt: Bolt | str) -> Check:
    given, load = case.scenario.part[part.name], load_of(case, part)
    name = f'what holds the weight "{part.name}"{case.at}'
    on_bolt = bool(part.solids) and all(on_axis(solid, case.place) for solid in part.solids)
    held_by = given.held_by or ("nut" if is_nut(case, part.name) else None)
    wanted = ""
    if part.swings:
        wanted = "a weight inside or on a blade is for the blade's maker: not reckoned here"
    elif held_by is None:
        wanted = NOT_KNOWN.format(name=part.name, example='"clamped under nut"' if on_bolt else '"thread"')
    elif held_by in ("screwed into the grip", "one piece"):
        return arm_check(case, part, name)
    elif given.held_to is None and not on_bolt:
        wanted = f'not known what carries it: state part.{part.name}.held_to, for example "grip"'
    if wanted or held_by is None:
        return unknown(name, "force", wanted, load)
    if given.held_to is None or (not isinstance(bolt, str) and given.held_to == bolt.name):
        if isinstance(bolt, str):
            return unknown(name, "force", bolt, load)
        return _on(case, Fixing(part, held_by, bolt.name, bolt.solids, name, load))
    carrier = next((one for one in case.assembly.parts if one.name == given.held_to), None)
    if carrier is None:
        return unknown(name, "force", f"part.{given.held_to} is not fitted", load)
    return _on(case, Fixing(part, held_by, carrier.name, carrier.solids, name, load))


def _on(case: Case, fixing: Fixing) -> Check:
    """A weight on a bolt or arm."""
    own = part_strength(case.scenario, fixing.part.name)
    if isinstance(own, str):
        return fixing.lacks(own)
    if fixing.held_by in ("nut", "thread"):
        return _screwed(case, fixing, own)
    if fixing.held_by == "head":
        return _head(case, fixing, own)
    return _clamped(case, fixing, own)


def _screwed(case: Case, fixing: Fixing, own: Strength) -> Check:
    part = fixing.part
    other = part_strength(case.scenario, fixing.carrier)
    if isinstance(other, str):
        return fixing.lacks(other)
    found = engaged_with(case, fixing.solids, part.name)
    if found is None:
        return fixing.lacks(
            f'part.{part.name} has no thread: state its tapped, for example "M3", or another held_by'
        )
    size = next(solid.tapped for solid in part.solids if solid.tapped)
    length = min(found.engaged, case.scenario.part[part.name].engagement or found.engaged)
    words = f"{1e3 * length:.2f} mm of {size} on part.{fixing.carrier}"
    shortest = LEAST_ENGAGED * thread_of(size).diameter * MM
    if length < shortest:
        short = f"{LEAST_ENGAGED:g} of the diameter at least, as the thinnest nut has (ISO 4035): less works loose"
        return Check(fixing.name, "length", shortest, length, short, words, load_path=True)
    allowed = DESIGN_FRACTION * stripping_load(size, length, other.proof, own.proof)
    source = (
        f"{DESIGN_FRACTION:g} of what the weaker thread bears, FED-STD-H28; the whole load counted as pulling along "
        "it; lock it"
    )
    return fixing.bears(allowed, source, words)


def _head(case: Case, fixing: Fixing, own: Strength) -> Check:
    """One piece with the bolt: its root is the bolt's section under it."""
    if isinstance(case.scenario.part[fixing.carrier], written.ScrewPart):
        return fixing.lacks(
            f"part.{fixing.carrier} is a bought screw, whose head is its own: say what else holds the weight"
        )
    apart = _not_one_piece(case, fixing)
    if apart:
        return fixing.lacks(apart)
    touching = [
        solid
        for solid in fixing.solids
        for one in fixing.part.solids
        if ends(one)[0] - TOUCH <= ends(solid)[1] and ends(solid)[0] <= ends(one)[1] + TOUCH
    ]
    if not touching:
        return fixing.lacks(f"it does not touch part.{fixing.carrier}, whose head it is said to be")
    other = part_strength(case.scenario, fixing.carrier)
    if isinstance(other, str):
        return fixing.lacks(other)
    weakest = min((section_of(solid) for solid in touching), key=lambda one: one.area)
    allowed = DESIGN_FRACTION * SHEAR_SHARE * min(own.ultimate, other.ultimate) * weakest.area
    source = f"{DESIGN_FRACTION:g} of the shear strength under it; bending there is its own check"
    return fixing.bears(allowed, source, weakest.words)


def _not_one_piece(case: Case, fixing: Fixing) -> str:
    """Why a weight cannot be the head of its bolt, "" where it can: it was put on, so something must hold it on."""
    name, solids = fixing.part.name, fixing.part.solids
    if any(solid.tapped for solid in solids):
        return f'part.{name} is tapped, so it is no head of one piece with the bolt: state held_by = "thread"'
    if all(solid.bore for solid in solids):
        return f"part.{name} has a bore right through, so it is no head of one piece with the bolt: say what holds it"
    own, bolt = (case.scenario.part[one].material for one in (name, fixing.carrier))
    if own and bolt and own.split()[0] != bolt.split()[0]:
        return f"part.{name} is {own}, part.{fixing.carrier} {bolt}: a head is one piece with its bolt"
    return ""


def _clamped(case: Case, fixing: Fixing, own: Strength) -> Check:
    """A ring on the bolt: the bolt goes through, a head or nut stands beyond, and its wall and bore bear its load."""
    part, solids = fixing.part, fixing.solids
    # of twins, the one above
    own_solids = [one for one in part.solids if one.centre[2] > 0.0] or list(part.solids)
    if len(own_solids) < len(part.solids):
        solids = tuple(one for one in solids if one.centre[2] > 0.0)
    solid = max(own_solids, key=lambda one: one.size[2])
    low = min(ends(one)[0] for one in own_solids)
    high = max(ends(one)[1] for one in own_solids)
    side = 1.0 if 0.5 * (low + high) > 0.0 else -1.0
    if any(not one.bore for one in own_solids):
        return fixing.lacks(f"part.{part.name} has no bore for a bolt to pass: nothing clamps it")
    if min(ends(one)[0] for one in solids) > low or max(ends(one)[1] for one in solids) < high:
        return fixing.lacks(f"part.{fixing.carrier} does not reach through it: nothing clamps it")
    if not _stopped(case, fixing, side * (high if side > 0.0 else low), side):
        what = fixing.held_by.split()[-1]
        return fixing.lacks(f"no {what} of part.{fixing.carrier} stands beyond it: nothing clamps it")
    length = sum(ends(one)[1] - ends(one)[0] for one in own_solids)
    bore = max(one.bore for one in own_solids)
    shank = min(min(one.size[0], one.size[1]) for one in solids)
    area = min(shank, min(one.size[0] for one in own_solids) - bore) * length
    allowed = DESIGN_FRACTION * own.proof * area
    source = f"{DESIGN_FRACTION:g} of yield ({own.source}), at its bore or its wall; friction of the clamping left out"
    words = f"ring of {1e3 * solid.size[0]:.2f} mm, bore {1e3 * bore:.2f} mm, {1e3 * length:.2f} mm long"
    return fixing.bears(allowed, source, words)


def _stopped(case: Case, fixing: Fixing, outer: float, side: float) -> bool:
    """Whether a head (wider than the ring's bore) or a nut of the carrier stands at or beyond the ring's outer face."""
    part, held_by = fixing.part, fixing.held_by
    bore = max(one.bore for one in part.solids)
    place = (part.solids[0].centre[0], part.solids[0].centre[1])
    for other in case.assembly.parts:
        if other.name == part.name:
            continue
        for solid in other.solids:
            near = min(side * end for end in ends(solid))
            if near < outer - TOUCH or not on_axis(solid, place):
                continue
            head = other.name == fixing.carrier or case.scenario.part[other.name].held_by == "head"
            if held_by.endswith("head") and head and not solid.thread and min(solid.size[:2]) > bore:
                return True
            if held_by.endswith("nut") and solid.tapped and min(solid.size[:2]) > bore:
                return True
    return False
