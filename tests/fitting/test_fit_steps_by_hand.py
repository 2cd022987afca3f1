"""Steps of a fit, a match and a sheet of readings by hand: what is sought, how far, what is left, what is asked."""

from dataclasses import replace
from math import exp, hypot, log, sqrt
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.bench.logs import Log
from featherbench.bench.own_instruments import Instrument
from featherbench.bench.readings import BenchData, Reading
from featherbench.fitting import bench_sheet as sheets
from featherbench.fitting import calibrate as calibrating
from featherbench.fitting import match as matching
from featherbench.fitting import model as models
from featherbench.fitting import next_measurement as asking
from featherbench.fitting import nuisances as beside
from featherbench.fitting.bench_sheet import AtPitch, BenchSheet, pitches_to_read
from featherbench.fitting.calibrate import _split_spots, usual_free
from featherbench.fitting.data import Channel
from featherbench.fitting.match import normalised_error
from featherbench.fitting.misfit import Bench, Point, half_loop, laid_out, patterns, points_by_hand
from featherbench.fitting.model import BenchModel
from featherbench.fitting.readings_file import readings_csv
from featherbench.fitting.search import Held, Search, correlation_of, values_of
from featherbench.fitting.unknowns import Unknown, _unknown
from featherbench.sampling.fitted_joint import Found
from featherbench.sampling.inputs import Input

DEG = np.deg2rad(1.0)


def unknown(key, start=0.0, deviation=1.0, low=-50.0, high=50.0, **more):
    return Unknown(key, "ratio", start, deviation, low, high, "", **more)


# -- what is sought --------------------------------------------------------------------------------------


def test_places_of_a_number_and_of_a_factor():
    plain, factor = unknown("a", 2.0, 0.5), unknown("b", 2.0, 0.5, factor=True)
    assert (plain.at(3.0), plain.place(3.5), plain.spread_at(7.0)) == (3.5, 3.0, 0.5)
    assert factor.at(3.0) == pytest.approx(2.0 * exp(1.5))
    assert factor.place(2.0 * exp(1.5)) == pytest.approx(3.0)
    assert factor.spread_at(7.0) == 3.5
    assert values_of((plain, factor), np.array([1.0, 2.0])) == pytest.approx([2.5, 2.0 * exp(1.0)])


def test_what_is_known_of_a_number_beforehand(scenario_of):
    """A usual one by the table of such; one with a tolerance by it, six of them either way; any other by a tenth... of
    what is above zero no less than a twentieth is tried.
    """
    rig = scenario_of(part={"blade": {"mass": "5.6 +/- 0.1 g"}}, bearing={"starting_moment": "0.3 +/- 0.09 N*mm"},
                      linkage={"lever_out": "14 +/- 4 mm"})  # fmt: skip
    usual = _unknown(rig, "scale.inertia")
    assert (usual.start, usual.deviation, usual.low, usual.high, usual.why) == (
        1.0,
        0.05,
        0.5,
        2.0,
        "judgement",
    )
    mass = _unknown(rig, "part.blade.mass")
    assert mass.deviation == pytest.approx(0.1e-3 / sqrt(3.0))
    assert (mass.low, mass.high) == pytest.approx((5.0e-3, 6.2e-3))
    assert (mass.kind, mass.why) == ("mass", "its tolerance")
    lever = _unknown(rig, "linkage.lever_out")
    assert (lever.low, lever.high) == pytest.approx((0.05 * 14e-3, 38e-3))
    typed = _unknown(rig, "bearing.starting_moment")
    assert typed.deviation == pytest.approx(0.09e-3 / sqrt(3.0))
    assert (typed.low, typed.high) == pytest.approx((0.02 * 0.3e-3, 8.0 * 0.3e-3))
    other = _unknown(rig, "linkage.rod_length")
    assert (other.deviation, other.low, other.high) == pytest.approx((0.05, 0.15, 1.5))
    with pytest.raises(ValueError, match="slider_load_friction"):
        _unknown(rig, "linkage.slider_load_friction")


def test_a_thing_that_varies_is_a_nuisance_with_its_own_distribution():
    """A rectangle by its deviation, four of them either way; of a mass never below a twentieth; a factor by its
    logarithm and twice as far; what a fit found as that left it.
    """
    even = beside._of_input(Input("part.a.mass", 8.0, 12.0, "mass"))
    assert (even.start, even.deviation) == pytest.approx((10.0, 2.0 / sqrt(3.0)))
    assert (even.low, even.high) == pytest.approx((10.0 - 8.0 / sqrt(3.0), 10.0 + 8.0 / sqrt(3.0)))
    assert (even.why, even.factor, even.kind) == ("its tolerance", False, "mass")
    wide = beside._of_input(Input("part.a.mass", 1.0, 19.0, "mass"))
    assert wide.low == pytest.approx(0.5)
    doubt = beside._of_input(Input("doubt.x", -0.9, 1.1, "ratio"))
    assert (doubt.why, doubt.start) == ("the model's doubt", pytest.approx(0.1))
    assert doubt.low == pytest.approx(0.1 - 4.0 / sqrt(3.0))
    below = beside._of_input(Input("part.a.at.normal", -2.0, 0.0, "length"))
    assert below.low == pytest.approx(-1.0 - 4.0 / sqrt(3.0))
    factor = beside._of_input(Input("doubt.shaking", 1.0 / 3.0, 3.0, "ratio"))
    assert (factor.start, factor.factor) == (1.0, True)
    assert factor.deviation == pytest.approx(log(3.0) / 1.959964)
    assert (factor.low, factor.high) == pytest.approx((1.0 / 9.0, 9.0))
    found = Found("part.a.mass", "mass", 5.0, 0.5, (1.0,))
    kept = beside._of_input(Input("part.a.mass", 4.0, 6.0, "mass", found))
    assert (kept.start, kept.deviation, kept.low, kept.high) == pytest.approx((5.0, 0.5, 3.0, 7.0))
    assert (kept.why, kept.factor) == ("an earlier fit", False)


