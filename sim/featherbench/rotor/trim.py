"""The pitch that makes a wanted thrust in hover."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from featherbench.rotor.air_table import AirTable


@dataclass(frozen=True)
class HoverPitch:
    """pitch: rad (the nearest end of the table when not found). found: whether that pitch makes the thrust.
    advice: in words, empty when found. thrust_low, thrust_high: the least and greatest thrust the table
    reaches, N.
    """

    pitch: float
    found: bool
    advice: str
    thrust_low: float
    thrust_high: float


def hover_pitch(table: AirTable, thrust_needed: float, rho: float, spin: float) -> HoverPitch:
    """The pitch nearest zero thrust at which the rotor makes thrust_needed (N) in air of rho (kg/m^3) at spin
    (rad/s).

    Linear between the table's pitches, as in the stepper. Past its peak a stalled rotor passes the same
    thrust again; that second pitch is never the answer. Out of reach: found is False and advice says what was
    reachable.
    """
    middle = table.axial.size // 2
    thrust = table.thrust[:, middle] * (rho / table.rotor.air.density) * spin**2
    low, high = float(thrust.min()), float(thrust.max())
    if not low <= thrust_needed <= high:
        end = int(np.argmax(thrust)) if thrust_needed > high else int(np.argmin(thrust))
        advice = (
            f"a thrust of {thrust_needed:.3g} N is needed, but at this rotor speed the blades make between "
            f"{low:.3g} N and {high:.3g} N over the pitch considered"
        )
        return HoverPitch(float(table.pitch[end]), False, advice, low, high)
    off = thrust - thrust_needed
    start = int(np.argmin(np.abs(thrust)))
    crossings = np.nonzero((off[:-1] <= 0.0) & (off[1:] >= 0.0))[0]
    if crossings.size == 0:
        return HoverPitch(math.nan, False, "thrust falls with pitch everywhere on the table", low, high)
    cell = int(crossings[np.argmin(np.abs(crossings - start))])
    rise = thrust[cell + 1] - thrust[cell]
    part = 0.0 if rise == 0.0 else -off[cell] / rise
    pitch = float(table.pitch[cell] + part * (table.pitch[cell + 1] - table.pitch[cell]))
    return HoverPitch(pitch, True, "", low, high)
