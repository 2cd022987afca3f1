"""A fit where a sheet of paper has its answer: straight laws, bounds, what is not felt, interrupts, intervals."""

from dataclasses import replace
from math import sqrt
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.bench.logs import Log
from featherbench.bench.readings import BenchData, Reading
from featherbench.fitting import as_run as running
from featherbench.fitting import bench_sheet as sheets
from featherbench.fitting import calibrate as calibrating
from featherbench.fitting import fit as fitting
from featherbench.fitting import fitted_file, improved
from featherbench.fitting.fit import fit
from featherbench.fitting.fitted_file import Entry
from featherbench.fitting.improved import AS_READ
from featherbench.fitting.intervals import _end, _lowest_beside, profiled, told_apart
from featherbench.fitting.search import Search
from featherbench.fitting.unknowns import Unknown
from featherbench.scenario import ScenarioError

N95 = 1.959964


def unknown(key, start=0.0, deviation=1.0, low=-50.0, high=50.0, **more):
    return Unknown(key, "ratio", start, deviation, low, high, "", **more)


SLOPES = np.array([[2.0, 0.5, 1.0], [0.0, 3.0, -1.0], [1.0, 1.0, 0.5]])
READ = np.array([1.0, 2.0, -1.0])
BEFORE = np.array([[1.0, 0.3, 0.0], [0.3, 1.0, 0.2], [0.0, 0.2, 1.0]])


def straight(values):
    return SLOPES @ values - READ


def test_a_straight_law_has_the_answer_of_its_normal_equations():
    """(J' J + C^-1) x = J' y, and its inverse; the intervals of the two unknowns are 1.96 of their own deviations."""
    found = fit(straight, (unknown("a"), unknown("b")), beside=(unknown("n"),), before=BEFORE)
    whole = np.linalg.inv(SLOPES.T @ SLOPES + np.linalg.inv(BEFORE))
    expected = whole @ SLOPES.T @ READ
    assert found.best == pytest.approx(expected, abs=2e-3)
    assert found.values == pytest.approx(expected[:2], abs=2e-3)
    assert found.whole == pytest.approx(whole, rel=1e-5)
    assert found.covariance == pytest.approx(whole[:2, :2], rel=1e-5)
    half = N95 * np.sqrt(np.diag(whole))[:2]
    assert found.low == pytest.approx(found.values - half, abs=0.03 * half.max())
    assert found.high == pytest.approx(found.values + half, abs=0.03 * half.max())
    assert found.jacobian == pytest.approx(SLOPES, abs=1e-6)
    assert found.residuals == pytest.approx(straight(found.best), abs=1e-9)
    assert found.before == pytest.approx(BEFORE)
    assert [one.key for one in found.parameters] == ["a", "b", "n"]
    assert not found.interrupted
    assert found.evaluations > 5
    bare = fit(straight, (unknown("a"), unknown("b")), beside=(unknown("n"),), before=BEFORE, intervals=False)
    assert (bare.low, bare.high) == (pytest.approx(bare.values - half), pytest.approx(bare.values + half))
    assert bare.evaluations < found.evaluations


def test_parameters_are_counted_in_what_was_known_of_them():
    """x is 5 to 2 beforehand and read as 8 to a half; a factor is 1 to e^0.2 and read as 1.5 to 0.01."""
    one = unknown("x", 5.0, 2.0, -50.0, 50.0)
    found = fit(lambda v: (v - 8.0) / 0.5, (one,))
    assert found.values == pytest.approx([(5.0 / 4.0 + 8.0 / 0.25) / (0.25 + 4.0)], abs=1e-4)
    assert found.deviations == pytest.approx([1.0 / sqrt(4.25)])
    factor = fit(lambda v: (v - 1.5) / 0.01, (unknown("f", 1.0, 0.2, 0.1, 10.0, factor=True),))
    assert factor.values == pytest.approx([1.5], abs=1e-3)
    assert factor.deviations == pytest.approx([0.01], rel=0.1)