def test_what_is_freed_or_already_there_is_no_nuisance(monkeypatch):
    inputs = [Input(key, 1.0, 2.0, "ratio") for key in ("a", "gauge.uncertainty", "doubt.stick", "doubt.axis_at",
                                                        "linkage.stiffness", "free")]  # fmt: skip
    listed = [
        unknown(key) for key in ("linkage.stiffness", "servo.gear_friction", "scale.inertia", "part.x.mass")
    ]
    monkeypatch.setattr(beside, "varied_inputs", lambda _: inputs)
    monkeypatch.setattr(beside, "listed_unknowns", lambda _: listed)
    found = beside.nuisances(None, (unknown("free"),))
    assert [(one.key, one.why) for one in found] == [
        ("a", "its tolerance"), ("doubt.axis_at", "the model's doubt"), ("linkage.stiffness", "its tolerance"),
        ("servo.gear_friction", "typed without a tolerance"),
    ]  # fmt: skip
    freed = beside.nuisances(None, (unknown("blade.axis_at"), unknown("servo.gear_friction")))
    assert [one.key for one in freed] == ["a", "linkage.stiffness", "free"]  # its doubt is freed with it


def rotor(speed=1000.0, spin=()):
    return SimpleNamespace(rotor=SimpleNamespace(speed=speed), bench=SimpleNamespace(spin=spin))


def read_speed(uncertainty=None):
    return BenchData(
        {"rotor_speed": Reading("rotor_speed", "rotation", 1000.0, uncertainty, 0.0, 1, None)}, (), {}, ()
    )


def test_a_speed_that_was_read_is_known_as_well_as_the_reading():
    """10 rad/s at 95 %: five; unstated half a per cent; sought within a tenth."""
    others = (unknown("a"), unknown("rotor.speed", 999.0, 77.0))
    for data, deviation in ((read_speed(10.0), 5.0), (read_speed(), 5.0), (read_speed(4.0), 2.0)):
        first, own = beside.at_bench_speed(others, rotor(), data)
        assert first == others[0]
        assert (own.start, own.deviation, own.low, own.high) == pytest.approx(
            (1000.0, deviation, 900.0, 1100.0)
        )
    (added,) = beside.at_bench_speed((), rotor(2000.0), read_speed())
    assert added.deviation == pytest.approx(10.0)
    assert beside.at_bench_speed(others, rotor(), BenchData({}, (), {}, ())) == others
    course = Log("s.csv", "", "servo", np.arange(3.0), {"rotor_speed": np.ones(3)}, (), ())
    plain = Log("s.csv", "", "servo", np.arange(3.0), {"rod_force": np.ones(3)}, (), ())
    logged = BenchData({}, (plain, course), {}, ())
    assert beside.at_bench_speed((), rotor(), logged)[0].deviation == pytest.approx(5.0)
    assert beside.at_bench_speed(others, rotor(), BenchData({}, (plain,), {}, ())) == others
    assert beside.at_bench_speed(others, rotor(spin=(1,)), logged) == others[:1]  # its course says it


def test_what_an_earlier_fit_left_between_two_keys_is_kept(monkeypatch):
    """Rows of mixing (1), (0.6, 0.8): correlated by 0.6; what that fit had not stands for itself."""
    found = [Found("a", "ratio", 1.0, 0.1, (1.0,)), Found("b", "ratio", 1.0, 0.1, (0.6, 0.8))]
    inputs = [Input(one.key, 0.0, 1.0, "ratio", one) for one in found] + [Input("c", 0.0, 1.0, "ratio")]
    monkeypatch.setattr(beside, "varied_inputs", lambda _: inputs)
    whole = beside.correlation_before(None, tuple(unknown(key) for key in "bca"))
    assert whole == pytest.approx(np.array([[1.0, 0.0, 0.6], [0.0, 1.0, 0.0], [0.6, 0.0, 1.0]]))
    monkeypatch.setattr(beside, "varied_inputs", lambda _: inputs[2:])
    assert beside.correlation_before(None, (unknown("c"), unknown("d"))).tolist() == np.eye(2).tolist()


# -- the search ------------------------------------------------------------------------------------------


def search(law, *found, free=None, before=None):
    count = len(found)
    return Search(
        law, found, None, count if free is None else free, np.eye(count) if before is None else before
    )


def test_derivatives_are_central_and_stay_within_bounds():
    """Of x^2 and x^3 over a quarter to each side: 2 x, and 3 x^2 + a sixteenth; at a bound over what is left."""
    one = search(lambda v: np.array([v[0] ** 2, v[0] ** 3]), unknown("x", low=-1.0, high=1.0))
    slope = one.columns(np.array([0.5]), range(1))
    assert slope[:, 0] == pytest.approx([1.0, 0.75 + 0.0625])
    assert one.count == 2
    at_top = one.columns(np.array([1.0]), range(1))
    assert at_top[:, 0] == pytest.approx([(1.0 - 0.75**2) / 0.25, (1.0 - 0.75**3) / 0.25])
    at_foot = one.columns(np.array([-1.0]), range(1))
    assert at_foot[0, 0] == pytest.approx(-(1.0 - 0.75**2) / 0.25)


