"""A march is done in pieces, each short enough that Ctrl-C between two of them is seen at once.

Whatever the next piece must know beside the state is kept in a clock, so that the pieces give the same figures, to the
last digit, as one march would.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from featherbench.kernel import kernel
from featherbench.plant.shaking import Turning

MOST_STEPS = 500_000
"""Steps of a piece: about a tenth of a second."""
COUNT, TO_FRAME, TO_DRIVE, PEAK, SINE, COSINE, PASSING_SINE, PASSING_COSINE, AT_REST, EVERY = range(10)
"""Named indices of a clock: steps taken, steps to the next command and drive update, A; where the rotor stands; steps
of them that were found at rest; not 0: nothing counts as at rest, and every step is marched.
"""


def start_clock() -> NDArray[np.float64]:
    """The clock (10,) of a march that begins."""
    clock = np.zeros(10)
    clock[COSINE] = clock[PASSING_COSINE] = 1.0
    return clock


def pieces(rows: int, record_steps: int) -> Iterator[slice]:
    """Slices of a record of so many rows, each row `record_steps` steps."""
    each = max(1, MOST_STEPS // record_steps)
    for first in range(0, rows, each):
        yield slice(first, min(rows, first + each))


@kernel
def standing(clock: NDArray[np.float64]) -> Turning:
    """Where the rotor stands in its turn."""
    return Turning(clock[SINE], clock[COSINE], clock[PASSING_SINE], clock[PASSING_COSINE])


@kernel
def stand(clock: NDArray[np.float64], at: Turning) -> None:
    """Keep where the rotor stands in its turn."""
    clock[SINE] = at.sine
    clock[COSINE] = at.cosine
    clock[PASSING_SINE] = at.passing_sine
    clock[PASSING_COSINE] = at.passing_cosine
