"""What a turner needs beside lengths and diameters: how the piece is tightened, what that takes off, thread and edges.

Sources, all from memory (MEM): widths across flats ISO 272, slots ISO 1207, classes of threads ISO 965-1, their way of
writing ISO 6410-1, fits ISO 286-2, end chamfers ISO 4753, centre holes ISO 6411.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from featherbench.assembly.hardware import MM, thread_of
from featherbench.assembly.shapes import Piece
from featherbench.sizing import MachinedPart, Sizing
from featherbench.workshop.sheet import both, millimetres

ACROSS_FLATS = (3.2, 4.0, 5.0, 5.5, 7.0, 8.0, 10.0, 13.0, 16.0, 18.0, 21.0, 24.0)
"""Widths that spanners are made for, mm (ISO 272, MEM)."""
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
UNDER_HEAD = {"M1.6": 0.1, "M2": 0.1, "M2.5": 0.1, "M3": 0.1, "M4": 0.2, "M5": 0.2}
"""Least radius under a head, mm (ISO 4762, MEM)."""


class Drive(NamedTuple):
    """How a piece is turned with a tool, at its end away from the grip. across: of two flats, m, 0 for a slot `wide`
    and `long` deep; long: of the flats along the axis, m; volume: what is cut away, m^3.
    """

    across: float
    wide: float
    long: float
    volume: float


def driven(part: MachinedPart) -> Piece | None:
    """The piece of a threaded part that is gripped to tighten it; None for a threaded rod or a loose ring."""
    if not part.thread or part.standard:
        return None
    found = [piece for i, piece in enumerate(part.pieces) if i not in (*part.threaded, *part.plain)]
    return found[-1] if found else None


def drive_of(part: MachinedPart) -> Drive | None:
    """Two flats to the widest spanner that grips, a slot where they take too much or none fit, None for a rod.

    A slot across a nut would cut into its thread, which is what holds: it gets flats whenever a spanner fits.
    """
    piece = driven(part)
    if piece is None or not piece.diameter:
        return None
    wide, nominal = piece.diameter, thread_of(part.thread).diameter
    slot, deep = (value * MM for value in SLOTS[part.thread])
    slotted = Drive(0.0, slot, deep, slot * deep * (wide - piece.bore))
    most = MOST_ACROSS * wide / MM + 1e-9
    fit = [size for size in ACROSS_FLATS if nominal + 2.0 * WALL <= size <= most]
    long = (
        math.floor(min(5.0 * max(fit, default=0.0), 10.0 * FLAT, 10.0 * (piece.length / MM - FLANGE)) + 1e-6)
        / 10.0
        * MM
    )
    if not fit or long <= 0.0:
        return slotted
    flats = Drive(fit[-1] * MM, 0.0, long, 2.0 * segment(wide, fit[-1] * MM) * long)
    return flats if part.tapped or flats.volume <= PREFERRED * slotted.volume else slotted


def segment(diameter: float, across: float) -> float:
    """Area, m^2, that one of two flats `across` apart takes off a round: r^2 acos(h/r) - h sqrt(r^2 - h^2)."""
    r, h = diameter / 2.0, across / 2.0
    return r * r * math.acos(h / r) - h * math.sqrt(r * r - h * h)


def drawn_mass(part: MachinedPart) -> float:
    """Mass, kg, of one with its flats or slot cut."""
    drive = drive_of(part)
    return part.mass - (part.density * drive.volume if drive else 0.0)


def mass_tolerance(part: MachinedPart, half: float) -> float:
    """Root sum square, kg, of what `half`, m, off in diameter and in height of its weight do to the mass of one."""
    worth = 0.0
    for index, piece in enumerate(part.pieces):
        if index not in (*part.threaded, *part.plain) and piece.diameter:
            around = math.pi / 2.0 * piece.diameter * piece.length
            worth += around**2 + piece.section.area**2
    return part.density * half * math.sqrt(worth)


def cut_effect(sizing: Sizing) -> float:
    """Change of the target's quantity by all flats and slots: as if the pieces were shorter by the volume cut away."""
    slopes = {effect.dimension: effect.slope for effect in sizing.tolerances.effects}
    change = 0.0
    for part in sizing.best.build.made:
        drive, piece = drive_of(part), driven(part)
        if drive and piece:
            change -= slopes.get(f"height of the {part.name}", 0.0) * drive.volume / piece.section.area
    return change


def thread_words(part: MachinedPart) -> str:
    """Its thread with its class, how far it is cut, and what is plain beside it."""
    thread = thread_of(part.thread)
    size = f"{part.thread} x {thread.pitch:g}"
    if part.tapped:
        return f"{size} - 6H through, tap drill {both((thread.diameter - thread.pitch) * MM, 'Ø ')}"
    if len(part.threaded) == len(part.pieces):
        return f"{size} - 6g, full length"
    cut = both(sum(part.pieces[index].length for index in part.threaded))
    shank = "".join(f", then plain Ø {_fit(part.pieces[index].diameter)}" for index in part.plain)
    return f"{size} - 6g over {cut}{shank}"


def _fit(diameter: float) -> str:
    return f"{millimetres(diameter)} mm h9 ({diameter / MM / 25.4:.4f} in)"


def notes(part: MachinedPart) -> str:
    """What cannot be drawn at this size, in one line of words; "" where there is nothing to say."""
    said = []
    drive, piece = drive_of(part), driven(part)
    end = "head's top" if part.plain else "end away from the grip"
    if drive and drive.across:
        said.append(
            f"two flats AF {millimetres(drive.across)} over {millimetres(drive.long)} mm at the {end}"
        )
    elif drive:
        tool = ", for a cleft driver" if part.tapped else ""
        said.append(
            f"slot {millimetres(drive.wide)} wide, {millimetres(drive.long)} mm deep across the {end}{tool}"
        )
    if drive and piece:
        more = drive.volume / piece.section.area / MM
        said[-1] += f" (height +{more:.2f} mm, where there is room, makes up for what it takes)"
    if part.plain:
        pitch, radius = thread_of(part.thread).pitch, UNDER_HEAD[part.thread]
        said.append(
            f"run-out at most {pitch:g} mm, within the thread's length: blade on the plain shank, nut face off it"
        )
        said.append(f"radius under head {radius:g} to {2.0 * radius:g} mm, the hole's edge to clear it")
    if part.thread and not part.tapped:
        said.append("thread's end chamfered 45° to the root")
    elif part.tapped:
        said.append("thread chamfered 45° at both ends")
    return f"{part.name}: {'; '.join(said)}." if said else ""
