"""What the +/- of readings do to a swung inertia, by changing each reading a little."""

from math import sqrt

import pytest

from featherbench.assembly.pendulum_recipe import NEEDED, swung_inertia
from featherbench.quantities import Measured

READINGS = {
    "bifilar": {
        "mass": Measured(0.045, 1e-4),
        "period": Measured(1.1, 4e-3),
        "cord_length": Measured(0.6, 1e-3),
        "spacing": Measured(0.05, 2e-4),
    },
    "trifilar": {
        "mass": Measured(0.08, 2e-4),
        "period": Measured(1.3, 5e-3),
        "cord_length": Measured(0.7, 2e-3),
        "spacing": Measured(0.12, 3e-4),
    },
    "compound": {
        "mass": Measured(0.045, 1e-4),
        "period": Measured(0.62, 2e-3),
        "pivot_distance": Measured(0.05, 3e-4),
    },
}


@pytest.mark.parametrize("method", list(NEEDED))
def test_uncertainty_is_what_changing_each_reading_does(method):
    """JCGM 100:2008, 5.1.2: u^2 = sum (dI/dx u(x))^2, u(x) = half-width / sqrt 3; here by differences."""
    readings = READINGS[method]
    found = swung_inertia(method, readings)
    parts = {}
    for name, reading in readings.items():
        small = 1e-4 * reading.value
        ends = [
            swung_inertia(method, {**readings, name: Measured(reading.value + side * small, 0.0)}).inertia
            for side in (1.0, -1.0)
        ]
        parts[name] = (ends[0] - ends[1]) / (2.0 * small) * reading.tolerance / sqrt(3.0)
    standard = sqrt(sum(part**2 for part in parts.values()))
    assert found.standard == pytest.approx(standard, rel=1e-4)
    assert set(found.shares) == set(NEEDED[method])
    for name, part in parts.items():
        assert found.shares[name] == pytest.approx((part / standard) ** 2, rel=1e-3, abs=1e-9)
    assert sum(found.shares.values()) == pytest.approx(1.0)


@pytest.mark.parametrize("method", list(NEEDED))
def test_readings_without_a_tolerance_leave_nothing_to_share(method):
    exact = {name: Measured(reading.value, 0.0) for name, reading in READINGS[method].items()}
    found = swung_inertia(method, exact)
    assert found.standard == 0.0
    assert set(found.shares.values()) == {0.0}
    assert found.inertia == swung_inertia(method, READINGS[method]).inertia
