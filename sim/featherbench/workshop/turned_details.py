"""What a turner needs beside lengths and diameters: how the piece is tightened, thread and edges.

Sources, all from memory (MEM): classes of threads ISO 965-1 and, of inch threads, ASME B1.1, their way of writing
ISO 6410-1, fits ISO 286-2, end chamfers ISO 4753, centre holes ISO 6411.
"""

from __future__ import annotations

import math

from featherbench.assembly.hardware import MM, is_inch, thread_of
from featherbench.assembly.inch_threads import FINE
from featherbench.sizing import MachinedPart
from featherbench.sizing.drive import drive_of, metric_beside
from featherbench.workshop.sheet import both, millimetres

UNDER_HEAD = {"M1.6": 0.1, "M2": 0.1, "M2.5": 0.1, "M3": 0.1, "M4": 0.2, "M5": 0.2}
"""Least radius under a head, mm (ISO 4762, MEM)."""


RADIUS_CLEARED = {"M1.6": 0.2, "M2": 0.3, "M2.5": 0.3, "M3": 0.3, "M4": 0.4, "M5": 0.4}
"""Chamfer, mm, that clears the radius under a screw's head: half of d_a - d (ISO 4762, MEM), rounded up."""
GRADE_11 = ((3.0, 60), (6.0, 75), (10.0, 90))
"""IT11 of ISO 286-1 (MEM): micrometres, of bores up to so many mm."""


def mass_tolerance(part: MachinedPart, half: float) -> float:
    """Root sum square, kg, of what `half`, m, off in diameter and in height of its weight do to the mass of one."""
    worth = 0.0
    for index, piece in enumerate(part.pieces):
        if index not in (*part.threaded, *part.plain) and piece.diameter:
            around = math.pi / 2.0 * piece.diameter * piece.length
            worth += around**2 + piece.section.area**2
    return part.density * half * math.sqrt(worth)


def thread_words(part: MachinedPart) -> str:
    """Its thread with its class, how far it is cut, and what is plain beside it."""
    thread = thread_of(part.thread)
    size, outside, inside = called(part.thread)
    if part.tapped:
        return f"{size} - {inside} through, tap drill {both((thread.diameter - thread.pitch) * MM, 'Ø ')}"
    if len(part.threaded) == len(part.pieces):
        return f"{size} - {outside}, full length"
    cut = both(sum(part.pieces[index].length for index in part.threaded))
    shank = "".join(f", then plain Ø {_fit(part.pieces[index].diameter)}" for index in part.plain)
    return f"{size} - {outside} over {cut}{shank}"


def called(thread: str) -> tuple[str, str, str]:
    """A thread's size in words, and the usual classes outside and inside."""
    if is_inch(thread):
        return f"{thread} {'UNF' if thread in FINE else 'UNC'}", "2A", "2B"
    return f"{thread} x {thread_of(thread).pitch:g}", "6g", "6H"


def _fit(diameter: float) -> str:
    return f"{millimetres(diameter)} mm h9 ({diameter / MM / 25.4:.4f} in)"


def bore_words(part: MachinedPart) -> str:
    """The plain bore of a ring, with its fit: it centres the ring on the bolt."""
    bore = part.pieces[0].bore
    wide = next(wide for most, wide in GRADE_11 if bore <= most * MM + 1e-9)
    return f"bore {both(bore, 'Ø ')} H11 (+{wide / 1e3:g} / 0 mm), through"


def _hole(part: MachinedPart) -> str:
    """Where a stud's hole in the grip is, how it is made, and what goes into it."""
    thread, (size, _, inside) = thread_of(part.thread), called(part.thread)
    place = f"{millimetres(part.radius)} mm from the shaft on the feathering axis"
    if part.chord:
        place = f"{millimetres(part.radius)} mm from the shaft, {millimetres(part.chord)} mm before the axis"
    drill = both((thread.diameter - thread.pitch) * MM, "Ø ")
    return (
        f"hole in the grip {size} - {inside}, {place}, square to the chord, above and below: full "
        f"thread {millimetres(part.screwed_in)} mm, tap drill {drill} up to "
        f"{millimetres(3.0 * thread.pitch * MM)} mm deeper, or through"
    )


def notes(part: MachinedPart) -> str:
    """What cannot be drawn at this size, in one line of words; "" where there is nothing to say."""
    said = []
    drive = drive_of(part)
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
    if part.plain:
        pitch, radius = thread_of(part.thread).pitch, UNDER_HEAD[metric_beside(part.thread)]
        said.append(
            f"run-out at most {pitch:.3g} mm, within the thread's length: blade on the plain shank, nut face off it"
        )
        said.append(f"radius under head {radius:g} to {2.0 * radius:g} mm, the hole's edge to clear it")
    if part.screwed_in:
        said.append(_hole(part))
    if part.thread and not part.tapped:
        said.append("thread's end chamfered 45° to the root")
    elif not part.thread and part.pieces[0].bore:
        size = min(UNDER_HEAD, key=lambda one: abs(thread_of(one).diameter * MM - part.pieces[0].bore))
        said.append(
            f"bore chamfered {RADIUS_CLEARED[size]:g} mm x 45° at both ends, to clear the radius under a screw's head"
        )
        said.append("faces parallel within 0.02 mm and square to the bore")
    elif part.tapped:
        said.append("thread chamfered 45° at both ends")
    return f"{part.name}: {'; '.join(said)}." if said else ""
