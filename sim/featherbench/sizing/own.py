"""The best stack on the blade bolt from what the builder owns: every way to put it together, none left out.

A stack, from the grip outward: above, rings and then the screw's head; below, rings and then nuts. On each side rings
lie in one order, the densest outermost, where it does most for its weight; of nuts the full ones come first, a thin
one or one that locks itself last. The numbers of each kind on each side are free within what is owned.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from featherbench.assembly import hardware_tables as tables
from featherbench.assembly.hardware import MM
from featherbench.sizing.choices import UNEVEN_BOUGHT, UNEVEN_ON_AXIS, Choices, even
from featherbench.sizing.design_space import DesignSpace
from featherbench.sizing.machined import Build, Column, MachinedPart, mm
from featherbench.sizing.owned import Kind

MOST_WAYS = 4_000_000
"""Pairs of an upper and a lower half that are looked at."""
TIGHT = 1e-9
"""m of rounding."""
Counts = NDArray[np.int64]


@dataclass(frozen=True)
class _Half:
    """All ways to fill one side: counts (n, kinds) of `kinds`, nearest the grip first; heights (n,) m; sums (n,)."""

    kinds: tuple[Kind, ...]
    counts: Counts
    heights: NDArray[np.float64]
    sums: Column


@dataclass(frozen=True)
class _Stacks:
    """Stacks of one screw: rows of the upper and lower half (n,)."""

    screw: Kind
    above: _Half
    below: _Half
    rows: tuple[Counts, Counts]
    sums: Column


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
    above = _half(space, rings, (), space.above - space.seat_above)
    below = _half(space, rings, sorted(nuts, key=_nut_order), space.below - space.seat_below)
    ways = above.heights.size * below.heights.size * len(screws)
    if ways > MOST_WAYS:
        return [], [
            f"what you own: {ways:.2g} ways to stack it, more than are looked at ({MOST_WAYS:.0e}): leave kinds out of "
            "[[own]] that need not be used, or count fewer of them"
        ]
    found = [_fitting(space, screw, above, below) for screw in screws]
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
    nominal = tables.THREADS[space.thread].diameter * MM
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


def _half(space: DesignSpace, rings: Sequence[Kind], nuts: Sequence[Kind], room: float) -> _Half:
    """All numbers of rings, and of nuts behind them, that the room (m) takes; with nuts, such as keep themselves."""
    kinds = (*rings, *nuts)
    counts, heights = np.zeros((1, 0), dtype=int), np.zeros(1)
    for kind in kinds:
        fits = int(min(kind.most, np.floor(room / kind.height + 1e-6)))
        every = np.arange(fits + 1)
        grown = (heights[:, None] + every[None, :] * kind.height).ravel()
        counts = np.column_stack([np.repeat(counts, fits + 1, axis=0), np.tile(every, heights.size)])
        keep = grown <= room + TIGHT
        counts, heights = counts[keep], grown[keep]
    if nuts:
        keep = _keeps_itself(kinds, counts)
        counts, heights = counts[keep], heights[keep]
    side, seat = (-1.0, space.seat_below) if nuts else (1.0, space.seat_above)
    return _Half(kinds, counts, heights, _sums(kinds, counts, side, seat or 0.0))


def _keeps_itself(kinds: Sequence[Kind], counts: Counts) -> NDArray[np.bool_]:
    """Two nuts, the second locking the first, or one that locks itself; a thin one closes nothing by itself."""
    number = {
        name: sum(
            (counts[:, place] for place, one in enumerate(kinds) if one.shape == "nut" and test(one)),
            np.zeros(counts.shape[0], dtype=int),
        )
        for name, test in (
            ("any", lambda _: True),
            ("locks", lambda one: one.locks),
            ("thin", lambda one: one.thin),
        )
    }
    return np.asarray((number["any"] - number["thin"] >= 1) & ((number["any"] >= 2) | (number["locks"] >= 1)))


def _sums(kinds: Sequence[Kind], counts: Counts, side: float, seat: float) -> Column:
    """Sums (n,) of pieces that lie one on the other from `seat`, m, outward."""
    total = Column(*(np.zeros(counts.shape[0]) for _ in range(4)))
    base = np.full(counts.shape[0], seat)
    for place, kind in enumerate(kinds):
        n, high, own = counts[:, place], kind.height, kind.column
        reach = n * high
        heights = side * (n * base + high * n * n / 2.0)  # sums of the middles, and of their squares
        squares = n * (base + reach / 2.0) ** 2 + n * (n * n - 1.0) * high**2 / 12.0
        total = total.plus(
            Column(
                n * own.mass,
                n * own.first + own.mass * heights,
                n * own.second + 2.0 * own.first * heights + own.mass * squares,
                n * own.across,
            )
        )
        base = base + reach
    return total


def _fitting(space: DesignSpace, screw: Kind, above: _Half, below: _Half) -> _Stacks:
    """Pairs of halves that this screw takes."""
    pitch = tables.THREADS[space.thread].pitch * MM
    face = (space.seat_above or 0.0) + above.heights
    end = screw.shank - face
    good = face + screw.height <= space.above + TIGHT
    good &= end <= space.below + TIGHT
    good &= screw.shank + screw.height <= space.over_all + TIGHT
    rows = np.flatnonzero(good)
    nuts_from = (space.seat_below or 0.0) + _rings_height(below)
    nuts_to = (space.seat_below or 0.0) + below.heights
    pairs = nuts_to[None, :] + pitch <= end[rows, None] + TIGHT
    pairs &= nuts_from[None, :] >= screw.plain - face[rows, None] - TIGHT
    for place, kind in enumerate(above.kinds):
        other = below.kinds.index(kind)
        pairs &= above.counts[rows, place][:, None] + below.counts[None, :, other] <= kind.most
    one, two = np.nonzero(pairs)
    one = rows[one]
    upper = above.sums.taken(one).plus(_head(screw, face[one]))
    lower = below.sums.taken(two)
    if one.size:
        classes = UNEVEN_BOUGHT if abs(space.chord) > 1e-6 else UNEVEN_ON_AXIS
        keep = even(upper, lower, classes)
        one, two, upper, lower = one[keep], two[keep], upper.taken(keep), lower.taken(keep)
    return _Stacks(screw, above, below, (one, two), upper.plus(lower))


def _rings_height(half: _Half) -> NDArray[np.float64]:
    high = np.array([one.height if one.shape == "ring" else 0.0 for one in half.kinds])
    return np.asarray(half.counts @ high)


def _head(screw: Kind, face: NDArray[np.float64]) -> Column:
    """Sums of the screw with its head's face so high, m."""
    own = screw.column
    first = own.first + own.mass * face
    second = own.second + 2.0 * own.first * face + own.mass * face**2
    return Column(np.full(face.shape, own.mass), first, second, np.full(face.shape, own.across))


