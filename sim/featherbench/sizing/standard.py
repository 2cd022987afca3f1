"""A longer screw with washers and nuts out of the standards' tables: nothing to machine."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from featherbench.assembly.hardware import MM, nut_pieces, screw_pieces, thread_of, washer_pieces
from featherbench.assembly.materials import MATERIALS
from featherbench.assembly.shapes import Piece
from featherbench.assembly.usual_hardware import (
    plain_length,
    plain_washer,
    screw_lengths,
    screw_size,
    socket_head,
    standards_of,
)
from featherbench.sizing.choices import (
    UNEVEN_BOUGHT,
    UNEVEN_ON_AXIS,
    Choices,
    even,
    nut_height,
    touched,
)
from featherbench.sizing.design_space import DesignSpace, head_diameter
from featherbench.sizing.machined import NOTHING, Build, Column, MachinedPart, column_of, mm

MOST_NUTS, MOST_WASHERS = 4, 24


@dataclass(frozen=True)
class _Rack:
    """Nuts and washers above and below, and the screw's length, m."""

    nuts_above: int
    washers_above: int
    washers_below: int
    nuts_below: int
    length: float


def standard_choices(space: DesignSpace) -> tuple[list[Choices], list[str]]:
    """Longer screws with washers and nuts out of the standards' tables; and why there are none."""
    if space.seat_above is None or space.seat_below is None:
        return [], ["standard hardware: state envelope.seat_above and seat_below, the faces of head and nut"]
    washer = plain_washer(space.thread)
    if washer is None:
        return [], [f"standard hardware: {standards_of(space.thread).washer} has no {space.thread} washer"]
    if max(washer.diameter * MM, head_diameter(space)) > space.widest + 1e-9:
        return [], [
            f"standard hardware: a washer for {space.thread} of {washer.diameter:g} mm is wider than the diameter"
        ]
    racks = list(_racks(space))
    if not racks:
        return [], [f"standard hardware: {_why_none(space)}"]
    halves = [_rack_columns(space, rack) for rack in racks]
    above, below = (Column(*np.array([half[side] for half in halves]).T) for side in (0, 1))
    good = np.flatnonzero(even(above, below, UNEVEN_BOUGHT if abs(space.chord) > 1e-6 else UNEVEN_ON_AXIS))
    return [
        Choices(
            "standard",
            "standard hardware, nothing to machine",
            space.radius,
            space.chord,
            space.replaced,
            above.plus(below).taken(good),
            lambda index: _rack_build(space, racks[good[index]]),
            lambda index: _rack_touched(space, racks[good[index]]),
        )
    ], []


def _why_none(space: DesignSpace) -> str:
    """Which limit leaves no screw of the series."""
    free = [rack.length for rack in _racks(replace(space, over_all=math.inf))]
    if not free:
        return f"no {space.thread} screw of the series fits between the two heights"
    whole = min(free) + socket_head(space.thread).height * MM
    return (
        f"the shortest that does, {screw_size(space.thread, min(free))}, is {whole / MM:g} mm over all: "
        f"envelope.bolt_length allows {space.over_all / MM:g} mm"
    )


def _racks(space: DesignSpace) -> Iterator[_Rack]:
    """All that fit: two nuts below at least, the last fully on the thread, the screw's end as low as allowed, head and
    shank no longer than the bolt may be over all.
    """
    nut, washer = nut_height(space), _washer(space)
    head, pitch = socket_head(space.thread).height * MM, thread_of(space.thread).pitch * MM
    grip = (space.seat_above or 0.0) + (space.seat_below or 0.0)
    for nuts, washers in itertools.product(range(MOST_NUTS + 1), range(MOST_WASHERS + 1)):
        over = nuts * nut + washers * washer
        if (space.seat_above or 0.0) + over + head > space.above + 1e-9:
            continue
        for low, nuts_below in itertools.product(range(MOST_WASHERS + 1), range(2, MOST_NUTS + 2)):
            needed = over + grip + low * washer + nuts_below * nut
            for length in screw_lengths(space.thread):
                if length + head > space.over_all + 1e-9:
                    break
                spare = length - needed
                end = length - over - (space.seat_above or 0.0)
                if pitch - 1e-9 <= spare <= 3.0 * nut and end <= space.below + 1e-9:
                    yield _Rack(nuts, washers, low, nuts_below, length)


def _placed(space: DesignSpace, rack: _Rack) -> Iterator[tuple[str, tuple[Piece, ...], float]]:
    """Kind, pieces about their own middle, and the height of that middle, m; nearest the grip first."""
    nut, washer = nut_height(space), _washer(space)
    for side, washers, nuts, face in (
        (1.0, rack.washers_above, rack.nuts_above, space.seat_above or 0.0),
        (-1.0, rack.washers_below, rack.nuts_below, space.seat_below or 0.0),
    ):
        for _ in range(washers):
            yield (
                "washer",
                washer_pieces(standards_of(space.thread).washer, space.thread),
                side * (face + washer / 2.0),
            )
            face += washer
        for _ in range(nuts):
            yield "nut", nut_pieces(standards_of(space.thread).nut, space.thread), side * (face + nut / 2.0)
            face += nut


