"""Standard screws, nuts and washers as coaxial pieces, and the stress area of a thread.

A thread weighs as a plain cylinder on its pitch diameter d2 = d - 0.649519 P, screw and nut alike; a screw is
threaded up to its head; edges are not chamfered. Against a published weight chart this is within some per
cent for M3 and M4 and heavy for smaller screws: weigh those.
"""

from __future__ import annotations

import functools
import math
import re
from collections.abc import Mapping
from fractions import Fraction

from featherbench.assembly import hardware_tables as tables
from featherbench.assembly.inch_hardware import ASME_B18_3, ASME_B18_6_3, ASME_B18_22_1
from featherbench.assembly.inch_threads import INCH, INCH_THREADS
from featherbench.assembly.materials import material
from featherbench.assembly.refusal import PartRefused
from featherbench.assembly.shapes import Piece

MM = 1e-3
SCREWS: Mapping[str, Mapping[str, tables.SocketHead | tables.HexHead]] = {
    "ISO 4762": tables.ISO_4762,
    "ISO 4017": tables.ISO_4017,
    "ASME B18.3": ASME_B18_3,
}
NUTS: Mapping[str, Mapping[str, tables.HexNut | tables.LockNut]] = {
    "ISO 4032": tables.ISO_4032,
    "ISO 4035": tables.ISO_4035,
    "DIN 985": tables.DIN_985,
    "ASME B18.6.3": ASME_B18_6_3,
}
WASHERS: Mapping[str, Mapping[str, tables.Washer]] = {
    "ISO 7089": tables.ISO_7089,
    "ASME B18.22.1": ASME_B18_22_1,
}
SAME_AS = {"DIN 912": "ISO 4762", "DIN 439": "ISO 4035"}
SAME_AS |= {"ASME B18.2.2": "ASME B18.6.3", "ASME B18.21.1": "ASME B18.22.1"}
_STANDARD = re.compile(r"(ISO|DIN|ASME|ANSI)\s*-?\s*(\d+|B\d+(?:\.\d+)+)", re.IGNORECASE)
_INCH_SIZE = re.compile(
    r"#?(\d+(?:/\d+)?)\s*-\s*(\d+)(?:\s*UN[CF])?(?:\s*-?\s*2[AB])?"
    r"(?:\s*[xX×*]\s*(?:(\d+)(?:\s*-\s*|\s+))?(\d+(?:\.\d+)?(?:/\d+)?|\.\d+)(?:\s*(in|inch|\"|mm))?)?",
    re.IGNORECASE,
)
_SIZE = re.compile(r"(M\d+(?:\.\d+)?)(?:\s*[xX×*]\s*(\d+(?:\.\d+)?))?(?:\s*mm)?", re.IGNORECASE)


def pitch_diameter(size: str) -> float:
    """d2 = d - 0.649519 P of a coarse thread, m; ISO 724. Raises PartRefused for an unknown size."""
    thread = thread_of(size)
    return (thread.diameter - 0.649519 * thread.pitch) * MM


def stress_area(size: str) -> float:
    """Tensile stress area, m^2: (pi/4) (d - 0.9382 P)^2, ISO 898-1; of an inch thread 0.9743 P, ASME B1.1 (MEM)."""
    thread = thread_of(size)
    less = 0.9743 if is_inch(size) else 0.9382
    return math.pi / 4.0 * ((thread.diameter - less * thread.pitch) * MM) ** 2


def core_diameter(size: str) -> float:
    """Root diameter of the external thread, m: d3 = d - 1.226869 P."""
    thread = thread_of(size)
    return (thread.diameter - 1.226869 * thread.pitch) * MM


def is_inch(size: str) -> bool:
    """Whether a thread is of the inch series: "10-32"."""
    return split_size(size)[0] in INCH_THREADS


@functools.lru_cache(maxsize=256)
def thread_of(size: str) -> tables.Thread:
    """Diameter and pitch, mm, of "M3" (a length behind it is passed over) or of "10-32"."""
    if is_inch(size):
        wide, count = INCH_THREADS[split_size(size)[0]]
        return tables.Thread(INCH * wide, INCH / count)
    return tables.THREADS[_looked_up(tables.THREADS, split_size(size)[0], "coarse threads")]


@functools.lru_cache(maxsize=256)
def split_size(size: str) -> tuple[str, float | None]:
    """ "M3x14" -> ("M3", 0.014 m), "10-32x1-1/4" -> ("10-32", 0.03175 m), "#10-32 UNF" -> ("10-32", None).

    An inch screw's length is in inches unless it says mm. Raises PartRefused("size", ...).
    """
    inch = _INCH_SIZE.fullmatch(size.strip())
    if inch:
        thread = _looked_up(INCH_THREADS, f"{inch.group(1)}-{inch.group(2)}", "inch threads")
        return thread, _inches(*inch.group(3, 4, 5)) if inch.group(4) else None
    found = _SIZE.fullmatch(size.strip())
    if not found:
        raise PartRefused(
            "size", size, 'a thread and, for a screw, its length, such as "M3x14" (mm) or "10-32x5/8" (inch)'
        )
    length = float(found.group(2)) * MM if found.group(2) else None
    return f"M{float(found.group(1)[1:]):g}", length


