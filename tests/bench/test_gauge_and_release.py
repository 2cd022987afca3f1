"""The gauge loop against statics, and what the blades do when the rod is let go."""

import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from featherbench.bench.believed import MOST_ROWS, BenchTest
from featherbench.bench.gauge import RECORD_INTERVAL, REST, _Course, _within_reach, run_gauge
from featherbench.bench.readings import VERDICTS
from featherbench.bench.release import ReleaseVerdict, release_points, run_release, verdict
from featherbench.bench.setup import build_setup
from featherbench.bench.statics import static_curves
from featherbench.plant import gauge_chain
from featherbench.scenario import ScenarioError, read
from featherbench.scenario.shipped import example

FREE = {
    "bearing": {"coefficient": 0.0, "starting_moment": "0 N*m"},
    "linkage": {
        "slider_friction": "0 N",
        "rod_friction": "0 N",
        "play": {"rod": "0 mm", "slider": "0 mm", "horn": "0 mm"},
    },
}


@pytest.fixture(scope="module")
def setup(setup_of):
    return setup_of()


@pytest.fixture(scope="module")
def curves(setup):
    return static_curves(setup)


@pytest.fixture(scope="module")
def loop(setup, curves):
    return run_gauge(setup, curves)


def test_the_loop_lies_on_statics_one_friction_up_one_down(loop, curves):
    assert loop.up == pytest.approx(curves.rod_force + curves.rod_friction, abs=0.02)
    assert loop.down == pytest.approx(curves.rod_force - curves.rod_friction, abs=0.02)


def test_the_loop_is_twice_the_friction_wide(loop, curves):
    edge = len(loop.pitch) // 10
    band = curves.rod_friction[edge : len(loop.pitch) - edge].mean()
    assert loop.width == pytest.approx(2.0 * band, rel=5e-3)


def test_push_and_pull_are_statics_and_friction(setup_of, curves):
    """Swept slowly: the force is steep at the ends, and the last row of the record lies just short of them."""
    slow = run_gauge(setup_of(gauge={"sweep": "30 s"}), curves)
    assert slow.push == pytest.approx((curves.rod_force + curves.rod_friction).max(), rel=1e-3)
    assert slow.pull == pytest.approx(-(curves.rod_force - curves.rod_friction).min(), rel=1e-3)


def test_breakout_is_the_friction_at_neutral(loop, curves):
    """Within what the blades already pull back when they count as moved, a twentieth of a degree."""
    neutral = np.argmin(np.abs(curves.pitch))
    slope = np.gradient(curves.rod_force, curves.pitch)[neutral]
    moved = np.deg2rad(0.05) * slope
    assert abs(loop.breakout) == pytest.approx(curves.rod_friction[neutral] + moved, abs=0.5 * moved)


def test_blades_that_move_by_themselves_break_out_against_their_own_pull(setup_of):
    """A weight off the chord plane drives the blades through the play before the gauge moves: breakout counts from
    where they then rest, and what pulls them the gauge's way friction holds back."""
    weight = {"group": "counterweight", "shape": "point", "mass": "0.5 g"}
    weight["at"] = {"radius": "24 mm", "chord": "-6 mm", "normal": "6 mm"}
    setup = setup_of(part={"weight": weight})
    curves, loop = static_curves(setup), run_gauge(setup)
    rest = loop.pitch_series[np.searchsorted(loop.time, REST)]
    assert rest > np.deg2rad(0.3)
    pull, friction = (np.interp(rest, curves.pitch, one) for one in (curves.rod_force, curves.rod_friction))
    assert pull < -1.5 * friction
    assert loop.breakout == pytest.approx(pull + friction, rel=0.05)
    assert loop.force[: np.searchsorted(loop.time, REST)].min() < 2.0 * loop.breakout  # more, before it moves