def test_an_interval_ends_at_a_bound():
    """Read as 0.9 to 0.5, and no more than 1."""
    found = fit(lambda v: (v - 0.9) / 0.5, (unknown("x", low=-3.0, high=1.0),))
    deviation = 1.0 / sqrt(5.0)
    assert found.values == pytest.approx([0.72], abs=4e-3)
    assert found.high == pytest.approx([1.0])
    assert found.low == pytest.approx([0.72 - N95 * deviation], abs=0.02)
    other = fit(lambda v: (v + 0.9) / 0.5, (unknown("x", low=-1.0, high=3.0),))
    assert other.low == pytest.approx([-1.0])
    assert other.high == pytest.approx([-0.72 + N95 * deviation], abs=0.02)
    curved = fit(lambda v: (v - 0.9) / 0.5, (unknown("x", low=-3.0, high=1.0),), intervals=False)
    assert curved.high == pytest.approx([1.0])


@pytest.mark.parametrize(
    ("slopes", "felt"),
    [((0.19, 0.0), False), ((0.21, 0.0), True), ((0.15, 0.15), True), ((0.13, -0.13), False)],
)
def test_a_nuisance_that_the_data_do_not_feel_is_left_where_it_began(slopes, felt):
    """Of 0.04 of its prior's information, squares added up over the data."""
    begin = np.array([0.0, 0.5, 0.0])
    law = lambda v: np.array([v[0] - 3.0 + slopes[0] * v[1], slopes[1] * v[1], v[2]])  # noqa: E731
    found = fit(law, (unknown("x"),), beside=(unknown("n"), unknown("m")), begin=begin, intervals=False)
    assert [one.key for one in found.beside] == (["n", "m"] if felt else ["m"])
    assert [one.key for one in found.unfelt] == ([] if felt else ["n"])
    assert len(found.places) == len(found.whole) == found.jacobian.shape[1] == (3 if felt else 2)
    if not felt:
        assert found.values == pytest.approx([(3.0 - 0.5 * slopes[0]) / 2.0], abs=2e-3)


def test_an_interrupt_gives_the_best_so_far_with_the_intervals_of_the_curvature():
    looks = []

    def law(values):
        looks.append(float(values[0]))
        if len(looks) > 8:
            raise KeyboardInterrupt
        return np.array([10.0 * (values[0] ** 3 - 8.0)])

    found = fit(law, (unknown("x", 0.0, 1.0),), begin=np.array([1.0]))
    assert found.interrupted
    best = min(looks[:8], key=lambda x: (10.0 * (x**3 - 8.0)) ** 2 + x**2)
    assert 1.0 < found.values[0] <= max(looks[:8]) + 1e-12
    assert abs(found.values[0] - best) < 0.3
    assert found.residuals.shape == (0,)
    stopped = fit(lambda _: _stop(), (unknown("x", 2.0, 0.5),))
    assert (stopped.interrupted, stopped.values.tolist()) == (True, [2.0])
    assert stopped.low == pytest.approx([2.0 - 0.5 * N95])
    assert (stopped.identified, stopped.confounded) == ((False,), ())


def _stop():
    raise KeyboardInterrupt


@pytest.mark.parametrize(
    ("off", "rows", "again"), [(4.9, 1, False), (5.1, 1, True), (4.9, 9, False), (5.1, 9, True)]
)
def test_a_fit_that_leaves_more_than_five_uncertainties_is_sought_from_elsewhere(
    monkeypatch, off, rows, again
):
    """In the root of the mean square."""
    asked = []
    monkeypatch.setattr(fitting, "_from_elsewhere", lambda search, *rest: asked.append(search) or rest)
    fit(lambda v: np.append(np.full(rows, off), 0.0 * v)[:rows], (unknown("x"),), intervals=False)
    assert bool(asked) is again


class Steps:
    """A search that moves to one place after another."""

    def __init__(self, *places):
        self.places, self.looked = list(places), []

    def look_beside(self, point):
        self.looked.append(point.tolist())

    def descend(self, point):
        return np.array(self.places.pop(0)), f"slope after {point.tolist()}"


@pytest.mark.parametrize(
    ("places", "looks"),
    [
        ([[0.29, -0.29]], 0),
        ([[0.31, 0.0], [0.5, 0.1]], 1),
        ([[0.0, -0.31], [0.1, -0.5]], 1),
        ([[1.0, 0.0], [2.0, 0.0], [2.2, 0.0]], 2),
        ([[float(k), 0.0] for k in range(1, 9)], 5),
    ],
)
def test_derivatives_beside_are_taken_anew_where_the_search_has_moved(places, looks):
    """By three tenths of a deviation in any of them, five times at most."""
    search = Steps(*places[1:])
    point, slope = fitting._settled(search, np.zeros(2), np.array(places[0]), "first", True)
    assert search.looked == places[:looks]
    assert point.tolist() == places[looks]
    assert slope == (f"slope after {places[looks - 1]}" if looks else "first")
    still = Steps(*places[1:])
    assert fitting._settled(still, np.zeros(2), np.array(places[0]), "first", False)[1] == "first"
    assert not still.looked