def _inches(whole: str | None, part: str, unit: str | None) -> float | None:
    """Length, m, of "1", "1/4" (an inch and a quarter); None where it cannot be one."""
    if part.endswith("/0") or ("/" in part and "." in part):
        return None
    inches = float(Fraction(part)) + float(whole or 0)
    return inches * (MM if (unit or "").lower() == "mm" else INCH * MM)


def screw_pieces(
    standard: str,
    size: str,
    head: str = "+",
    under_head: float | None = None,
    plain: tuple[float, float | None] = (0.0, None),
) -> tuple[Piece, ...]:
    """A screw along its axis: thread, plain shank if it has one, then head toward `head` ("+" or "-").

    under_head: coordinate of the face under the head, m; None centres the shank on 0. plain: length of the shank that
    has no thread, and its diameter, m (None: the thread's nominal one). Raises PartRefused for what cannot be.
    """
    rows = SCREWS[_standard(standard, SCREWS)]
    thread, length = split_size(size)
    if not length:
        raise PartRefused("size", size, 'the length as well, such as "M3x14" (mm) or "10-32x5/8" (inch)')
    row = rows[_looked_up(rows, thread, standard)]
    seat = length / 2.0 if under_head is None else under_head if head == "+" else -under_head
    shank = _shank(thread, seat, length, plain)
    if isinstance(row, tables.HexHead):
        pieces: tuple[Piece, ...] = (*shank, Piece(seat, row.height * MM, across_flats=row.across_flats * MM))
    else:
        floor = (row.height - row.depth) * MM
        pieces = (
            *shank,
            Piece(seat, floor, diameter=row.diameter * MM),
            Piece(seat + floor, row.depth * MM, diameter=row.diameter * MM, socket=row.socket * MM),
        )
    return pieces if head == "+" else tuple(p._replace(start=-p.start - p.length) for p in pieces)


def _shank(thread: str, seat: float, length: float, plain: tuple[float, float | None]) -> tuple[Piece, ...]:
    """What is below the head: thread, then the plain length if there is one."""
    bare, wide = plain[0], plain[1] or thread_of(thread).diameter * MM
    if bare >= length:
        raise PartRefused("shank_length", f"{1e3 * bare:g} mm", f"less than the screw's {1e3 * length:g} mm")
    if wide < core_diameter(thread):
        raise PartRefused(
            "shank_diameter", f"{1e3 * wide:g} mm", f"as thick as the core of {thread} at least"
        )
    threaded = Piece(seat - length, length - bare, diameter=pitch_diameter(thread), thread=thread)
    return (threaded, Piece(seat - bare, bare, diameter=wide)) if bare else (threaded,)


def nut_pieces(standard: str, size: str) -> tuple[Piece, ...]:
    """A nut centred on 0 along its axis; a lock nut's collar on the positive side.

    The collar of a DIN 985 nut is taken as round, as wide as the flats, its wall shared half and half between
    nylon inside and metal outside: a stated estimate, the standard leaves the insert open. Its height is the
    mean of the least and greatest.
    """
    rows = NUTS[_standard(standard, NUTS)]
    thread = split_size(size)[0]
    row = rows[_looked_up(rows, thread, standard)]
    bore, across = pitch_diameter(thread), row.across_flats * MM
    if isinstance(row, tables.HexNut):
        height = row.height * MM
        return (Piece(-height / 2.0, height, across_flats=across, bore=bore, tapped=thread),)
    height, hexagon = 0.5 * (row.least + row.greatest) * MM, row.hexagon * MM
    nominal = thread_of(thread).diameter * MM
    insert = 0.5 * (across + nominal)
    start = -height / 2.0
    return (
        Piece(start, hexagon, across_flats=across, bore=bore, tapped=thread),
        Piece(start + hexagon, height - hexagon, diameter=across, bore=insert),
        Piece(
            start + hexagon,
            height - hexagon,
            diameter=insert,
            bore=nominal,
            density=material("nylon").density,
        ),
    )


def is_thin(standard: str) -> bool:
    """Whether a nut's standard is that of thin nuts, which lock another and are not made for a screw's whole load.

    Raises PartRefused for one that is no nut's.
    """
    return _standard(standard, NUTS) == "ISO 4035"


def washer_pieces(standard: str, size: str) -> tuple[Piece, ...]:
    """A plain washer centred on 0 along its axis, nominal thickness."""
    rows = WASHERS[_standard(standard, WASHERS)]
    row = rows[_looked_up(rows, split_size(size)[0], standard)]
    thickness = row.thickness * MM
    return (Piece(-thickness / 2.0, thickness, diameter=row.diameter * MM, bore=row.bore * MM),)


def _standard(given: str, known: Mapping[str, object]) -> str:
    """The standard's name as the tables spell it. Raises PartRefused("standard", ...) for another."""
    found = _STANDARD.fullmatch(given.strip())
    name = f"{found.group(1).upper()} {found.group(2).upper()}" if found else given
    name = name.replace("ANSI", "ASME")
    name = SAME_AS.get(name, name)
    if name not in known:
        raise PartRefused("standard", given, "one of " + ", ".join(known) + ", or the part drawn as a stack")
    return name


def _looked_up(rows: Mapping[str, object], size: str, of: str) -> str:
    if size not in rows:
        raise PartRefused("size", size, f"one of {', '.join(rows)} ({of}), or the part drawn as a stack")
    return size
