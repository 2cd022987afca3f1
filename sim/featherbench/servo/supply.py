"""The supply lead: what a meter in it sees, and how far the voltage sags.

The drive chops the supply onto the motor: V_m = u V_s, and by power balance I_supply = u i (lossless bridge).
A negative product is braking: it is neither drawn nor returned.
"""

from __future__ import annotations

from typing import NamedTuple

from numba import njit


class Supply(NamedTuple):
    """Kernel parameters; plain floats. voltage V, resistance ohm, limit A (inf when there is none), idle A."""

    voltage: float
    resistance: float
    limit: float
    idle: float


@njit(cache=True, nogil=True)
def supply_current(duty: float, current: float, supply: Supply) -> float:
    """Current in the supply lead (A), from duty -1..1 and motor current (A)."""
    return max(duty * current, 0.0) + supply.idle


@njit(cache=True, nogil=True)
def supply_voltage(duty: float, current: float, supply: Supply) -> float:
    """Voltage at the drive (V): sags with the lead's own current, never below zero."""
    return max(supply.voltage - supply.resistance * supply_current(duty, current, supply), 0.0)


@njit(cache=True, nogil=True)
def current_ceiling(duty: float, supply: Supply) -> float:
    """Greatest motor current magnitude (A) that a current-limited source can feed at this duty."""
    room = max(supply.limit - supply.idle, 0.0)
    if abs(duty) * 1e6 <= room:
        return 1e6
    return room / abs(duty)