def test_from_elsewhere_the_lowest_is_taken():
    """Where a blade stalls is begun anew at two deviations either way; data and prior count."""
    search = Steps([0.25, -1.9], [0.0, 1.9])
    search.found = (unknown("a"), unknown("doubt.air_stall"))
    search.weight = np.diag([10.0, 0.0])
    search.data = lambda place: np.array([{-1.9: 0.0, 1.9: 0.5, 1.0: 1.2}[place[1]]])
    point, slope = fitting._from_elsewhere(search, np.array([0.1, 1.0]), "first")
    assert search.looked == [[0.0, -2.0], [0.0, 2.0]]
    assert point.tolist() == [0.0, 1.9]  # the other is lower in the data and further off in the prior
    assert slope == "slope after [0.0, 2.0]"
    stay = Steps([0.25, -1.9], [0.2, 1.9])
    stay.found, stay.weight, stay.data = search.found, search.weight, search.data
    assert fitting._from_elsewhere(stay, np.array([0.1, 1.0]), "first")[0].tolist() == [0.1, 1.0]


def test_a_lower_point_that_intervals_come_by_is_gone_on_from_twice_at_most(monkeypatch):
    search = Search(lambda v: v, (unknown("x"),), None, 1, np.eye(1))
    gone, looked = [], []
    search.look_beside = looked.append
    search.descend = lambda point: gone.append(point.tolist()) or (point - 1.0, np.ones((1, 1)))
    monkeypatch.setattr(fitting, "profiled", lambda _s, point, *_: (point - 1.0, point + 1.0, point + 5.0))
    found = fitting._fitted(search, np.zeros(1), np.ones((1, 1)), 1, True, False, ())
    assert gone == [[5.0], [9.0]]
    assert len(looked) == 2
    assert (found.values.tolist(), found.low.tolist(), found.high.tolist()) == ([8.0], [7.0], [9.0])
    monkeypatch.setattr(fitting, "profiled", lambda *_: _stop())
    cut = fitting._fitted(search, np.zeros(1), np.ones((1, 1)), 1, True, False, ())
    assert cut.interrupted
    assert cut.high == pytest.approx([N95 / sqrt(2.0)])


# -- intervals -------------------------------------------------------------------------------------------


def problem(law, count, low=-50.0, high=50.0):
    return Search(
        law, tuple(unknown(f"u{k}", low=low, high=high) for k in range(count)), None, count, np.eye(count)
    )


def test_ends_of_a_straight_law_are_those_of_its_covariance():
    slopes = np.array([[2.0, 1.0], [1.0, 3.0], [0.5, -1.0]])
    search = problem(lambda v: slopes @ v - 1.0, 2)
    whole = np.linalg.inv(slopes.T @ slopes + np.eye(2))
    point = whole @ slopes.T @ np.ones(3)
    low, high, lower = profiled(search, point, slopes, whole, 2)
    half = N95 * np.sqrt(np.diag(whole))
    assert (low, high) == (pytest.approx(point - half, rel=1e-6), pytest.approx(point + half, rel=1e-6))
    assert lower is None
    assert search.count == 1 + 4 * 2  # at the point, and at each end once and once more beside it


def test_a_profile_that_rises_too_soon_is_no_narrower_than_seven_tenths_of_the_curvature():
    """A wall at 0.3 to either side; the curvature gives 1.96 x 0.5."""
    law = lambda v: np.array([sqrt(3.0) * v[0], 90.0 * max(0.0, abs(v[0]) - 0.3)])  # noqa: E731
    slope = np.array([[sqrt(3.0)], [0.0]])
    low, high, _ = profiled(problem(law, 1), np.zeros(1), slope, np.array([[0.25]]), 1)
    assert (low[0], high[0]) == pytest.approx((-0.7 * N95 * 0.5, 0.7 * N95 * 0.5))


