"""How much later a section stalls on a turning blade than in a wind tunnel.

On a blade that turns, the boundary layer is thrown outward and the Coriolis force on it acts like a pressure that falls
along the chord, so it separates later. J. J. Corrigan and J. J. Schillings, Empirical Model for Stall Delay Due to
Rotation (American Helicopter Society Aeromechanics Specialists Conference, 1994), MEM for the paper; the equations READ
in a public propeller code that names it, and as remembered:

    delta = alpha_stall ((K c/r / 0.136)^n - 1),   c/r = 0.1517 / K^1.084,

the angles from zero lift, n between 0.8 and 1.6, 1 where nothing better is known. The lift goes on along its straight
line up to the later stall. Other published laws (Snel; Du and Selig) scale the lift that is lost instead; for chords of
0.2 to 0.5 of the radius all give one to three degrees. None was made for Reynolds numbers of 1e5: take half of the
delay as its doubt.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

EXPONENT = 1.0


def stall_delay_factor(chord_over_radius: ArrayLike, exponent: float = EXPONENT) -> NDArray[np.float64]:
    """Angle of stall on the turning blade over that in a wind tunnel, from zero lift, (n,); 1 where the law says less.

    chord_over_radius: (n,) > 0. exponent: n of the law.
    """
    solidity = np.asarray(chord_over_radius, dtype=float)
    gradient = (0.1517 / solidity) ** (1.0 / 1.084)
    factor: NDArray[np.float64] = np.maximum((gradient * solidity / 0.136) ** exponent, 1.0)
    return factor
