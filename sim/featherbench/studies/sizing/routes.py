"""The three ways to carry weights: every choice that the envelope leaves, and how each is made.

bolt: a turned bolt with a tall round head, and a tall round nut. arms: round weights on threaded arms that stand on the
grip. standard: a longer screw with washers and nuts, nothing to machine.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from featherbench.assembly import hardware_tables as tables
from featherbench.assembly.hardware import MM, nut_pieces, screw_pieces, washer_pieces
from featherbench.assembly.materials import MATERIALS, Material
from featherbench.assembly.shapes import Piece
from featherbench.studies.sizing.made import NOTHING, Build, Column, Made, bar, column_of, mm
from featherbench.studies.sizing.room import STRONG, Room, head_diameter

PARTNERS = 6
"""Columns below that are tried with each one above: those that balance it best."""
UNEVEN = (0.01, 0.03, 0.06, 0.12, 1.0)
UNEVEN_BOUGHT = (0.25, 1.0)
"""Share of the first moments that may be left over between above and below, tried in turn; of bought pieces more."""
SCREW_LENGTHS = (5, 6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60)
"""mm, the series of ISO 4762 (MEM, from memory)."""
MOST_NUTS, MOST_WASHERS = 4, 24


@dataclass(frozen=True)
class Choices:
    """All choices of one route and material: sums of the new metal (n,), where it stands, and how one is made.

    touching: for each choice, which limits it reaches, as a function of its index.
    """

    route: str
    words: str
    radius: float
    chord: float
    removed: tuple[str, ...]
    weights: Column
    make: Callable[[int], Build]
    touching: Callable[[int], list[str]]

    @property
    def count(self) -> int:
        """How many."""
        return int(np.size(self.weights.mass))


def even(above: Column, below: Column, classes: tuple[float, ...] = UNEVEN) -> NDArray[np.bool_]:
    """Which pairs (n,) balance about the feathering axis as well as any do, by classes."""
    left = np.abs(above.first + below.first)
    share = left / np.maximum(np.abs(above.first) + np.abs(below.first), 1e-30)
    for limit in classes:
        good = share <= limit
        if good.any():
            return np.asarray(good)
    return np.ones(share.shape, dtype=bool)


# -- turned bolt and nut ------------------------------------------------------------------------------------


def bolt_choices(room: Room) -> tuple[list[Choices], list[str]]:
    """Turned bolts and nuts of each strong material; and why there are none."""
    if room.seat_above is None or room.seat_below is None:
        return [], [
            "bolt and nut: state envelope.seat_above and seat_below, the faces that head and nut sit on"
        ]
    strong = [one for one in room.materials if one.name in STRONG]
    if not strong:
        return [], [f"bolt and nut: none of the materials may hold a blade; add one of {', '.join(STRONG)}"]
    least = head_diameter(room)
    wide = [size for size in room.bars if least - 1e-9 <= size <= room.widest + 1e-9]
    heads = _heads(room, room.seat_above, room.above, tables.ISO_4762[room.thread].height * MM)
    nuts = _heads(room, room.seat_below, room.below, _nut_height(room))
    if not wide or not heads.size or not nuts.size:
        return [], [
            f"bolt and nut: no room for a head of at least {least * 1e3:g} mm diameter: "
            f"diameter up to {room.widest * 1e3:.3g} mm, heights up to {room.above * 1e3:g} and {room.below * 1e3:g} mm"
        ]
    return [_turned(room, one, np.array(wide), heads, nuts) for one in strong], []


def _heads(room: Room, seat: float, limit: float, least: float) -> NDArray[np.float64]:
    """Heights that the lathe's step allows, m, from that of a standard head or nut up."""
    low, high = int(np.ceil(least / room.step - 1e-6)), int(np.floor((limit - seat) / room.step + 1e-6))
    return np.round(np.arange(low, high + 1) * room.step, 9)


