"""The best stack on the blade bolt from what the builder owns: every way to put it together, none left out.

A stack, from the grip outward: above, rings and then the screw's head; below, rings and then nuts. On each side rings
lie in one order, the densest outermost, where it does most for its weight; of nuts the full ones come first, a thin
one or one that locks itself last. The numbers of each kind on each side are free within what is owned.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from featherbench.assembly.hardware import MM, thread_of
from featherbench.sizing.choices import Choices
from featherbench.sizing.design_space import DesignSpace
from featherbench.sizing.machined import Build, Column, MachinedPart, mm
from featherbench.sizing.owned import Kind
from featherbench.sizing.stacks import TIGHT, Counts, Half, Stacks, fitting, half

MOST_WAYS = 4_000_000
"""Pairs of an upper and a lower half that are looked at."""


def own_choices(space: DesignSpace) -> tuple[list[Choices], list[str]]:
    """All stacks from what is owned that fit; and why there are none."""
    if not space.own:
        return [], [
            'what you own: list it as [[own]], for example shape = "washer", standard = "ISO 7089", ...'
        ]
    if space.seat_above is None or space.seat_below is None:
        return [], ["what you own: state envelope.seat_above and seat_below, the faces of head and nut"]
    kinds, reasons = _usable(space)
    screws = [one for one in kinds if one.shape == "screw"]
    nuts = [one for one in kinds if one.shape == "nut"]
    if not screws or not nuts:
        missing = "screw" if not screws else "nut"
        return [], [f"what you own: no {space.thread} {missing} that can be used", *reasons]
    rings = sorted((one for one in kinds if one.shape == "ring"), key=_dense)
    above = half(space, rings, (), space.above - space.seat_above)
    below = half(space, rings, sorted(nuts, key=_nut_order), space.below - space.seat_below)
    ways = above.heights.size * below.heights.size * len(screws)
    if ways > MOST_WAYS:
        return [], [
            f"what you own: {ways:.2g} ways to stack it, more than are looked at ({MOST_WAYS:.0e}): leave kinds out of "
            "[[own]] that need not be used, or count fewer of them"
        ]
    found = [fitting(space, screw, above, below) for screw in screws]
    stacks = [one for one in found if one.rows[0].size]
    if not stacks:
        return [], [f"what you own: {_why_none(space, screws, above, below)}", *reasons]
    return [_as_choices(space, stacks)], reasons


def _dense(kind: Kind) -> float:
    return float(kind.column.mass) / kind.height


def _nut_order(kind: Kind) -> tuple[bool, bool, float]:
    return kind.locks, kind.thin, _dense(kind)


def _usable(space: DesignSpace) -> tuple[list[Kind], list[str]]:
    """Kinds that go on this bolt, and of each other why it does not."""
    nominal = thread_of(space.thread).diameter * MM
    kept, reasons = [], []
    for one in space.own:
        why = ""
        if one.most < 1:
            why = "fewer than one for each blade"
        elif one.shape in ("screw", "nut") and one.thread != space.thread:
            why = f"the bolt is {space.thread}"
        elif one.shape == "ring" and one.bore < nominal - TIGHT:
            why = f"its bore of {one.bore / MM:.3g} mm does not pass the {space.thread} bolt"
        elif one.wide > space.widest + TIGHT:
            why = f"{one.wide / MM:.3g} mm across, where {space.widest / MM:.3g} mm fit (envelope.diameter, clear_...)"
        if why:
            reasons.append(f"{one.key} ({one.label}) is left out: {why}")
        else:
            kept.append(one)
    return kept, reasons


def _why_none(space: DesignSpace, screws: Sequence[Kind], above: Half, below: Half) -> str:
    """Which limit leaves nothing: of each screw what is in its way."""
    if not below.heights.size:
        return (
            "nothing closes the bolt: it takes a nut that locks itself, or two of which one is a full nut, within "
            "envelope.height_below"
        )
    pitch = thread_of(space.thread).pitch * MM
    least = (space.seat_above or 0.0) + (space.seat_below or 0.0) + float(below.heights.min()) + pitch
    said = []
    for one in screws:
        whole, end = (
            one.shank + one.height,
            one.shank - (space.seat_above or 0.0) - float(above.heights.max()),
        )
        if whole > space.over_all + TIGHT:
            why = f"{whole / MM:.3g} mm over all, envelope.bolt_length allows {space.over_all / MM:.3g} mm"
        elif one.shank < least - TIGHT:
            why = f"too short: grip, nuts and one pitch take {least / MM:.3g} mm"
        elif (space.seat_above or 0.0) + one.height > space.above + TIGHT:
            why = "its head is higher than envelope.height_above allows"
        elif end > space.below + TIGHT:
            why = (
                f"it comes {end / MM:.3g} mm out below at least, envelope.height_below allows "
                f"{space.below / MM:.3g} mm"
            )
        else:
            why = "its plain shank, or the number of rings to fill it, leaves no thread where the nuts are"
        said.append(f"{one.label}: {why}")
    return "; ".join(said)


def _as_choices(space: DesignSpace, stacks: Sequence[Stacks]) -> Choices:
    place = np.concatenate([np.full(one.rows[0].size, number) for number, one in enumerate(stacks)])
    within = np.concatenate([np.arange(one.rows[0].size) for one in stacks])
    sums = Column(*(np.concatenate(values) for values in zip(*(one.sums for one in stacks), strict=True)))

    def picked(index: int) -> tuple[Stacks, Counts, Counts]:
        stack, row = stacks[place[index]], within[index]
        one, two = stack.rows[0][row], stack.rows[1][row]
        return stack, stack.above.counts[one], stack.below.counts[two]

    return Choices(
        "own",
        "what you own, nothing to machine",
        space.radius,
        space.chord,
        space.replaced,
        sums,
        lambda index: _build(space, *picked(index)),
        lambda index: _touching(space, *picked(index)),
        every=True,
    )


def _touching(space: DesignSpace, stack: Stacks, above: Counts, below: Counts) -> list[str]:
    """Limits that it reaches: heights, length, and kinds of which no more are left."""
    face = (space.seat_above or 0.0) + sum(
        n * one.height for n, one in zip(above, stack.above.kinds, strict=True)
    )
    step = space.step - TIGHT
    reached = {
        "height_above": face + stack.screw.height > space.above - step,
        "height_below": stack.screw.shank - face > space.below - step,
        "bolt_length": stack.screw.shank + stack.screw.height > space.over_all - step,
    }
    used = {one.key: n for n, one in zip(below.tolist(), stack.below.kinds, strict=True)}
    for n, one in zip(above.tolist(), stack.above.kinds, strict=True):
        used[one.key] += n
    gone = [
        f"{one.key}.count" for one in stack.below.kinds if used[one.key] == one.most and "own." in one.key
    ]
    return [*(name for name, so in reached.items() if so), *gone]


def _build(space: DesignSpace, stack: Stacks, above: Counts, below: Counts) -> Build:
    """The parts, screw first, then each side from the grip outward."""
    place = {"radius": mm(space.radius), "chord": mm(space.chord)}
    face = space.seat_above or 0.0
    parts: dict[str, dict[str, Any]] = {}
    rings, face = _laid(stack.above, above, 1.0, face, place)
    screw = {"group": "bolt", **stack.screw.table, "at": place, "under_head": mm(face)}
    lower, _ = _laid(stack.below, below, -1.0, space.seat_below or 0.0, place)
    closing = next(name for name, table in lower.items() if table["held_by"] == "nut")
    lower[closing]["group"] = "bolt"
    if space.replaced:
        screw["instead_of"] = lower[closing]["instead_of"] = list(space.replaced)
    parts = {"own-screw": screw, **rings, **lower}
    shank = tuple(one._replace(start=one.start + face) for one in stack.screw.pieces)
    made = [_made(space, stack.screw, shank, 1, "", threaded=(0,), fitted=("own-screw",))]
    of_kind: dict[str, list[str]] = {}
    for half_, counts, names in ((stack.above, above, rings), (stack.below, below, lower)):
        kinds = [one.key for one, n in zip(half_.kinds, counts.tolist(), strict=True) for _ in range(n)]
        for key, name in zip(kinds, names, strict=True):
            of_kind.setdefault(key, []).append(name)
    for number, kind in enumerate(stack.below.kinds):
        over = int(above[stack.above.kinds.index(kind)]) if kind in stack.above.kinds else 0
        under = int(below[number])
        if over + under:
            words = " and ".join(f"{n} {side}" for n, side in ((over, "above"), (under, "below")) if n)
            own = tuple(of_kind[kind.key])
            made.append(_made(space, kind, kind.pieces, over + under, words, fitted=own))
    return Build(tuple(made), parts)


def _laid(
    half: Half, counts: Counts, side: float, face: float, place: dict[str, str]
) -> tuple[dict[str, dict[str, Any]], float]:
    """Parts of one side by name, and how far they reach, m."""
    found: dict[str, dict[str, Any]] = {}
    for kind, count in zip(half.kinds, counts.tolist(), strict=True):
        for _ in range(count):
            middle = side * (face + kind.height / 2.0)
            table = {"group": "counterweight", **kind.table, "at": {**place, "normal": mm(middle)}}
            if table["shape"] == "tube":
                table["axis"] = "normal"
            clamped = f"clamped under {'head' if side > 0.0 else 'nut'}"
            table["held_by"] = "nut" if kind.shape == "nut" else clamped
            found[f"own-{'above' if side > 0.0 else 'below'}-{len(found) + 1}"] = table
            face += kind.height
    return found, face


def _made(space: DesignSpace, kind: Kind, pieces: Any, count: int, where: str, **more: Any) -> MachinedPart:
    metal = str(kind.table.get("material", "steel" if kind.table["shape"] != "tube" else "as weighed"))
    name = {"tube": "collar"}.get(str(kind.table["shape"]), str(kind.table["shape"]))
    return MachinedPart(
        name,
        metal,
        kind.density,
        pieces,
        space.radius,
        space.chord,
        count,
        kind.thread,
        kind.label,
        where=where,
        **more,
    )
