"""How the tail's thrust answers in hover: to blade pitch, which steers, and to its own advance, which damps yaw."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from featherbench.rotor.air_table import AirLoads, axial_ratio, thrust

PITCH_STEP = float(np.deg2rad(0.5))
FLOW_STEP = 0.5
"""m/s."""


class YawSlopes(NamedTuple):
    """by_pitch N/rad; by_flow N s/m, by how much thrust falls as the tail advances along it."""

    by_pitch: float
    by_flow: float


def yaw_slopes(pitch: float, spin: float, air: AirLoads) -> YawSlopes:
    """Slopes of the thrust law itself about a pitch (rad) in still air, at rotor speed `spin` (rad/s)."""
    ahead = axial_ratio(FLOW_STEP, spin, air)
    steeper, flatter = (thrust(pitch + step, 0.0, spin, air) for step in (PITCH_STEP, -PITCH_STEP))
    away, against = (thrust(pitch, flow, spin, air) for flow in (ahead, -ahead))
    return YawSlopes(float(steeper - flatter) / (2.0 * PITCH_STEP), float(against - away) / (2.0 * FLOW_STEP))