def test_a_profile_is_followed_to_where_it_has_risen_enough():
    """Half as steep as the curvature says: the end lies twice as far; steeper outward: sooner."""
    flat = problem(lambda v: np.array([0.5 * v[0]]), 1)
    flat.weight = np.zeros((1, 1))
    found = _end(flat, np.zeros(1), np.zeros(1), np.array([[1.0]]), np.array([[1.0]]), (0, 1.0))
    assert found.place == pytest.approx(2.0 * N95, rel=1e-6)
    assert found.looks == 2
    bent = problem(lambda v: v + 0.1 * v * np.abs(v), 1)
    bent.weight = np.zeros((1, 1))
    end = _end(bent, np.zeros(1), np.zeros(1), np.array([[1.0]]), np.array([[1.0]]), (0, -1.0))
    assert end.place == pytest.approx(-1.6774, abs=0.01)  # v + v^2 / 10 = 1.96


def test_an_end_has_no_more_room_than_its_bound_and_none_at_it():
    tight = problem(lambda v: v.copy(), 1, -0.4, 0.6)
    tight.weight = np.zeros((1, 1))
    ends = [
        _end(tight, np.array([at]), np.array([at]), np.eye(1), np.eye(1), (0, side)).place
        for at, side in ((0.1, 1.0), (0.1, -1.0), (0.6, 1.0), (-0.4, -1.0))
    ]
    assert ends == pytest.approx([0.6, -0.4, 0.6, -0.4])


def test_a_lower_point_is_told_of_from_half_a_unit_on():
    """Everywhere else the sum of squares is less than where the fit ended."""
    base = np.array([0.0, 2.0])
    for depth, told in ((0.4, False), (0.6, True)):
        search = problem(lambda v: v, 1)
        search.weight = np.zeros((1, 1))
        search.data = lambda place, depth=depth: (
            base if place[0] == 0.0 else np.array([0.0, sqrt(4.0 - depth)])
        )
        search.alone = lambda search=search: search
        lowest = profiled(search, np.zeros(1), np.array([[1.0], [0.0]]), np.eye(1), 1)[2]
        assert (lowest is not None) is told


def test_what_is_beside_a_held_unknown_goes_to_its_least():
    """x held at 2: n of (x + n)^2 / 0.01 + n^2 goes to -2 x 100 / 101; what is held stays."""
    search = problem(lambda v: np.array([10.0 * (v[0] + v[1])]), 2)
    search.weight = np.diag([0.0, 1.0])
    place, slope = np.array([2.0, 0.0]), np.array([[10.0, 10.0]])
    total, lowest, jacobian = _lowest_beside(search, np.zeros(2), place, slope, 0)
    assert lowest == pytest.approx([2.0, -200.0 / 101.0], rel=1e-9)
    assert total == pytest.approx(400.0 / 101.0, rel=1e-9)
    assert jacobian == pytest.approx(slope)
    wrong = np.array([[10.0, 8.0]])  # a slope that was taken elsewhere: put right by what the steps bring
    total, lowest, jacobian = _lowest_beside(search, np.zeros(2), place, wrong, 0)
    assert total == pytest.approx(400.0 / 101.0, rel=0.05)
    assert jacobian[0] @ [2.0, -2.0] == pytest.approx(0.0, abs=2.0)
    alone = problem(lambda v: 3.0 * v, 1)
    total, lowest, _ = _lowest_beside(alone, np.zeros(1), np.array([2.0]), np.array([[3.0]]), 0)
    assert (total, lowest.tolist()) == (pytest.approx(40.0), [2.0])


def test_keys_that_only_their_sum_is_known_of_are_told_as_a_group():
    """Information of 100 along a + b and of `other` across it: under three a direction is open."""
    unknowns = tuple(unknown(key) for key in "abc")
    along, across = np.array([1.0, 1.0, 0.0]) / sqrt(2.0), np.array([1.0, -1.0, 0.0]) / sqrt(2.0)
    third = np.array([0.0, 0.0, 1.0])
    for other, groups, clear in ((2.9, (("a", "b"),), (False, False, True)), (3.1, (), (True, True, True))):
        information = (
            100.0 * np.outer(along, along) + other * np.outer(across, across) + 9.0 * np.outer(third, third)
        )
        assert told_apart(np.linalg.inv(information + np.eye(3)), np.eye(3), unknowns) == (groups, clear)
    tilted = np.array([0.93, 0.367, 0.0])  # 0.367 squared is less than a fifth
    tilted /= np.linalg.norm(tilted)
    rest = np.eye(3) - np.outer(tilted, tilted)
    groups, clear = told_apart(np.linalg.inv(50.0 * rest + np.eye(3)), np.eye(3), unknowns)
    assert (groups, clear) == ((("a",),), (False, True, True))
    joint = np.array([[1.0, 0.5, 0.0], [0.5, 1.0, 0.0], [0.0, 0.0, 1.0]])  # as an earlier fit left them
    assert told_apart(np.linalg.inv(np.linalg.inv(joint) + 9.0 * np.eye(3)), joint, unknowns) == (
        (),
        (True,) * 3,
    )


