"""Static forces at the rod by virtual work: from the blades' load, from friction, from the servo's torque."""

from __future__ import annotations

from typing import TypeVar

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


def rod_friction(axis_friction: Value, travel_slope: Value, along_rod: float, ratio: float = 1.0) -> Value:
    """Half the friction band at the rod's end, N: what is held at the pitch axis, and what is held along the rod.

    axis_friction: N m at the pitch axis, all blades, magnitude; travel_slope as above; along_rod N, of the rod's own
    guide; ratio: of the axis's friction before it starts to that while it moves.
    """
    return ratio * (axis_friction / abs(travel_slope)) + along_rod


def force_available(torque: float, travel_slope: Value) -> Value:
    """Rod force (N) that a servo torque (N m) makes where the arm gives dx_s/dphi = travel_slope (m/rad)."""
    return torque / travel_slope
