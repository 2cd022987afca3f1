"""Describing-function estimate of the tail's limit cycle from play: an instant cross-check of the simulation.

Play with friction in the gap (the follower rests where it is) has, for an input of amplitude A and half gap h,

    N = (1/2)[1 + f(1 - 2h/A)] - (j/pi)[4h/A - (2h/A)^2],   f(x) = (2/pi)[asin x + x sqrt(1 - x^2)]

(F: python-control, control/descfcn.py, after Gelb & Vander Velde 1968, entry 48). A cycle stands where
1 + N(A) L(jw) = 0.
"""

from __future__ import annotations

from collections.abc import Callable
from math import pi

import numpy as np

Response = Callable[[complex], complex]


def play_gain(ratio: float) -> complex:
    """N of friction-held play; ratio: half gap over input amplitude, 0 < ratio < 1."""
    share = 2.0 * ratio
    x = 1.0 - share
    f = (2.0 / pi) * (np.arcsin(x) + x * np.sqrt(max(0.0, 1.0 - x * x)))
    return complex(0.5 * (1.0 + f), -(2.0 * share - share * share) / pi)


def play_cycle(response: Response, low: float = 0.3, high: float = 300.0) -> tuple[float, float] | None:
    """(amplitude over half gap, rad/s) of the largest cycle of a loop closed through play; None when none stands.

    response: the open loop L(s) from the play's output back to its input, negative feedback; searched for cycles
    between low and high, rad/s.
    """
    grid = np.geomspace(low, high, 400)
    loop = np.array([response(1j * w) for w in grid])
    phase = np.unwrap(np.angle(loop))
    phase -= 2.0 * pi * np.round((phase[-1] + 2.0 * pi) / (2.0 * pi)) * (phase[-1] > 0.0)
    log_gain = np.log(np.abs(loop))

    def excess(ratio: float) -> tuple[float, float] | None:
        """(log of |N L| where the phase turns over, that frequency)."""
        gain = play_gain(ratio)
        turned = phase + np.angle(gain) + pi
        crossing = np.flatnonzero((turned[:-1] > 0.0) & (turned[1:] <= 0.0))
        if not crossing.size:
            return None
        i = int(crossing[0])
        part = turned[i] / (turned[i] - turned[i + 1])
        log_w = np.log(grid[i]) + part * np.log(grid[i + 1] / grid[i])
        return log_gain[i] + part * (log_gain[i + 1] - log_gain[i]) + np.log(abs(gain)), float(np.exp(log_w))

    ratios = np.linspace(0.02, 0.98, 97)
    from scipy.optimize import brentq

    found = [excess(float(ratio)) for ratio in ratios]
    for i in range(len(ratios) - 1):
        one, two = found[i], found[i + 1]
        # from large amplitudes down: the gain falls with the ratio where a cycle draws its neighbours in
        if one is None or two is None or not (one[0] <= 0.0 < two[0] or one[0] > 0.0 >= two[0]):
            continue

        def off(ratio: float) -> float:
            value = excess(ratio)
            return value[0] if value else float("nan")

        ratio = float(brentq(off, ratios[i], ratios[i + 1]))
        value = excess(ratio)
        if value is not None:
            return 1.0 / ratio, value[1]
    return None
