"""Dimensions of small inch hardware, inches as the standards list them, handed out in millimetres.

Where each column is from (status in the words of the check lists): socket heads of ASME B18.3 (greatest head diameter
and height, socket, least depth) FOUND in the open tables of the CAD library bd_warehouse; hexagon machine screw nuts of
ASME B18.6.3, now in B18.2.2 (greatest width and height) FOUND in two open transcriptions; type A plain washers of
ASME B18.22.1, now B18.21.1 (basic sizes, the narrow one of 1/4) FOUND in an open transcription of a handbook: it has
none for No. 5. Lengths of thread of ASME B18.3 and the series of screw lengths MEM (from memory).
"""

from __future__ import annotations

from fractions import Fraction

from featherbench.assembly.hardware_tables import HexNut, SocketHead, Washer
from featherbench.assembly.inch_threads import INCH, INCH_THREADS

_HEADS = {
    0.086: (0.140, 0.086, 5 / 64, 0.038),
    0.112: (0.183, 0.112, 3 / 32, 0.051),
    0.125: (0.205, 0.125, 3 / 32, 0.057),
    0.138: (0.226, 0.138, 7 / 64, 0.064),
    0.164: (0.270, 0.164, 9 / 64, 0.077),
    0.190: (0.312, 0.190, 5 / 32, 0.090),
    0.250: (0.375, 0.250, 3 / 16, 0.120),
}
"""By basic diameter: head diameter, head height, socket width, socket depth."""
_NUTS = {
    0.086: (0.188, 0.066),
    0.112: (0.250, 0.098),
    0.125: (0.312, 0.114),
    0.138: (0.312, 0.114),
    0.164: (0.344, 0.130),
    0.190: (0.375, 0.130),
    0.250: (0.438, 0.193),
}
_WASHERS = {
    0.086: (0.094, 0.250, 0.020),
    0.112: (0.125, 0.312, 0.032),
    0.138: (0.156, 0.375, 0.049),
    0.164: (0.188, 0.438, 0.049),
    0.190: (0.219, 0.500, 0.049),
    0.250: (0.281, 0.625, 0.065),
}
_THREAD_LENGTHS = {0.086: 0.62, 0.112: 0.75, 0.125: 0.75, 0.138: 0.75, 0.164: 0.88, 0.190: 0.88, 0.250: 1.00}


def _mm(row: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(round(INCH * value, 6) for value in row)


ASME_B18_3 = {size: SocketHead(*_mm(_HEADS[wide])) for size, (wide, _) in INCH_THREADS.items()}
ASME_B18_6_3 = {size: HexNut(*_mm(_NUTS[wide])) for size, (wide, _) in INCH_THREADS.items()}
"""Machine screw nuts."""
ASME_B18_22_1 = {
    size: Washer(*_mm(_WASHERS[wide])) for size, (wide, _) in INCH_THREADS.items() if wide in _WASHERS
}
THREAD_LENGTHS = {size: INCH * _THREAD_LENGTHS[wide] for size, (wide, _) in INCH_THREADS.items()}
"""Of a long ASME B18.3 screw, mm."""
SCREW_INCHES = tuple(
    Fraction(text)
    for text in "1/8 3/16 1/4 5/16 3/8 7/16 1/2 5/8 3/4 7/8 1 5/4 3/2 7/4 2".split()  # noqa: SIM905 - as they are sold
)
"""Usual lengths of inch screws."""
