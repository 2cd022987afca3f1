"""What a turning rotor shakes its pitch linkage with: moments on the collective pitch, N_b times and once a turn.

    M(t) = (passing sin(N_b angle) + once sin(angle)) Omega^2

Both grow with the square of the speed, as air loads and unbalance do. The angle of the rotor advances by Omega dt each
step. Sine and cosine are turned on by a rotation, anew only when the speed changes: two sines a step would cost it a
tenth of its time.
"""

from __future__ import annotations

from math import cos, sin
from typing import NamedTuple

from featherbench.kernel import kernel


class Shaking(NamedTuple):
    """Kernel parameters; plain floats. passing, once kg m^2, all blades, over spin^2; rate rad/s, the highest at rated
    speed, 0 where nothing shakes.
    """

    passing: float
    once: float
    rate: float


class Turning(NamedTuple):
    """Where the rotor stands in its turn, as sines and cosines of the angle and of N_b times it; at the start 0."""

    sine: float
    cosine: float
    passing_sine: float
    passing_cosine: float


AT_START = Turning(0.0, 1.0, 0.0, 1.0)


@kernel
def rotation(step: float, spin: float, blades: float) -> Turning:
    """By how much `step` seconds at `spin` (rad/s) turn it on."""
    angle = step * spin
    return Turning(sin(angle), cos(angle), sin(blades * angle), cos(blades * angle))


@kernel
def turned(at: Turning, by: Turning) -> Turning:
    """The angle sums."""
    return Turning(
        at.sine * by.cosine + at.cosine * by.sine,
        at.cosine * by.cosine - at.sine * by.sine,
        at.passing_sine * by.passing_cosine + at.passing_cosine * by.passing_sine,
        at.passing_cosine * by.passing_cosine - at.passing_sine * by.passing_sine,
    )


@kernel
def shaking_moment(at: Turning, spin: float, shaking: Shaking) -> float:
    """Moment on the collective pitch, all blades, N m."""
    return (shaking.passing * at.passing_sine + shaking.once * at.sine) * spin * spin


def shaking_amplitude(spin: float, shaking: Shaking) -> float:
    """Largest moment on the collective pitch, all blades, N m, at rotor speed `spin` (rad/s)."""
    return (shaking.passing + abs(shaking.once)) * spin * spin
