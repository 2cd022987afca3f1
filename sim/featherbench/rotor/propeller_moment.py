"""Propeller moment: what rotation alone does to a blade about its feathering axis.

Exact rigid-body mechanics for a feathering axis that meets the shaft and is coned by a constant angle beta; r
is measured along that axis from where it meets the shaft. There is no term in the pitch rate. With S_rc,
S_rn, beta and the spin-up zero it is the textbook form -Omega^2 [(I_c - I_n) sin theta cos theta + I_cn cos 2
theta].
"""

from __future__ import annotations

from math import cos, sin, sqrt
from typing import NamedTuple

from featherbench.kernel import kernel


class PitchMoments(NamedTuple):
    """What the propeller moment needs of one blade assembly.

    chordwise I_c, normal I_n, product I_cn, radial_chordwise S_rc, radial_normal S_rn: kg m^2, sums over
    everything that pitches, in the blade frame (r outboard along the feathering axis from the shaft, c toward
    the leading edge, n toward the thrust side). coning beta: rad, tip toward the thrust side positive. All
    floats.
    """

    chordwise: float
    normal: float
    product: float
    radial_chordwise: float = 0.0
    radial_normal: float = 0.0
    coning: float = 0.0


@kernel
def propeller_moment(pitch: float, spin: float, spin_rate: float, moments: PitchMoments) -> float:
    """Propeller moment M_prop of one blade, N m, positive raises pitch.

    pitch theta rad; spin Omega rad/s, in the sense that moves the leading edge forward; spin_rate dOmega/dt
    rad/s^2.

    M_prop = -Omega^2 [cos^2 beta ((I_c - I_n) sin theta cos theta + I_cn cos 2 theta)
                       + sin beta cos beta (S_rc cos theta - S_rn sin theta)]
             + dOmega/dt [cos beta (S_rc sin theta + S_rn cos theta) - sin beta (I_c + I_n)]

    It is minus the radial component of sum r x (m a) of the rigid blade with its pitch held.
    """
    return propeller_moment_at(sin(pitch), cos(pitch), spin, spin_rate, moments)


@kernel
def propeller_moment_at(
    sine: float, cosine: float, spin: float, spin_rate: float, moments: PitchMoments
) -> float:
    """`propeller_moment` by sine and cosine of the pitch."""
    flat = (moments.chordwise - moments.normal) * sine * cosine
    flat += moments.product * (cosine - sine) * (cosine + sine)
    lag = moments.radial_chordwise * sine + moments.radial_normal * cosine
    if moments.coning == 0.0:  # the usual case, and no trigonometry for it
        return spin_rate * lag - spin * spin * flat
    cone_sine = sin(moments.coning)
    cone_cosine = cos(moments.coning)
    lift = moments.radial_chordwise * cosine - moments.radial_normal * sine
    steady = cone_cosine * (cone_cosine * flat + cone_sine * lift)
    return (
        spin_rate * (cone_cosine * lag - cone_sine * (moments.chordwise + moments.normal))
        - spin * spin * steady
    )


def feathering_frequency(spin: float, moments: PitchMoments) -> float:
    """Natural frequency of the free blade for small pitch about zero, rad/s; negative means divergent.

    spin rad/s. omega^2 = -(dM_prop/dtheta)/(I_c + I_n) at theta = 0, which without coning is
    Omega^2 (I_c - I_n)/(I_c + I_n): 1/rev for a thin flat blade. Where omega^2 < 0 pitch runs away with the
    rate sqrt(-omega^2), given as a negative number. I_cn moves the pitch about which the blade swings and is
    not in it.
    """
    cone_cosine = cos(moments.coning)
    stiffness = cone_cosine * (
        cone_cosine * (moments.chordwise - moments.normal) - sin(moments.coning) * moments.radial_normal
    )
    ratio = stiffness / (moments.chordwise + moments.normal)
    return abs(spin) * sqrt(ratio) if ratio >= 0.0 else -abs(spin) * sqrt(-ratio)
