"""What camber does to a section in thin-aerofoil theory: the angle of zero lift and the moment at zero lift.

Glauert, The Elements of Aerofoil and Airscrew Theory (1926); the same integrals in any aerodynamics textbook.
MEM for the page, derivable. With x = (1 - cos t)/2 and slope s = dz/dx of the mean line: alpha_0 = -(1/pi)
integral s (cos t - 1) dt,  c_m,c/4 = (1/2) integral s (cos 2t - cos t) dt, both over 0..pi.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike


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
