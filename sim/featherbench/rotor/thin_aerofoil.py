"""What camber does to a section in thin-aerofoil theory: the angle of zero lift and the moment at zero lift.

Glauert, The Elements of Aerofoil and Airscrew Theory (1926); the same integrals in any aerodynamics textbook.
MEM for the page, derivable. With x = (1 - cos t)/2 and slope s = dz/dx of the mean line: alpha_0 = -(1/pi)
integral s (cos t - 1) dt,  c_m,c/4 = (1/2) integral s (cos 2t - cos t) dt, both over 0..pi.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray


def mean_line(outline: ArrayLike, count: int = 200) -> tuple[NDArray[np.float64], NDArray[np.float64], float]:
    """(x, z) of the mean line in chords, and the greatest thickness in chords, of a section outline (n, 2).

    The outline runs from the trailing edge over one side to the leading edge and back, in any scale. Raises
    ValueError when it has fewer than 8 points or does not turn at a leading edge.
    """
    points = np.asarray(outline, dtype=float)
    if points.ndim != 2 or points.shape[1] != 2 or len(points) < 8:
        raise ValueError("a section outline needs at least 8 points of x and z")
    nose = int(np.argmin(points[:, 0]))
    if nose in (0, len(points) - 1):
        raise ValueError("a section outline must run from the trailing edge round the leading edge and back")
    tail = 0.5 * (points[0] + points[-1])
    chord = tail - points[nose]
    length = float(np.hypot(*chord))
    along, across = chord / length, np.array([-chord[1], chord[0]]) / length
    x, z = (points - points[nose]) @ along / length, (points - points[nose]) @ across / length
    sides = [
        np.array(sorted(zip(x[part], z[part], strict=True)))
        for part in (slice(None, nose + 1), slice(nose, None))
    ]
    at = 0.5 * (1.0 - np.cos(np.linspace(0.0, math.pi, count)))
    first, second = (np.interp(at, side[:, 0], side[:, 1]) for side in sides)
    return at, 0.5 * (first + second), float(np.max(np.abs(first - second)))


def camber_properties(x: ArrayLike, z: ArrayLike) -> tuple[float, float]:
    """(angle of zero lift in rad, moment coefficient about the quarter chord) of a mean line x (0 to 1), z in
    chords.
    """
    angle = np.linspace(0.0, math.pi, 2001)
    places = 0.5 * (1.0 - np.cos(angle))
    middle = 0.5 * (angle[1:] + angle[:-1])
    steps = np.diff(np.interp(places, np.asarray(x, float), np.asarray(z, float)))
    slope = steps / np.diff(places)
    step = angle[1] - angle[0]
    zero_lift = -float(np.sum(slope * (np.cos(middle) - 1.0))) * step / math.pi
    moment = 0.5 * float(np.sum(slope * (np.cos(2.0 * middle) - np.cos(middle)))) * step
    return zero_lift, moment
