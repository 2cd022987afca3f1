"""Shapes of what is left over, steps of a match and builds beside one another, by hand."""

from dataclasses import replace
from math import sqrt
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.bench.logs import Log
from featherbench.bench.readings import BenchData, Reading
from featherbench.fitting import lags, left_over, misfit, several_builds
from featherbench.fitting import match as matching
from featherbench.fitting import match_samples as sampling
from featherbench.fitting import model as models
from featherbench.fitting import of_one_build as parting
from featherbench.fitting.calibrate import Calibration
from featherbench.fitting.drift import Trend
from featherbench.fitting.fit import Fitted
from featherbench.fitting.misfit import Bench, Point, _between_tables, _by, _shapes, misfit_in_words
from featherbench.fitting.model import BenchModel
from featherbench.fitting.simulated import Simulated
from featherbench.fitting.unknowns import Unknown
from featherbench.sampling.inputs import Input
from featherbench.sampling.samples import SampleTask
from featherbench.scenario import ScenarioError

BENCH = Bench((None, None), (-0.4, 0.5), 1.0, 0.0)


def points(*rows, **more):
    """(pitch, way, load) each."""
    return [Point(pitch, way, load, 0.0, 0.1, **more) for pitch, way, load in rows]


# -- shapes ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("turned", [1.0, -1.0])
def test_the_loop_has_its_shapes_where_both_ways_were_read(turned):
    """As wide at a pitch as the pitch is of the end on its side; a force of which the way is not known has none."""
    given = points((-0.4, 1.0, -4.0), (0.25, -1.0, 8.0), (0.5, 0.0, 2.0), (0.0, 1.0, 0.5))
    shapes, words = _shapes(given, BENCH._replace(turned=turned))
    assert shapes["zero"].tolist() == [1.0] * 4
    assert shapes["proportion"] == pytest.approx([-0.5, 1.0, 0.25, 0.0625])
    assert shapes["width"].tolist() == [turned, -turned, 0.0, turned]
    assert shapes["ends"] == pytest.approx([turned, -0.5 * turned, 0.0, 0.0])
    assert list(words) == ["ends"]
    none = BENCH._replace(ends=(0.0, 0.5))  # no range on that side
    assert _shapes(given, none)[0]["ends"][0] == pytest.approx(0.4)


@pytest.mark.parametrize("ways", [(1.0,), (-1.0,), (1.0, 0.0), (-1.0, 0.0), (0.0,)])
def test_one_way_alone_has_no_loop(ways):
    given = [Point(0.1 * k, ways[k % len(ways)], 1.0 + k, 0.0, 0.1) for k in range(8)]
    shapes, words = _shapes(given, BENCH)
    assert list(shapes) == ["zero", "proportion"]
    assert words == {}


def test_forces_of_nothing_have_no_shape_of_their_own():
    assert list(_shapes(points((0.1, 1.0, 0.0), (0.2, -1.0, 0.0)), BENCH)[0]) == ["zero"]
    assert "proportion" in _shapes(points((0.1, 1.0, 0.4), (0.2, -1.0, 0.1)), BENCH)[0]
    assert "proportion" in _shapes(points((0.1, 1.0, -0.4), (0.2, -1.0, -0.1)), BENCH)[0]
    assert list(_shapes([], BENCH)[0]) == ["zero"]


@pytest.mark.parametrize(
    ("pitches", "past"),
    [((0.1, 0.2, 0.3, 0.31, 0.32), "+1"), ((0.1, 0.2, 0.3, 0.31), None), ((0.2, 0.31, 0.32), None)],
)
def test_past_a_stall_two_readings_are_told_from_three_within_it(pitches, past):
    """What lies at it exactly is within; the shape has the sign of the load."""
    given = points(*((pitch, 1.0, 9.0) for pitch in pitches))
    shapes, words = _shapes(given, BENCH._replace(stall=(None, 0.3)))
    if past is None:
        assert not words
    else:
        assert shapes["past +1"].tolist() == [0.0, 0.0, 0.0, 1.0, 1.0]
        assert words["past +1"][0].startswith("predicted force too small past 17 deg:")
    mirrored = points(*((-pitch, 1.0, -9.0) for pitch in pitches))
    other, _ = _shapes(mirrored, BENCH._replace(stall=(-0.3, None)))
    assert ("past -1" in other) == (past is not None)
    if past:
        assert other["past -1"].tolist() == [0.0, 0.0, 0.0, -1.0, -1.0]