def _turned(
    room: Room,
    metal: Material,
    wide: NDArray[np.float64],
    heads: NDArray[np.float64],
    nuts: NDArray[np.float64],
) -> Choices:
    assert room.seat_above is not None
    assert room.seat_below is not None
    d_above, l_above = (grid.ravel() for grid in np.meshgrid(wide, heads, indexing="ij"))
    d_below, l_below = (grid.ravel() for grid in np.meshgrid(wide, nuts, indexing="ij"))
    own = metal.density
    above = bar(d_above, room.seat_above, room.seat_above + l_above, own)
    above = above.plus(bar(room.core, 0.0, room.seat_above, own))
    below = bar(d_below, -room.seat_below - l_below, -room.seat_below, own, room.core)
    below = below.plus(bar(room.core, -room.seat_below - l_below, 0.0, own))
    one, other = _partners(above, below)
    fits = l_above[one] + l_below[other] + room.seat_above + room.seat_below <= room.over_all + 1e-9
    one, other = one[fits], other[fits]
    pairs = (above.taken(one), below.taken(other))
    good = even(*pairs) if one.size else np.zeros(0, dtype=bool)
    one, other = one[good], other[good]
    numbers = np.stack([d_above[one], l_above[one], d_below[other], l_below[other]], axis=1)

    def touching(index: int) -> list[str]:
        d1, l1, d2, l2 = numbers[index]
        return _touched(
            room,
            (room.seat_above or 0.0) + l1,
            (room.seat_below or 0.0) + l2,
            max(d1, d2),
            room.widest,
        )

    return Choices(
        "bolt",
        f"turned bolt and nut, {metal.name}",
        room.radius,
        room.chord,
        room.replaced,
        above.taken(one).plus(below.taken(other)),
        lambda index: _bolt_build(room, metal, *(float(value) for value in numbers[index])),
        touching,
    )


def _partners(above: Column, below: Column) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Each column above with the few below of nearest opposite first moment."""
    order = np.argsort(-below.first)
    place = np.searchsorted(-below.first[order], above.first)
    near = place[:, None] + np.arange(-PARTNERS // 2, PARTNERS // 2)[None, :]
    near = np.clip(near, 0, order.size - 1)
    ones = np.repeat(np.arange(place.size), near.shape[1])
    return ones, order[near.ravel()]


def _touched(room: Room, above: float, below: float, diameter: float, widest: float) -> list[str]:
    """Which limits a choice reaches to within a step."""
    found = []
    if above > room.above - room.step:
        found.append("height_above")
    if below > room.below - room.step:
        found.append("height_below")
    if above + below > room.over_all - room.step and room.over_all < room.above + room.below:
        found.append("bolt_length")
    if diameter > min(widest, room.bars[-1] if room.bars else widest) - room.step:
        found.append("diameter")
    return found


def _bolt_build(room: Room, metal: Material, d1: float, l1: float, d2: float, l2: float) -> Build:
    """Head d1 x l1 above, nut d2 x l2 below, the bolt's end flush with the nut."""
    top, bottom = room.seat_above or 0.0, -(room.seat_below or 0.0) - l2
    shank = Piece(bottom, top - bottom, diameter=room.core)
    head = Piece(top, l1, diameter=d1)
    nut = Piece(bottom, l2, diameter=d2, bore=room.core)
    place = {"radius": mm(room.radius), "chord": mm(room.chord)}

    def stack(piece: Piece, group: str) -> dict[str, Any]:
        one = {"from": mm(piece.start), "length": mm(piece.length), "diameter": mm(piece.diameter)}
        if piece.bore:
            one["bore"] = mm(piece.bore)
        return {
            "group": group,
            "shape": "stack",
            "axis": "normal",
            "at": place,
            "material": metal.name,
            "pieces": [one],
        }

    middle = {**place, "normal": mm((top + bottom) / 2.0)}
    parts = {
        "weight-bolt-shank": {
            "group": "bolt",
            "shape": "cylinder",
            "axis": "normal",
            "diameter": mm(shank.diameter),
            "length": mm(shank.length),
            "at": middle,
            "material": metal.name,
            "instead_of": list(room.replaced),
        },
        "weight-bolt-head": stack(head, "counterweight"),
        "weight-nut": stack(nut, "counterweight"),
    }
    if not room.replaced:
        del parts["weight-bolt-shank"]["instead_of"]
    common = {"material": metal.name, "density": metal.density, "radius": room.radius, "chord": room.chord}
    bolt = Made("weight bolt", pieces=(shank, head), thread=room.thread, threaded=(0,), **common)  # type: ignore[arg-type]
    tall = Made("weight nut", pieces=(nut,), thread=room.thread, tapped=True, **common)  # type: ignore[arg-type]
    return Build((bolt, tall), parts)


# -- weights on arms ----------------------------------------------------------------------------------------


def arm_choices(room: Room) -> tuple[list[Choices], list[str]]:
    """Round weights of each material on threaded arms, one above and one below; and why there are none."""
    limit = min(room.above, room.below)
    if room.arm_face is None or room.arm_face >= limit:
        return [], [
            "arms: no grip to stand on at arm_radius below the heights; state envelope.arm_foot or arm_radius"
        ]
    least = 1.5 * tables.THREADS[room.thread].diameter * MM
    wide = [size for size in room.bars if least - 1e-9 <= size <= room.arm_widest + 1e-9]
    if not wide:
        return [], [
            f"arms: no bar between {least * 1e3:.2g} and {room.arm_widest * 1e3:.3g} mm at the arms' radius"
        ]
    if limit - room.arm_face < _nut_height(room):
        return [], ["arms: no height over the grip for a weight as thick as a nut"]
    return [_arms(room, one, np.array(wide), room.arm_face, limit) for one in room.materials], []


