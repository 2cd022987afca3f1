"""Stroke lost between servo and blades: play and give each by hand, and a build whose blades nobody steers."""

import pytest

from featherbench.checks.check import Verdict
from featherbench.checks.stroke import NAME, stroke_check
from featherbench.linkage.geometry import pitch_rod_travel
from featherbench.studies import predict


def _stroke(run):
    low, high = run.scenario.rotor.pitch_range
    linkage = run.setup.plant.linkage
    return pitch_rod_travel(high, linkage)[0] - pitch_rod_travel(low, linkage)[0]


@pytest.fixture(scope="module")
def run(scenario_of):
    return predict(scenario_of())


def test_play_and_give_add_up(run):
    """Play at the rod peak to peak, and the load's whole range over the stiffness, against a fifth of the stroke."""
    check = stroke_check(run)
    load = run.statics.rod_force.max() - run.statics.rod_force.min()
    assert check.name == NAME
    assert check.demand == pytest.approx(run.setup.linkage.play + load / run.setup.linkage.stiffness)
    assert check.allowable == pytest.approx(0.2 * abs(_stroke(run)))
    assert check.verdict is Verdict.HOLDS


def test_play_as_long_as_the_stroke_fails(run, scenario_of):
    """Rod play of a quarter of the stroke is refused, and the place that decides is the play."""
    play = {"rod": f"{1e3 * 0.25 * abs(_stroke(run)):.2f} mm"}
    check = stroke_check(predict(scenario_of(linkage={"play": play})))
    assert check.verdict is Verdict.FAILS
    assert check.section.startswith("play")


def test_a_linkage_of_rubber_fails(scenario_of):
    check = stroke_check(predict(scenario_of(linkage={"stiffness": "1 N/mm"})))
    assert check.verdict is Verdict.FAILS
    assert check.section.startswith("give")