def test_speeds_tell_from_a_spread_of_two_hundredths_on():
    for spread, told in ((0.019, False), (0.021, True)):
        given = [Point(0.1, 1.0, 5.0, 0.0, 0.1, 1.0 + sign * spread) for sign in (1.0, -1.0)]
        assert ("speed" in _shapes(given, BENCH)[0]) is told


def tabled(name, count=4, speed=1.0):
    return points(*((0.1 * k, 1.0, 1.0 + k) for k in range(count)), speed=speed, table=name)


@pytest.mark.parametrize(
    ("first", "second", "speed", "told"),
    [(4, 4, 1.0, True), (4, 3, 1.0, False), (3, 4, 1.0, False), (4, 4, 1.019, True), (4, 4, 1.021, False),
     (4, 4, 0.982, True), (4, 4, 0.979, False)],
)  # fmt: skip
def test_tables_of_four_readings_at_one_speed_are_set_beside_one_another(first, second, speed, told):
    given = [*tabled("a", first), *tabled("b", second, speed), *tabled("", 4)]
    load = np.arange(1.0, len(given) + 1.0)
    shapes, words = _between_tables(given, load, None)
    assert list(shapes) == (["between a and b"] if told else [])
    if told:
        assert (
            shapes["between a and b"].tolist()
            == [0.0] * first + load[first : first + second].tolist() + [0.0] * 4
        )
        assert words["between a and b"][0].startswith("force of b larger than that of a")
        both, said = _between_tables(given, load, -load)
        assert (
            both["loop of b"].tolist() == [0.0] * first + (-load[first : first + second]).tolist() + [0.0] * 4
        )
        assert said["loop of b"][1].startswith("loop of b narrower than that of a by {by}")


def test_a_change_of_the_loop_is_twice_its_shapes_size():
    assert _by(-0.2, 0.03) == "0.4 N (+/- 0.12 N)"


def test_words_are_of_what_was_read_by_hand_and_logged(monkeypatch):
    """Stall where it is reached within the range; the linkage's sense by the loop; half of the gauge's 95 %."""
    told = []
    monkeypatch.setattr(misfit, "points_by_hand", lambda *_: ["hand"])
    monkeypatch.setattr(misfit, "_of_log", lambda _m, _s, channel: [f"log {channel.number}"])
    monkeypatch.setattr(misfit, "patterns", lambda *given: told.append(given) or ["said"])
    logged = [
        SimpleNamespace(role=role, number=k) for k, role in enumerate(("rod_force", "pitch", "rod_force"))
    ]
    scenario = SimpleNamespace(
        rotor=SimpleNamespace(pitch_range=(-0.4, 0.5)), gauge=SimpleNamespace(uncertainty=0.3)
    )
    setup = SimpleNamespace(scenario=scenario, air=SimpleNamespace(rotor="rotor"))
    there = SimpleNamespace(gauge="run", setup=setup)
    for stall, loop, expected in (
        ((-0.3, 0.45), 0.4, ((-0.3, 0.45), 1.0)), ((-0.4, 0.5), -0.4, ((None, None), -1.0)),
        ((-0.5, 0.4), 0.0, ((None, 0.4), 1.0)),
    ):  # fmt: skip
        monkeypatch.setattr(misfit, "stall_pitch", lambda *_, stall=stall: stall)
        monkeypatch.setattr(misfit, "half_loop", lambda _, loop=loop: loop)
        assert misfit_in_words(None, there, (), logged) == ["said"]
        given, bench = told[-1]
        assert given == ["hand", "log 0", "log 2"]
        assert bench == (expected[0], (-0.4, 0.5), expected[1], 0.15)
    scenario.gauge.uncertainty = None
    misfit_in_words(None, there, (), ())
    assert told[-1][1].gauge == 0.0
    monkeypatch.setattr(misfit, "points_by_hand", lambda *_: [])
    assert misfit_in_words(None, SimpleNamespace(gauge=None, setup=setup), (), ()) == []
    assert misfit_in_words(None, SimpleNamespace(gauge=None, setup=setup), (), logged) == ["said"]
    assert misfit_in_words(None, there, (), ()) == ["said"]