# -- as the bench ran it ---------------------------------------------------------------------------------


def speed_log(values, test="servo"):
    return Log("s.csv", "", test, np.arange(float(len(values))), {"rotor_speed": np.asarray(values)}, (), ())


@pytest.fixture
def ran(monkeypatch):
    """A scenario is a list of what became of it."""
    monkeypatch.setattr(
        running,
        "with_values",
        lambda one, keys, values: _scenario(*one.became, (keys, values), spin=one.bench.spin),
    )
    monkeypatch.setattr(running, "_on_course", lambda one, _, lag: _scenario(*one.became, ("course", lag)))
    monkeypatch.setattr(running, "lag_at_steady_speed", lambda *_: 0.25)

    def run(data, spin=()):
        one, said = running.as_run(_scenario(spin=spin), data)
        return one.became, said

    return run


def _scenario(*became, spin=()):
    return SimpleNamespace(became=became, bench=SimpleNamespace(spin=spin))


def test_a_bench_ran_at_the_speed_that_was_read_or_logged(ran):
    """Varying by less than three in a thousand a log's mean; more of a servo's test is followed; not of a gauge's."""
    read = Reading("rotor_speed", "rotation", 940.0, None, 0.0, 1, None)
    at = lambda speed: (("rotor.speed",), (pytest.approx(speed),))  # noqa: E731
    assert ran(BenchData({}, (), {}, ())) == ((), [])
    assert ran(BenchData({"rotor_speed": read}, (), {}, ())) == (
        (at(940.0),),
        ["rotor speed as read on the bench"],
    )
    force = Log("f.csv", "", "servo", np.arange(3.0), {"rod_force": np.ones(3)}, (), ())
    steady = speed_log([1002.9, 997.1, float("nan"), 1000.0])
    assert ran(BenchData({}, (force, steady), {}, ())) == ((at(1000.0),), ["rotor speed as logged, its mean"])
    moving = speed_log([1003.2, 996.8])
    assert ran(BenchData({}, (moving,), {}, ())) == (
        (at(1000.0), ("course", 0.25)),
        ["rotor speed follows the log"],
    )
    assert ran(BenchData({}, (speed_log([1003.2, 996.8], "gauge"),), {}, ()))[1] == [
        "rotor speed as logged, its mean"
    ]
    assert ran(BenchData({}, (moving,), {}, ()), spin=(1,))[1] == ["rotor speed as logged, its mean"]
    both = ran(BenchData({"rotor_speed": read}, (steady,), {}, ()))
    assert both == (
        (at(940.0), at(1000.0)),
        ["rotor speed as read on the bench", "rotor speed as logged, its mean"],
    )


def test_the_lag_of_a_log_is_at_constant_speed(monkeypatch):
    monkeypatch.setattr(running, "simulate", lambda one, tests, air: (one, tests, air))
    monkeypatch.setattr(running, "lag_of", lambda *given: given)
    one, log = SimpleNamespace(log=SimpleNamespace(window=0.1)), speed_log([1.0])
    assert running.lag_at_steady_speed(one, log) == (log, (one, frozenset({"servo"}), None), 0.1)


# -- the whole of it -------------------------------------------------------------------------------------


