"""A motor behind a drive that limits its winding current, chopped and stepped finely: circuit, inertia, dry friction.

Written from the circuit alone; it shares nothing with the program's laws. The drive's regulator chooses, period by
period, the share for which its switch is on so that the current at the period's end is what it aims at, full on if that
is not enough; and it moves its aim by most of what the period's mean was off the limit.
"""

from __future__ import annotations

import numpy as np
from numba import njit


@njit
def _period(on, steps, tick, current, speed, circuit):
    """(mean current, mean supply current, current, speed) after a period, its switch closed in `on` of its `steps`."""
    volts, ohms, henries, constant, inertia, coulomb = circuit
    wound, fed = 0.0, 0.0
    half = 0.5 * tick * ohms / henries
    for count in range(steps):
        closed = min(1.0, max(0.0, on - count))  # the step in which it opens is closed for a part
        after = (current * (1.0 - half) + tick * (closed * volts - constant * speed) / henries) / (1.0 + half)
        middle = 0.5 * (current + after)
        wound += middle
        fed += closed * middle
        torque = constant * middle
        if inertia > 0.0 and (speed > 0.0 or torque > coulomb):
            speed = max(0.0, speed + tick * (torque - coulomb) / inertia)
        current = after
    return wound / steps, fed / steps, current, speed


@njit
def driven(limit, circuit, period, steps, periods):
    """(winding, supply, share on) of each period, A, A, 0..1, from rest at full command.

    circuit: V, ohm, H, N m/A, kg m^2 (0: held fast), N m, at the output.
    """
    out = np.empty((periods, 3))
    current, speed, tick, aim = 0.0, 0.0, period / steps, 0.5 * limit
    for count in range(periods):
        low, high, on = 0.0, float(steps), float(steps)
        # full on, forty halvings and the end, by one call: it compiles in a third of the time that three do
        for trial in range(42):
            wound, fed, after, faster = _period(on, steps, tick, current, speed, circuit)
            if trial == 41 or (trial == 0 and after <= aim):
                break
            if after > aim:
                high = on
            else:
                low = on
            on = 0.5 * (low + high) if trial < 40 else high
        current, speed = after, faster
        out[count, 0], out[count, 1], out[count, 2] = wound, fed, high / steps
        if high < steps:
            aim = min(limit, max(0.0, aim + 0.7 * (limit - wound)))
    return out