def test_points_of_a_log_are_means_over_pieces_of_the_range_each_way(monkeypatch):
    """Up and down over -0.4 to 0.5 in 14 pieces, of which the ends and the rest tell nothing; noise over the root."""
    clock = np.linspace(0.0, 4.0, 4001)
    pitch = np.interp(clock, [0.0, 0.5, 2.0, 3.5, 4.0], [-0.5, -0.4, 0.5, -0.4, -0.4])
    log = Log("s.csv", "", "gauge", np.linspace(0.0, 3.9, 1951), {}, (), ())
    time = log.time + 0.05
    at = np.interp(time, clock, pitch)
    log = replace(log, columns={"rod_force": 10.0 * at + 0.5})
    monkeypatch.setattr(misfit, "as_logged", lambda *_: 9.0 * at)
    monkeypatch.setattr(misfit, "course_of", lambda *_: (clock, pitch))
    scenario = SimpleNamespace(rotor=SimpleNamespace(pitch_range=(-0.4, 0.5), speed=1000.0))
    model = SimpleNamespace(data=SimpleNamespace(logs=(log,)), lags=(0.05,), scenario=scenario)
    kept = np.ones(len(time), dtype=bool)
    channel = SimpleNamespace(log=0, role="rod_force", kept=kept, noise=0.3)
    found = misfit._of_log(model, None, channel)
    assert len(found) == 28
    assert [one.way for one in found[:4]] == [1.0, -1.0, 1.0, -1.0]
    for number, one in enumerate(found):
        piece = number // 2
        rows = (at > -0.4) & (at < 0.5) & (((at + 0.4) / 0.9 * 14).astype(int) == piece)
        rows &= (np.interp(time, clock, np.gradient(pitch, clock)) * one.way) > 0.3 * 0.6
        assert one.pitch == pytest.approx(at[rows].mean())
        assert (one.load, one.left) == pytest.approx((9.0 * one.pitch, one.pitch + 0.5))
        assert one.doubt == pytest.approx(0.3 / sqrt(rows.sum()))
        assert one.speed == 1.0
    fast = np.where(time < 2.0, 1100.0, 900.0)
    quick = replace(log, columns={**log.columns, "rotor_speed": fast})
    model.data.logs = (quick,)
    assert {round(one.speed, 3) for one in misfit._of_log(model, None, channel)} == {0.9, 1.1}
    few = SimpleNamespace(log=0, role="rod_force", kept=np.arange(len(time)) % 9 == 0, noise=0.3)
    model.data.logs = (log,)
    counts = [round((0.3 / one.doubt) ** 2) for one in misfit._of_log(model, None, few)]
    assert all(count >= 8 for count in counts)


# -- a match ---------------------------------------------------------------------------------------------


def spot(name, value=1.0, kind="force", **more):
    return Reading(name, kind, value, 0.2, 0.0, 1, None, **more)


@pytest.fixture
def flow(monkeypatch):
    """A match whose runs are numbers."""
    told = {"inputs": (Input("x", 0.0, 1.0, "ratio"),), "results": None}
    data = SimpleNamespace(readings={"rotor_speed": 0, "push": 1}, said=("said",))
    monkeypatch.setattr(matching, "of_one_build", lambda given, _: given)
    monkeypatch.setattr(matching, "at_one_speed", lambda given, speed: told.update(speed=speed) or given)

    def at(*_, step_share=1.0):
        return SimpleNamespace(spots={"push": 5.0 * step_share, "word": "x"})

    monkeypatch.setattr(
        matching, "bench_model", lambda *_, **__: (SimpleNamespace(at=at, data=data), ("modelled",))
    )
    monkeypatch.setattr(matching, "match_task", lambda _: SimpleNamespace(inputs=told["inputs"]))
    monkeypatch.setattr(
        matching, "sample_places", lambda *given: told.update(places=given) or np.array([[0.1], [0.2], [0.3]])
    )

    def many(_task, places, **_):
        told["work"] = places
        sample = SimpleNamespace(spots="spots", logged=told.get("logged"))
        results = {0: sample, 1: None, 2: sample} if told["results"] is None else told["results"]
        return SimpleNamespace(results=results, interrupted=False)

    monkeypatch.setattr(matching, "run_many", many)
    monkeypatch.setattr(matching, "unstated", lambda *_: ["unstated"])
    monkeypatch.setattr(matching, "written_spots", lambda _: {})
    monkeypatch.setattr(matching, "finding_departures", lambda *_: ("base", "away"))
    monkeypatch.setattr(
        matching, "shifted_intervals", lambda numbers, *_: told.update(numbers=numbers) or {"push": "laid"}
    )
    monkeypatch.setattr(
        matching,
        "_matched",
        lambda _m, name, _n, two, samples, laid: (name, two.spots["push"], samples, laid),
    )
    monkeypatch.setattr(matching, "channels", lambda *_: told.get("channels", ()))
    monkeypatch.setattr(
        matching,
        "_series",
        lambda _m, which, _n, where, samples: ((which, where[0].tolist(), samples), ["peak"]),
    )
    monkeypatch.setattr(matching, "_verdict", lambda *_: "verdict")
    monkeypatch.setattr(matching, "drift", lambda _m, _n, names: names)
    scenario = SimpleNamespace(rotor=SimpleNamespace(speed=940.0))
    return told, lambda **how: matching.match(scenario, data, **how)