def test_static_friction_above_sliding_shows_in_the_breakout(setup_of, curves):
    """Pushed slowly, so that force rises little within a row of the record; the rod's own friction adds itself."""
    gauge = {"sweep": "30 s"}
    slow = {"gauge": gauge, "linkage": {"rod_friction": "0 N"}}
    plain, loop = run_gauge(setup_of(**slow)), run_gauge(setup_of(gauge=gauge))
    sticky = run_gauge(setup_of(bearing={"breakaway_ratio": 1.5}, **slow))
    sliding = curves.rod_friction[np.argmin(np.abs(curves.pitch))] - 0.2
    assert abs(sticky.breakout) == pytest.approx(1.5 * sliding, rel=0.02)
    assert loop.push - plain.push == pytest.approx(0.2, abs=0.01)


def test_without_friction_and_play_the_loop_closes_on_statics(setup_of):
    setup = setup_of(**FREE)
    curves = static_curves(setup)
    loop = run_gauge(setup, curves)
    assert loop.width < 2e-3 * loop.push
    assert loop.push == pytest.approx(curves.rod_force.max(), rel=2e-3)
    assert loop.pull == pytest.approx(-curves.rod_force.min(), rel=2e-3)
    assert np.all(curves.rod_friction == 0.0)


def test_the_gauge_shows_no_more_than_there_is(loop, setup_of):
    assert loop.shown_push <= loop.push + 1e-9
    assert loop.shown_pull <= loop.pull + 1e-9
    coarse = run_gauge(setup_of(gauge={"resolution": "0.5 N", "rate": "100 Hz"}))
    assert coarse.shown_push / 0.5 == pytest.approx(round(coarse.shown_push / 0.5))
    assert coarse.shown_push == pytest.approx(coarse.push, abs=0.26)


def test_a_slower_sweep_and_another_gauge_find_the_same_force(setup_of, loop):
    """The test is quasi-static: neither sweep time nor the gauge's own spring is in the result."""
    other = run_gauge(setup_of(gauge={"sweep": "8 s", "stiffness": "15 N/mm"}))
    assert other.push == pytest.approx(loop.push, rel=2e-3)
    assert other.pull == pytest.approx(loop.pull, rel=2e-3)
    assert other.width == pytest.approx(loop.width, rel=5e-3)


def test_play_does_not_change_the_force_loop(setup_of, loop):
    """The rod seats against the load: lost motion is in the gauge's place, not in force over pitch."""
    tight = run_gauge(setup_of(linkage={"play": {"rod": "0 mm", "slider": "0 mm", "horn": "0 mm"}}))
    assert tight.push == pytest.approx(loop.push, rel=2e-3)
    assert tight.width == pytest.approx(loop.width, rel=1e-2)


def from_statics(setup, pitch):
    """What the moment at `pitch`, against friction there, says the blades must do."""
    curves = static_curves(setup)
    moment = np.interp(pitch, curves.pitch, curves.moment)
    if abs(moment) < np.interp(pitch, curves.pitch, curves.friction):
        return "stays"
    return "returns" if moment * pitch < 0.0 else "runs out"


@pytest.mark.parametrize(
    ("mass", "expected"),
    [(None, "returns"), (0.3, "returns"), (0.52, "stays"), (1.0, "runs out")],
    ids=["plain", "half weighted", "near neutral", "over-balanced"],
)
def test_blades_let_go(setup_of, weight, mass, expected):
    setup = setup_of(part=weight(mass, 12.0)) if mass else setup_of()
    for pitch in release_points(setup):
        release = run_release(setup, pitch)
        assert release.verdict == expected == from_statics(setup, pitch)
        if expected == "stays":
            assert np.all(release.pitch == pitch)
        if expected == "returns":
            # a ringing blade rests where friction holds it, near zero
            assert abs(release.pitch[-1]) < np.deg2rad(6.0)


