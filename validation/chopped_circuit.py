"""A chopped winding stepped finely as a circuit: switches, ideal diodes, resistance, inductance and back-EMF.

Written from the circuit alone; it shares nothing with the program's closed form.
"""

from __future__ import annotations

import numpy as np
from numba import njit


@njit
def stepped(duty, emf, volts, ohms, henries, period, decay, steps, periods):
    """(mean winding current, mean supply current), A, over the last of `periods` periods of `steps` steps each.

    decay: 0 two switches short the winding; 1 a switch and a diode do; 2 all switches open, diodes lead to the supply.
    """
    tick = period / steps
    current = 0.0
    for cycle in range(periods):
        wound, fed = 0.0, 0.0
        for count in range(steps):
            on = count < duty * steps
            across = volts if on else (-volts if decay == 2 else 0.0)
            # trapezoidal rule on L di/dt = across - emf - R i
            half = 0.5 * tick * ohms / henries
            after = (current * (1.0 - half) + tick * (across - emf) / henries) / (1.0 + half)
            if not on and decay > 0 and after < 0.0:
                after = 0.0  # the diode blocks
            middle = 0.5 * (current + after)
            wound += middle
            fed += middle if on else (-middle if decay == 2 else 0.0)
            current = after
        if cycle == periods - 1:
            return wound / steps, fed / steps
    return np.nan, np.nan
