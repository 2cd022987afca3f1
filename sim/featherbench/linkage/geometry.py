"""Linkage geometry: rod travel that the servo makes, and rod travel that a blade pitch asks for.

Servo arm -> rod -> lever (bellcrank, may be absent) -> slider -> pitch link -> pitch horn, planar and not
small-angle. Rod travel is positive in push, away from the servo; pushing raises pitch unless the linkage is
reversed. At zero pitch the servo angle is zero, both rod ends lie on the rod line and the pitch link lies
along the shaft.

Each end of the rod is taken with the other end on the rod line. The exact constraint between the two balls
holds one more term, u_arm u_lever / L, with u the distance of each ball from the rod line and L the rod
length: 0.02 mm of 8 mm travel for a 13 mm arm at 40 deg, a 20 mm lever at 30 deg and a 420 mm rod. Its sign
depends on which side of the rod arm and lever stand, which no one measures.

The pitch link is taken to push the horn when pitch rises (the horn's ball lies ahead of the slider). One that
pulls has its tilt's share of slider travel, u^2 / 2l, with the other sign.
"""

from __future__ import annotations

from math import cos, inf, sin, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.kernel import kernel
from featherbench.sine_cosine import sine_cosine

DEAD_CENTRE = 1e-6
"""Square of the sine of the angle to a dead centre below which a link or lever counts as out of reach."""
BARELY = 5e-4
"""Square of the sine of a tilt below which five terms of the series of sqrt(1 - x) are exact to the last digit: a root
and two divisions, one waiting for the other, take a march a sixth of each step."""


class Linkage(NamedTuple):
    """Geometry as the kernels want it; make one with `linkage_geometry`. All floats, m and rad.

    Neutral angles are how far arm, lever and horn stand off square at zero pitch, positive toward higher
    pitch (for the arm: toward push); their sines and cosines are kept beside them. pitch_link inf: it stays
    parallel to the shaft. has_lever 1.0 or 0.0. sign +1.0 (push raises pitch) or -1.0 (reversed).
    """

    servo_arm: float
    arm_neutral: float
    arm_sine: float
    arm_cosine: float
    rod_length: float
    horn_arm: float
    horn_neutral: float
    horn_sine: float
    horn_cosine: float
    pitch_link: float
    lever_out: float
    lever_in: float
    lever_sine: float
    lever_cosine: float
    has_lever: float
    sign: float


def linkage_geometry(
    *,
    servo_arm: float,
    rod_length: float,
    horn_arm: float,
    lever: tuple[float, float] | None = None,
    pitch_link: float = inf,
    neutral: tuple[float, float, float] = (0.0, 0.0, 0.0),
    reverse: bool = False,
) -> Linkage:
    """Kernel parameters of a linkage; lengths in m, angles in rad.

    lever: (slider side, rod side), or None without a bellcrank. neutral: of arm, lever and horn, off square.
    """
    arm_neutral, lever_neutral, horn_neutral = (float(angle) for angle in neutral)
    lever_out, lever_in = lever or (1.0, 1.0)
    return Linkage(
        servo_arm=float(servo_arm),
        arm_neutral=arm_neutral,
        arm_sine=sin(arm_neutral),
        arm_cosine=cos(arm_neutral),
        rod_length=float(rod_length),
        horn_arm=float(horn_arm),
        horn_neutral=horn_neutral,
        horn_sine=sin(horn_neutral),
        horn_cosine=cos(horn_neutral),
        pitch_link=float(pitch_link),
        lever_out=float(lever_out),
        lever_in=float(lever_in),
        lever_sine=sin(lever_neutral),
        lever_cosine=cos(lever_neutral),
        has_lever=1.0 if lever else 0.0,
        sign=-1.0 if reverse else 1.0,
    )


@kernel(forceinline=True)
def tilt_shortening(offset: float, slope: float, length: float) -> tuple[float, float]:
    """How much less of its line a link spans when one end leaves it: length - sqrt(length^2 - offset^2).

    offset: m off the line, changing at `slope` m per radian; length: m, may be inf.
    Returns (shortening m, its slope m/rad). A link that cannot reach lies square across its line and stays
    there.
    """
    if length == inf:
        return 0.0, 0.0
    square = offset * offset
    inverse = 1.0 / length
    tilt = square * (inverse * inverse)
    if tilt < BARELY:
        less = 1.0 + 0.25 * tilt + tilt * tilt * (0.125 + 0.078125 * tilt + 0.0546875 * (tilt * tilt))
        more = 1.0 + 0.5 * tilt + tilt * tilt * (0.375 + 0.3125 * tilt + 0.2734375 * (tilt * tilt))
        return square * (0.5 * inverse) * less, offset * slope * inverse * more
    inside = length * length - square
    if inside <= DEAD_CENTRE * square:
        return length, 0.0
    span = sqrt(inside)
    # the same as length - span, without the loss of digits and with the right limit for a long link
    return square / (length + span), offset * slope / span


