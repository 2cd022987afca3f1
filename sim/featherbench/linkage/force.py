"""Static forces at the rod by virtual work: from the blades' load, from friction, from the servo's torque."""

from __future__ import annotations

from typing import NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

Value = TypeVar("Value", float, NDArray[np.float64])
"""A number, or one for each of a grid of pitches."""


def rod_force(moment_required: Value, travel_slope: Value, blades: float) -> Value:
    """Static rod force F = N_b M_required dtheta/dx_l, N, positive in push; friction not in it.

    moment_required: what the linkage must bring to each blade's pitch axis, N m, positive raises pitch (minus
    the moment that rotation and air exert). travel_slope: dx_l/dtheta of `pitch_rod_travel`, m/rad. blades:
    how many.
    """
    return blades * moment_required / travel_slope


class JointFriction(NamedTuple):
    """Friction that grows with what a joint carries, as shares of the rod's force: pitch, of the slider and the joints
    on the blades' side of the play; rod, of the joints on the servo's side.
    """

    pitch: float = 0.0
    rod: float = 0.0


NO_JOINTS = JointFriction()


def rod_friction(
    axis_friction: Value,
    travel_slope: Value,
    along_rod: float,
    ratio: float = 1.0,
    load: Value | None = None,
    joints: JointFriction = NO_JOINTS,
) -> Value:
    """What friction adds to the rod's force, the harder way, N: half the band where no joint's grows with load.

    axis_friction: N m at the pitch axis, all blades, magnitude; travel_slope as above; along_rod N, of the rod's own
    guide; ratio: of the axis's friction before it starts to that while it moves; load N, of the rod without friction,
    which the joints' shares follow.
    A joint that holds a share mu of the force it carries makes F = load + f + mu F of it: F = (load + f)/(1 - mu).
    """
    held = ratio * (axis_friction / abs(travel_slope))
    if load is None:
        return held + along_rod
    carried = (abs(load) + held) / (1.0 - ratio * joints.pitch)
    return carried * (1.0 + joints.rod) + along_rod - abs(load)


def rod_friction_easier(
    axis_friction: Value, travel_slope: Value, along_rod: float, load: Value, joints: JointFriction
) -> Value:
    """What friction takes off the rod's force where the load helps, N; arguments as of `rod_friction`, moving.

    A joint that lets a load down holds mu F of the lesser force: F = (load - f)/(1 + mu), and where friction outweighs
    the load, the rod has to drive: F = (f - load)/(1 - mu) the other way.
    """
    left = abs(load) - axis_friction / abs(travel_slope)
    helped = left * (1.0 - joints.rod) / (1.0 + joints.pitch)
    driven = left * (1.0 + joints.rod) / (1.0 - joints.pitch)
    return abs(load) - np.minimum(helped, driven) + along_rod


def force_available(torque: float, travel_slope: Value) -> Value:
    """Rod force (N) that a servo torque (N m) makes where the arm gives dx_s/dphi = travel_slope (m/rad)."""
    return torque / travel_slope
