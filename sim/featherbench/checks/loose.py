"""What might lie loose: parts that have to say what holds them, washers that nothing presses on, a bolt that slides.

Nothing is taken as held because of the name of its group: a screw, a nut or a washer belongs to the blade bolt only
where it stands on it, a piece of another metal on the grip is not the grip, a piece of metal in a blade is no blade.
"""

from __future__ import annotations

from featherbench.assembly.assembled import PlacedPart, Solid
from featherbench.assembly.material_strengths import metal_strength
from featherbench.assembly.materials import material
from featherbench.checks.bolt_joint import Bolt, Case, heads, pin_joint
from featherbench.checks.check import Check, unknown
from featherbench.checks.nut import engaged_with
from featherbench.checks.sections import ends, gap_between, on_axis
from featherbench.scenario import parts as written

SLACK = "blade bolt, slack along its axis"
MOST_SLACK = 1e-3
"""m that head and nut may stand off the grip, all gaps together (engineering judgement, no source)."""
HEAVY = 3000.0
"""kg/m^3 above which a piece in a blade is a weight and no part of the moulding: lead, tungsten, whatever its name."""
DRAWN = ("box", "round", "hex", "point")
"""Kinds of solids whose place is known all round."""
TOUCH = 0.05e-3
"""m within which two parts touch."""


def has_to_say(case: Case, part: PlacedPart, bolt: Bolt | str) -> bool:
    """Whether a part is held by something that the scenario has to state (`held_by`)."""
    if part.group in ("counterweight", "other"):
        return True
    if part.group == "bolt":
        return not _of_the_bolt(case, part, bolt)
    joint = case.shown
    own = case.scenario.part[part.name].material
    if part.group == "grip":
        if part.name in joint.grip_parts:
            return False
        return (own is not None and _unlike(case, own, joint.grip_parts)) or _in_the_air(case, part)
    dense = part.volume > 0.0 and part.moments.mass / part.volume > HEAVY
    return (
        (dense or metal_strength(own) is not None)
        and part.name not in joint.root_parts
        and not isinstance(case.scenario.part[part.name], written.AerofoilPart)
    )


def _in_the_air(case: Case, part: PlacedPart) -> bool:
    """Whether a drawn piece of the grip touches nothing that hangs together with what the blade bolt passes through."""
    grip = {one.name: one.solids for one in case.assembly.parts if one.group == "grip" and not one.swings}
    joined = set(case.shown.grip_parts)
    if not joined or not part.solids or any(solid.kind not in DRAWN for solid in part.solids):
        return False
    for _ in grip:
        joined |= {
            name for name, solids in grip.items() if any(_touch(solids, grip[other]) for other in joined)
        }
    return part.name not in joined


def _touch(some: tuple[Solid, ...], others: tuple[Solid, ...]) -> bool:
    return any(gap_between(one, other) <= TOUCH for one in some for other in others)


def _unlike(case: Case, own: str, others: tuple[str, ...]) -> bool:
    """Whether a material is none of those that the other parts state."""
    stated = [case.scenario.part[name].material for name in others]
    known = {material(one).name for one in stated if one is not None}
    return bool(known) and material(own).name not in known


def _of_the_bolt(case: Case, part: PlacedPart, bolt: Bolt | str) -> bool:
    """The bolt itself, and a nut or washer that stands on it: what they hold is checked elsewhere."""
    if isinstance(bolt, str):
        return False
    if part.name == bolt.name:
        return True
    if not part.solids or not all(on_axis(solid, case.place) for solid in part.solids):
        return False
    engaged = engaged_with(case, bolt.solids, part.name)
    return engaged is not None or isinstance(case.scenario.part[part.name], written.WasherPart)


def slack_checks(case: Case, bolt: Bolt | str) -> tuple[Check, ...]:
    """Washers that lie outside of head and nut, and a bolt that can slide; nothing where all is pressed together."""
    if isinstance(bolt, str):
        return ()
    found = [_washer(case, part, bolt) for part in case.assembly.parts]
    return (*(one for one in found if one is not None), *_slack(case, bolt))


