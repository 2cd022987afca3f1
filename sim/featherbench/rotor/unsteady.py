"""Quasi-steady unsteady air on a pitching blade: pitch damping and apparent inertia about the feathering
axis.

Theodorsen, NACA Report 496, with C(k) = 1, in pure pitch about an axis a semi-chords behind mid-chord
(semi-chord b, speed U), per unit span, nose up positive:

    dM/dr = pi rho b^2 [ -U b (1/2 - a) theta_dot - b^2 (1/8 + a^2) theta_ddot ]
            + 2 pi rho U b^3 (a + 1/2)(1/2 - a) theta_dot
          = -2 pi rho U b^3 a (a - 1/2) theta_dot - pi rho b^4 (1/8 + a^2) theta_ddot

The circulatory lift by angle itself is in the static moment. With U = Omega r the damping goes with rotor
speed and the inertia does not. The damping of a strip is positive for an axis ahead of mid-chord (a < 0) or
behind three quarters (a > 1/2), negative between: there the quasi-steady air feeds the motion. It vanishes
exactly at both ends. Strip theory: no returning wake, no finite span; trust it to about 30 per cent.
"""

from __future__ import annotations

import math

import numpy as np

from featherbench.kernel import kernel
from featherbench.rotor.blade_stations import BladeStations


@kernel
def strip_damping(speed: float, semi_chord: float, axis: float, density: float) -> float:
    """Pitch damping per unit span, N m s/rad per m. axis: a, semi-chords behind mid-chord."""
    return 2.0 * math.pi * density * speed * semi_chord**3 * axis * (axis - 0.5)


@kernel
def strip_inertia(semi_chord: float, axis: float, density: float) -> float:
    """Apparent inertia per unit span, kg m^2 per m. axis: a, semi-chords behind mid-chord."""
    return math.pi * density * semi_chord**4 * (0.125 + axis * axis)


def pitch_rate_terms(
    blade: BladeStations, density: float, offset: float = 0.0, slope: float = 0.0
) -> tuple[float, float]:
    """(damping over rotor speed in N m s^2, apparent inertia in kg m^2) of one blade about the feathering
    axis.

    offset (m) + slope * radius is what the swing on the blade bolt adds to the quarter chord's distance ahead
    of the axis. Times rotor speed the first is N m per rad/s of pitch rate. density: kg/m^3.
    """
    semi = 0.5 * blade.chord
    axis = -0.5 + (blade.quarter_chord + offset + slope * blade.radius) / semi
    damping = inertia = 0.0
    for r, width, b, a in zip(blade.radius, blade.width, semi, axis, strict=True):
        damping += strip_damping(float(r), float(b), float(a), density) * float(width)
        inertia += strip_inertia(float(b), float(a), density) * float(width)
    return float(np.float64(damping)), float(np.float64(inertia))
