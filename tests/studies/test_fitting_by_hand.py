"""Steps of a fit one by one: lags, what is run, what is freed, misfits' points, profiles, courses of speed, by hand."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.bench.gauge import run_gauge
from featherbench.bench.logs import Log
from featherbench.bench.readings import BenchData, Reading
from featherbench.bench.setup import build_setup
from featherbench.fitting import lags, next_measurement
from featherbench.fitting.as_run import SPEED_KNOTS, _on_course
from featherbench.fitting.calibrate import calibrate, usual_free
from featherbench.fitting.data import channels
from featherbench.fitting.fit import CRITICAL, fit
from featherbench.fitting.joint_parameters import at_model
from featherbench.fitting.lags import FINE_STEP, LAG_STEP, lag_of
from featherbench.fitting.match import Matched, _verdict
from featherbench.fitting.misfit import Bench, Point, _of_log, _shapes, misfit_in_words
from featherbench.fitting.model import _out_of_step, bench_model
from featherbench.fitting.readings_file import _expected
from featherbench.fitting.simulated import simulate
from featherbench.fitting.unknowns import FREE_CURRENT, FREE_FORCE, Unknown
from featherbench.rotor.build import Air

QUIET = {"gauge": {"uncertainty": "0.1 N", "sweep": "1.5 s", "rate": "200 Hz"}}


def gauge_log(time, force, **more):
    return Log("own.csv", "", "gauge", time, {"rod_force": force, **more}, (), ())


def reading(name, value, kind="force", **more):
    return Reading(name, kind, value, 0.1, 0.0, 1, 1, **more)


def only(**readings):
    return BenchData(readings, (), {}, ())


# -- lags ------------------------------------------------------------------------------------------------


@pytest.fixture
def lag_by(monkeypatch):
    """The lag that is found when likeness is this function of the lag."""
    time = np.arange(0.0, 1.0, 0.01)
    there = SimpleNamespace(
        gauge=SimpleNamespace(time=np.arange(0.0, 3.0, 0.01), force=np.zeros(300), pitch_series=None)
    )

    def found(likeness):
        monkeypatch.setattr(lags, "score", lambda shifted, *_: likeness(float(shifted[0])))
        return lag_of(gauge_log(time, np.zeros(100)), there)

    return found


@pytest.mark.parametrize("top", [0.5003, 0.4998, 1.2, -0.3017])
def test_between_samples_a_parabola_has_its_own_top(lag_by, top):
    assert lag_by(lambda lag: 1.0 - (lag - top) ** 2) == pytest.approx(top, abs=1e-9)


def test_a_top_beside_the_first_of_the_fine_lags_is_one(lag_by):
    """A spike on a coarse lag, and a higher peak 4.6 ms before it, of which the fine lags see one sample and half."""
    spike = -0.594 + 100 * LAG_STEP

    def likeness(lag):
        return 1.9 if abs(lag - spike) < 1e-6 else 2.0 - ((lag - spike + 0.0046) / FINE_STEP) ** 2

    assert lag_by(likeness) == pytest.approx(spike - 0.0046, abs=1e-9)


@pytest.mark.parametrize("way", [1.0, -1.0])
def test_where_likeness_still_rises_at_the_end_of_what_is_tried_the_end_is_taken(lag_by, way):
    """Six tenths of the log beyond where it begins or ends with the course, and ten fine steps further."""
    found = lag_by(lambda lag: way * lag)
    end = 2.99 - 0.99 + 0.594 if way > 0.0 else -0.594
    assert found == pytest.approx(end + way * 10 * FINE_STEP, abs=1.01 * LAG_STEP)


def test_a_log_far_longer_than_its_course_is_tried_about_its_beginning(monkeypatch):
    """Three times as long as a course of 1 s: six tenths of the course to either side, then the fine steps."""
    monkeypatch.setattr(lags, "score", lambda shifted, *_: float(shifted[0]))
    clock = np.linspace(0.0, 1.0, 101)
    there = SimpleNamespace(gauge=SimpleNamespace(time=clock, force=np.zeros(101), pitch_series=None))
    found = lag_of(gauge_log(np.arange(0.0, 3.0, 0.01), np.zeros(300)), there)
    assert found == pytest.approx(0.6 - LAG_STEP + 10 * FINE_STEP, abs=1e-9)


def test_a_log_is_set_against_its_course_where_its_lag_puts_it():
    """A rising tone logged from 0.7 s on: at that lag it follows, elsewhere it does not, and it is said so."""
    clock = np.arange(0.0, 4.0, 0.01)
    tone = np.sin(2.0 * np.pi * clock * (1.0 + clock))
    log = gauge_log(np.arange(0.0, 2.0, 0.01), np.interp(np.arange(0.7, 2.7, 0.01), clock, tone)[:200])
    there = SimpleNamespace(gauge=SimpleNamespace(time=clock, force=tone, pitch_series=None))
    at = lambda lag: _out_of_step(SimpleNamespace(data=SimpleNamespace(logs=(log,)), lags=(lag,)), there)  # noqa: E731
    assert at(0.7) == []
    assert [line.split(" hardly")[0] for line in at(0.0)] == ["own.csv"]


# -- what is run, and what is known of it ----------------------------------------------------------------


def test_only_what_is_asked_for_is_run(scenario_of):
    """Blades are let go where a release is asked for and its verdict is; a current's doubt is that of its own leg."""
    rig = scenario_of(bench={"programme": [{"go": 1.0, "hold": "0.3 s"}]})
    gauge = simulate(rig, frozenset({"gauge"}), None)
    assert gauge.servo is None
    assert not {"release", "rod_force_push"} & set(gauge.spots)
    forces = simulate(rig, frozenset({"gauge", "release"}), None, verdicts=False)
    assert "rod_force_push" in forces.spots
    assert "release" not in forces.spots
    assert simulate(rig, frozenset({"gauge", "release"}), None).spots["release"] == "returns"
    served = simulate(rig, frozenset({"servo"}), None)
    (leg,) = served.servo.legs
    assert served.sampling == {"meter_peak_high": leg.shown_doubt}


