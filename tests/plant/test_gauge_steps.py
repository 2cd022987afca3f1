"""A gauge's march keeps the sine of the pitch from step to step, and comes to what single steps come to."""

import numpy as np
import pytest

from featherbench.plant import gauge_chain
from featherbench.plant.gauge_chain import Gauge, gauge_chain_step, integrate_gauge, start_gauge

STEP, ROWS, EACH = 2e-5, 40, 25
GAUGE = Gauge(4e4, 5.0)
TIMES, PLACES = np.array([0.0, 2e-3, 1e-2, 2e-2]), np.array([0.0, 0.0, 1.5e-3, -0.5e-3])
SPIN = 850.0


def by_single_steps(state, plant):
    """Pitch (ROWS,), each step told its pitch anew, its gauge by numpy."""
    pitch = []
    for row in range(ROWS):
        for step in range(row * EACH, (row + 1) * EACH):
            place = float(np.interp(step * STEP, TIMES, PLACES))
            piece = int(np.searchsorted(TIMES, step * STEP, side="right")) - 1
            speed = np.diff(PLACES)[piece] / np.diff(TIMES)[piece] if piece < len(TIMES) - 1 else 0.0
            gauge_chain_step(STEP, state, place, speed, SPIN, plant, GAUGE)
        pitch.append(state[gauge_chain.PITCH])
    return np.array(pitch)


@pytest.mark.parametrize("off_square", ["0 deg", "7 deg"])
def test_a_march_is_its_single_steps(setup_of, off_square):
    plant = setup_of(linkage={"horn_neutral": off_square}, shaking={"passing": "0 N*mm"}).plant
    marched, single = start_gauge(0.05, SPIN, plant), start_gauge(0.05, SPIN, plant)
    record = np.zeros((ROWS, gauge_chain.COLUMNS))
    course = marched, TIMES, PLACES, SPIN, plant, GAUGE
    assert integrate_gauge(*course, STEP, EACH, 10.0, record) == ROWS
    assert np.ptp(record[:, gauge_chain.R_PITCH]) > 0.01
    # numpy's place and the march's are the same law, rounded otherwise
    assert record[:, gauge_chain.R_PITCH] == pytest.approx(by_single_steps(single, plant), abs=1e-9)
    assert marched == pytest.approx(single, rel=1e-6, abs=1e-9)
