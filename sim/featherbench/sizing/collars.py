"""Turned collars on the blade bolt that the build has: rings under its head or nut, or screwed on to its thread.

Above, a ring lies between grip and head, or a tapped collar stands on a thread above the head. Below, a ring lies
between grip and nut, a tapped collar locks the nut, or takes its place. All of it within the bolt's own length, of one
diameter.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.assembly.hardware import MM, thread_of
from featherbench.assembly.materials import Material
from featherbench.assembly.shapes import Piece
from featherbench.sizing.choices import (
    UNEVEN_BOUGHT,
    Choices,
    even,
    nut_height,
    steps_of,
    thinned,
    touched,
)
from featherbench.sizing.design_space import STRONG, DesignSpace, head_diameter
from featherbench.sizing.drive import off_the_end, with_drive, written_cut
from featherbench.sizing.fitted_bolt import FittedBolt, moved_parts, raised
from featherbench.sizing.machined import NOTHING, Build, Column, MachinedPart, bar, mm

NONE, RING, SCREWED, NUT = "", "ring", "screwed", "nut"
THINNEST = 1.0 * MM
"""Of a ring that can be held to be turned (judgement)."""
LOCKING = 0.6
"""Diameters of thread in a collar that locks a nut: what a thin nut has (ISO 4035, MEM)."""
MOST_HEIGHTS, MOST_WIDTHS = 45, 40
"""Values of a height and of the diameter that are tried."""
TIGHT = 1e-9
"""m of rounding."""


class _Way(NamedTuple):
    """above: NONE, RING or SCREWED; below: these or NUT; diameter and the two heights, m, floats or arrays (n,)."""

    above: str
    below: str
    diameter: Any
    over: Any
    under: Any


def collar_choices(space: DesignSpace) -> tuple[list[Choices], list[str]]:
    """Collars of each material on the bolt that is there; and why there are none."""
    bolt = space.fitted
    if bolt is None or isinstance(bolt, str):
        return [], [
            f"collars: {bolt or 'state envelope.seat_above and seat_below, the faces of head and nut'}"
        ]
    if bolt.long > space.over_all + TIGHT:
        return [], [
            f"collars: the file's bolt is {bolt.long / MM:.4g} mm over all, envelope.bolt_length allows "
            f"{space.over_all / MM:g} mm"
        ]
    wide = [size for size in space.bars if _narrowest(space) - TIGHT <= size <= space.widest + TIGHT]
    if not wide:
        return [], [f"collars: no bar between {_narrowest(space) / MM:.3g} and {space.widest / MM:.3g} mm"]
    found = [_of(space, bolt, metal, thinned(np.array(wide), MOST_WIDTHS)) for metal in space.materials]
    kept = [one for one in found if one is not None]
    return kept, [] if kept else [f"collars: {_why_none(space, bolt)}"]


def _narrowest(space: DesignSpace) -> float:
    """Of a collar: as wide as a head where it lies under one, else with a wall about the thread."""
    return min(head_diameter(space), 1.5 * thread_of(space.thread).diameter * MM)


def _why_none(space: DesignSpace, bolt: FittedBolt) -> str:
    pitch = thread_of(space.thread).pitch * MM
    spare = bolt.end - bolt.nut_base - bolt.nuts_high - pitch + bolt.face - bolt.base
    return (
        f"the file's bolt leaves {max(spare, 0.0) / MM:.3g} mm beyond grip, nut and one pitch, a ring takes "
        f"{THINNEST / MM:g} mm at least; a longer bolt in the file makes room"
    )


def _of(space: DesignSpace, bolt: FittedBolt, metal: Material, wide: NDArray[np.float64]) -> Choices | None:
    ways = [_fitting(space, bolt, one) for one in _all(space, bolt, metal, wide)]
    ways = [one for one in ways if one.diameter.size]
    if not ways:
        return None
    halves = [_columns(space, bolt, one, metal.density) for one in ways]
    above, below = (
        Column(*(np.concatenate(value) for value in zip(*(half[side] for half in halves), strict=True)))
        for side in (0, 1)
    )
    place = np.concatenate([np.full(one.diameter.size, number) for number, one in enumerate(ways)])
    within = np.concatenate([np.arange(one.diameter.size) for one in ways])
    balanced = np.ones(
        place.size, dtype=bool
    )  # on the feathering axis' own normal unevenness makes no product
    if abs(space.chord) > 1e-6:
        balanced = even(above, below, UNEVEN_BOUGHT)
    good = np.flatnonzero(balanced)

    def picked(index: int) -> _Way:
        way, row = ways[place[good[index]]], within[good[index]]
        return way._replace(
            diameter=float(way.diameter[row]), over=float(way.over[row]), under=float(way.under[row])
        )

    return Choices(
        "collars",
        f"collars on the fitted bolt, {metal.name}",
        space.radius,
        space.chord,
        space.replaced,
        above.plus(below).taken(good),
        lambda index: _build(space, bolt, metal, picked(index)),
        lambda index: _touching(space, bolt, picked(index)),
    )


def _all(space: DesignSpace, bolt: FittedBolt, metal: Material, wide: NDArray[np.float64]) -> list[_Way]:
    """Every way of going on to the bolt with every size, fit or not."""
    rings = bolt.movable
    over, under = {NONE: np.zeros(1)}, {NONE: np.zeros(1)}
    lock = LOCKING * thread_of(space.thread).diameter * MM
    if rings:
        over[RING] = _heights(space, bolt.base, space.above, THINNEST)
        under[RING] = _heights(space, bolt.nut_base, space.below, THINNEST)
    if bolt.upper is not None:
        over[SCREWED] = _heights(space, *bolt.upper, lock)
    under[SCREWED] = _heights(space, bolt.nut_base + bolt.nuts_high, min(space.below, bolt.end), lock)
    if metal.name in STRONG:
        under[NUT] = _heights(space, bolt.nut_base, min(space.below, bolt.end), nut_height(space))
    found = []
    for above, first in over.items():
        for below, second in under.items():
            if (above, below) != (NONE, NONE) and first.size and second.size:
                grids = (grid.ravel() for grid in np.meshgrid(wide, first, second, indexing="ij"))
                found.append(_Way(above, below, *grids))
    return found


def _heights(space: DesignSpace, foot: float, limit: float, least: float) -> NDArray[np.float64]:
    return thinned(steps_of(space, foot, limit, least), MOST_HEIGHTS)


def _shifts(bolt: FittedBolt, way: _Way) -> tuple[Any, Any]:
    """How far the screw goes up and the nuts go down, m."""
    up = bolt.base - bolt.face + (way.over if way.above == RING else 0.0 * way.over)
    down = bolt.nut_base - bolt.nut_from + (way.under if way.below == RING else 0.0 * way.under)
    return up, down


def _fitting(space: DesignSpace, bolt: FittedBolt, way: _Way) -> _Way:
    """Those within the envelope and the bolt's length, nut and blade where they belong on it."""
    up, down = _shifts(bolt, way)
    end, thread_from = bolt.end - up, bolt.thread_from - up
    reach = bolt.top + up
    good = (reach <= space.above + TIGHT) & (end <= space.below + TIGHT)
    if not bolt.movable:
        good &= (np.abs(up) < TIGHT) & (np.abs(down) < TIGHT)
    nut_thread = bolt.nut_base if way.below == NUT else bolt.nut_thread + down
    good &= (_spare(space, bolt, way) >= -TIGHT) & (thread_from <= nut_thread + TIGHT)
    if bolt.thread_from >= bolt.root - TIGHT:  # the blade sat on the plain shank, and still does
        good &= thread_from >= bolt.root - TIGHT
    if way.above == SCREWED and bolt.upper is not None:
        good &= way.over <= bolt.upper[1] - bolt.upper[0] + TIGHT
    if RING in (way.above, way.below):
        good &= way.diameter >= head_diameter(space) - TIGHT
    return way._replace(diameter=way.diameter[good], over=way.over[good], under=way.under[good])