def test_two_unknowns_have_each_their_own_column():
    two = search(lambda v: np.array([3.0 * v[0] + 5.0 * v[1], v[0] * v[1]]), unknown("x"), unknown("y"))
    assert two.columns(np.array([1.0, 2.0]), range(2)) == pytest.approx(np.array([[3.0, 5.0], [2.0, 1.0]]))
    assert two.slope(np.array([1.0, 2.0])).shape == (2, 2)
    assert two.whole_slope(np.array([1.0, 2.0]))[2:] == pytest.approx(np.eye(2))


@pytest.mark.parametrize(("place", "step"), [(0.0, 0.4), (0.9, -0.4), (-0.9, 0.4)])
def test_nuisances_are_looked_at_to_one_side_away_from_the_nearer_bound(place, step):
    one = search(
        lambda v: np.array([v[0] + v[1] ** 2, v[2]]),
        unknown("x"), unknown("n", low=-1.0, high=1.0), unknown("m"), free=1,
    )  # fmt: skip
    one.look_beside(np.array([7.0, place, 0.0]))
    assert one.beside == pytest.approx(np.array([[2.0 * place + step, 0.0], [0.0, 1.0]]))
    assert one.slope(np.array([7.0, place, 0.0])) == pytest.approx(np.hstack([[[1.0], [0.0]], one.beside]))
    smaller, point = one.only([0, 2], np.array([7.0, place, 3.0]))
    assert point.tolist() == [7.0, 3.0]
    assert smaller.beside == pytest.approx(np.array([[0.0], [1.0]]))
    assert smaller.count == one.count > 0
    assert [known.key for known in smaller.found] == ["x", "m"]


def test_looks_at_the_data_are_counted_once_each_and_the_best_is_kept():
    told = []
    one = search(lambda v: np.array([v[0] - 1.0]), unknown("x"))
    one.progress = told.append
    for place in (3.0, 1.5, 2.0, 1.5):
        assert one.whole(np.array([place])).tolist() == [place - 1.0, place]
    assert one.count == 3
    assert (one.best[0], one.best[1].tolist()) == (pytest.approx(2.5), [1.5])
    assert told[-1] == "3 evaluations, sum of squares 2.5"
    alone = one.alone()
    alone.data(np.array([9.0]))
    assert (alone.count, one.count) == (1, 3)
    assert search(lambda v: v, unknown("x")).count == 0
    one.all_data([np.array([1.5]), np.array([5.0]), np.array([6.0])])
    assert one.count == 5


def test_a_search_ends_at_the_least_of_data_and_prior():
    """x read to 0.1 as 3, known to 1 about 0: 300 / 101 with the prior; the Jacobian is the data's own."""
    one = search(lambda v: (v - 3.0) / 0.1, unknown("x"))
    point, jacobian = one.descend(np.zeros(1))
    assert point == pytest.approx([300.0 / 101.0], rel=1e-6)
    assert jacobian == pytest.approx(np.array([[10.0]]))
    begun = search(lambda v: (v - 3.0) / 0.1, unknown("x", low=-1.0, high=2.0))
    assert begun.descend(np.full(1, 2.0))[0] == pytest.approx([2.0], abs=1e-4)  # from the bound itself


def test_a_search_stops_where_a_step_gains_next_to_nothing():
    """Less than a hundredth of the sum of squares: of a root that it nears more slowly than by half."""
    looks = []

    def law(values):
        looks.append(1)
        return np.array([np.sign(values[0]) * abs(values[0]) ** 1.7 / 40.0, 3.0])

    one = search(law, unknown("x", 0.0, 1.0))
    one.weight = one.weight * 1e-6
    point, _ = one.descend(np.array([4.0]))
    assert 0.1 < abs(point[0]) < 2.6
    assert len(looks) < 25


def test_a_search_goes_on_while_the_prior_is_what_falls():
    """Begun where the data are met and the prior is 16: (0.05 (v^2 - 16))^2 + v^2 is least at 0, two steps away."""
    one = search(lambda v: 0.05 * (v**2 - 16.0), unknown("x"))
    point, _ = one.descend(np.array([4.0]))
    assert abs(point[0]) < 0.1
    other = search(
        lambda v: np.array([0.0 * v[0], 4.0 * np.tanh(v[0])]), unknown("x")
    )  # and where the data fall
    other.weight = other.weight * 1e-3
    assert abs(other.descend(np.array([1.2]))[0][0]) < 0.1


def test_correlation_and_what_is_held():
    assert correlation_of(np.array([[4.0, -3.0], [-3.0, 9.0]])) == pytest.approx(
        np.array([[1.0, -0.5], [-0.5, 1.0]])
    )
    held = Held(lambda v: v, np.array([1.0, 2.0, 3.0]), (2, 0))
    assert held(np.array([9.0, 8.0])).tolist() == [8.0, 2.0, 9.0]


# -- how well it fits ------------------------------------------------------------------------------------