def test_a_match_sets_each_reading_against_all_samples(flow):
    told, match = flow
    found = match()
    assert (told["speed"], told["places"]) == (940.0, (1, 64, 0))
    assert told["work"] == [(0.1,), (0.2,), (0.3,)]
    assert told["numbers"] == {"push": 5.0}
    assert found.quantities == (("push", 2.5, ["spots", "spots"], "laid"),)  # at half the step
    assert found.runs == 2
    assert found.notes == ("said", "modelled", "unstated", "2 of 3 samples of the tolerances were run")
    assert (found.series, found.verdict, found.trends) == ((), "verdict", ("rotor_speed", "push"))
    told["logged"] = "log"
    told["channels"] = (SimpleNamespace(log=1, role="rod_force"),)
    logged = match(runs=9, seed=4)
    assert told["places"] == (1, 9, 4)
    assert logged.series == (((1, "rod_force"), [[0.1], [0.3]], ["log", "log"]),)
    assert logged.quantities[1:] == ("peak",)
    told["results"] = {k: SimpleNamespace(spots="s", logged=None) for k in range(3)}
    whole = match()
    assert whole.notes == ("said", "modelled", "unstated")
    assert whole.series[0][1:] == ([], [])


def test_a_match_of_what_does_not_vary_says_so(flow):
    told, match = flow
    told["inputs"], told["results"] = (), {}
    found = match()
    assert "places" not in told
    assert (told["work"], found.runs) == ([], 0)
    assert found.notes[-1].startswith("nothing is varied, neither tolerance nor doubt")


@pytest.mark.parametrize(
    ("readings", "varied", "runs", "forces"),
    [
        ({"push": None}, True, True, False),
        ({"push": None}, False, False, False),
        ({"rotor_speed": None}, True, False, False),
        ({"rotor_speed": None, "push": None}, True, True, False),
        ({"at": 0.1, "push": None}, True, True, True),
        ({}, True, False, False),
    ],
)
def test_a_shortened_run_is_made_where_a_reading_asks_for_it(monkeypatch, readings, varied, runs, forces):
    monkeypatch.setattr(sampling, "_inputs", lambda *_: (Input("x", 0.0, 1.0, "ratio"),) if varied else ())
    monkeypatch.setattr(sampling, "predict", lambda scenario: f"run of {scenario}")
    monkeypatch.setattr(sampling, "shortened_task", lambda run, inputs: SampleTask(run, inputs, None))
    data = BenchData({name: spot(name, pitch=pitch) for name, pitch in readings.items()}, (), {}, ())
    task = sampling.match_task(SimpleNamespace(scenario="rig", data=data))
    assert (task.spots is not None) is runs
    assert (runs and task.spots.also is not None) is forces
    assert len(task.inputs) == varied


