"""The supply lead: what a meter in it sees, and how far the voltage sags.

The drive chops the supply onto the motor: V_m = u V_s, and by power balance I_supply = u i + G V_s (lossless bridge),
u i without ripple, G V_s by the ripple of the winding's current (`servo.chopping`). What would be returned, when the
motor brakes, is neither drawn nor given back.
"""

from __future__ import annotations

from typing import NamedTuple

from featherbench.kernel import kernel


class Supply(NamedTuple):
    """Kernel parameters; plain floats. voltage V, resistance ohm, limit A (inf when there is none), idle A."""

    voltage: float
    resistance: float
    limit: float
    idle: float


@kernel
def supply_current(duty: float, current: float, supply: Supply, ripple: float = 0.0) -> float:
    """Current in the supply lead (A), from duty -1..1, mean motor current (A) and what its ripple adds (A)."""
    return max(duty * current + ripple, 0.0) + supply.idle


@kernel
def supply_voltage(duty: float, current: float, supply: Supply, conductance: float = 0.0) -> float:
    """Voltage at the drive (V): sags with the lead's own mean current, never below zero.

    conductance: A/V, by which the ripple draws (G of `servo.chopping`); solved with the voltage that it lowers.
    """
    fed = duty * current
    sagged = supply.voltage - supply.resistance * (fed + supply.idle)
    sagged /= 1.0 + supply.resistance * conductance
    if fed + conductance * sagged < 0.0:
        sagged = supply.voltage - supply.resistance * supply.idle
    return max(sagged, 0.0)


@kernel
def current_ceiling(duty: float, supply: Supply, ripple: float = 0.0) -> float:
    """Greatest motor current magnitude (A) that a current-limited source can feed at this duty beside ripple (A)."""
    room = max(supply.limit - supply.idle - ripple, 0.0)
    if abs(duty) * 1e6 <= room:
        return 1e6
    return room / abs(duty)
