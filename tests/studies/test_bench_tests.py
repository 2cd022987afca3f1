"""Findings asked for by name: to the last digit what a whole prediction gives, and no test run that none needs."""

import pytest

from featherbench.bench.setup import build_setup
from featherbench.scenario import read
from featherbench.scenario.shipped import example
from featherbench.studies import asked, predict
from featherbench.studies.asked import GROUPS, PREDICTED, BenchTests, findings_of


@pytest.mark.parametrize("name", ["survey-3kg/weighted", "tutorial-2kg/plain"])
def test_each_finding_alone_is_that_of_the_prediction(name):
    scenario = read(example(name))
    whole = predict(scenario).findings
    assert set(PREDICTED) >= set(whole)
    for names, _ in GROUPS:
        found = findings_of(BenchTests(build_setup(scenario)), names)
        assert found == {one: whole[one].value if one in whole else None for one in names}


def test_every_finding_of_a_prediction_can_be_asked_for_once():
    assert len(set(PREDICTED)) == len(PREDICTED)


@pytest.mark.parametrize(
    "names", [("mass",), ("hover_pitch", "thrust_high"), ("float_low", "lost_motion"), ("release",)]
)
def test_what_needs_no_gauge_and_no_servo_runs_none(names, scenario_of, monkeypatch):
    def none(*_, **__):
        raise AssertionError("not asked for")

    for test in ("run_gauge", "run_servo", "hold_findings"):
        monkeypatch.setattr(asked, test, none)
    found = findings_of(BenchTests(build_setup(scenario_of())), names)
    assert set(found) == set(names)


def test_only_the_side_that_is_asked_for_is_released(setup_of, monkeypatch):
    places = []
    monkeypatch.setattr(
        asked, "run_release", lambda setup, pitch: places.append(pitch) or _release(setup, pitch)
    )
    from featherbench.bench.release import run_release as _release

    findings_of(BenchTests(setup_of()), ["release_low"])
    assert len(places) == 1
    assert places[0] < 0.0
