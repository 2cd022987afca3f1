"""From a part's own axes into the blade frame: offset, twin, turn about the feathering axis, swing on the
bolt.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from featherbench.assembly.assembled import Solid
from featherbench.assembly.mass_moments import MassMoments, Vector
from featherbench.assembly.shapes import AXIS_INDEX, Piece


def feathering_turn(angle: float) -> Vector:
    """Rotation (3, 3) about the feathering axis in the sense that raises pitch: c' = c cos - n sin, n' = c
    sin + n cos.
    """
    cos, sin = math.cos(angle), math.sin(angle)
    return np.array([[1.0, 0.0, 0.0], [0.0, cos, -sin], [0.0, sin, cos]])


def reflection(mirror: str) -> Vector:
    """Reflection (3, 3) that reverses "normal" or "chord"."""
    flip = np.ones(3)
    flip[AXIS_INDEX[mirror]] = -1.0
    return np.diag(flip)


def placed(own: MassMoments, at: Vector, mirror: str | None, turn: float) -> MassMoments:
    """Own moments offset by `at` (3,) m, joined by the twin of `mirror`, then turned together by `turn`
    rad.
    """
    whole = own.moved(np.eye(3), at)
    if mirror:
        whole = whole + whole.moved(reflection(mirror), np.zeros(3))
    return whole.moved(feathering_turn(turn), np.zeros(3)) if turn else whole


def placed_solids(own: Sequence[Solid], at: Vector, mirror: str | None, turn: float) -> tuple[Solid, ...]:
    """The same for what is drawn."""
    rotation = feathering_turn(turn)
    centres = [np.asarray(solid.centre) + at for solid in own]
    pairs = list(zip(own, centres, strict=True))
    if mirror:
        flip = reflection(mirror)
        pairs += [(solid, flip @ centre) for solid, centre in pairs]
    moved = []
    for solid, centre in pairs:
        r, c, n = (float(value) for value in rotation @ centre)
        moved.append(solid._replace(centre=(r, c, n), turn=turn))
    return tuple(moved)


def piece_solids(pieces: Sequence[Piece], axis: str) -> tuple[Solid, ...]:
    """What is drawn of coaxial pieces about their point of reference."""
    index = AXIS_INDEX[axis]
    solids = []
    for piece in pieces:
        width = piece.diameter or piece.across_flats
        size, centre = [width] * 3, [0.0] * 3
        size[index] = piece.length
        centre[index] = piece.start + piece.length / 2.0
        kind = "round" if piece.diameter else "hex"
        hole = max(piece.bore, piece.socket)
        solid = Solid(kind, axis, tuple(centre), tuple(size), hole, 0.0, piece.thread, piece.tapped)  # type: ignore[arg-type]
        solids.append(solid)
    return tuple(solids)


def swung(moments: MassMoments, bolt: tuple[float, float], angle: float) -> MassMoments:
    """Moments after turning by `angle` (rad, tip toward the leading edge) about the bolt at (radius, chord),
    m.
    """
    return moments.moved(*swing_move(bolt, angle)) if angle else moments


def swing_move(bolt: tuple[float, float], angle: float | Vector) -> tuple[Vector, Vector]:
    """Rotation (..., 3, 3) and shift (..., 3), m, of such a turn by angles (...)."""
    cos, sin = np.cos(angle), np.sin(angle)
    rotation = np.zeros((*np.shape(angle), 3, 3))
    rotation[..., 0, 0] = rotation[..., 1, 1] = cos
    rotation[..., 0, 1], rotation[..., 1, 0], rotation[..., 2, 2] = -sin, sin, 1.0
    pin = np.array([bolt[0], bolt[1], 0.0])
    return rotation, pin - rotation @ pin