def test_a_misfit_counts_a_reading_once_and_a_log_by_its_effective_samples(monkeypatch):
    """Readings of 1 and 3 uncertainties; a log of 200 rows of 2 each, twenty of which make one: 10 + 10 x 4 over 12."""
    rows = np.arange(400) < 200
    raw = Channel(0, "rod_force", "force", 0.1, 0.1, 1.0, rows, ~rows)
    monkeypatch.setattr(calibrating, "spots_off", lambda *_: np.array([1.0, -3.0]))
    monkeypatch.setattr(
        calibrating, "channel_residuals", lambda *_: np.append(np.full(200, 2.0), [50.0, 70.0])
    )
    off = calibrating._misfit(None, None, ("a", "b"), (raw,), (replace(raw, autocorrelation_time=20.0),))
    assert off == pytest.approx((10.0 + 10.0 * 4.0) / 12.0)
    assert calibrating._misfit(None, None, ("a", "b"), (), ()) == pytest.approx(5.0)


def test_a_fit_is_made_once_more_with_the_scatter_that_it_left(monkeypatch):
    """Where there are logs, or forces by hand scatter by more than 1.3."""
    made = []
    best = SimpleNamespace(residuals=0, jacobian=0, whole=0, parameters=(), unknowns=("u",), beside=("n",), before="c",
                           places="p", unfelt=("x",))  # fmt: skip
    monkeypatch.setattr(calibrating, "_there", lambda *_: "there")
    monkeypatch.setattr(calibrating, "aligned", lambda model, _: model)
    monkeypatch.setattr(calibrating, "reweighted", lambda _model, _there, channel: f"new {channel}")
    monkeypatch.setattr(calibrating.Residuals, "of", lambda model, *_: f"residuals at {model.scatter}")

    def fitted(residuals, unknowns, **how):
        made.append((residuals, unknowns, how))
        return SimpleNamespace(unfelt=("y",))

    monkeypatch.setattr(
        calibrating, "replace", lambda one, **changes: SimpleNamespace(**{**vars(one), **changes})
    )
    model = SimpleNamespace(scatter=1.0)

    def again(scatter, *logged):
        made.clear()
        monkeypatch.setattr(calibrating, "scatter_by_hand", lambda *_: scatter)
        return calibrating._with_scatter_as_left(model, ("s",), logged, best, fitted)

    assert again(1.3) == (model, (), best)
    assert not made
    own, logged, found = again(1.31)
    assert (own.scatter, logged, found.unfelt) == (1.31, (), ("x", "y"))
    assert made == [("residuals at 1.31", ("u",), {"beside": ("n",), "before": "c", "begin": "p"})]
    own, logged, _ = again(1.2, "channel")
    assert (own.scatter, logged) == (1.0, ("new channel",))


def spot(name, value=1.0, kind="force", **more):
    return Reading(name, kind, value, 0.2, 0.0, 1, None, **more)


def test_readings_are_kept_aside_from_two_more_than_unknowns_on_or_beside_a_log():
    data = BenchData({name: spot(name) for name in "abcd"}, (), {}, ())
    assert _split_spots(data, 2, True) == (("a", "b", "c"), ("d",))
    assert _split_spots(data, 3, True) == (("a", "b", "c", "d"), ())
    both = replace(data, logs=(Log("s.csv", "", "servo", np.arange(3.0), {}, (), ()),))
    assert _split_spots(both, 3, True) == (("a", "b", "c"), ("d",))


def test_only_what_has_a_value_to_start_from_is_freed(scenario_of):
    force = BenchData({"gauge_push": spot("gauge_push")}, (), {}, ())
    assert usual_free(force, scenario_of()) == ("scale.inertia", "linkage.slider_friction")
    assert usual_free(force, scenario_of(linkage={"slider_friction": "0 N"})) == ("scale.inertia",)
    word = BenchData({"release": spot("release", "stays", "text")}, (), {}, ())
    assert usual_free(word, scenario_of()) == ("scale.inertia", "linkage.slider_friction")
    current = BenchData({"meter_hold": spot("meter_hold", 1.0, "current")}, (), {}, ())
    odd = scenario_of()
    bare = odd.model_copy(
        update={"servo": odd.servo.model_copy(update={"gear_friction": 0.0, "stall_current": 0.0})}
    )
    assert usual_free(current, bare) == ("scale.inertia",)


# -- a match ---------------------------------------------------------------------------------------------


def test_a_difference_without_any_uncertainty_is_endless():
    assert normalised_error(5.0, 4.0, 0.3, 0.4) == pytest.approx(1.0)
    assert [normalised_error(value, 4.0, 0.0, 0.0) for value in (4.0, 5.0, 3.0)] == [0.0, np.inf, -np.inf]
    assert matching._judged("a", "force", 5.0, 4.0, 0.3, 0.4).verdict == "agrees"  # exactly what both allow
    assert matching._judged("a", "force", 5.01, 4.0, 0.3, 0.4).verdict.startswith(
        "simulated too large: 1.0 times"
    )


def test_a_verdict_that_differs_says_how_many_samples_say_it():
    model = SimpleNamespace(data=BenchData({"release": spot("release", "stays", "text")}, (), {}, ()))

    def matched(said, *samples):
        there = SimpleNamespace(spots={"release": said})
        return matching._matched(
            model, "release", there, there, [{"release": one} for one in samples], None
        ).verdict

    assert matched("stays", "returns") == "agrees"
    assert (
        matched("returns", "stays", "returns", "stays", "runs out")
        == "differs; 50 % of the samples say stays"
    )
    assert matched("returns") == "differs; 0 % of the samples say stays"