def _columns(space: DesignSpace, bolt: FittedBolt, way: _Way, density: float) -> tuple[Column, Column]:
    """Sums above, the screw and the rest of its hardware with them, and below, with its nuts; arrays (n,)."""
    up, down = _shifts(bolt, way)
    above = raised(bolt.screw_sums, up).plus(raised(bolt.rest_sums, 0.0 * up))
    below = Column(*(0.0 * down for _ in range(4))) if way.below == NUT else raised(bolt.nut_sums, -down)
    for side, kind, ends in ((1.0, way.above, _over(bolt, way)), (-1.0, way.below, _under(bolt, way))):
        if kind == NONE:
            continue
        own = bar(way.diameter, *ends, density, space.shank if kind == RING else space.core)
        if kind != RING:
            own = own.less(off_the_end(space.thread, way.diameter, *ends, density, space.core))
        above, below = (above.plus(own), below) if side > 0.0 else (above, below.plus(own))
    return above, below


def _over(bolt: FittedBolt, way: _Way) -> tuple[Any, Any]:
    """Lower and upper face of the collar above, m."""
    foot = bolt.upper[0] if way.above == SCREWED and bolt.upper is not None else bolt.base
    return foot, foot + way.over


def _under(bolt: FittedBolt, way: _Way) -> tuple[Any, Any]:
    foot = -bolt.nut_base - (bolt.nuts_high if way.below == SCREWED else 0.0)
    return foot - way.under, foot


