"""The position loop's duty law as a relay and as a saturation, in loops whose limit cycles are known.

Saturation with 8/(s^3 + 2 s^2 + 2 s + 1): python-control's docstring prints amplitude 3.343844998 and 1.414229309 rad/s
by describing function (F); exact sqrt 2 (D). Ideal relay with 1/(s(s+1)(s+2)): sqrt 2 rad/s and 2/(3 pi) by describing
function (D); a time simulation differs by the harmonics that it leaves out, hence 5 per cent.
"""

import numpy as np
from numba import njit

from featherbench.servo.position_loop import PositionLoop, duty
from table import check


@njit
def _cycle(step, steps, coefficients, gain, loop):
    """(amplitude, rad/s) of y''' + a y'' + b y' + c y = gain duty(-y), over the last half of the run."""
    a, b, c = coefficients
    y, speed, bend = 0.1, 0.0, 0.0
    peak = 0.0
    first, last, crossings = 0.0, 0.0, 0
    for count in range(steps):
        bend += step * (gain * duty(-y, 0.0, loop) - a * bend - b * speed - c * y)
        speed += step * bend
        before = y
        y += step * speed
        if count > steps // 2:
            peak = max(peak, abs(y))
            if before < 0.0 <= y:
                last = (count - y / (y - before)) * step
                if crossings == 0:
                    first = last
                crossings += 1
    return peak, 2.0 * np.pi * (crossings - 1) / (last - first)


def test_saturation_cycle():
    loop = PositionLoop(0.0, 1.0, 0.0, 1.0, 1.0)
    peak, rate = _cycle(1e-3, 400_000, (2.0, 2.0, 1.0), 8.0, loop)
    source = "limit cycle of a saturation, 8/(s^3 + 2 s^2 + 2 s + 1)"
    why = "a simulation holds the harmonics that the describing function leaves out"
    check(source, "F", "amplitude", 3.343844998, peak, 0.05, why)
    check(source, "D", "rad/s", np.sqrt(2.0), rate, 0.05, why)


def test_relay_cycle():
    loop = PositionLoop(0.0, 1e-9, 0.0, 1.0, 1.0)
    peak, rate = _cycle(2e-4, 1_000_000, (3.0, 2.0, 0.0), 1.0, loop)
    source = "limit cycle of an ideal relay, 1/(s(s + 1)(s + 2))"
    why = "a simulation holds the harmonics that the describing function leaves out"
    check(source, "D", "amplitude", 2.0 / (3.0 * np.pi), peak, 0.05, why)
    check(source, "D", "rad/s", np.sqrt(2.0), rate, 0.05, why)