def test_the_verdict_of_all_counts_exactly_one_as_agreeing():
    made = [
        replace(matching._judged("gauge_push", "force", 5.0, 4.0, 0.3, 0.4), e_n=e_n)
        for e_n in (1.0, -1.0, 1.2)
    ]
    course = SimpleNamespace(name="rod_force_push", inside=0.876)
    said = matching._verdict(made, [course])
    assert said.startswith("2 of 3 quantities agree")
    assert said.endswith(": 88 % of the samples lie within both sides' 95 %.")
    same = matching._judged("release", "text", 1.0, 1.0, 1.0, 1.0)
    agreeing = replace(same, kind="text", e_n=None)
    assert "the model says" not in matching._verdict([agreeing], [])


@pytest.mark.parametrize(("role", "peaks"), [("rod_force", 2), ("supply_current", 1)])
def test_a_logged_column_by_hand(monkeypatch, role, peaks):
    """A course of 5 N with samples at 4, 5 and 6; logged 5.5, of an instrument that is known to hypot(0.3, 0.4) / 1:
    within 6 + 2 x 0.5. Of eight rows one is not compared, one is beyond.
    """
    measured = np.array([5.5, 5.5, 5.5, 5.5, 7.1, 3.1, 2.9, 5.5])
    kept = np.arange(8) < 7
    course = np.array([5.0] * 8)
    column = Channel(0, role, "force", 0.3, 0.4, 1.0, kept, ~kept)
    log_ = Log("s.csv", "", "servo", np.arange(8.0), {role: measured}, (), ())
    model = SimpleNamespace(data=SimpleNamespace(logs=(log_,)), lags=(0.25,))
    monkeypatch.setattr(matching, "channels", lambda *_: (replace(column, role="pitch"), column))
    monkeypatch.setattr(matching, "as_logged", lambda _model, shift, *_: course + shift)
    monkeypatch.setattr(matching, "interval", lambda _places, away, _of: (away.min(axis=0), away.max(axis=0)))
    made, found = matching._series(model, (0, role), 0.0, (np.zeros((3, 1)), ()), [-1.0, 0.0, 1.0])
    assert made.low[:7].tolist() == [4.0] * 7
    assert made.high[:7].tolist() == [6.0] * 7
    assert np.isnan([made.low[7], made.high[7], made.simulated[7], made.measured[7]]).all()
    assert made.inside == pytest.approx(5 / 7)  # 7.1 and 2.9 are out by a tenth
    error = (course - measured)[:7]
    assert (made.bias, made.scatter, made.lag) == pytest.approx((error.mean(), error.std(), 0.25))
    assert [one.name for one in found] == [f"{role}_largest (log 1)", f"{role}_least (log 1)"][:peaks]
    assert found[0].u_simulated == pytest.approx(1.0)
    assert found[0].u_measured == pytest.approx(0.5)
    assert (found[0].simulated, found[0].measured) == (5.0, 7.1)
    bare, single = matching._series(model, (0, role), 0.0, (np.zeros((0, 1)), ()), [])
    assert bare.low[:7].tolist() == bare.high[:7].tolist() == [5.0] * 7
    assert single[0].u_simulated == 0.0


# -- what is left over -----------------------------------------------------------------------------------

RUN = SimpleNamespace(
    pitch=np.array([-1.0, 0.0, 1.0]), up=np.array([-6.0, 2.0, 12.0]), down=np.array([-10.0, -2.0, 6.0])
)


def test_points_of_readings_by_hand():
    """Beside the load between both ways; at another speed with its square; the gauge's own error apart."""
    rig = SimpleNamespace(
        gauge=SimpleNamespace(uncertainty=0.2, resolution=0.0), rotor=SimpleNamespace(speed=1000.0)
    )
    readings = {
        "up": Reading("up", "force", 8.0, 0.5, 0.0, 4, 1, pitch=0.5, rising=True, file="a.csv"),
        "down": Reading("down", "force", 2.5, 0.2, 0.0, 1, 1, pitch=0.5, rising=False, speed=800.0),
        "some": Reading("some", "force", 5.0, 0.2, 0.0, 1, 1, pitch=0.5, instrument=Instrument(None, None)),
        "push": Reading("push", "force", 5.0, 0.2, 0.0, 1, 1),
        "lost": Reading("lost", "force", 5.0, 0.2, 0.0, 1, 1, pitch=0.1),
    }
    model = SimpleNamespace(data=SimpleNamespace(readings=readings), scenario=rig)
    there = SimpleNamespace(
        gauge=RUN,
        spots={"up": 7.0, "down": 2.0, "some": 4.5, "push": 5.0, "lost": "no"},
        sampling={"up": 0.6},
    )
    up, down, some = points_by_hand(model, there, tuple(readings))
    own = sqrt(0.25**2 - 0.1**2)
    assert up == (0.5, 1.0, 4.5, 1.0, pytest.approx(hypot(own, 0.3)), 1.0, "a.csv")
    assert (down.way, down.load, down.left, down.speed) == pytest.approx((-1.0, 4.5 * 0.64, 0.5, 0.8))
    assert down.doubt == pytest.approx(5e-3)  # no surer than the quietest log
    assert some.way == 0.0
    assert points_by_hand(model, SimpleNamespace(gauge=None, spots=there.spots), ("up",)) == []
    assert half_loop(SimpleNamespace(gauge=RUN)) == pytest.approx(0.5 * (4.0 + 4.0 + 6.0) / 3.0)
    assert half_loop(SimpleNamespace(gauge=None)) == 0.0