def _touching(space: DesignSpace, bolt: FittedBolt, way: _Way) -> list[str]:
    up, _ = _shifts(bolt, way)
    diameter = min(space.widest, space.bars[-1])
    found = touched(space, bolt.top + up, bolt.end - up, way.diameter, diameter)
    if _spare(space, bolt, way) < space.step - TIGHT:
        found.append(f"part.{bolt.screw}.{'size' if bolt.movable else 'pieces'}")
    return found


def _spare(space: DesignSpace, bolt: FittedBolt, way: _Way) -> Any:
    """Thread that is left below beyond the nut, its collar or the pitch that has to stand out, m."""
    up, down = _shifts(bolt, way)
    if way.below == NUT:  # flush with the bolt's end or short of it
        return bolt.end - up - bolt.nut_base - way.under
    pitch = thread_of(space.thread).pitch * MM
    free = way.under if way.below == SCREWED else min(pitch, bolt.end - bolt.nut_to)
    return bolt.end - up - bolt.nut_to - down - free


def _build(space: DesignSpace, bolt: FittedBolt, metal: Material, way: _Way) -> Build:
    up, down = (float(one) for one in _shifts(bolt, way))
    parts: dict[str, dict[str, Any]] = {}
    moved = abs(up) > TIGHT or abs(down) > TIGHT
    if moved:
        parts = moved_parts(bolt, up, down, way.below == NUT)
        for table in parts.values():
            table["instead_of"] = list(space.replaced)
    made = []
    for name, kind, ends in (
        ("upper collar", way.above, _over(bolt, way)),
        ("lower collar", way.below, _under(bolt, way)),
    ):
        if kind != NONE:
            one = _collar(space, metal, name, kind, (way.diameter, *ends))
            made.append(one)
            parts[name.replace(" ", "-")] = _table(space, one, kind)
    if way.below == NUT and not moved:
        parts["lower-collar"]["instead_of"] = list(bolt.nuts)
    fitted = raised(bolt.screw_sums, up).plus(bolt.rest_sums)
    fitted = fitted.plus(NOTHING if way.below == NUT else raised(bolt.nut_sums, -down))
    return Build(tuple(made), parts, fitted)


def _collar(
    space: DesignSpace, metal: Material, name: str, kind: str, size: tuple[float, float, float]
) -> MachinedPart:
    """size: diameter, lower and upper face, m."""
    wide, low, high = size
    common = (name, metal.name, metal.density)
    fitted = (name.replace(" ", "-"),)
    if kind == RING:
        ring = Piece(low, high - low, diameter=wide, bore=space.shank)
        return MachinedPart(*common, (ring,), space.radius, space.chord, fitted=fitted)
    piece = Piece(low, high - low, diameter=wide, bore=space.core, tapped=space.thread)
    part = MachinedPart(
        *common, (piece,), space.radius, space.chord, 1, space.thread, tapped=True, fitted=fitted
    )
    return with_drive(part)


def _table(space: DesignSpace, one: MachinedPart, kind: str) -> dict[str, Any]:
    """A collar as a part of a scenario."""
    (piece,) = one.pieces
    side = "head" if piece.start > 0.0 else "nut"
    held = {RING: f"clamped under {side}", SCREWED: "thread", NUT: "nut"}[kind]
    place = {
        "radius": mm(space.radius),
        "chord": mm(space.chord),
        "normal": mm(piece.start + piece.length / 2.0),
    }
    return {
        "group": "counterweight",
        "shape": "tube",
        "axis": "normal",
        "diameter": mm(piece.diameter),
        "bore": mm(piece.bore),
        **({"tapped": space.thread} if piece.tapped else {}),
        "length": mm(piece.length),
        "at": place,
        "material": one.material,
        "held_by": held,
        **written_cut(piece),
    }