def test_a_sample_of_a_match_leaves_the_instruments_out(monkeypatch):
    asked = []
    monkeypatch.setattr(
        sampling, "run_sample", lambda *given, **how: asked.append((given, how)) or {"a": 1.0}
    )
    inputs = (Input("gauge.uncertainty", -1.0, 1.0, "force"), Input("part.a.mass", 2.0, 4.0, "mass"))
    bare = SimpleNamespace(data=SimpleNamespace(logs=()), at=None)
    task = sampling.MatchTask(inputs, "spots", bare)
    assert sampling.match_sample(task, (0.5, 0.5)) == ({"a": 1.0}, None)
    assert asked == [(("spots", (0.5, 0.5)), {"instruments": False})]
    assert sampling.written_spots(task) == {"a": 1.0}
    assert asked[-1] == (("spots", None), {})
    assert sampling.written_spots(task._replace(spots=None)) == {}
    assert sampling.match_sample(task._replace(spots=None), (0.5, 0.5)) == ({}, None)
    logged = SimpleNamespace(data=SimpleNamespace(logs=(1,)), at=lambda keys, values: (keys, values))
    own = sampling.match_sample(task._replace(model=logged), (0.5, 0.5))
    assert own.logged == (("part.a.mass",), (pytest.approx(3.5),))

    def refused(*_):
        raise ScenarioError([])

    assert (
        sampling.match_sample(task._replace(model=SimpleNamespace(data=logged.data, at=refused)), (0.5, 0.5))
        is None
    )
    monkeypatch.setattr(sampling, "run_sample", lambda *_, **__: {"refused": "why"})
    assert sampling.match_sample(task, (0.5, 0.5)) is None


def test_a_speed_of_the_scenarios_tolerance_is_replaced_by_what_was_read(monkeypatch):
    own = (
        Input("rotor.speed", 0.0, 9.0, "rotation"),
        Input("a", 0.0, 1.0, "ratio"),
        Input("gauge.uncertainty", -1, 1, "force"),
    )
    monkeypatch.setattr(sampling, "varied_inputs", lambda _: own)
    scenario = SimpleNamespace(rotor=SimpleNamespace(speed=1000.0))
    course = Log("s.csv", "", "servo", np.arange(3.0), {"rotor_speed": np.ones(3)}, (), ())
    force = Log("s.csv", "", "servo", np.arange(3.0), {"rod_force": np.ones(3)}, (), ())
    half = 5.0 * sqrt(3.0)
    for data in (
        BenchData({"rotor_speed": spot("rotor_speed", 1000.0, "rotation")}, (), {}, ()),
        BenchData({}, (force, course), {}, ()),
    ):
        speed, *others = sampling._inputs(scenario, data)
        assert speed.key == "rotor.speed"
        if data.logs:
            assert (speed.low, speed.high) == pytest.approx((1000.0 - half, 1000.0 + half))
        else:
            assert (speed.low, speed.high) == pytest.approx(
                (1000.0 - 0.1 * sqrt(3.0), 1000.0 + 0.1 * sqrt(3.0))
            )
        assert others == list(own[1:])
    assert sampling._inputs(scenario, BenchData({}, (force,), {}, ())) == own
    monkeypatch.setattr(sampling, "varied_inputs", lambda _: own[2:])
    assert sampling._inputs(scenario, BenchData({}, (), {}, ())) == ()
    assert len(sampling._inputs(scenario, BenchData({}, (course,), {}, ()))) == 2


# -- a current's lag, and a smoothed gauge ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("window", "interval", "width"),
    [(0.2, 0.01, 0.2), (None, 0.01, 0.01), (None, 1e-3, 2e-3), (1e-4, 0.01, 2e-3)],
)
def test_a_logged_current_is_set_against_what_its_logger_averages(monkeypatch, window, interval, width):
    asked = []
    monkeypatch.setattr(lags, "moving_mean", lambda _, course, wide: asked.append(wide) or course)
    monkeypatch.setattr(lags, "score", lambda shifted, *_: -abs(float(shifted[0]) - 0.1))
    clock = np.linspace(0.0, 2.0, 201)
    served = SimpleNamespace(time=clock, rod_force=clock, pitch=clock, supply_current=clock)
    log = Log(
        "s.csv",
        "",
        "servo",
        np.arange(0.0, 1.0, interval),
        {"supply_current": np.arange(0.0, 1.0, interval)},
        (),
        (),
    )
    lags.lag_of(log, SimpleNamespace(servo=served), window)
    assert asked == [pytest.approx(width)]
    asked.clear()
    force = replace(log, columns={"rod_force": log.columns["supply_current"]})
    lags.lag_of(force, SimpleNamespace(servo=served), window)
    assert asked == []