def straight(count, slope=0.0, off=0.0, doubt=0.1):
    """Forces of -4 to 4 N, each way in turn, wrong by a share of the load and, where it rises, by so much."""
    loads = np.linspace(-4.0, 4.0, count)
    return [
        Point(0.1 * load, way, load, slope * load + off * way * abs(load) / 4.0, doubt)
        for load, way in zip(loads.tolist(), [1.0, -1.0] * count, strict=False)
    ]


def test_shapes_are_laid_out_with_the_scatter_that_is_there():
    """By numpy's own straight line and its covariance, scaled by what is left over the free points."""
    noise = np.random.default_rng(2).normal(0.0, 0.3, 12)
    x = np.linspace(-1.0, 1.0, 12)
    points = [Point(0.0, 1.0, 0.0, 0.5 * a + b, 0.1) for a, b in zip(x.tolist(), noise.tolist(), strict=True)]
    found = laid_out(points, {"zero": np.ones(12), "slope": x})
    line, covariance = np.polyfit(x, 0.5 * x + noise, 1, cov=True)
    assert (found["slope"][0], found["zero"][0]) == pytest.approx(tuple(line))
    assert (found["slope"][1], found["zero"][1]) == pytest.approx(tuple(np.sqrt(np.diag(covariance))))
    sure = laid_out([one._replace(doubt=1.0) for one in points], {"zero": np.ones(12)})
    assert sure["zero"][1] == pytest.approx(1.0 / sqrt(12.0))  # never less than the instrument's
    two = laid_out(points[:2], {"zero": np.ones(2), "slope": x[:2]})
    assert two["zero"][1] > 0.0
    assert laid_out(points, {"zero": np.ones(12), "same": 2.0 * np.ones(12)}) == {}


BENCH = Bench((None, None), (-0.4, 0.4), 1.0, 0.0)


def test_a_pattern_needs_three_points_more_than_shapes():
    """Zero, proportion, width and ends are four."""
    wide = straight(8, off=2.0, doubt=1e-3)
    assert len(patterns(wide[:7], BENCH)) == 1
    assert patterns(wide[1:7], BENCH) == []


def test_a_pattern_is_named_from_a_hundredth_of_the_largest_force_on():
    """Whichever the sign of that; and from what the gauge itself is unsure of."""
    for sign in (1.0, -1.0):
        points = [one._replace(load=sign * one.load) for one in straight(40, doubt=1e-6)[:-8]]
        small, large = ([one._replace(left=part * one.way * abs(one.pitch) / 0.4) for one in points]
                        for part in (0.038, 0.042))  # fmt: skip
        assert patterns(small, BENCH) == []
        assert len(patterns(large, BENCH)) == 1
        assert patterns(large, BENCH._replace(gauge=0.043)) == []


# -- the model -------------------------------------------------------------------------------------------


def test_air_is_kept_where_nothing_that_shapes_it_changes():
    model = BenchModel(None, None, frozenset(), "air")
    assert model.air_of(None, ("part.a.mass", "rotor.speed")) == "air"
    for key in ("doubt.air_stall", "doubt.axis_at", "blade.axis_at", "blade.chord", "air.density"):
        assert model.air_of(None, ("part.a.mass", key)) is None
    family = models.AirFamily.__new__(models.AirFamily)
    own = BenchModel(None, None, frozenset(), family)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(models.AirFamily, "at", lambda _self, scenario: f"of {scenario}")
        assert own.air_of("build", ("doubt.air_stall", "blade.axis_at")) == "of build"
        assert own.air_of("build", ("blade.chord",)) is None


@pytest.mark.parametrize(("test", "key"), [("gauge", "[gauge] sweep"), ("servo", "[bench] programme")])
def test_a_log_out_of_step_is_told_what_to_set(test, key):
    clock = np.arange(0.0, 4.0, 0.01)
    course = np.sin(3.0 * clock**2)
    own = Log(
        "own.csv",
        "",
        test,
        np.arange(0.0, 2.0, 0.01),
        {"rod_force": np.cos(5.0 * np.arange(0.0, 2.0, 0.01))},
        (),
        (),
    )
    there = SimpleNamespace(
        gauge=SimpleNamespace(time=clock, force=course, pitch_series=None),
        servo=SimpleNamespace(time=clock, rod_force=course, pitch=None, supply_current=None),
    )
    (said,) = models._out_of_step(SimpleNamespace(data=SimpleNamespace(logs=(own,)), lags=(0.0,)), there)
    assert f"set {key} as it was run" in said


def test_a_reading_or_a_log_belongs_to_its_build():
    def one(name, *logs):
        model = SimpleNamespace(data=SimpleNamespace(logs=logs), scenario=f"scenario of {name}")
        return SimpleNamespace(name=name, model=model)

    builds = (one("a", 1, 2), one("b"), one("c", 3))
    model = BenchModel("first", None, frozenset(), None, builds=builds)
    there = SimpleNamespace(builds=("A", "B", "C"))
    assert [model.of_log(number, there)[1:] for number in range(3)] == [("A", 0), ("A", 1), ("C", 0)]
    with pytest.raises(IndexError):
        model.of_log(3, there)
    assert BenchModel("only", None, frozenset(), None).of_log(5, "there")[1:] == ("there", 5)
    assert [model.scenario_of(name) for name in ("x", "x (b)", "x (c)", "x (a)")] == [
        "first", "scenario of b", "scenario of c", "first",
    ]  # fmt: skip