@pytest.fixture
def flow(monkeypatch):
    """A calibration whose steps only say that they were taken."""
    told = {}
    best = SimpleNamespace(interrupted=False, parameters=(), unknowns=("u",))
    model = SimpleNamespace(at=lambda *_: "as written", scatter=1.5)
    monkeypatch.setattr(calibrating, "unknowns", lambda _, free: told.update(checked=free))
    monkeypatch.setattr(calibrating, "bench_model", lambda *_, **__: (model, ("modelled",)))
    monkeypatch.setattr(
        calibrating, "parameters", lambda _s, _m, free: told.update(free=free) or (("u",), ("n",), "before")
    )
    monkeypatch.setattr(calibrating, "usual_free", lambda *_: ("usual",))
    monkeypatch.setattr(
        calibrating,
        "channels",
        lambda _m, _s, keep_aside: told.update(aside=keep_aside) or told.get("logs", ()),
    )
    monkeypatch.setattr(calibrating, "_split_spots", lambda *_: (told.get("spots", ("a",)), ("b",)))
    monkeypatch.setattr(calibrating, "unstated_of", lambda _: ["unstated"])
    monkeypatch.setattr(calibrating.Residuals, "of", lambda *given: given[1:])
    monkeypatch.setattr(calibrating, "fit", lambda *given, **how: told.update(fit=(given, how)) or best)
    monkeypatch.setattr(
        calibrating,
        "_with_scatter_as_left",
        lambda m, *given: told.update(again=True) or (m, ("new",), given[2]),
    )
    monkeypatch.setattr(calibrating, "predicted_aside", lambda *_: ("predicted",))
    monkeypatch.setattr(calibrating, "scattered", lambda scatter: [f"scatter {scatter}"])
    monkeypatch.setattr(calibrating, "fit_in_words", lambda _b, aside, keep: [f"fit {aside} {keep}"])
    monkeypatch.setattr(calibrating, "_there", lambda *_: "there")
    monkeypatch.setattr(
        calibrating, "patterns_left", lambda _m, there, names, raw: [f"pattern {there} {names} {raw}"]
    )
    monkeypatch.setattr(calibrating, "trends_of", lambda _m, there, names: ("trend", there, names))
    monkeypatch.setattr(calibrating, "_misfit", lambda _m, one, *_: {"as written": 9.0, "there": 1.0}[one])
    monkeypatch.setattr(calibrating, "still_off", lambda after: (f"off {after}",))
    monkeypatch.setattr(calibrating, "fit_of_builds", lambda _m, there, names: ("builds", there, names))
    told["best"] = best
    return told, model


def test_a_calibration_takes_its_steps_in_turn(flow):
    told, model = flow
    data = SimpleNamespace(builds=())
    model.data = SimpleNamespace(said=("said",))
    done = calibrating.calibrate("scenario", data)
    assert (told["checked"], told["free"], told["aside"]) == ((), ("usual",), True)
    assert told["fit"][1]["intervals"] is True
    assert (told["fit"][1]["beside"], told["fit"][1]["before"]) == (("n",), "before")
    assert (done.before, done.after, done.aside, done.channels) == (9.0, 1.0, ("predicted",), ("new",))
    assert done.notes == (
        "off 1.0", "pattern there ('a', 'b') ()", "said", "modelled", "unstated", "scatter 1.5",
        "fit ('predicted',) True",
    )  # fmt: skip
    assert done.trends == ("trend", "there", ("a", "b"))
    assert done.builds == ("builds", "there", ("a", "b"))
    calibrating.calibrate("scenario", data, ("own",), keep_aside=False)
    assert (told["checked"], told["free"], told["aside"]) == (("own",), ("own",), False)
    told["logs"] = ("log",)
    calibrating.calibrate("scenario", data)
    assert told["fit"][1]["intervals"] is False  # they are made once the scatter is known
    told.pop("checked")
    calibrating.calibrate("scenario", SimpleNamespace(builds=("other",)))
    assert "checked" not in told  # each build has its own


def test_an_interrupted_calibration_says_less_and_nothing_to_fit_is_refused(flow):
    told, model = flow
    data = SimpleNamespace(builds=())
    model.data = SimpleNamespace(said=())
    told["best"].interrupted = True
    done = calibrating.calibrate("scenario", data)
    assert (done.aside, done.trends, done.builds, done.channels) == ((), (), (), ())
    assert "again" not in told
    assert done.notes == ("off 1.0", "modelled", "unstated", "scatter 1.5", "fit () True")
    told["spots"] = ()
    with pytest.raises(ScenarioError, match="nothing to fit"):
        calibrating.calibrate("scenario", data)
    told["logs"] = ("log",)
    assert calibrating.calibrate("scenario", data).spots == ()
    told["logs"], told["spots"] = (), ("a",)
    assert calibrating.calibrate("scenario", data).spots == ("a",)


