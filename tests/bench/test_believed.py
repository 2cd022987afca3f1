"""Tests that are too large are refused before they begin, those that cannot be believed after: with the figure."""

import numpy as np
import pytest

from featherbench.bench.believed import MOST_AUDIT, BenchTest
from featherbench.bench.gauge import run_gauge
from featherbench.bench.release import run_release
from featherbench.bench.servo_run import run_servo
from featherbench.scenario import ScenarioError, read
from featherbench.studies import predict

PLAIN = "scenarios/survey-3kg/plain.toml"

TOO_LARGE = {
    "a bearing that nothing turns": (
        {"bearing.starting_moment": "1000 N*m"},
        "stretches gauge and linkage",
        "",
    ),
    "a sweep of hours": ({"gauge.sweep": "9000 s"}, "1,000,000 is the most", "gauge.sweep"),
    "a hold of hours": (
        {"bench.programme": [{"go": 1.0, "hold": "5000 s"}]},
        "rows to keep",
        "bench.programme",
    ),
    "a linkage too stiff to follow": (
        {
            "linkage.stiffness": "3e6 N/mm",  # stiffer, and the gauge test before it takes as much longer
            "bench.programme": [{"go": 1.0, "hold": "800 s"}],
            "gauge.sweep": "0.5 s",  # or the gauge test before it takes a minute
        },
        "asks for steps of",
        "",
    ),
}


@pytest.mark.parametrize("name", TOO_LARGE)
def test_a_test_too_large_is_refused_with_its_figure_before_it_begins(name):
    settings, figure, key = TOO_LARGE[name]
    with pytest.raises(ScenarioError) as refused:
        predict(read(PLAIN, settings))
    (problem,) = refused.value.problems
    assert figure in problem.given
    assert problem.key == key
    assert problem.expected
    assert problem.file or key


@pytest.fixture
def bench_test(scenario_of):
    return BenchTest("gauge test", "gauge.sweep", scenario_of())


TIME = np.linspace(0.5, 1.5, 11)


@pytest.mark.parametrize("audit", [0.0, MOST_AUDIT])
def test_what_adds_up_to_one_per_cent_is_believed(bench_test, audit):
    bench_test.believed(audit, np.column_stack([TIME, np.ones(11)]))


@pytest.mark.parametrize(
    ("audit", "said"), [(0.0101, "1.01 %"), (0.74, "74.00 %"), (np.nan, "nan %"), (np.inf, "inf %")]
)
def test_energies_that_do_not_add_up_are_refused_with_the_figure(bench_test, audit, said):
    with pytest.raises(ScenarioError, match="do not add up") as refused:
        bench_test.believed(audit, np.column_stack([TIME, np.ones(11)]))
    assert said in str(refused.value)


@pytest.mark.parametrize("odd", [np.nan, np.inf, -np.inf])
def test_what_is_not_finite_is_refused_with_the_time_that_it_held(bench_test, odd):
    series = np.ones(11)
    series[4:] = odd
    with pytest.raises(ScenarioError, match=r"within 0\.3 s"):
        bench_test.believed(0.0, np.column_stack([TIME, np.ones(11), series]))
    with pytest.raises(ScenarioError, match="within some steps"):
        bench_test.believed(0.0, np.column_stack([np.full(11, np.nan), series]))


@pytest.mark.parametrize(("furthest", "fine"), [(0.9, True), (-0.7, True), (1.2, False), (-1.1, False)])
def test_blades_beyond_what_the_laws_cover_are_refused(bench_test, furthest, fine):
    """The range is -24 to 26 deg, the margin half a radian."""
    pitch = np.array([0.1, furthest, 0.2])
    if fine:
        bench_test.within_laws(pitch, 0.5)
        return
    with pytest.raises(ScenarioError, match=f"run to {np.rad2deg(furthest):.0f} deg"):
        bench_test.within_laws(pitch, 0.5)


def test_the_bounds_of_size_by_hand(bench_test):
    """A row each 2 ms: 2000 s are a million rows. 1000 rad/s asks for 700 us at most, so for 126 us: 16 a row."""
    assert bench_test.steps(2000.0, 2e-3, 1000.0) == pytest.approx((2e-3 / 16, 16))
    with pytest.raises(ScenarioError, match="at most 2,000 s"):
        bench_test.steps(2000.1, 2e-3, 1000.0)
    for mode in (np.inf, np.nan, 0.0):
        with pytest.raises(ScenarioError, match="stiffest part"):
            bench_test.steps(1.0, 2e-3, mode)
    # 0.7 rad a step: 1e9 steps in 7 s at 1e8 rad/s, not quite at a thousandth less
    bench_test.steps(7.0, 2e-3, 0.999e8)
    with pytest.raises(ScenarioError, match=r"7\.05 s"):
        bench_test.steps(7.05, 2e-3, 1e8)


@pytest.mark.parametrize("run", [run_gauge, run_servo, lambda setup: run_release(setup, 0.2)])
def test_no_test_gives_figures_of_what_blew_up(setup_of, monkeypatch, run):
    """Whatever makes the stepper lose a build."""
    setup = setup_of()

    def lost(*arguments):
        arguments[-1][:] = 1.0
        arguments[-1][5:] = np.nan
        return len(arguments[-1])

    for march in ("gauge", "free"):
        monkeypatch.setattr(f"featherbench.plant.gauge_chain.integrate_{march}", lost)
    monkeypatch.setattr("featherbench.bench.servo_run.integrate", lost)
    with pytest.raises(ScenarioError, match="beyond all numbers"):
        run(setup)


@pytest.mark.parametrize("run", [run_gauge, run_servo])
def test_no_test_gives_figures_whose_energies_do_not_add_up(setup_of, monkeypatch, run):
    setup = setup_of()
    for room in ("gauge", "servo_run"):
        monkeypatch.setattr(f"featherbench.bench.{room}.audit_error", lambda *_: 0.8)
    with pytest.raises(ScenarioError, match=r"80.00 %"):
        run(setup)