@kernel(forceinline=True)
def servo_rod_travel(angle: float, linkage: Linkage) -> tuple[float, float]:
    """Rod travel x_s that the servo makes, and dx_s/dangle: (m, m/rad).

    angle phi: servo output from its place at zero pitch, rad, positive pushes.
    x_s = a [sin(phi + phi_0) - sin phi_0] - (L - sqrt(L^2 - u^2)),  u = a [cos phi_0 - cos(phi + phi_0)].
    """
    sine, cosine = sine_cosine(angle + linkage.arm_neutral)
    arm = linkage.servo_arm
    tilt, tilt_slope = tilt_shortening(arm * (linkage.arm_cosine - cosine), arm * sine, linkage.rod_length)
    return arm * (sine - linkage.arm_sine) - tilt, arm * cosine - tilt_slope


def servo_rod_travels(angles: NDArray[np.float64], linkage: Linkage) -> NDArray[np.float64]:
    """`servo_rod_travel` at angles (n,), rad: rows (n, 2) of travel m and slope m/rad."""
    # an array made in compiled code would load more of numba
    rows = np.empty((angles.shape[0], 2))
    _fill_travels(angles, linkage, rows)
    return rows


@kernel
def _fill_travels(angles: NDArray[np.float64], linkage: Linkage, rows: NDArray[np.float64]) -> None:
    for index in range(angles.shape[0]):
        rows[index, 0], rows[index, 1] = servo_rod_travel(angles[index], linkage)


@kernel(forceinline=True)
def pitch_rod_travel(pitch: float, linkage: Linkage) -> tuple[float, float, float, float]:
    """Rod travel x_l and slider travel s that a blade pitch asks for: (x_l, dx_l/dpitch, s, ds/dpitch).

    pitch theta in rad; travels in m, slopes in m/rad; s is positive toward higher pitch.
    s = h [sin(theta + theta_0) - sin theta_0] + (l - sqrt(l^2 - u^2)) with
    u = h [cos theta_0 - cos(theta + theta_0)].
    The lever's pin slides in its slot, s = e [sin(psi + psi_0) - sin psi_0] with e = lever_out, so the
    rod-side ball goes s f/e along the rod line, f = lever_in, and leaves it by
    w = f [cos psi_0 - cos(psi + psi_0)]: x_l = s f/e + (L - sqrt(L^2 - w^2)).
    Without a lever x_l = s. A reversed linkage changes the sign of s f/e (or s), while the rod's tilt costs
    the same. Finite everywhere: a lever past its reach stays at its dead centre (`servo_angle_for` refuses
    that).
    """
    sine, cosine = sine_cosine(pitch + linkage.horn_neutral)
    return horn_rod_travel(sine, cosine, linkage)


@kernel(forceinline=True)
def horn_rod_travel(sine: float, cosine: float, linkage: Linkage) -> tuple[float, float, float, float]:
    """`pitch_rod_travel` by sine and cosine of the horn's angle off square, pitch + horn_neutral."""
    horn = linkage.horn_arm
    tilt, tilt_slope = tilt_shortening(horn * (linkage.horn_cosine - cosine), horn * sine, linkage.pitch_link)
    slider = horn * (sine - linkage.horn_sine) + tilt
    slider_slope = horn * cosine + tilt_slope
    if linkage.has_lever == 0.0:
        return linkage.sign * slider, linkage.sign * slider_slope, slider, slider_slope
    ratio = linkage.lever_in / linkage.lever_out
    lever_sine = linkage.lever_sine + slider * (1.0 / linkage.lever_out)
    inside = 1.0 - lever_sine * lever_sine
    if inside > DEAD_CENTRE:
        lever_cosine = sqrt(inside)
        offset_slope = ratio * slider_slope * lever_sine / lever_cosine
    else:
        lever_cosine = 0.0
        offset_slope = 0.0
    offset = linkage.lever_in * (linkage.lever_cosine - lever_cosine)
    tilt, tilt_slope = tilt_shortening(offset, offset_slope, linkage.rod_length)
    ratio *= linkage.sign
    return ratio * slider + tilt, ratio * slider_slope + tilt_slope, slider, slider_slope


def pitch_rod_travels(pitches: NDArray[np.float64], linkage: Linkage) -> NDArray[np.float64]:
    """`pitch_rod_travel` at pitches (n,), rad: rows (n, 4)."""
    rows = np.empty((len(pitches), 4))
    _fill_asked(pitches, linkage, rows)
    return rows


@kernel
def _fill_asked(pitches: NDArray[np.float64], linkage: Linkage, rows: NDArray[np.float64]) -> None:
    for index in range(pitches.shape[0]):
        rows[index, 0], rows[index, 1], rows[index, 2], rows[index, 3] = pitch_rod_travel(
            pitches[index], linkage
        )
