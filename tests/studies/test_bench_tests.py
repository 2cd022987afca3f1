"""Findings asked for by name: to the last digit what a whole prediction gives, and no test run that none needs."""

import pytest

from featherbench.bench.setup import build_setup
from featherbench.scenario import read
from featherbench.scenario.shipped import example
from featherbench.studies import bench_tests, predict
from featherbench.studies.bench_tests import PREDICTED, READ_TOGETHER, needed_for
from featherbench.studies.run_findings import OF_AIR, OF_HOLDING


@pytest.mark.parametrize("name", ["survey-3kg/weighted", "tutorial-2kg/plain"])
def test_each_finding_alone_is_that_of_the_prediction(name):
    scenario = read(example(name))
    whole = predict(scenario).findings
    assert set(PREDICTED) >= set(whole)
    for names in (*(names for names, _ in READ_TOGETHER), OF_HOLDING, OF_AIR):
        found = needed_for(build_setup(scenario), names).findings(names)
        assert found == {one: whole[one] for one in names if one in whole}


def test_every_finding_of_a_prediction_can_be_asked_for_once():
    assert len(set(PREDICTED)) == len(PREDICTED)


@pytest.mark.parametrize(
    "names", [("mass",), ("hover_pitch", "thrust_high"), ("float_low", "lost_motion"), ("release",)]
)
def test_what_needs_no_gauge_and_no_servo_runs_none(names, scenario_of, monkeypatch):
    def none(*_, **__):
        raise AssertionError("not asked for")

    for test in ("run_gauge", "run_servo", "hold_findings"):
        monkeypatch.setattr(bench_tests, test, none)
    found = needed_for(build_setup(scenario_of()), names).findings(names)
    assert set(found) <= set(names)


def test_only_the_side_that_is_asked_for_is_released(setup_of, monkeypatch):
    places = []
    monkeypatch.setattr(
        bench_tests,
        "run_release",
        lambda setup, pitch, **how: places.append(pitch) or _release(setup, pitch, **how),
    )
    from featherbench.bench.release import run_release as _release

    needed_for(setup_of(), ["release_low"]).findings(["release_low"])
    assert len(places) == 1
    assert places[0] < 0.0


def test_only_what_is_wanted_is_read(monkeypatch):
    """What is read together is read where one of it is wanted, and nothing else is handed over."""
    read = []

    def reader(names):
        return names, lambda _: read.append(names) or dict.fromkeys(names, 1.0)

    together = tuple(reader(names) for names in (("a", "b"), ("c",), ("d",)))
    monkeypatch.setattr(bench_tests, "READ_TOGETHER", together)
    assert bench_tests.BenchTests.findings(None, ["b", "d"]) == {"b": 1.0, "d": 1.0}
    assert read == [("a", "b"), ("d",)]


SERVO_OFF = ("rod_force_push", "rod_force_breakout", "gauge_pull", "release", "release_low")


@pytest.mark.parametrize(
    ("changes", "taken"),
    [
        ({"servo": {"rotor_inertia": "0.7 g*mm^2"}}, True),
        ({"servo": {"output_friction": "3 N*mm"}, "supply": {"resistance": "0.3 ohm"}}, True),
        ({"linkage": {"stiffness": "18 N/mm"}}, False),
        ({"linkage": {"rod_friction": "0.5 N"}}, False),
        ({"bearing": {"coefficient": 0.004}}, False),
        ({"rotor": {"speed": "9100 rpm"}}, False),
        ({"air": {"density": "1.1 kg/m^3"}}, False),
        ({"gauge": {"stiffness": "15 N/mm"}}, False),
        ({"gauge": {"rate": "4 Hz"}}, False),
        ({"shaking": {"passing": "2 N*mm"}}, False),
        ({"bench": {"release_from": "5 deg"}}, False),
    ],
)
def test_gauge_and_release_tests_are_taken_over_only_where_they_would_be_the_same(changes, taken, setup_of):
    written = bench_tests.BenchTests(setup_of())
    own = bench_tests.BenchTests(setup_of(**changes))
    tests = bench_tests.BenchTests(own.setup)
    tests.take_over(written)
    assert (vars(tests).get("gauge") is written.gauge) is taken
    for side in ("release_high", "release_low"):
        assert (vars(tests).get(side) is getattr(written, side)) is taken
    assert tests.findings(SERVO_OFF) == own.findings(SERVO_OFF)


def test_tests_of_another_step_are_not_taken_over(setup_of):
    written, finer = (bench_tests.BenchTests(setup_of(), step_share=share) for share in (1.0, 0.5))
    finer.take_over(written)
    assert "gauge" not in vars(finer)