def test_release_points(setup_of):
    assert release_points(setup_of(bench={"release_from": "15 deg"})) == pytest.approx(
        (np.deg2rad(15), np.deg2rad(-15))
    )
    assert release_points(setup_of(bench={"release_from": "25 deg"}))[1] == pytest.approx(np.deg2rad(-24))
    high, low = release_points(setup_of())
    assert high == pytest.approx(0.6 * np.deg2rad(26))
    assert low == pytest.approx(-0.6 * np.deg2rad(24))


@given(st.floats(-0.5, 0.5), st.floats(-0.5, 0.5))
def test_a_verdict_does_not_depend_on_the_side(start, end):
    assert verdict(-start, -end) == verdict(start, end)
    assert verdict(start, start) == "stays"


def test_a_verdict_is_a_word_of_documents_and_tells_a_person():
    assert [f"{one}" for one in ReleaseVerdict] == ["returns", "stays", "runs out"] == list(VERDICTS)
    assert [one.told for one in ReleaseVerdict] == ["return to centre", "stay put", "run to full pitch"]
    assert json.dumps({"release": ReleaseVerdict.RUNS_OUT}) == '{"release": "runs out"}'


def test_blades_that_only_go_below_zero_are_broken_out_toward_their_high_end(setup_of):
    """Let go at -2 deg, the high end of their range, they hang in the play a little above; the gauge pushes there: the
    force at that pitch, near zero in proportion to it, and the friction, not less it.
    """
    setup = setup_of(rotor={"pitch_range": ["-24 deg", "-2 deg"]}, gauge={"sweep": "30 s"})
    curves, loop = static_curves(setup), run_gauge(setup)
    rest = loop.pitch_series[np.searchsorted(loop.time, REST)]
    assert np.deg2rad(-2.0) < rest < np.deg2rad(-1.0)
    pull = float(curves.rod_force[-1]) * rest / np.deg2rad(-2.0)
    assert pull < 0.0
    assert loop.breakout == pytest.approx(pull + curves.rod_friction[-1], abs=0.03)


def test_a_gauge_that_has_to_follow_for_too_long_is_refused_in_words(setup, curves):
    """4 s of sweep are 10.2 s as planned, a pause at each end aside; ten times that is no matter while its rows are a
    million or fewer, 2 ms apart.
    """
    test = BenchTest("gauge test", "gauge.sweep", setup.scenario)

    def follows(seconds):
        course = _Course(np.array([0.0, seconds]), np.zeros(2), 0.0, 0.0)
        _within_reach(test, setup, curves, course)

    longest = MOST_ROWS * RECORD_INTERVAL
    assert longest == pytest.approx(2000.0)
    for seconds in (10.0, 150.0, 0.999 * longest):
        follows(seconds)
    for seconds in (1.001 * longest, float("inf")):
        with pytest.raises(ScenarioError, match="friction included: it stretches gauge and linkage"):
            follows(seconds)


@pytest.mark.parametrize(
    "build", ["survey-3kg/weighted", "scout-1kg/plain", "scout-1kg/over", "tutorial-2kg/weighted"]
)
@pytest.mark.parametrize("start", [14.0, -9.0, 2.0])
def test_blades_at_rest_are_not_marched_on_and_end_where_they_would(build, start, monkeypatch):
    """Shaken ones and unshaken; the whole march beside it."""
    setup = build_setup(read(example(build)))
    marched = []
    rows_of = gauge_chain.integrate_gauge_rows

    def counted(*given):
        marched.append(len(given[-1]))
        return rows_of(*given)

    monkeypatch.setattr(gauge_chain, "integrate_gauge_rows", counted)
    short = run_release(setup, np.deg2rad(start))
    rows, marched[:] = sum(marched), []
    monkeypatch.setattr(gauge_chain, "WATCHED", 1e3)
    whole = run_release(setup, np.deg2rad(start))
    assert np.array_equal(short.time, whole.time)
    assert short.verdict is whole.verdict
    assert short.pitch == pytest.approx(whole.pitch, abs=1e-8)
    assert rows <= (0.4 if build.startswith("survey") else 1.0) * sum(marched)