def test_speeds_beside_the_scenarios_own_go_with_it(monkeypatch):
    asked = []

    class Other:
        data = SimpleNamespace(readings={"slow": 1})

        def at(self, keys, values, **how):
            asked.append((keys, values, how["verdicts"]))
            return SimpleNamespace(
                spots={"slow": 3.0, "gauge_push": 9.0}, sampling={"slow": 0.1, "gauge_push": 0.2}
            )

    own = SimpleNamespace(spots={"gauge_push": 5.0}, sampling={"gauge_push": 0.5})
    model = BenchModel(None, None, frozenset(), None, others=((0.5, Other()),))
    monkeypatch.setattr(
        models, "replace", lambda one, **changes: SimpleNamespace(**{**_fields(one), **changes})
    )

    def _fields(one):
        return {"at": lambda *_, **__: own} if one is model else vars(one)

    found = model._with_others(("rotor.speed", "a"), (1000.0, 7.0), 1.0, True)
    assert asked == [(("rotor.speed", "a"), (500.0, 7.0), False)]
    assert found.spots == {"gauge_push": 5.0, "slow": 3.0}
    assert found.sampling == {"gauge_push": 0.5, "slow": 0.1}


# -- what to measure next --------------------------------------------------------------------------------


def test_a_candidate_is_worth_what_it_adds_to_the_information(monkeypatch):
    """The finding is a + 2 b, of which a is known to 0.5 and b to 0.25, each for itself: hypot(0.5, 0.5). Reading a to
    0.5 leaves a to 0.5 / sqrt 2; reading both sums them up; what is read of nothing leaves it as it is.
    """
    a, b = unknown("a"), unknown("b", 3.0)
    best = SimpleNamespace(
        parameters=(a, b), unknowns=(a, b), best=np.array([1.0, 3.0]), whole=np.diag([0.25, 0.0625]),
        places=np.array([1.0, 0.0]),
    )  # fmt: skip
    done = SimpleNamespace(fitted=best, model=SimpleNamespace(scenario=None))
    monkeypatch.setattr(asking, "with_values", lambda _scenario, _keys, values: values)
    monkeypatch.setattr(asking, "run_many", lambda task, places: SimpleNamespace(
        interrupted=False, results={k: task(place) for k, place in enumerate(places)}))  # fmt: skip
    monkeypatch.setattr(asking, "_target", lambda *_: ((lambda v: np.array([v[0] + 2.0 * v[1]])), "force"))
    candidates = [
        asking.Candidate("b none", "", lambda _: np.zeros(1), np.ones(1)),
        asking.Candidate("a none", "", lambda _: np.zeros(1), np.ones(1)),
        asking.Candidate("one", "", lambda v: np.array([v[0]]), np.array([0.5])),
        asking.Candidate("sum", "", lambda v: np.array([v[0] + 2.0 * v[1], 0.0]), np.array([0.01, 1.0])),
    ]
    monkeypatch.setattr(asking, "_candidates", lambda *_: candidates)
    advice = asking.next_measurement(done, "x")
    before = hypot(0.5, 0.5)
    assert (advice.value, advice.before, advice.kind) == (pytest.approx(7.0), pytest.approx(before), "force")
    assert [one.name for one in advice.ranked] == ["sum", "one", "a none", "b none"]
    after = {one.name: one.after for one in advice.ranked}
    assert after["one"] == pytest.approx(hypot(0.5 / sqrt(2.0), 0.5))
    assert after["sum"] == pytest.approx(1.0 / sqrt(1.0 / before**2 + 1.0 / 0.01**2))
    assert advice.ranked[-1].share == pytest.approx(1.0)
    assert advice.ranked[1].share == pytest.approx(after["one"] / before)
    monkeypatch.setattr(asking, "_target", lambda *_: ((lambda _: np.zeros(1)), "force"))
    assert {one.share for one in asking.next_measurement(done, "x").ranked} == {1.0}


def test_what_is_measured_next_must_be_a_number():
    from featherbench.scenario import ScenarioError

    asking.check_finding("rod_force_push", ("a",))
    asking.check_finding("a", ("a",))
    for name in ("release", "nothing"):
        with pytest.raises(ScenarioError):
            asking.check_finding(name, ("a",))


# -- a sheet to read by ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("low", "high", "inner"),
    [(-26.0, 28.0, range(-20, 26, 5)), (-12.5, 12.5, range(-10, 11, 5)), (-12.4, 12.6, [-5, 0, 5, 10]),
     (-2.6, 2.6, [0]),
     (1.0, 10.0, [5]), (-10.0, -1.0, [-5])],
)  # fmt: skip
def test_forces_are_read_every_five_degrees_and_at_both_ends(low, high, inner):
    """None closer to an end than half of that."""
    found = np.rad2deg(pitches_to_read(np.deg2rad(low), np.deg2rad(high)))
    assert found == pytest.approx([low, *inner, high], abs=1e-9)


def run_of(**values):
    """A run with instruments of 0.2 N in steps of 0.05, and of nothing stated in steps of 0.01 A."""
    names = ("gauge_push", "gauge_pull", "rod_force_breakout", *sheets.CURRENTS, *sheets.VERDICTS)
    found = {name: SimpleNamespace(value=values.get(name)) for name in names}
    scenario = SimpleNamespace(
        gauge=SimpleNamespace(uncertainty=0.2, resolution=0.05),
        meter=SimpleNamespace(uncertainty=None, resolution=0.01),
        rotor=SimpleNamespace(speed=1000.0, pitch_range=(-0.2, 0.2)),
    )
    return SimpleNamespace(
        findings=found, scenario=scenario, setup="setup", gauge=RUN, value=lambda name: float(values[name])
    )


