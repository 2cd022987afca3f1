"""Builds flown beside one another: the same gusts, one gyro, and the flight that `wag` tells of."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from featherbench.aircraft.flight import flight_setup, hover_flight
from featherbench.aircraft.gyro_setting import gyro_setting
from featherbench.bench.setup import build_setup
from featherbench.hovering.known_digits import to_known_digits
from featherbench.hovering.play_verdict import KICK
from featherbench.hovering.side_by_side import SECONDS, flown_beside
from featherbench.hovering.wag import wag
from featherbench.hovering.wag_readings import peak_to_peak, swing_range
from featherbench.plant.flight import F_HEADING
from featherbench.scenario import read

SURVEY = Path(__file__).parents[2] / "scenarios" / "survey-3kg"
NAMES = ("before", "after")


def test_the_first_build_flies_as_wag_flies_it_and_the_second_in_the_same_gusts() -> None:
    plain, worn = read(SURVEY / "plain.toml"), read(SURVEY / "worn.toml")
    found = flown_beside([plain, worn], NAMES)
    own = wag(plain, draws=1)
    assert np.array_equal(found.flights[0].record, own.flight.record)
    assert peak_to_peak(found.flights[1]) > 1.2 * peak_to_peak(found.flights[0])  # worn and near neutral
    low, high = swing_range(found.flights[0])
    assert low <= own.findings["wag_heading"].value <= high
    twice = flown_beside([plain, plain], NAMES)
    assert np.array_equal(twice.flights[0].record, twice.flights[1].record)
    other = flown_beside([plain, plain], NAMES, seed=1)
    assert not np.allclose(other.flights[0].record[:, F_HEADING], twice.flights[0].record[:, F_HEADING])


def test_a_gyro_is_set_once_and_weights_do_not_set_it_anew() -> None:
    plain, weighted = read(SURVEY / "plain.toml"), read(SURVEY / "weighted.toml")
    found = flown_beside([plain, weighted], NAMES)
    assert "gyro set once, for before without weights and play" in found.said
    first, second = (build_setup(to_known_digits(one)) for one in (plain, weighted))
    for setup, same in ((first, True), (second, False)):
        ready = flight_setup(second, gyro_setting(setup).gains)
        record = hover_flight(ready, SECONDS, seed=0, heading=KICK).record
        assert np.array_equal(found.flights[1].record, record) == same


def test_a_gyro_that_is_the_change_is_not_taken_from_the_first_build() -> None:
    gains = {"aircraft.gyro.rate_gain": "0.2 s", "aircraft.gyro.hold_gain": "0.6"}
    plain = read(SURVEY / "plain.toml", gains)
    soft = read(SURVEY / "plain.toml", gains | {"aircraft.gyro.rate_gain": "0.05 s"})
    found = flown_beside([plain, soft], NAMES)
    assert "each under its own gyro" in found.said
    alone = flown_beside([soft, soft], NAMES)
    assert "gyro gains of the file" in alone.said
    assert np.array_equal(found.flights[1].record, alone.flights[0].record)


@pytest.mark.parametrize("at", [0, 1])
def test_what_cannot_hover_is_said_and_nothing_is_flown(at: int) -> None:
    builds = [read(SURVEY / "plain.toml"), read(SURVEY / "plain.toml")]
    builds[at] = read(SURVEY / "plain.toml", {"aircraft.main_torque": "24 N*m"})
    found = flown_beside(builds, NAMES)
    assert found.flights == ()
    assert found.said.startswith("Hover is not shown: ")
    assert "Traceback" not in found.said