def test_a_variant_says_what_was_found_and_what_was_not(monkeypatch):
    """Doubts stand in the joint result alone."""
    told = {}
    entries = [
        Entry(0, "scale.inertia", "ratio", 1.05, 0.02), Entry(1, "linkage.slider_friction", "force", 0.4, 0.1),
        Entry(2, "doubt.profile_drag", "ratio", 0.1, 0.2),
    ]  # fmt: skip
    monkeypatch.setattr(fitted_file, "joint_entries", lambda _: entries)
    monkeypatch.setattr(fitted_file, "typed_key", lambda _, key: f"typed {key}")
    monkeypatch.setattr(fitted_file, "own_file", lambda _: "own")
    monkeypatch.setattr(
        fitted_file, "differing_tables", lambda _, changes: told.update(changes=changes) or {}
    )
    monkeypatch.setattr(fitted_file, "_joint_table", lambda *_: "joint")
    monkeypatch.setattr(fitted_file, "variant_file", lambda *_, **how: told.update(how) or "text")
    unknowns = tuple(unknown(entry.key) for entry in entries[:2])
    done = SimpleNamespace(
        data=SimpleNamespace(digests={"/x/a.csv": "0123456789abcdef0"}), scenario=SimpleNamespace(title="rig"),
        fitted=SimpleNamespace(unknowns=unknowns, identified=(True, False)),
    )  # fmt: skip
    assert fitted_file.variant_text(done, Path("there/new.toml"), ("c",)) == "text"
    assert told["changes"] == {
        "notes": '"Fitted to a.csv (sha256 0123456789abcdef): scale.inertia. Not determined by this data, but part of '
        'the fit: linkage.slider_friction."',
        "typed scale.inertia": 1.05,
        "typed linkage.slider_friction": "0.4 N",
    }
    assert told["remarks"] == {
        "scale.inertia": "95 %: 1.03 to 1.07",
        "linkage.slider_friction": "not determined by this data: goes with the others",
    }  # fmt: skip
    assert told["tables"] == {"fitted": "joint"}
    assert told["title"] == "rig, fitted to bench data"
    done.fitted.identified = (True, True)
    fitted_file.variant_text(done, Path("there/new.toml"))
    assert "Not determined" not in told["changes"]["notes"]


def test_the_build_as_fitted_leaves_out_what_passes_and_the_speed_that_was_read(monkeypatch):
    monkeypatch.setattr(improved, "with_values", lambda *given: given)
    found = (unknown("a"), unknown("doubt.stick"), replace(unknown("rotor.speed"), why=AS_READ), unknown("b"))
    done = SimpleNamespace(fitted=SimpleNamespace(parameters=found, best=np.arange(4.0)), scenario="scenario")
    assert improved.as_fitted(done) == ("scenario", ("a", "b"), (0.0, 3.0))


def test_what_would_tell_is_asked_over_the_usual_unknowns_and_the_models_doubts(monkeypatch):
    told, said = [], []
    doubt = replace(unknown("doubt.x", 0.5), why="the model's doubt")
    monkeypatch.setattr(sheets, "unknowns", lambda _, free: tuple(unknown(key, 2.0) for key in free))
    monkeypatch.setattr(sheets, "usual_free", lambda *_: ("a", "b"))
    monkeypatch.setattr(sheets, "nuisances", lambda *_: (unknown("tolerance"), doubt))
    monkeypatch.setattr(sheets, "bench_model", lambda *_, **__: ("model", ()))
    before = [0.3]
    monkeypatch.setattr(
        sheets,
        "next_measurement",
        lambda done, aim: told.append((done, aim)) or SimpleNamespace(before=before[0]),
    )
    assert sheets.what_would_tell("scenario", said.append).before == 0.3
    done, aim = told[0]
    assert aim == "rod_force_push"
    assert [one.key for one in done.fitted.parameters] == ["a", "b", "doubt.x"]
    assert done.fitted.values.tolist() == [2.0, 2.0, 0.5]
    assert done.fitted.whole.tolist() == np.eye(3).tolist()
    assert (done.fitted.jacobian.shape, done.fitted.residuals.shape) == ((0, 3), (0,))
    assert (done.fitted.identified, done.fitted.evaluations, done.before, done.after) == (
        (False,) * 3,
        0,
        1.0,
        1.0,
    )
    assert said == ["what would tell most, over 3 unknowns"]
    before[0] = 0.0
    assert sheets.what_would_tell("scenario") is None
