"""Holds of the invented build of the usual size, unweighted, biased, near neutral and over-balanced, still and shaken.

Common practice, no source: holding takes less than moving, weights bring it down, and a rotor that shakes lets it creep
further down; nobody says how far. Where a hold stands within its band is told by how the stick got there, so each row
books the band's edges and the hold after a hand's move; the shaken one must lie within the still one's band.
"""

import pytest

from featherbench.bench.holding import Way, held_after, hold_band
from featherbench.bench.setup import build_setup
from featherbench.scenario import read
from source import About
from table import check
from test_trade_facts import BUILDS

ABOUT = About(kind="trade", title="holding at full pitch, build of about 2 kg", quantity="current of a hold")
STILL = {"shaking.passing": "0 N*mm"}
SHAKEN = {"shaking.passing": "1 N*mm", "shaking.unlike": "0.4 N*mm", "shaking.slider": "0.06 N"}
WHY = "said: it creeps down as the rotor shakes; nobody says how far"


def _holds(name, changes):
    setup = build_setup(read(BUILDS / f"{name}.toml", changes))
    leg = held_after(setup, Way.HAND)[0]
    return leg, hold_band(setup, leg.final_pitch)


@pytest.mark.parametrize(
    ("case", "name"),
    [("unweighted", "plain"), ("bias", "bolt"), ("near neutral", "weighted"), ("over-balanced", "over")],
)
def test_shaking_lets_a_hold_down_within_its_band(case, name):
    still, band = _holds(name, STILL)
    shaken, _ = _holds(name, SHAKEN)
    middle = 0.5 * (band.winding_least + band.winding_most)
    way = 1.0 if abs(still.motor_hold) >= middle else -1.0
    # toward the middle of the band, from whichever edge it stood at
    assert way * (abs(shaken.motor_hold) - abs(still.motor_hold)) <= 1e-3 * band.winding_most
    room = 0.5 * (band.most - band.least)
    for said, leg in (("still", still), ("shaken", shaken)):
        name_of_row = f"hold {said} against the still band, {case}, A"
        middle_of_band = 0.5 * (band.most + band.least)
        check(ABOUT.title, "trade", name_of_row, middle_of_band, leg.hold, 1.02 * room, WHY, relative=False)