def test_a_fits_gauge_shows_its_peaks_in_the_mean_within_the_range(monkeypatch):
    """And by what a longer sweep would show more."""
    asked = []
    monkeypatch.setattr(
        models, "gauge_peaks", lambda _time, force, _gauge: asked.append(force) or (float(force.max()), 0.1)
    )
    monkeypatch.setattr(models, "forces_at_pitch", lambda *_: {"hand": 1.5})
    monkeypatch.setattr(models, "left_open", lambda *_: {"hand": 0.2})
    run = SimpleNamespace(
        time="time",
        force=np.array([99.0, 3.0, -4.0, -5.0, -99.0]),
        pitch_series=np.array([-0.6, -0.5, 0.0, 0.5, 0.6]),
    )
    found = Simulated(None, run, None, {"gauge_push": 1.0, "other": 7.0})
    scenario = SimpleNamespace(rotor=SimpleNamespace(pitch_range=(-0.5, 0.5)), gauge="gauge")
    model = BenchModel(
        scenario, None, frozenset(), None, smooth=True, longer={"gauge_push": 0.25, "other": -1.0}
    )
    made = model._smoothed(found)
    assert made.spots == {"gauge_push": 3.25, "gauge_pull": 5.0, "other": 6.0, "hand": 1.5}
    assert made.sampling == {"hand": 0.2, "gauge_push": 0.1, "gauge_pull": 0.1}
    assert [one.tolist() for one in asked] == [[0.0, 3.0, -4.0, -5.0, 0.0], [0.0, -3.0, 4.0, 5.0, 0.0]]
    plain = replace(model, smooth=False)._smoothed(found)
    assert plain.spots == {"gauge_push": 1.0, "other": 7.0, "hand": 1.5}
    assert model._smoothed(Simulated(None, None, None, {"x": 1.0})).spots == {"x": 1.0}


def test_a_gauges_run_is_kept_while_only_the_servo_changes(monkeypatch):
    asked = []

    def simulate(_build, _tests, _air, step_share=1.0, *, gauge=None, spacing=None, verdicts=True):
        asked.append((gauge, spacing, step_share, verdicts))
        return SimpleNamespace(gauge=gauge or "new")

    monkeypatch.setattr(models, "simulate", simulate)
    monkeypatch.setattr(models, "with_values", lambda *given: given)
    monkeypatch.setattr(BenchModel, "_smoothed", lambda _self, found: found)
    model = BenchModel("rig", None, frozenset({"gauge"}), "air", smooth=True)
    model.at(("servo.gear_friction", "a"), (1.0, 2.0))
    model.at(("servo.gear_friction", "a"), (9.0, 2.0))
    model.at(("servo.gear_friction", "a"), (9.0, 3.0))
    assert [one[0] for one in asked] == [None, "new", None]
    assert {one[1] for one in asked} == {models.TABLE}
    asked.clear()
    model.at((), (), step_share=0.5)
    assert asked == [(None, None, 0.5, True)]
    asked.clear()
    released = BenchModel("rig", None, frozenset({"gauge", "release"}), "air", smooth=True)
    released.at((), ())
    released.at((), (), verdicts=False)
    assert asked == [(None, None, 1.0, True), (None, models.GRID_SPACING, 1.0, False)]
    asked.clear()
    BenchModel("rig", None, frozenset({"gauge"}), "air").at((), ())
    assert asked == [(None, models.GRID_SPACING, 1.0, True)]


# -- builds ----------------------------------------------------------------------------------------------


def test_readings_of_all_builds_stand_beside_one_another(scenario_of):
    rig = scenario_of()
    asked = []

    class Own:
        scenario = rig

        def __init__(self, number):
            self.number = number
            self.data = SimpleNamespace(readings={"push": 1, "slow": 1})

        def at(self, keys, values, **how):
            asked.append((self.number, keys, values, how))
            spots = {"push": 5.0 * self.number, "beside": 0.0}
            return models.Simulated(None, None, None, spots, {"push": 0.1 * self.number, "beside": 9.0})

    builds = tuple(several_builds.BuildModel(name, rig, Own(k)) for k, name in enumerate("ab", start=1))
    found = several_builds.at_builds(builds, ("linkage.servo_arm", "doubt.stick (b)"), (2.0, 3.0), 0.5, False)
    assert found.spots == {"push": 5.0, "slow": None, "push (b)": 10.0, "slow (b)": None}
    assert found.sampling == {"push": 0.1, "push (b)": 0.2}
    how = {"step_share": 0.5, "verdicts": False}
    assert asked == [
        (1, ("linkage.servo_arm",), (2.0,), how), (2, ("linkage.servo_arm", "doubt.stick"), (2.0, 3.0), how),
    ]  # fmt: skip
    assert len(found.builds) == 2
    model = SimpleNamespace(builds=builds)
    parts = [
        (place, own)
        for place, _, own in several_builds.parted(model, ["slow (b)", "push", "push (b)", "other"])
    ]
    assert parts == [(0, ("push",)), (1, ("slow", "push"))]


