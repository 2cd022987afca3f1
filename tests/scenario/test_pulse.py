"""A dead band typed in microseconds of the command pulse."""

import numpy as np
import pytest

from featherbench.scenario import ScenarioError


def test_a_dead_band_in_microseconds_is_so_much_travel(scenario_of):
    servo = scenario_of(servo={"dead_band": "4 us", "travel_per_us": "0.09 deg"}).servo
    assert np.rad2deg(servo.dead_band) == pytest.approx(0.36)
    assert scenario_of(servo={"dead_band": "4 \u00b5s", "travel_per_us": "0.09 deg"}).servo == servo


@pytest.mark.parametrize(
    "servo",
    [
        {"dead_band": "4 us"},
        {"dead_band": "4 us", "travel_per_us": "3 mm"},
        {"dead_band": "4 +/- 1 us", "travel_per_us": "0.09 deg"},
    ],
)
def test_what_is_missing_is_said(scenario_of, servo):
    with pytest.raises(ScenarioError, match=r"dead_band in us with .*travel_per_us"):
        scenario_of(servo=servo)


def test_an_angle_stays_an_angle(scenario_of):
    servo = scenario_of(servo={"dead_band": "0.3 deg", "travel_per_us": "0.09 deg"}).servo
    assert np.rad2deg(servo.dead_band) == pytest.approx(0.3)
