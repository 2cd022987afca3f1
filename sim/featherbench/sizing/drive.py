"""How a turned piece is gripped to tighten it: two flats for a spanner, or a slot; part of what it weighs.

Sources, from memory (MEM): widths across flats ISO 272, slots ISO 1207. Inch threads get the spanners of inch hardware
and the slot of the metric size next in diameter.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from featherbench.assembly.hardware import MM, is_inch, thread_of
from featherbench.assembly.inch_threads import INCH
from featherbench.assembly.shapes import Cut, Piece, cut_off
from featherbench.sizing.machined import Column, MachinedPart, mm, prism

ACROSS_FLATS = (3.2, 4.0, 5.0, 5.5, 7.0, 8.0, 10.0, 13.0, 16.0, 18.0, 21.0, 24.0)
"""Widths that spanners are made for, mm (ISO 272, MEM)."""
INCH_FLATS = tuple(round(INCH * n / 32.0, 4) for n in (4, 5, 6, 8, 10, 11, 12, 14, 16, 18, 20, 24, 28, 32))
"""The same in inch, from 1/8 to 1 (widths of nuts and heads in ASME B18.2.1 and B18.6.3, MEM), mm."""
SLOTS = {
    "M1.6": (0.4, 0.5),
    "M2": (0.5, 0.6),
    "M2.5": (0.6, 0.7),
    "M3": (0.8, 0.9),
    "M4": (1.2, 1.1),
    "M5": (1.2, 1.3),
}
"""Width and depth, mm, of a screwdriver's slot (ISO 1207, MEM, depths rounded up)."""
MOST_ACROSS = 0.92
"""Width across flats over diameter above which a flat is too narrow: 0.39 diameters wide (judgement)."""
WALL = 0.5
"""mm of metal left beside the thread between flats (engineering judgement)."""
FLAT, FLANGE = 2.5, 1.0
"""Longest flat, at most half as long as its spanner is wide, and shortest round next to the grip, mm (judgement)."""
PREFERRED = 1.25
"""How many times as much as a slot flats may take off, as they are the better grip (engineering judgement)."""


def metric_beside(thread: str) -> str:
    """The metric size next in diameter: itself, of a metric one."""
    return min(SLOTS, key=lambda size: abs(thread_of(size).diameter - thread_of(thread).diameter))


def cuts(thread: str, diameter: Any, length: Any, bore: float = 0.0) -> tuple[Any, Any, Any]:
    """Of round pieces (n,), m: width across flats (0: a slot), width of the slot, length along the axis, all in m.

    Two flats to the widest spanner that grips, a slot where they take too much or none fit. A slot across a tapped
    piece (bore above 0) would cut into its thread, which is what holds: it gets flats whenever a spanner fits.
    """
    wide, high = np.atleast_1d(diameter) / MM, np.atleast_1d(length) / MM
    slot, deep = SLOTS[metric_beside(thread)]
    flats_of = INCH_FLATS if is_inch(thread) else ACROSS_FLATS
    sizes = np.array([0.0, *(one for one in flats_of if one >= thread_of(thread).diameter + 2.0 * WALL)])
    across = sizes[np.searchsorted(sizes, MOST_ACROSS * wide + 1e-9, side="right") - 1]
    long = np.minimum(np.minimum(5.0 * across, 10.0 * FLAT), 10.0 * (high - FLANGE))
    long = np.floor(long + 1e-6) / 10.0
    flats = cut_off(wide, bore / MM, across, slot).area * long
    slots = cut_off(wide, bore / MM, 0.0, slot).area * deep
    flat = (across > 0.0) & (long > 0.0) & ((bore > 0.0) | (flats <= PREFERRED * slots))
    return np.where(flat, across, 0.0) * MM, slot * MM, np.where(flat, long, deep) * MM


def off_the_end(thread: str, diameter: Any, low: Any, high: Any, density: float, bore: float = 0.0) -> Column:
    """Sums of what is cut off pieces that stand from n = low to high, m, at the end away from the axis."""
    across, wide, long = cuts(thread, diameter, high - low, bore)
    section = cut_off(diameter, bore, across, wide)
    above = np.asarray(low) >= 0.0
    return prism(section, np.where(above, high - long, low), np.where(above, high, low + long), density)


def driven(part: MachinedPart) -> Piece | None:
    """The piece of a threaded part that is gripped to tighten it; None for a threaded rod, a ring, a bought piece."""
    if not part.thread or part.standard:
        return None
    found = [piece for i, piece in enumerate(part.pieces) if i not in (*part.threaded, *part.plain)]
    return found[-1] if found else None


def drive_of(part: MachinedPart) -> Cut | None:
    """Flats or slot of its piece that is gripped."""
    piece = driven(part)
    return piece.cut if piece else None


def with_drive(part: MachinedPart) -> MachinedPart:
    """The part with flats or a slot at the end away from the grip, where it has a piece to be gripped."""
    piece = driven(part)
    if piece is None or not piece.diameter:
        return part
    across, wide, long = (
        float(np.ravel(one)[0]) for one in cuts(part.thread, piece.diameter, piece.length, piece.bore)
    )
    own = Cut(across, 0.0 if across else wide, round(long, 9), 1 if piece.start >= 0.0 else -1)
    return replace(part, pieces=tuple(one._replace(cut=own) if one is piece else one for one in part.pieces))


def written_cut(piece: Piece) -> dict[str, str]:
    """Its flats or slot as a scenario file has them; nothing without."""
    if piece.cut is None:
        return {}
    key, width = ("flats", piece.cut.across) if piece.cut.across else ("slot", piece.cut.wide)
    return {key: mm(width), "cut_length": mm(piece.cut.long), "cut_at": "+" if piece.cut.end > 0 else "-"}
