"""Which servo angle makes a pitch, and when a linkage cannot reach it."""

from __future__ import annotations

from collections.abc import Sequence
from math import acos, asin, atan2, cos, degrees, hypot, inf

import numpy as np
from numpy.typing import NDArray

from featherbench.linkage.geometry import DEAD_CENTRE, Linkage, pitch_rod_travel, pitch_rod_travels


class LinkageReach(ValueError):
    """The linkage cannot reach a pitch; the message says which member stops it, with the numbers."""


def servo_angle_for(pitch: float, linkage: Linkage) -> float:
    """Servo angle phi (rad) whose rod travel is what `pitch` (rad) asks for, without play or give.

    Closed form: the arm's ball lies on its own circle and at a rod length from the rod's far end, which has
    moved along the rod line by x; of the two such places, the one short of the dead centres.
    Raises LinkageReach when horn, pitch link, lever, rod or arm cannot go there.
    """
    pitch = float(pitch)
    return _arm_angle(_rod_travel(pitch, pitch_rod_travel(pitch, linkage), linkage), pitch, linkage)


def servo_angles_for(pitches: NDArray[np.float64], linkage: Linkage) -> NDArray[np.float64]:
    """`servo_angle_for` at pitches (n,), rad; raises LinkageReach by the first that cannot be reached."""
    asked = pitch_rod_travels(pitches, linkage).tolist()
    angles = [
        _arm_angle(_rod_travel(pitch, row, linkage), pitch, linkage)
        for pitch, row in zip(pitches.tolist(), asked, strict=True)
    ]
    return np.array(angles)


def _rod_travel(pitch: float, asked: Sequence[float], linkage: Linkage) -> float:
    """Rod travel, m, that a pitch (rad) asks for; raises LinkageReach when a member between the rod and the blade is
    past its dead centre. asked: `pitch_rod_travel` there.
    """
    horn = pitch + linkage.horn_neutral
    cosine = cos(horn)
    if cosine**2 <= DEAD_CENTRE or cosine < 0.0:
        raise _past(pitch, f"the horn stands {degrees(horn):.1f} deg off square, past its dead centre")
    aside = abs(linkage.horn_arm * (linkage.horn_cosine - cosine))
    if linkage.pitch_link <= aside:
        raise _past(
            pitch,
            f"the horn's ball moves {aside * 1e3:.2f} mm sideways, more than the pitch link's "
            f"{linkage.pitch_link * 1e3:.2f} mm",
        )
    travel, slope, slider, _ = asked
    lever_sine = linkage.lever_sine + slider / linkage.lever_out
    if linkage.has_lever != 0.0 and 1.0 - lever_sine**2 <= DEAD_CENTRE:
        room = linkage.lever_out * (1.0 - linkage.lever_sine if slider > 0.0 else 1.0 + linkage.lever_sine)
        raise _past(
            pitch,
            f"the slider must move {abs(slider) * 1e3:.2f} mm, but a lever of {linkage.lever_out * 1e3:.2f} mm on the "
            f"slider side reaches {room * 1e3:.2f} mm",
        )
    if slope * linkage.sign <= 0.0:
        raise _past(pitch, f"the rod is past the lever's dead centre (rod travel {travel * 1e3:.2f} mm)")
    return float(travel)


def _past(pitch: float, words: str) -> LinkageReach:
    return LinkageReach(f"at pitch {degrees(pitch):.1f} deg {words}")


def _arm_angle(travel: float, pitch: float, linkage: Linkage) -> float:
    """Servo angle (rad) that makes the rod travel (m); raises LinkageReach when the arm is too short."""
    arm, rod = linkage.servo_arm, linkage.rod_length
    along = arm * linkage.arm_sine + travel
    aside = arm * linkage.arm_cosine
    if rod == inf:
        square, aim = along / arm, 0.0
    else:
        square = (arm * arm + aside * aside + along * (2.0 * rod + along)) / (
            2.0 * arm * hypot(rod + along, aside)
        )
        aim = atan2(rod + along, aside)
    if abs(square) > 1.0:
        raise LinkageReach(
            f"pitch {degrees(pitch):.1f} deg asks for {travel * 1e3:.2f} mm of rod travel, more than a"
            f" servo arm of {arm * 1e3:.2f} mm makes"
        )
    total = asin(square) if rod == inf else aim - acos(square)
    return total - linkage.arm_neutral