def _arms(room: Room, metal: Material, wide: NDArray[np.float64], face: float, limit: float) -> Choices:
    steps = _heads(room, face, limit, _nut_height(room))
    tops = np.round(face + steps[:: max(1, steps.size // 60)], 9)
    tops = np.unique(np.append(tops, np.round(face + steps[-1], 9)))
    wide = wide[:: max(1, wide.size // 60)] if wide.size > 60 else wide
    diameter, length, top = (grid.ravel() for grid in np.meshgrid(wide, steps, tops, indexing="ij"))
    fits = length <= top - face + 1e-9
    diameter, length, top = diameter[fits], length[fits], top[fits]
    weight = bar(diameter, top - length, top, metal.density, room.core)
    arm = bar(room.core, face, top, room.arm_material.density)
    numbers = np.stack([diameter, length, top], axis=1)
    return Choices(
        "arms",
        f"{metal.name} weights on threaded arms",
        room.arm_radius,
        0.0,
        (),
        weight.plus(arm).mirrored(),
        lambda index: _arm_build(room, metal, face, *(float(value) for value in numbers[index])),
        lambda index: _touched(
            room, numbers[index][2], numbers[index][2], numbers[index][0], room.arm_widest
        ),
    )


def _arm_build(room: Room, metal: Material, face: float, diameter: float, length: float, top: float) -> Build:
    arm = Piece(face, top - face, diameter=room.core)
    weight = Piece(top - length, length, diameter=diameter, bore=room.core)

    def at(piece: Piece) -> dict[str, str]:
        return {"radius": mm(room.arm_radius), "normal": mm(piece.start + piece.length / 2.0)}

    common = {"group": "counterweight", "axis": "normal", "mirror": "normal"}
    parts: dict[str, dict[str, Any]] = {
        "weight-arm": {
            **common,
            "shape": "cylinder",
            "diameter": mm(arm.diameter),
            "length": mm(arm.length),
            "at": at(arm),
            "material": room.arm_material.name,
        },
        "weight": {
            **common,
            "shape": "tube",
            "diameter": mm(diameter),
            "bore": mm(weight.bore),
            "length": mm(length),
            "at": at(weight),
            "material": metal.name,
        },
    }
    made = (
        Made(
            "weight", metal.name, metal.density, (weight,), room.arm_radius, 0.0, 2, room.thread, tapped=True
        ),
        Made(
            "arm",
            room.arm_material.name,
            room.arm_material.density,
            (arm,),
            room.arm_radius,
            0.0,
            2,
            room.thread,
            threaded=(0,),
        ),
    )
    return Build(made, parts)


# -- standard hardware --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Rack:
    """Nuts and washers above and below, and the screw's length, m."""

    nuts_above: int
    washers_above: int
    washers_below: int
    nuts_below: int
    length: float


def standard_choices(room: Room) -> tuple[list[Choices], list[str]]:
    """Longer screws with washers and nuts out of the standards' tables; and why there are none."""
    if room.seat_above is None or room.seat_below is None:
        return [], ["standard hardware: state envelope.seat_above and seat_below, the faces of head and nut"]
    washer = tables.ISO_7089[room.thread]
    if max(washer.diameter * MM, head_diameter(room)) > room.widest + 1e-9:
        return [], [
            f"standard hardware: an {room.thread} washer of {washer.diameter:g} mm is wider than the diameter"
        ]
    racks = list(_racks(room))
    if not racks:
        return [], [f"standard hardware: no {room.thread} screw of the series fits between the two heights"]
    halves = [_rack_columns(room, rack) for rack in racks]
    above, below = (Column(*np.array([half[side] for half in halves]).T) for side in (0, 1))
    good = np.flatnonzero(even(above, below, UNEVEN_BOUGHT))
    return [
        Choices(
            "standard",
            "standard hardware, nothing to machine",
            room.radius,
            room.chord,
            room.replaced,
            above.plus(below).taken(good),
            lambda index: _rack_build(room, racks[good[index]]),
            lambda index: _rack_touched(room, racks[good[index]]),
        )
    ], []


def _nut_height(room: Room) -> float:
    return tables.ISO_4032[room.thread].height * MM


def _racks(room: Room) -> Iterator[_Rack]:
    """All that fit: two nuts below at least, the last fully on the thread, the screw's end as low as allowed."""
    nut, washer = _nut_height(room), tables.ISO_7089[room.thread].thickness * MM
    head, pitch = tables.ISO_4762[room.thread].height * MM, tables.THREADS[room.thread].pitch * MM
    grip = (room.seat_above or 0.0) + (room.seat_below or 0.0)
    for nuts, washers in itertools.product(range(MOST_NUTS + 1), range(MOST_WASHERS + 1)):
        over = nuts * nut + washers * washer
        if (room.seat_above or 0.0) + over + head > room.above + 1e-9:
            continue
        for low, nuts_below in itertools.product(range(MOST_WASHERS + 1), range(2, MOST_NUTS + 2)):
            needed = over + grip + low * washer + nuts_below * nut
            for length in SCREW_LENGTHS:
                spare = length * MM - needed
                end = length * MM - over - (room.seat_above or 0.0)
                if pitch - 1e-9 <= spare <= 3.0 * nut and end <= room.below + 1e-9:
                    yield _Rack(nuts, washers, low, nuts_below, length * MM)
                    break


def _placed(room: Room, rack: _Rack) -> Iterator[tuple[str, tuple[Piece, ...], float]]:
    """Kind, pieces about their own middle, and the height of that middle, m; nearest the grip first."""
    nut, washer = _nut_height(room), tables.ISO_7089[room.thread].thickness * MM
    for side, washers, nuts, face in (
        (1.0, rack.washers_above, rack.nuts_above, room.seat_above or 0.0),
        (-1.0, rack.washers_below, rack.nuts_below, room.seat_below or 0.0),
    ):
        for _ in range(washers):
            yield "washer", washer_pieces("ISO 7089", room.thread), side * (face + washer / 2.0)
            face += washer
        for _ in range(nuts):
            yield "nut", nut_pieces("ISO 4032", room.thread), side * (face + nut / 2.0)
            face += nut


def _head_face(room: Room, rack: _Rack) -> float:
    washer = tables.ISO_7089[room.thread].thickness * MM
    return (room.seat_above or 0.0) + rack.nuts_above * _nut_height(room) + rack.washers_above * washer


def _size(room: Room, rack: _Rack) -> str:
    return f"{room.thread}x{rack.length / MM:.0f}"


def _rack_columns(room: Room, rack: _Rack) -> tuple[Column, Column]:
    """Sums of what lies above and below, the screw counted where its own balance puts it."""
    steel = MATERIALS["steel"].density
    above = column_of(screw_pieces("ISO 4762", _size(room, rack), "+", _head_face(room, rack)), steel)
    below = NOTHING
    for _, pieces, height in _placed(room, rack):
        column = column_of(pieces, steel, height)
        above, below = (above.plus(column), below) if height > 0.0 else (above, below.plus(column))
    return above, below


def _rack_touched(room: Room, rack: _Rack) -> list[str]:
    head = tables.ISO_4762[room.thread].height * MM
    end = rack.length - _head_face(room, rack)
    return _touched(room, _head_face(room, rack) + head, end, 0.0, 1.0)


def _rack_build(room: Room, rack: _Rack) -> Build:
    steel = MATERIALS["steel"]
    place = {"radius": mm(room.radius), "chord": mm(room.chord)}
    screw: dict[str, Any] = {
        "group": "bolt",
        "shape": "screw",
        "standard": "ISO 4762",
        "size": _size(room, rack),
        "at": place,
        "under_head": mm(_head_face(room, rack)),
        "material": "steel",
    }
    if room.replaced:
        screw["instead_of"] = list(room.replaced)
    parts = {"weight-screw": screw}
    pieces = screw_pieces("ISO 4762", _size(room, rack), "+", _head_face(room, rack))
    common = (steel.name, steel.density)
    made = [
        Made(
            "long screw",
            *common,
            pieces,
            room.radius,
            room.chord,
            1,
            room.thread,
            f"ISO 4762 {_size(room, rack)}",
            (0,),
        )
    ]
    standards = {"nut": "ISO 4032", "washer": "ISO 7089"}
    counts = {"nut": 0, "washer": 0}
    for kind, _, height in _placed(room, rack):
        counts[kind] += 1
        clamps = kind == "nut" and counts["nut"] == rack.nuts_above + 1 and bool(room.replaced)
        table: dict[str, Any] = {
            "group": "bolt" if clamps else "counterweight",
            "shape": kind,
            "standard": standards[kind],
            "size": room.thread,
            "at": {**place, "normal": mm(height)},
            "material": "steel",
        }
        if clamps:
            table["instead_of"] = list(room.replaced)
        parts[f"weight-{kind}-{counts[kind]}"] = table
    for kind, count in counts.items():
        if count:
            own = (nut_pieces if kind == "nut" else washer_pieces)(standards[kind], room.thread)
            label = f"{standards[kind]} {room.thread}"
            made.append(Made(kind, *common, own, room.radius, room.chord, count, room.thread, label))
    return Build(tuple(made), parts)
