"""Static rod force by virtual work, and what a servo can bring to the rod."""

from __future__ import annotations

from numba import njit


@njit(cache=True, nogil=True)
def rod_force(moment_required: float, travel_slope: float, blades: float) -> float:
    """Static rod force F = N_b M_required dtheta/dx_l, N, positive in push; friction not in it.

    moment_required: what the linkage must bring to each blade's pitch axis, N m, positive raises pitch (minus
    the moment that rotation and air exert). travel_slope: dx_l/dtheta of `pitch_rod_travel`, m/rad. blades:
    how many.
    """
    return blades * moment_required / travel_slope


@njit(cache=True, nogil=True)
def force_available(torque: float, travel_slope: float) -> float:
    """Rod force (N) that a servo torque (N m) makes where the arm gives dx_s/dphi = travel_slope (m/rad)."""
    return torque / travel_slope