def test_a_stop_lies_beyond_all_that_is_expected_and_the_instruments_error(monkeypatch):
    """A range says how far it may go, else 15 % more; a gauge's own error and a step of its display beside."""
    monkeypatch.setattr(sheets, "_speeds", lambda *_: ())
    monkeypatch.setattr(sheets, "_forces", lambda *_: ())
    monkeypatch.setattr(sheets, "release_points", lambda _: (0.1, -0.1))
    values = {"gauge_push": 10.0, "gauge_pull": 8.0, "rod_force_breakout": -3.0, "meter_peak_high": 2.0,
              "release": "stays", "current_hold_low": 1.0}  # fmt: skip
    within = {"gauge_pull": (-12.0, 9.0), "current_hold_low": (0.2, 1.5), "gauge_push": (4.0, 9.0)}
    sheet = sheets.bench_sheet(run_of(**values), SimpleNamespace(builds=(SimpleNamespace(intervals=within),)))
    assert sheet.stops == pytest.approx({
        "gauge_push": 10.25, "gauge_pull": 12.25, "rod_force_breakout": 3.45 + 0.25, "meter_peak_high": 2.31,
        "current_hold_low": 1.51,
    })  # fmt: skip
    assert sheet.expected["rod_force_breakout"] == 3.0
    assert sheet.expected["release"] == "stays"
    assert sheet.expected["current_hold_high"] is None
    alone = sheets.bench_sheet(run_of(gauge_push=10.0))
    assert alone.stops == pytest.approx({"gauge_push": 11.75})
    assert alone.expected["rod_force_breakout"] == 0.0
    assert (sheet.release, sheet.advice) == ((0.1, -0.1), None)


def test_forces_at_each_pitch_are_those_of_both_ways():
    forces = sheets._forces(run_of())
    assert [one.pitch for one in forces] == pytest.approx([-0.2, -5.0 * DEG, 0.0, 5.0 * DEG, 0.2])
    assert (forces[-1].rising, forces[-1].falling) == pytest.approx((4.0, -0.4))


def test_on_the_way_up_the_room_to_the_stop_is_that_of_full_speed(monkeypatch):
    """Force 5 N at half speed, 8 at eight tenths, with 1 N of friction each way; pull -3."""
    asked = []

    def curves(setup, speed, groups):
        asked.append((setup, speed, groups))
        return SimpleNamespace(rod_force=np.array([-3.0, 0.01 * speed]), rod_friction=np.array([1.0, 1.0]))

    monkeypatch.setattr(sheets, "static_curves", curves)
    half, eight, full = sheets._speeds(
        run_of(gauge_push=12.0, gauge_pull=5.0), {"gauge_push": 15.0, "gauge_pull": 10.0}
    )
    assert [(one.share, one.speed) for one in (half, eight, full)] == [
        (0.5, 500.0),
        (0.8, 800.0),
        (1.0, 1000.0),
    ]
    assert [one[1] for one in asked] == [500.0, 800.0, 1000.0]
    assert (half.push, half.pull, half.stop_push, half.stop_pull) == pytest.approx((6.0, 4.0, 7.5, 8.0))
    assert (eight.push, eight.stop_push) == pytest.approx((9.0, 11.25))
    assert (full.push, full.pull, full.stop_push, full.stop_pull) == pytest.approx((12.0, 5.0, 15.0, 10.0))
    none = sheets._speeds(run_of(gauge_push=0.0, gauge_pull=0.5), {"gauge_push": 15.0, "gauge_pull": 1.0})
    assert (none[0].stop_push, none[0].stop_pull) == pytest.approx((0.0, 8.0))
    monkeypatch.setattr(sheets, "static_curves", lambda *_, **__: SimpleNamespace(
        rod_force=np.array([5.0, 6.0]), rod_friction=np.array([1.0, 1.0])))  # fmt: skip
    pushed = sheets._speeds(run_of(gauge_push=7.0, gauge_pull=1.0), {"gauge_push": 7.0, "gauge_pull": 1.0})
    assert (pushed[0].push, pushed[0].pull) == (7.0, 0.0)


def test_a_table_to_type_into_asks_at_each_pitch_for_what_is_read_there():
    """Forces where they are, breakout at zero, currents at both ends, what released blades do where they are let go."""
    forces = tuple(AtPitch(pitch * DEG, 1.0, -1.0) for pitch in (-20.0, -5.0, 0.0, 5.0, 24.0))
    scenario = SimpleNamespace(
        rotor=SimpleNamespace(pitch_range=(-20.0 * DEG, 24.0 * DEG)), gauge=SimpleNamespace(uncertainty=0.25)
    )
    sheet = BenchSheet(scenario, forces, (), {}, {}, (15.0 * DEG, -5.0 * DEG), None)
    lines = readings_csv(sheet, "metric").splitlines()
    head = next(number for number, line in enumerate(lines) if line.startswith("pitch"))
    assert lines[head + 1 :] == [
        "-20,,,-,,,-,", "-5,,,-,-,-,,", "0,,,,-,-,-,", "5,,,-,-,-,-,", "15,-,-,-,-,-,,", "24,,,-,,,-,",
    ]  # fmt: skip
    assert any("(0.25 N)" in line for line in lines[:head])
    scenario.gauge.uncertainty = None
    assert any("(no figure)" in line for line in readings_csv(sheet, "metric").splitlines())
