"""What shakes the linkage, as the stepper takes it: moments over the square of the speed, so often a turn."""

from types import SimpleNamespace

import pytest

from featherbench.bench.setup import _shaking
from featherbench.scenario.doubt import AS_WRITTEN


@pytest.mark.parametrize(
    ("passing", "unlike", "slider", "expected"),
    [
        (2e-3, 5e-3, 0.0, (6e-9, 5e-9, 3000.0)),  # three blades of 2 mN m, thrice a turn
        (0.0, 5e-3, 0.4, (0.0, 9e-9, 1000.0)),  # 5 mN m, and 0.4 N at 10 mm a radian, once a turn
        (0.0, 0.0, 0.0, (0.0, 0.0, 0.0)),
    ],
)
def test_moments_over_the_speed_squared_and_how_often(passing, unlike, slider, expected):
    """At 1,000 rad/s, so that 1 mN m is 1e-9 kg m^2."""
    scenario = SimpleNamespace(
        rotor=SimpleNamespace(speed=1000.0, blades=3),
        shaking=SimpleNamespace(passing=passing, unlike=unlike, slider=slider),
        departure=AS_WRITTEN,
    )
    assert tuple(_shaking(scenario, -0.01)) == pytest.approx(expected)
    scenario.departure = AS_WRITTEN._replace(shaking=1.5)
    assert tuple(_shaking(scenario, -0.01))[:2] == pytest.approx([1.5 * one for one in expected[:2]])