def _why_none(space: DesignSpace, screws: Sequence[Kind], above: _Half, below: _Half) -> str:
    """Which limit leaves nothing: of each screw what is in its way."""
    if not below.heights.size:
        return (
            "nothing closes the bolt: it takes a nut that locks itself, or two of which one is a full nut, within "
            "envelope.height_below"
        )
    pitch = tables.THREADS[space.thread].pitch * MM
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


def _as_choices(space: DesignSpace, stacks: Sequence[_Stacks]) -> Choices:
    place = np.concatenate([np.full(one.rows[0].size, number) for number, one in enumerate(stacks)])
    within = np.concatenate([np.arange(one.rows[0].size) for one in stacks])
    sums = Column(*(np.concatenate(values) for values in zip(*(one.sums for one in stacks), strict=True)))

    def picked(index: int) -> tuple[_Stacks, Counts, Counts]:
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


def _touching(space: DesignSpace, stack: _Stacks, above: Counts, below: Counts) -> list[str]:
    """Limits that it reaches: heights, length, and kinds of which no more are left."""
    face = (space.seat_above or 0.0) + sum(
        n * one.height for n, one in zip(above, stack.above.kinds, strict=True)
    )
    reached = {
        "height_above": face + stack.screw.height > space.above - space.step,
        "height_below": stack.screw.shank - face > space.below - space.step,
        "bolt_length": stack.screw.shank + stack.screw.height > space.over_all - space.step,
    }
    used = {one.key: n for n, one in zip(below.tolist(), stack.below.kinds, strict=True)}
    for n, one in zip(above.tolist(), stack.above.kinds, strict=True):
        used[one.key] += n
    gone = [
        f"{one.key}.count" for one in stack.below.kinds if used[one.key] == one.most and "own." in one.key
    ]
    return [*(name for name, so in reached.items() if so), *gone]


def _build(space: DesignSpace, stack: _Stacks, above: Counts, below: Counts) -> Build:
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
    made = [_made(space, stack.screw, shank, 1, "", threaded=(0,))]
    for number, kind in enumerate(stack.below.kinds):
        over = int(above[stack.above.kinds.index(kind)]) if kind in stack.above.kinds else 0
        under = int(below[number])
        if over + under:
            words = " and ".join(f"{n} {side}" for n, side in ((over, "above"), (under, "below")) if n)
            made.append(_made(space, kind, kind.pieces, over + under, words))
    return Build(tuple(made), parts)


def _laid(
    half: _Half, counts: Counts, side: float, face: float, place: dict[str, str]
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