def unknown(key, start=1.0):
    return Unknown(key, "ratio", start, 0.1, 0.0, 10.0, "")


def test_a_fit_of_several_builds_is_parted(monkeypatch):
    """Of parameters a, b, c the second build has c and a, a twice as large; groups that are not all its own go."""
    whole = np.diag([0.25, 0.36, 0.49])
    fit = Fitted(
        (unknown("a", 2.0), unknown("b")), np.array([2.1, 1.2]), np.zeros(2), np.ones(2), whole[:2, :2],
        np.arange(6.0).reshape(2, 3), np.zeros(2), (True, False), (("a",), ("a", "b"), ("own a", "c")), 1, False,
        (unknown("c"),), np.array([1.0, 2.0, 3.0]), whole, np.eye(3),
    )  # fmt: skip
    builds = tuple(
        SimpleNamespace(name=name, written=f"scenario {name}", model=f"model {name}") for name in "xy"
    )

    monkeypatch.setattr(
        parting, "keys_of", lambda _b, place, _n: {0: "own a", 2: "c"} if place else {0: "a", 1: "b"}
    )
    monkeypatch.setattr(parting, "share_of", lambda _b, _p, key, _n: 2.0 if key == "own a" else 1.0)
    data = BenchData({}, (), {}, (), builds=("other",))
    model = SimpleNamespace(builds=builds)
    done = Calibration("scenario", data, model, fit, (), (), 1.0, 1.0, (), ())
    parted = parting.each_build(done)
    assert list(parted) == ["x", "y"]
    own = parted["y"]
    assert (own.scenario, own.model, own.data.builds) == ("scenario y", "model y", ())
    assert [one.key for one in own.fitted.unknowns] == ["own a"]
    assert own.fitted.unknowns[0].start == 4.0
    assert own.fitted.unknowns[0].deviation == pytest.approx(0.2)
    assert [one.key for one in own.fitted.beside] == ["c"]
    assert own.fitted.places.tolist() == [1.0, 3.0]
    assert own.fitted.jacobian.tolist() == [[0.0, 2.0], [3.0, 5.0]]
    assert np.diag(own.fitted.whole) == pytest.approx([0.25, 0.49])
    assert own.fitted.identified == (True,)
    assert own.fitted.confounded == (("own a", "c"),)
    assert parted["x"].fitted.confounded == (("a",), ("a", "b"))
    assert parted["x"].fitted.unknowns[0].start == 2.0
    assert parting.of_first(done).scenario == "scenario x"
    model.builds = ()
    assert parting.each_build(done) == {"": done}


def test_each_build_is_looked_at_by_itself(monkeypatch):
    monkeypatch.setattr(left_over, "unstated", lambda data, scenario: [f"{data} {scenario}"])
    one = SimpleNamespace(builds=(), data="d", scenario="s")
    assert left_over.unstated_of(one) == ["d s"]
    both = SimpleNamespace(
        builds=tuple(SimpleNamespace(model=SimpleNamespace(data=k, scenario="s")) for k in "ab")
    )
    assert left_over.unstated_of(both) == ["a s", "b s"]
    assert left_over._each(one, "there", ["x"]) == [("", one, "there", ("x",))]
    monkeypatch.setattr(left_over, "parted", lambda *_: [(1, SimpleNamespace(name="b", model="m"), ("y",))])
    assert left_over._each(both, SimpleNamespace(builds=("A", "B")), ["x"]) == [("b", "m", "B", ("y",))]
    trend = Trend("load", "ratio", (), (), (), 0.0, 0.0)
    monkeypatch.setattr(left_over, "_each", lambda *_: [("b", 1, 2, 3), ("", 1, 2, 3)])
    monkeypatch.setattr(left_over, "drift", lambda *_: (trend,))
    assert [one.what for one in left_over.trends_of(None, None, ())] == ["b: load", "load"]