@pytest.mark.parametrize(
    ("doubted", "smooth", "solved_often"),
    [({}, True, False), ({"blade": {"axis_at": "0.39 +/- 0.01"}}, True, True),
     ({"blade": {"axis_at": "0.39 +/- 0.01"}}, False, False)],
)  # fmt: skip
def test_air_is_laid_out_for_many_builds_only_where_it_is_asked_of_many(
    scenario_of, doubted, smooth, solved_often
):
    model, _ = bench_model(scenario_of(**doubted), only(gauge_push=reading("gauge_push", 5.0)), smooth=smooth)
    assert isinstance(model.air, Air) is not solved_often


def test_what_is_freed_goes_by_what_was_logged_too():
    log = gauge_log(np.arange(3.0), np.zeros(3))
    amp = {"meter_hold": reading("meter_hold", 0.3, "current")}
    assert usual_free(BenchData({}, (log,), {}, ())) == FREE_FORCE
    assert usual_free(BenchData(amp, (log,), {}, ())) == (*FREE_FORCE, *FREE_CURRENT)
    own = Log("i.csv", "", "servo", np.arange(3.0), {"supply_current": np.zeros(3)}, (), ())
    assert usual_free(BenchData({}, (own,), {}, ())) == FREE_CURRENT
    assert usual_free(BenchData({"gauge_push": reading("gauge_push", 5.0)}, (own,), {}, ())) == (
        *FREE_FORCE,
        *FREE_CURRENT,
    )


def test_a_freed_speed_is_sought_within_a_tenth_of_what_the_bench_ran_at():
    own = Unknown("rotor.speed", "rotation", 900.0, 5.0, 500.0, 2000.0, "")
    model = SimpleNamespace(scenario=SimpleNamespace(rotor=SimpleNamespace(speed=1000.0)))
    found = at_model(own, model.scenario)
    assert (found.start, found.low, found.high) == pytest.approx((1000.0, 900.0, 1100.0))
    other = replace(own, key="scale.inertia")
    assert at_model(other, model.scenario) == other


def test_a_course_of_speed_is_the_logs_own(scenario_of):
    """Logged every 10 ms from 0.1 s before the programme: 900 rad/s and 20 rad/s each second, for 2 s of 3."""
    rig = scenario_of(bench={"programme": [{"go": 1.0, "hold": "2 s"}, {"go": 0.0, "hold": "1 s"}]})
    time = np.arange(0.0, 2.1, 0.01)
    log = Log("s.csv", "", "servo", time, {"rotor_speed": 900.0 + 20.0 * (time - 0.1)}, (), ())
    course = _on_course(rig, log, -0.1)
    assert float(course.rotor.speed) == pytest.approx(900.0, abs=20.0 * 0.5 * SPEED_KNOTS)
    steps = course.bench.spin
    assert [(step.over, step.hold) for step in steps] == [(SPEED_KNOTS, 0.0)] * 12
    knots = SPEED_KNOTS * np.arange(1, 13)
    held = np.minimum(knots, 2.0)
    assert [step.to for step in steps] == pytest.approx(900.0 + 20.0 * held, abs=2.6)
    inner = knots < 1.9
    assert np.array([step.to for step in steps])[inner] == pytest.approx(
        (900.0 + 20.0 * knots)[inner], abs=0.15
    )


