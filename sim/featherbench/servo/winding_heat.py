"""How warm a motor's winding gets: the heat it makes, through a thermal resistance, into air.

    T = T_air + R_th P (1 + a (T - T_air)),   so   T - T_air = R_th P / (1 - a R_th P)

with P the heat at the resistance of a cold winding and a that of copper's growth with temperature: at a given current
the warmer winding makes more heat. Motors of 8 to 13 mm in makers' lists have 10 to 20 K/W from winding to case and 30
to 60 from case to air; in a servo's case: judgement.
"""

from __future__ import annotations

THERMAL_RESISTANCE = 50.0
"""K/W, winding to air (judgement)."""
DOUBT = 1.6
"""Factor either way that holds 95 % (judgement)."""
COPPER = 0.00393
"""1/K at 20 degrees Celsius (IEC 60028)."""
WARMEST = 155.0
"""Degrees Celsius, of an insulation of class F (IEC 60085); small servos' gears and glue give way sooner."""


def winding_rise(heat: float, resistance: float = THERMAL_RESISTANCE) -> float:
    """Temperature (K) of the winding above the air after long, at a heat (W, of the cold winding); inf: it runs away.

    resistance: thermal, K/W.
    """
    left = 1.0 - COPPER * resistance * heat
    return resistance * heat / left if left > 0.0 else float("inf")