def _washer(case: Case, part: PlacedPart, bolt: Bolt) -> Check | None:
    if not isinstance(case.scenario.part[part.name], written.WasherPart) or not _of_the_bolt(
        case, part, bolt
    ):
        return None
    low = min(ends(solid)[0] for solid in part.solids)
    high = max(ends(solid)[1] for solid in part.solids)
    side = 1.0 if low + high > 0.0 else -1.0
    inner, outer = sorted((side * low, side * high))
    stops = [(start, end) for start, end, stop in _stack(case, bolt, side) if stop]
    wanted = "it lies outside of head and nut: nothing presses on it"
    if any(start < outer - TOUCH and end > inner + TOUCH for start, end in stops):
        wanted = "it is drawn inside the head or nut: place it on the face below"
    elif any(start >= outer - TOUCH for start, _ in stops):
        return None
    load = abs(part.moments.radial) * case.squared
    return unknown(f'what holds the washer "{part.name}"{case.at}', "force", wanted, load)


def _slack(case: Case, bolt: Bolt) -> tuple[Check, ...]:
    joint = pin_joint(case)
    if isinstance(joint, str):
        return ()
    gaps = [_gap(case, bolt, side, side * face) for side, face in zip((-1.0, 1.0), joint.faces, strict=True)]
    slack = sum(gap for gap in gaps if gap is not None)
    if None in gaps or slack <= MOST_SLACK:
        return ()
    source = "head and nut stand off the grip: bring them to it, or state the washers and rings between"
    return (Check(SLACK, "length", slack, MOST_SLACK, source, f"part.{bolt.name}", load_path=True),)


def _gap(case: Case, bolt: Bolt, side: float, face: float) -> float | None:
    """What is empty between a grip's face and the first head or nut beyond it, m; None where there is none."""
    reached, empty = face, 0.0
    for start, end, stops in sorted(_stack(case, bolt, side)):
        if end <= face:
            continue
        empty += max(start - reached, 0.0)
        reached = max(reached, end)
        if stops:
            return empty
    return None


def _stack(case: Case, bolt: Bolt, side: float) -> list[tuple[float, float, bool]]:
    """What stands about the bolt's axis, as (nearer, farther end on that side, whether it is a head or nut), m."""
    own, rows = heads(case, bolt), []
    for part in case.assembly.parts:
        if part.swings or part.group not in ("bolt", "counterweight"):
            continue
        for solid in part.solids:
            near, far = sorted(side * end for end in ends(solid))
            if on_axis(solid, case.place) and not (part.name == bolt.name and solid not in own):
                head = part.name == bolt.name or case.scenario.part[part.name].held_by == "head"
                rows.append((near, far, head or bool(solid.tapped)))
    return rows


def apart_checks(case: Case) -> tuple[Check, ...]:
    """Parts whose pieces do not hang together: each is said to be one."""
    found = []
    for part in case.assembly.parts:
        free = _gap_within(case, part)
        if free > TOUCH:
            wanted = (
                f"they stand {1e3 * free:.2f} mm apart: draw what is between them, or make two parts of it"
            )
            found.append(unknown(f'pieces of "{part.name}"', "force", wanted))
    return tuple(found)


def _gap_within(case: Case, part: PlacedPart) -> float:
    """Free way from what hangs together to the nearest piece that does not, m; 0 where all does, twins aside."""
    left = list(part.solids)
    if any(solid.kind not in DRAWN for solid in left):
        return 0.0
    pieces, gaps = 0, []
    while left:
        joined = [left.pop()]
        pieces += 1
        for one in joined:
            near = [other for other in left if gap_between(one, other) <= TOUCH]
            left = [other for other in left if other not in near]
            joined += near
        gaps += [min(gap_between(one, other) for one in joined for other in left)] if left else []
    return min(gaps) if pieces > (2 if case.scenario.part[part.name].mirror else 1) else 0.0