def test_an_expectation_says_where_to_stop_only_where_there_is_such_a_bound():
    sheet = SimpleNamespace(expected={"push": 5.0, "hold": 2.0, "none": None}, stops={"push": 7.5})
    assert _expected(sheet, "push", "force", "metric") == "expected 5 N; stop above 7.5 N"
    assert _expected(sheet, "hold", "force", "metric") == "expected 2 N"
    assert _expected(sheet, "none", "force", "metric") == "not predicted"


def test_a_verdict_in_words_is_only_told_of_what_is_told_in_words():
    far = Matched("rod_force_push", "force", 5.0, 7.0, 0.1, 0.1, 0.1, -9.0, "differs")
    moved = Matched("release", "text", "returns", "stays", None, None, None, None, "differs")
    said = _verdict([far, moved], [])
    assert said.startswith("0 of 1 quantities agree")
    assert said.count("the model says") == 1
    assert "the model says returns, the bench stays" in said


def test_an_interrupt_while_candidates_are_tried_ends_it(monkeypatch, scenario_of):
    unknown = Unknown("scale.inertia", "ratio", 1.0, 0.1, 0.5, 2.0, "")
    best = SimpleNamespace(
        parameters=(unknown,), best=np.array([1.0]), whole=np.eye(1), places=np.array([0.0])
    )
    done = SimpleNamespace(fitted=best, model=SimpleNamespace(scenario=scenario_of()))
    monkeypatch.setattr(next_measurement, "_target", lambda *_: (lambda _: np.zeros(1), "ratio"))
    monkeypatch.setattr(next_measurement, "_candidates", lambda *_: [])
    stopped = SimpleNamespace(interrupted=True, results={})
    monkeypatch.setattr(next_measurement, "run_many", lambda *_: stopped)
    with pytest.raises(KeyboardInterrupt):
        next_measurement.next_measurement(done, "scale.inertia")


# -- intervals -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("bent", [1.0, -1.0])
def test_a_profile_moves_what_is_beside_it_either_way(bent):
    """x read to 0.5, and n + x^2 (or n - x^2) to a tenth: n follows along the bend, and x stays as open as it was.

    Without n following, the profile of x would be up by 1.96^2 at a fifth of that.
    """
    law = lambda x: np.array([x[0] / 0.5, 10.0 * (x[1] + bent * x[0] ** 2)])  # noqa: E731
    own = Unknown("x", "ratio", 0.0, 10.0, -50.0, 50.0, "", False)
    done = fit(law, (own,), beside=(Unknown("n", "ratio", 0.0, 3.0, -50.0, 50.0, "", False),))
    assert done.high[0] == pytest.approx(CRITICAL * 0.5, rel=0.06)
    assert done.low[0] == pytest.approx(-CRITICAL * 0.5, rel=0.06)


def test_a_profile_goes_down_to_the_least_beside_it_however_the_nuisance_bends():
    """x + n + bend n^2 is read to a tenth, n is known to 1 beforehand: where x is held, n must follow all the way.

    A single step by the slope of n that the fit took once, over a wide step, stops short of the least, and the ends
    come out too near. The least by a scan of n, no derivative taken.
    """
    bend, x, n = 0.1, np.linspace(-4.0, 4.0, 1601)[:, None], np.linspace(-4.0, 4.0, 16001)
    sums = (100.0 * (x + n + bend * n**2) ** 2 + n**2).min(axis=1)
    within = x[sums <= CRITICAL**2, 0]
    law = lambda values: np.array([10.0 * (values[0] + values[1] + bend * values[1] ** 2)])  # noqa: E731
    own = Unknown("x", "ratio", 0.0, 10.0, -50.0, 50.0, "", False)
    done = fit(law, (own,), beside=(Unknown("n", "ratio", 0.0, 1.0, -50.0, 50.0, "", False),))
    assert done.low[0] == pytest.approx(within[0], rel=0.06)
    assert done.high[0] == pytest.approx(within[-1], rel=0.06)


def test_a_search_in_the_wrong_dip_begins_again_from_elsewhere():
    """Two dips over where the blade stalls, the one in which a search begins 13 uncertainties above the other at 2."""
    law = lambda v: np.array([(v[0] - 1.0) / 0.1, 30.0 * abs(v[1] - 2.0) * np.sqrt(v[1] ** 2 + 0.05)])  # noqa: E731
    own = Unknown("x", "ratio", 0.0, 10.0, -50.0, 50.0, "", False)
    stall = Unknown("doubt.air_stall", "angle", 0.0, 1.0, -4.0, 4.0, "", False)
    done = fit(law, (own,), beside=(stall,))
    assert done.best == pytest.approx([1.0, 2.0], abs=0.02)
    other = fit(law, (own,), beside=(replace(stall, key="doubt.profile_drag"),))
    assert other.best[1] == pytest.approx(0.0, abs=0.3)  # nothing else is sought twice


