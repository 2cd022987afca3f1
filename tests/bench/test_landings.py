"""Where a servo may hunt, or may not: what one run of the programme cannot tell."""

from types import SimpleNamespace

import numpy as np
import pytest

import featherbench as fb
from featherbench.bench.landings import Landings, counted, landings, together
from featherbench.bench.legs import Ending
from featherbench.bench.servo_run import run_servo
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
    """Setups at speeds of which the programme by itself ends in a cycle at some, at others not."""
    return [build_setup(fb.read(LIFTER, {"rotor.speed": f"{speed} rpm"})) for speed in SPEEDS]


def test_a_cycle_that_one_programme_meets_by_chance_is_found_at_the_speeds_between(by_speed):
    """It is there at all of them, as large everywhere: whether a move ends in it is chance, not the speed."""
    single = [any(one.ending is Ending.HUNTS for one in run_servo(setup).legs) for setup in by_speed]
    found = [landings(setup) for setup in by_speed]
    met = [any(place.hunting for place in places) for places in found]
    assert sum(met) > sum(single)
    assert sum(met) >= 4
    swings = [place.example.hunting for places in found for place in places if place.example]
    assert np.ptp(swings) < 0.05 * np.mean(swings)
    assert all(place.hunting <= place.moves for places in found for place in places)


def test_each_place_of_the_programme_is_gone_to_from_both_sides_and_not_from_itself(by_speed):
    """High end, low end, zero: five of six starts are elsewhere, of zero all six."""
    low, high = by_speed[0].scenario.rotor.pitch_range
    places = landings(by_speed[0])
    assert [(place.target, place.moves) for place in places] == [(high, 5), (low, 5), (0.0, 6)]


def test_no_shipped_build_hunts_from_anywhere():
    for path in ("scout-1kg/weighted", "survey-3kg/plain", "lifter-6kg/weighted", "tutorial-2kg/finished"):
        places = landings(build_setup(fb.read(f"scenarios/{path}.toml")))
        assert all(place.hunting == 0 for place in places), path