def _head_face(space: DesignSpace, rack: _Rack) -> float:
    washer = _washer(space)
    return (space.seat_above or 0.0) + rack.nuts_above * nut_height(space) + rack.washers_above * washer


def _screw(space: DesignSpace, rack: _Rack) -> tuple[Piece, ...]:
    """The pieces of the screw along the normal."""
    plain = (plain_length(space.thread, rack.length), None)
    standard = standards_of(space.thread).screw
    return screw_pieces(standard, screw_size(space.thread, rack.length), "+", _head_face(space, rack), plain)


def _washer(space: DesignSpace) -> float:
    """Thickness of a washer, m."""
    washer = plain_washer(space.thread)
    assert washer is not None
    return washer.thickness * MM


def _rack_columns(space: DesignSpace, rack: _Rack) -> tuple[Column, Column]:
    """Sums of what lies above and below, the screw counted where its own balance puts it."""
    steel = MATERIALS["steel"].density
    above = column_of(_screw(space, rack), steel)
    below = NOTHING
    for _, pieces, height in _placed(space, rack):
        column = column_of(pieces, steel, height)
        above, below = (above.plus(column), below) if height > 0.0 else (above, below.plus(column))
    return above, below


def _rack_touched(space: DesignSpace, rack: _Rack) -> list[str]:
    head = socket_head(space.thread).height * MM
    end = rack.length - _head_face(space, rack)
    found = touched(space, _head_face(space, rack) + head, end, 0.0, 1.0)
    longer = min((own for own in screw_lengths(space.thread) if own > rack.length + 1e-9), default=0.0)
    if "bolt_length" not in found and space.over_all < space.above + space.below < math.inf:
        found += ["bolt_length"] if longer + head > space.over_all + 1e-9 else []
    return found


def _rack_build(space: DesignSpace, rack: _Rack) -> Build:
    steel = MATERIALS["steel"]
    place = {"radius": mm(space.radius), "chord": mm(space.chord)}
    screw: dict[str, Any] = {
        "group": "bolt",
        "shape": "screw",
        "standard": standards_of(space.thread).screw,
        "size": screw_size(space.thread, rack.length),
        "at": place,
        "under_head": mm(_head_face(space, rack)),
        "material": "steel",
    }
    if plain := plain_length(space.thread, rack.length):
        screw["shank_length"] = mm(plain)
    if space.replaced:
        screw["instead_of"] = list(space.replaced)
    parts = {"weight-screw": screw}
    pieces = _screw(space, rack)
    common = (steel.name, steel.density)
    made = [
        MachinedPart(
            "long screw",
            *common,
            pieces,
            space.radius,
            space.chord,
            1,
            space.thread,
            f"{screw['standard']} {screw['size']}",
            (0,),
            fitted=("weight-screw",),
        )
    ]
    standards = standards_of(space.thread)._asdict()
    counts = {"nut": 0, "washer": 0}
    for kind, _, height in _placed(space, rack):
        counts[kind] += 1
        clamps = kind == "nut" and counts["nut"] == rack.nuts_above + 1 and bool(space.replaced)
        table: dict[str, Any] = {
            "group": "bolt" if clamps else "counterweight",
            "shape": kind,
            "standard": standards[kind],
            "size": space.thread,
            "at": {**place, "normal": mm(height)},
            "material": "steel",
        }
        table["held_by"] = "nut" if kind == "nut" else f"clamped under {'head' if height > 0.0 else 'nut'}"
        if clamps:
            table["instead_of"] = list(space.replaced)
        parts[f"weight-{kind}-{counts[kind]}"] = table
    for kind, count in counts.items():
        if count:
            own = (nut_pieces if kind == "nut" else washer_pieces)(standards[kind], space.thread)
            label = f"{standards[kind]} {space.thread}"
            one = MachinedPart(kind, *common, own, space.radius, space.chord, count, space.thread, label)
            fitted = tuple(name for name in parts if name.startswith(f"weight-{kind}-"))
            made.append(replace(one, where=_where(rack, kind), fitted=fitted))
    return Build(tuple(made), parts)


def _where(rack: _Rack, kind: str) -> str:
    """How many of a kind lie on which side."""
    sides = {"nut": (rack.nuts_above, rack.nuts_below), "washer": (rack.washers_above, rack.washers_below)}
    return " and ".join(f"{n} {side}" for n, side in zip(sides[kind], ("above", "below"), strict=True) if n)
