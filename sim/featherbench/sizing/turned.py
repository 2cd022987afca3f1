"""A turned bolt with a tall round head, and a tall round nut."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from featherbench.assembly.hardware import MM
from featherbench.assembly.materials import Material
from featherbench.assembly.shapes import Piece
from featherbench.assembly.usual_hardware import socket_head
from featherbench.sizing.choices import (
    MOST_DIAMETERS,
    Choices,
    even,
    nut_height,
    partners,
    steps_of,
    thinned,
    touched,
)
from featherbench.sizing.design_space import STRONG, DesignSpace, head_diameter
from featherbench.sizing.drive import off_the_end, with_drive, written_cut
from featherbench.sizing.machined import Build, MachinedPart, bar, mm


def bolt_choices(space: DesignSpace) -> tuple[list[Choices], list[str]]:
    """Turned bolts and nuts of each strong material; and why there are none."""
    if space.seat_above is None or space.seat_below is None:
        return [], [
            "bolt and nut: state envelope.seat_above and seat_below, the faces that head and nut sit on"
        ]
    strong = [material for material in space.materials if material.name in STRONG]
    if not strong:
        return [], [f"bolt and nut: none of the materials may hold a blade; add one of {', '.join(STRONG)}"]
    least = head_diameter(space)
    wide = [size for size in space.bars if least - 1e-9 <= size <= space.widest + 1e-9]
    heads = steps_of(space, space.seat_above, space.above, socket_head(space.thread).height * MM)
    nuts = steps_of(space, space.seat_below, space.below, nut_height(space))
    if not wide or not heads.size or not nuts.size:
        return [], [
            f"bolt and nut: no room for a head of at least {least * 1e3:g} mm diameter: "
            f"diameter up to {space.widest * 1e3:.3g} mm, heights up to {space.above * 1e3:g} "
            f"and {space.below * 1e3:g} mm"
        ]
    bars = thinned(np.array(wide), MOST_DIAMETERS)
    return [_turned(space, one, bars, heads, nuts) for one in strong], []


def _turned(
    space: DesignSpace,
    metal: Material,
    wide: NDArray[np.float64],
    heads: NDArray[np.float64],
    nuts: NDArray[np.float64],
) -> Choices:
    assert space.seat_above is not None
    assert space.seat_below is not None
    d_above, l_above = (grid.ravel() for grid in np.meshgrid(wide, heads, indexing="ij"))
    d_below, l_below = (grid.ravel() for grid in np.meshgrid(wide, nuts, indexing="ij"))
    own = metal.density
    head = (d_above, space.seat_above, space.seat_above + l_above)
    above = bar(*head, own).less(off_the_end(space.thread, *head, own))
    above = above.plus(bar(space.shank, 0.0, space.seat_above, own))
    nut = (d_below, -space.seat_below - l_below, -space.seat_below)
    below = bar(*nut, own, space.core).less(off_the_end(space.thread, *nut, own, space.core))
    below = below.plus(bar(space.core, _end(space, l_below), -space.thread_from, own))
    below = below.plus(bar(space.shank, -space.thread_from, 0.0, own))
    one, other = partners(above, below)
    deep = -_end(space, l_below)[other]
    fits = (l_above[one] + space.seat_above + deep <= space.over_all + 1e-9) & (deep <= space.below + 1e-9)
    one, other = one[fits], other[fits]
    pairs = (above.taken(one), below.taken(other))
    good = even(*pairs) if one.size else np.zeros(0, dtype=bool)
    one, other = one[good], other[good]
    numbers = np.stack([d_above[one], l_above[one], d_below[other], l_below[other]], axis=1)

    def touching(index: int) -> list[str]:
        d1, l1, d2, l2 = numbers[index]
        return touched(
            space,
            (space.seat_above or 0.0) + l1,
            (space.seat_below or 0.0) + l2,
            max(d1, d2),
            space.widest,
        )

    return Choices(
        "bolt",
        f"turned bolt and nut, {metal.name}",
        space.radius,
        space.chord,
        space.replaced,
        above.taken(one).plus(below.taken(other)),
        lambda index: _bolt_build(space, metal, *(float(value) for value in numbers[index])),
        touching,
    )


def _end(space: DesignSpace, height: Any) -> Any:
    """n of the bolt's end, m, in a nut so high, m: flush with it, or less than a step of the lathe out of it."""
    return -space.thread_from - space.whole_steps(
        (space.seat_below or 0.0) + height - space.thread_from, True
    )


def _bolt_build(space: DesignSpace, metal: Material, d1: float, l1: float, d2: float, l2: float) -> Build:
    """Head d1 x l1 above, nut d2 x l2 below, plain where the blade swings on it."""
    top, bottom, run_out = space.seat_above or 0.0, -(space.seat_below or 0.0) - l2, -space.thread_from
    end = float(_end(space, l2))
    thread = Piece(end, run_out - end, diameter=space.core, thread=space.thread)
    shank = Piece(run_out, top - run_out, diameter=space.shank)
    head = Piece(top, l1, diameter=d1)
    nut = Piece(bottom, l2, diameter=d2, bore=space.core, tapped=space.thread)
    place = (space.radius, space.chord, 1, space.thread)
    bolt = with_drive(
        MachinedPart(
            "weight bolt",
            metal.name,
            metal.density,
            (thread, shank, head),
            *place,
            threaded=(0,),
            plain=(1,),
            fitted=("weight-bolt-shank", "weight-bolt-head"),
        )
    )
    nut_of = MachinedPart("weight nut", metal.name, metal.density, (nut,), *place, tapped=True)
    tall = with_drive(replace(nut_of, fitted=("weight-nut",)))
    parts = {
        "weight-bolt-shank": _stack(space, metal, "bolt", bolt.pieces[:2]),
        "weight-bolt-head": {**_stack(space, metal, "counterweight", bolt.pieces[2:]), "held_by": "head"},
        "weight-nut": {**_stack(space, metal, "counterweight", tall.pieces), "held_by": "nut"},
    }
    if space.replaced:
        parts["weight-bolt-shank"]["instead_of"] = list(space.replaced)
    return Build((bolt, tall), parts)


def _stack(space: DesignSpace, metal: Material, group: str, pieces: tuple[Piece, ...]) -> dict[str, Any]:
    """A turned part as it stands in a scenario file: threads by their size, which says what they weigh as and bear."""
    rows = []
    for piece in pieces:
        one = {"from": mm(piece.start), "length": mm(piece.length)}
        one |= {"thread": piece.thread} if piece.thread else {"diameter": mm(piece.diameter)}
        if piece.tapped:
            one["tapped"] = piece.tapped
        one |= written_cut(piece)
        rows.append(one)
    return {
        "group": group,
        "shape": "stack",
        "axis": "normal",
        "at": {"radius": mm(space.radius), "chord": mm(space.chord)},
        "material": metal.name,
        "pieces": rows,
    }
