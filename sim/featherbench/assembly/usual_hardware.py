"""What a thread is usually sold with, metric or inch: socket head screws and their lengths, plain nuts and washers."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from featherbench.assembly import hardware_tables as tables
from featherbench.assembly.hardware import MM, is_inch, split_size, thread_of
from featherbench.assembly.inch_hardware import (
    ASME_B18_3,
    ASME_B18_6_3,
    ASME_B18_22_1,
    SCREW_INCHES,
    THREAD_LENGTHS,
)
from featherbench.assembly.inch_threads import INCH, INCH_THREADS

SCREW_LENGTHS = (5, 6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60)
"""mm, the series of ISO 4762 (MEM, from memory)."""
FEWEST_PITCHES = 5
"""Pitches between plain shank and full thread: ISO 4762, l_s = l - b - 5 P with b = 2 d + 12 mm (MEM); ASME B18.3
likewise with its own lengths of thread (MEM)."""


class Standards(NamedTuple):
    """Names of the standards of screw, nut and washer."""

    screw: str
    nut: str
    washer: str


METRIC = Standards("ISO 4762", "ISO 4032", "ISO 7089")
UNIFIED = Standards("ASME B18.3", "ASME B18.6.3", "ASME B18.22.1")


def standards_of(thread: str) -> Standards:
    """By which standards hardware of a thread ("M3", "10-32") is sold."""
    return UNIFIED if is_inch(thread) else METRIC


def socket_head(thread: str) -> tables.SocketHead:
    """Of a thread as the tables spell it, mm; raises KeyError for another."""
    return ASME_B18_3[thread] if thread in INCH_THREADS else tables.ISO_4762[thread]


def plain_nut(thread: str) -> tables.HexNut:
    """As `socket_head`."""
    return ASME_B18_6_3[thread] if thread in INCH_THREADS else tables.ISO_4032[thread]


def plain_washer(thread: str) -> tables.Washer | None:
    """As `socket_head`; None for a thread whose standard has no washer."""
    return (ASME_B18_22_1 if thread in INCH_THREADS else tables.ISO_7089).get(thread)


def screw_lengths(thread: str) -> tuple[float, ...]:
    """Lengths under the head that screws of a thread are sold in, m, shortest first."""
    if is_inch(thread):
        return tuple(round(float(inches) * INCH * MM, 9) for inches in SCREW_INCHES)
    return tuple(one * MM for one in SCREW_LENGTHS)


def screw_size(thread: str, length: float) -> str:
    """A screw's size as it is written: "M3x16", "10-32x5/8", "10-32x1-1/4"."""
    if not is_inch(thread):
        return f"{split_size(thread)[0]}x{length / MM:g}"
    inches = Fraction(round(length / MM / INCH * 64), 64)
    whole, part = divmod(inches, 1)
    if not part:
        return f"{thread}x{whole}"
    return f"{thread}x{whole}-{part}" if whole else f"{thread}x{part}"


def plain_length(thread: str, length: float) -> float:
    """Least length of a socket head screw (m) that is plain under its head, m; short ones are threaded throughout."""
    row = thread_of(thread)
    threaded = THREAD_LENGTHS[thread] if thread in INCH_THREADS else 2.0 * row.diameter + 12.0
    return max(round(length - (threaded + FEWEST_PITCHES * row.pitch) * MM, 9), 0.0)