# -- misfit ----------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def rig(scenario_of):
    return scenario_of(**QUIET)


def test_points_of_a_log_tell_the_two_directions(rig):
    """Rising, friction adds to the force that moves; what was put on the log each way is what is left over."""
    run = run_gauge(build_setup(rig))
    way = np.sign(np.gradient(run.pitch_series, run.time))
    model, _ = bench_model(
        rig, BenchData({}, (gauge_log(run.time, run.force + 0.3 * way + 0.1),), {}, ()), smooth=False
    )
    there = model.at((), ())
    (channel,) = (one for one in channels(model, there) if one.role == "rod_force")
    points = _of_log(model, there, channel)
    assert len(points) >= 20
    for point in points:
        assert point.left == pytest.approx(0.1 + 0.3 * point.way, abs=0.06)
    for one in points:
        for other in points:
            if abs(one.pitch - other.pitch) < np.deg2rad(0.3) and one.way > other.way:
                assert one.load > other.load + 0.5


@pytest.mark.parametrize("reverse", [False, True])
@pytest.mark.parametrize("span", [["-26 deg", "18 deg"], ["-18 deg", "26 deg"]])
def test_a_wider_loop_is_wider_whichever_way_the_linkage_turns(scenario_of, span, reverse):
    rig = scenario_of(rotor={"pitch_range": span}, linkage={"reversed": reverse}, **QUIET)
    run = run_gauge(build_setup(rig))
    turned, readings = -1.0 if reverse else 1.0, {}
    for degrees in np.arange(-17.0, 18.0, 2.0):
        for rising, course in ((True, run.up), (False, run.down)):
            pitch, name = float(np.deg2rad(degrees)), f"force at {degrees:g} deg, {rising}"
            force = float(np.interp(pitch, run.pitch, course))
            force += turned * (1.0 if rising else -1.0) * abs(degrees) / 20.0
            readings[name] = reading(name, force, pitch=pitch, rising=rising)
    model, _ = bench_model(rig, BenchData(readings, (), {}, ()), smooth=True)
    said = misfit_in_words(model, model.at((), ()), tuple(readings), ())
    loops = [line for line in said if line.startswith("loop ")]
    assert [line.split(":")[0] for line in loops] == ["loop wider at the ends than in the middle"]


def test_each_shape_is_1_where_it_is_largest():
    """Loads of -4 to 4 N both ways, at full speed and at 0.8 of it: 0.36 of the square is missing there."""
    points = [
        Point(np.deg2rad(6.0 * load), way, load * speed**2, 0.0, 0.1, speed)
        for load in (-4.0, -2.0, 2.0, 4.0)
        for way in (1.0, -1.0)
        for speed in (1.0, 0.8)
    ]
    shapes, words = _shapes(points, Bench((None, None), (np.deg2rad(-24.0), np.deg2rad(24.0)), 1.0, 0.1))
    assert {"zero", "proportion", "width", "ends", "speed"} == set(shapes)
    assert {"ends", "speed"} == set(words)
    for name in ("zero", "proportion", "width", "ends"):
        assert np.abs(shapes[name]).max() == pytest.approx(1.0), name
    slow = np.array([point.speed < 1.0 for point in points])
    assert not shapes["speed"][~slow].any()
    assert np.abs(shapes["speed"]).max() == pytest.approx(
        0.64
    )  # of the largest load, 0.64 of it is there at 0.8


def test_a_fit_to_a_log_finds_what_the_log_was_made_with(rig, scenario_of):
    """Blades of 5 % more inertia than stated, logged with a jitter of 0.05 N."""
    run = run_gauge(build_setup(scenario_of(scale={"inertia": 1.05}, **QUIET)))
    every = slice(None, None, 5)
    noise = np.random.default_rng(5).normal(0.0, 0.05, len(run.time[every]))
    log = gauge_log(run.time[every], run.force[every] + noise)
    done = calibrate(rig, BenchData({}, (log,), {}, ()), ("scale.inertia",), keep_aside=False)
    assert done.fitted.low[0] < 1.05 < done.fitted.high[0]
    assert done.fitted.values[0] == pytest.approx(1.05, rel=0.01)
    assert done.fitted.low[0] > 1.0
