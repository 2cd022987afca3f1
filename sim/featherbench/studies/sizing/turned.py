"""A turned bolt with a tall round head, and a tall round nut."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from featherbench.assembly import hardware_tables as tables
from featherbench.assembly.hardware import MM
from featherbench.assembly.materials import Material
from featherbench.assembly.shapes import Piece
from featherbench.studies.sizing.choices import (
    MOST_DIAMETERS,
    Choices,
    even,
    nut_height,
    partners,
    steps_of,
    thinned,
    touched,
)
from featherbench.studies.sizing.made import Build, Made, bar, mm
from featherbench.studies.sizing.room import STRONG, Room, head_diameter


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
    heads = steps_of(room, room.seat_above, room.above, tables.ISO_4762[room.thread].height * MM)
    nuts = steps_of(room, room.seat_below, room.below, nut_height(room))
    if not wide or not heads.size or not nuts.size:
        return [], [
            f"bolt and nut: no room for a head of at least {least * 1e3:g} mm diameter: "
            f"diameter up to {room.widest * 1e3:.3g} mm, heights up to {room.above * 1e3:g} and {room.below * 1e3:g} mm"
        ]
    bars = thinned(np.array(wide), MOST_DIAMETERS)
    return [_turned(room, one, bars, heads, nuts) for one in strong], []


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
    above = above.plus(bar(room.shank, 0.0, room.seat_above, own))
    below = bar(d_below, -room.seat_below - l_below, -room.seat_below, own, room.core)
    below = below.plus(bar(room.core, -room.seat_below - l_below, -room.thread_from, own))
    below = below.plus(bar(room.shank, -room.thread_from, 0.0, own))
    one, other = partners(above, below)
    fits = l_above[one] + l_below[other] + room.seat_above + room.seat_below <= room.over_all + 1e-9
    one, other = one[fits], other[fits]
    pairs = (above.taken(one), below.taken(other))
    good = even(*pairs) if one.size else np.zeros(0, dtype=bool)
    one, other = one[good], other[good]
    numbers = np.stack([d_above[one], l_above[one], d_below[other], l_below[other]], axis=1)

    def touching(index: int) -> list[str]:
        d1, l1, d2, l2 = numbers[index]
        return touched(
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


def _bolt_build(room: Room, metal: Material, d1: float, l1: float, d2: float, l2: float) -> Build:
    """Head d1 x l1 above, nut d2 x l2 below, the bolt's end flush with the nut; plain where the blade swings on it."""
    top, bottom, run_out = room.seat_above or 0.0, -(room.seat_below or 0.0) - l2, -room.thread_from
    thread = Piece(bottom, run_out - bottom, diameter=room.core, thread=room.thread)
    shank = Piece(run_out, top - run_out, diameter=room.shank)
    head = Piece(top, l1, diameter=d1)
    nut = Piece(bottom, l2, diameter=d2, bore=room.core, tapped=room.thread)
    parts = {
        "weight-bolt-shank": _stack(room, metal, "bolt", (thread, shank)),
        "weight-bolt-head": {**_stack(room, metal, "counterweight", (head,)), "held_by": "head"},
        "weight-nut": {**_stack(room, metal, "counterweight", (nut,)), "held_by": "nut"},
    }
    if room.replaced:
        parts["weight-bolt-shank"]["instead_of"] = list(room.replaced)
    place = (room.radius, room.chord, 1, room.thread)
    bolt = Made(
        "weight bolt", metal.name, metal.density, (thread, shank, head), *place, threaded=(0,), plain=(1,)
    )
    tall = Made("weight nut", metal.name, metal.density, (nut,), *place, tapped=True)
    return Build((bolt, tall), parts)


def _stack(room: Room, metal: Material, group: str, pieces: tuple[Piece, ...]) -> dict[str, Any]:
    """A turned part as it stands in a scenario file: threads by their size, which says what they weigh as and bear."""
    rows = []
    for piece in pieces:
        one = {"from": mm(piece.start), "length": mm(piece.length)}
        one |= {"thread": piece.thread} if piece.thread else {"diameter": mm(piece.diameter)}
        if piece.tapped:
            one["tapped"] = piece.tapped
        rows.append(one)
    return {
        "group": group,
        "shape": "stack",
        "axis": "normal",
        "at": {"radius": mm(room.radius), "chord": mm(room.chord)},
        "material": metal.name,
        "pieces": rows,
    }
