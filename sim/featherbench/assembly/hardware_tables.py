"""Dimensions of small metric hardware, millimetres, as the standards list them.

Where each column is from (status in the words of the check lists): ISO 4762 pitch, plain head diameter, head
height, socket width and least depth for M2 to M4 FOUND in an open transcription of the standard; head height,
socket width and depth for M1.6 and M5, ISO 4032 and ISO 7089 widths RAN, from the tables of the general CAD
library bd_warehouse 0.4.0, as are the nominal hexagon head heights; plain head diameters of M1.6 and M5 and
nominal washer thickness MEM (from memory, not seen), ISO 4035 too. DIN 985 FOUND in an open transcription of its 1987
issue.
"""

from __future__ import annotations

from typing import NamedTuple


class Thread(NamedTuple):
    """ISO 261 coarse thread: nominal diameter and pitch, mm."""

    diameter: float
    pitch: float


class SocketHead(NamedTuple):
    """ISO 4762: plain head diameter d_k, height k, socket width s and least depth t, mm."""

    diameter: float
    height: float
    socket: float
    depth: float


class HexHead(NamedTuple):
    """ISO 4017: width across flats s and nominal head height k, mm."""

    across_flats: float
    height: float


class HexNut(NamedTuple):
    """ISO 4032 and 4035: width across flats s and greatest height m, mm."""

    across_flats: float
    height: float


class LockNut(NamedTuple):
    """DIN 985: width across flats s, least height m of the hexagon, least and greatest height h in all,
    mm.
    """

    across_flats: float
    hexagon: float
    least: float
    greatest: float


class Washer(NamedTuple):
    """ISO 7089: bore d1, outside diameter d2, nominal thickness h, mm."""

    bore: float
    diameter: float
    thickness: float


THREADS = {
    "M1.6": Thread(1.6, 0.35),
    "M2": Thread(2.0, 0.4),
    "M2.5": Thread(2.5, 0.45),
    "M3": Thread(3.0, 0.5),
    "M4": Thread(4.0, 0.7),
    "M5": Thread(5.0, 0.8),
}

ISO_4762 = {
    "M1.6": SocketHead(3.0, 1.6, 1.5, 0.7),
    "M2": SocketHead(3.8, 2.0, 1.5, 1.0),
    "M2.5": SocketHead(4.5, 2.5, 2.0, 1.1),
    "M3": SocketHead(5.5, 3.0, 2.5, 1.3),
    "M4": SocketHead(7.0, 4.0, 3.0, 2.0),
    "M5": SocketHead(8.5, 5.0, 4.0, 2.5),
}

ISO_4017 = {
    "M1.6": HexHead(3.2, 1.1),
    "M2": HexHead(4.0, 1.4),
    "M2.5": HexHead(5.0, 1.7),
    "M3": HexHead(5.5, 2.0),
    "M4": HexHead(7.0, 2.8),
    "M5": HexHead(8.0, 3.5),
}

ISO_4032 = {
    "M1.6": HexNut(3.2, 1.3),
    "M2": HexNut(4.0, 1.6),
    "M2.5": HexNut(5.0, 2.0),
    "M3": HexNut(5.5, 2.4),
    "M4": HexNut(7.0, 3.2),
    "M5": HexNut(8.0, 4.7),
}

ISO_4035 = {
    "M1.6": HexNut(3.2, 1.0),
    "M2": HexNut(4.0, 1.2),
    "M2.5": HexNut(5.0, 1.6),
    "M3": HexNut(5.5, 1.8),
    "M4": HexNut(7.0, 2.2),
    "M5": HexNut(8.0, 2.7),
}
"""Thin nuts."""

DIN_985 = {
    "M3": LockNut(5.5, 2.4, 3.7, 4.0),
    "M4": LockNut(7.0, 2.9, 4.7, 5.0),
    "M5": LockNut(8.0, 3.2, 4.7, 5.0),
}

ISO_7089 = {
    "M1.6": Washer(1.7, 4.0, 0.3),
    "M2": Washer(2.2, 5.0, 0.3),
    "M2.5": Washer(2.7, 6.0, 0.5),
    "M3": Washer(3.2, 7.0, 0.5),
    "M4": Washer(4.3, 9.0, 0.8),
    "M5": Washer(5.3, 10.0, 1.0),
}
