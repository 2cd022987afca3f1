"""Where a servo may hunt, or may not: what one run of the programme cannot tell."""

from types import SimpleNamespace

import numpy as np
import pytest

import featherbench as fb
from featherbench.bench.landings import Landings, counted, landings, together
from featherbench.bench.legs import Ending
from featherbench.bench.setup import build_setup

LIFTER = "scenarios/lifter-6kg/weighted.toml"
SPEEDS = (6600, 6800, 7000, 7200, 7400)


def leg(target, ending):
    return SimpleNamespace(target=target, ending=ending)


def test_moves_are_counted_by_where_they_went():
    rest, cycle = leg(0.1, Ending.HELD), leg(0.1, Ending.HUNTS)
    short = leg(-0.2, Ending.STALLED)
    assert counted([rest, cycle, short, cycle]) == (Landings(0.1, 3, 2, cycle), Landings(-0.2, 1, 0, None))
    assert counted([]) == ()


def test_counts_of_one_place_add_up_and_keep_the_first_example():
    one, two = object(), object()
    first = (Landings(0.1, 1, 0, None), Landings(0.2, 2, 1, one))
    more = (Landings(0.2, 5, 5, two), Landings(0.3, 4, 0, None), Landings(0.1, 6, 2, two))
    assert together(first, more) == (
        Landings(0.1, 7, 2, two),
        Landings(0.2, 7, 6, one),
        Landings(0.3, 4, 0, None),
    )


@pytest.fixture(scope="module")
def by_speed():
    """The lifter with a narrower proportional band, at which it has a cycle beside rest."""
    return [
        build_setup(fb.read(LIFTER, {"rotor.speed": f"{speed} rpm", "servo.proportional_band": "1.7 deg"}))
        for speed in SPEEDS
    ]


def test_a_cycle_beside_rest_is_met_by_some_moves_at_every_speed_and_is_the_same_cycle(by_speed):
    """Which of the two a move ends in is chance: so it is counted, and no speed is told from the next by one run."""
    found = [landings(setup) for setup in by_speed]
    at_zero = [next(place for place in places if place.target == 0.0) for places in found]
    assert all(0 < place.hunting < place.moves for place in at_zero)
    swings = [place.example.hunting for place in at_zero]
    assert np.ptp(swings) < 0.15 * np.mean(swings)
    assert all(place.example.ending is Ending.HUNTS for place in at_zero)


def test_each_place_of_the_programme_is_gone_to_from_both_sides_and_not_from_itself(by_speed):
    """Of sixteen starts, an eighth of the range apart, two are too near: an end and what lies an eighth before it; at
    zero the first on either side.
    """
    low, high = by_speed[0].scenario.rotor.pitch_range
    places = landings(by_speed[0])
    assert [(place.target, place.moves) for place in places] == [(high, 14), (low, 14), (0.0, 14)]


def test_no_shipped_build_hunts_from_anywhere():
    for path in ("scout-1kg/weighted", "survey-3kg/plain", "lifter-6kg/weighted", "tutorial-2kg/finished"):
        places = landings(build_setup(fb.read(f"scenarios/{path}.toml")))
        assert all(place.hunting == 0 for place in places), path
