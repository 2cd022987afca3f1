"""What is said and kept of a fit put together by hand: improved, doubtful, written, foretold, of which build."""

from dataclasses import replace
from datetime import date
from math import exp, hypot, sqrt
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.bench.readings import BenchData, Reading
from featherbench.fitting import drift as drifting
from featherbench.fitting import fitted_file, joint_parameters, kept_aside, left_over
from featherbench.fitting.data import Channel
from featherbench.fitting.drift import FRICTION, Trend, _trend
from featherbench.fitting.fit import Fitted
from featherbench.fitting.fit_in_words import fit_in_words, scattered, still_off
from featherbench.fitting.fitted_file import Entry, _entry, _typed, _with_half, _worth_keeping, joint_entries
from featherbench.fitting.hand_readings import ANGLE_BY_HAND, forces_at_pitch, left_open
from featherbench.fitting.improved import AS_READ, improved, not_improved
from featherbench.fitting.joint_parameters import _is_own
from featherbench.fitting.lags import score
from featherbench.fitting.left_over import _better_elsewhere, _off, patterns_left
from featherbench.fitting.misfit import Point
from featherbench.fitting.several_builds import BuildModel, keys_of, share_of
from featherbench.fitting.unknowns import Unknown
from featherbench.scenario import ScenarioError

N95 = 1.959964
"""Of a normal distribution 95 % lie within so many deviations (any table)."""


def unknown(key, start=1.0, deviation=0.1, why="", factor=False, low=0.0, high=10.0):
    return Unknown(key, "ratio", start, deviation, low, high, why, factor)


def fitted(unknowns, shares=(), beside=(), places=None, **changes):
    """Each parameter's deviation brought down to so much of what it was; independent unless `whole` says otherwise."""
    count = len(unknowns) + len(beside)
    whole = changes.pop("whole") if "whole" in changes else np.diag(np.square(shares))
    places = np.zeros(count) if places is None else np.array(places)
    values = np.array([one.at(place) for one, place in zip(unknowns, places, strict=False)])
    made = Fitted(tuple(unknowns), values, values - 0.1, values + 0.1, whole[: len(unknowns), : len(unknowns)],
                  np.zeros((0, count)), np.zeros(0), (True,) * len(unknowns), (), 1, False, tuple(beside), places,
                  whole, np.eye(count))  # fmt: skip
    return replace(made, **changes)


def done(fit, **more):
    return SimpleNamespace(fitted=fit, **more)


# -- what it says ----------------------------------------------------------------------------------------


def test_a_fit_that_leaves_more_than_twice_the_uncertainty_is_doubted():
    """The mean square is given: 4 is twice."""
    assert still_off(4.0) == ()
    (said,) = still_off(4.41)
    assert said.startswith("the fit is still 2.1 x the instruments' uncertainty off")


def test_scatter_is_told_from_a_third_more_on():
    assert scattered(1.3) == ()
    assert scattered(1.31)[0].startswith("forces by hand lie 1.3 x as far about the fit")


def test_what_could_not_be_told_is_said():
    one, two, three = unknown("a"), unknown("b"), unknown("c", low=1.0, high=11.0)
    fit = fitted([one, two, three], [1, 1, 1], confounded=(("a", "b"), ("c",), ()))
    told = fit_in_words(fit, (), True)
    assert told[:2] == [
        "this data cannot tell apart: a and b; fix one, or see what to measure next",
        "this data says little about c",
    ]
    assert told[2:] == [
        "c ran into its bound: the model lacks something, or the bound is wrong",
        "nothing was kept aside: too few readings",
    ]
    assert fit_in_words(fitted([one], [1]), (), False) == ["nothing was kept aside"]
    assert fit_in_words(fitted([one], [1], interrupted=True), (), False)[0].startswith("interrupted: ")


@pytest.mark.parametrize(
    ("value", "told"),
    [(1.0, True), (1.0099, True), (1.0101, False), (10.989, False), (10.991, True), (11.0, True)],
)
def test_a_value_within_a_thousandth_of_its_range_ran_into_its_bound(value, told):
    fit = fitted([unknown("c", low=1.0, high=11.0)], [1], values=np.array([value]))
    assert any("ran into its bound" in said for said in fit_in_words(fit, (), False)) is told


def test_what_was_kept_aside_is_counted_by_what_agrees():
    aside = tuple(SimpleNamespace(e_n=e_n) for e_n in (0.2, -1.0, 1.0, -1.01, 3.0))
    assert fit_in_words(fitted([unknown("a")], [1]), aside, True)[-1] == (
        "kept aside and predicted: 3 of 5 quantities agree (|E_n| <= 1)"
    )


def test_what_the_data_improved_comes_with_before_and_after_most_first():
    """From 0.1 to half of that; a factor from exp(1.96 x 0.2) to exp(1.96 x 0.06); nine tenths are not said."""
    fit = fitted(
        [unknown("half"), unknown("nine", why="x")], [0.5, 0.9, 0.3, 0.95, 0.1],
        [unknown("factor", 2.0, 0.2, factor=True), unknown("as before"), unknown("read", why=AS_READ)],
        [1.0, 0.0, 2.0, 0.0, 0.0], unfelt=(unknown("unfelt"), unknown("unread", why=AS_READ)),
    )  # fmt: skip
    first, second, third = improved(done(fit))
    assert (first.key, first.share, first.factor) == ("factor", pytest.approx(0.3), True)
    assert first.value == pytest.approx(2.0 * exp(0.4))
    assert (first.before, first.after) == pytest.approx((exp(N95 * 0.2), exp(N95 * 0.06)))
    assert (second.key, second.value) == ("half", pytest.approx(1.1))
    assert (second.before, second.after) == pytest.approx((N95 * 0.1, N95 * 0.05))
    assert third.key == "nine"
    assert not_improved(done(fit)) == ("as before", "unfelt")
    assert improved(done(replace(fit, interrupted=True))) == ()


def test_without_nuisances_places_follow_from_the_values():
    one = unknown("a", 2.0, 0.5)
    made = Fitted((one,), np.array([3.0]), np.zeros(1), np.zeros(1), np.diag([0.25]), np.zeros((0, 1)), np.zeros(0),
                  (True,), (), 1, False)  # fmt: skip
    assert (made.places, made.best) == (pytest.approx([2.0]), pytest.approx([3.0]))
    assert made.whole.tolist() == [[0.25]]
    assert made.before.tolist() == [[1.0]]
    assert made.deviations == pytest.approx([0.25])
    both = replace(made, unknowns=(one, one), covariance=np.array([[4.0, 1.0], [1.0, 1.0]]))
    assert both.correlation == pytest.approx(np.array([[1.0, 0.5], [0.5, 1.0]]))
    assert fitted([one], [1.0, 0.5], [one], [1.0, 2.0]).places.tolist() == [1.0, 2.0]


def test_what_was_kept_aside_is_foretold_too_large_or_too_small():
    """x is 4 and known to 0.3: 2 x is foretold as 8 to 0.6, where 7 was read to 0.2. Of a log of four rows the two that
    were kept aside, one of which counts for eight: a mean of 3 x less 12.5, as sure as a sample; one log has none.
    """
    aside = np.array([False, True, False, True])
    channels = [
        Channel(0, "rod_force", "force", 0.3, 0.4, 16.0, ~aside, aside),
        Channel(0, "pitch", "angle", 0.3, 0.4, 16.0, ~np.zeros(4, dtype=bool), np.zeros(4, dtype=bool)),
    ]
    log = SimpleNamespace(columns={"rod_force": np.array([99.0, 12.0, 99.0, 13.0])})
    rig = SimpleNamespace(gauge=SimpleNamespace(uncertainty=0.4, resolution=None))
    reading = Reading("push", "force", 7.0, 0.4, 0.0, 1, 1)
    model = SimpleNamespace(
        at=lambda _, values: SimpleNamespace(spots={"push": 2.0 * values[0], "none": None}, x=values[0]),
        data=SimpleNamespace(readings={"push": reading, "none": reading}, logs=(log,)), scenario_of=lambda _: rig,
    )  # fmt: skip
    fit = fitted([unknown("x", 4.0, 0.3)], [1.0])
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(
            kept_aside, "as_logged", lambda _m, one, _n, _r: 3.0 * one.x * np.array([5.0, 1.0, 5.0, 1.0])
        )
        push, none, mean = kept_aside.predicted_aside(model, fit, ("push", "none"), tuple(channels))
    assert (push.name, push.kind, push.simulated, push.measured) == ("push", "force", pytest.approx(8.0), 7.0)
    assert (push.u_simulated, push.u_measured) == pytest.approx((0.6, 0.2))
    assert push.e_n == pytest.approx(1.0 / (2.0 * hypot(0.6, 0.2)))
    assert (none.simulated, none.u_simulated) == (0.0, 0.0)
    assert (mean.name, mean.kind) == ("mean of rod_force (log 1), kept aside", "force")
    assert (mean.simulated, mean.measured, mean.u_simulated) == pytest.approx((12.0, 12.5, 0.9))
    assert mean.u_measured == pytest.approx(0.5)
    assert mean.e_n == pytest.approx(-0.5 / (2.0 * hypot(0.9, 0.5)))
    assert kept_aside.predicted_aside(model, fit, (), (channels[1],)) == ()


# -- what is written -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("share", "place", "hang", "kept"),
    [
        (0.951, 0.0, 0.0, False),
        (0.949, 0.0, 0.0, True),
        (1.0, 0.099, 0.0, False),
        (1.0, -0.101, 0.0, True),
        (1.0, 0.0, 0.099, False),
        (1.0, 0.0, -0.101, True),
    ],
)
def test_a_nuisance_is_kept_where_the_data_said_something_of_it(share, place, hang, kept):
    """Surer by a twentieth, moved by a tenth of its deviation, or tied to another by a tenth."""
    whole = np.array([[1.0, hang * share], [hang * share, share**2]])
    fit = fitted([unknown("a")], (), [unknown("doubt.x")], [0.0, place], whole=whole)
    entries = [entry.number for entry in joint_entries(done(fit, scenario=None))]
    assert entries == ([0, 1] if kept else [0])


def test_what_passes_with_the_run_and_a_speed_as_it_was_read_are_not_kept():
    fit = done(fitted([unknown("a")], [0.5, 0.1], [unknown("b")]))
    still = np.zeros((2, 2))
    assert _worth_keeping(fit, 1, unknown("rotor.speed"), still)
    assert _worth_keeping(fit, 1, unknown("other", why=AS_READ), still)
    assert not _worth_keeping(fit, 1, unknown("rotor.speed", why=AS_READ), still)
    assert not _worth_keeping(fit, 1, unknown("doubt.blade_stuck"), still)
    assert not _worth_keeping(fit, 1, unknown("doubt.stick"), still)


def test_parts_are_written_last():
    fit = fitted([unknown("part.grip.mass"), unknown("scale.inertia"), unknown("part.a.mass")], [0.5] * 3)
    assert [one.key for one in joint_entries(done(fit, scenario=None))] == [
        "scale.inertia", "part.grip.mass", "part.a.mass",
    ]  # fmt: skip


def test_each_parameter_is_written_by_the_key_that_takes_it(scenario_of, monkeypatch):
    """Half-widths are 1.96 deviations as they are after the fit; of a factor so much of its value."""
    rig = scenario_of(scale={"air_moment": 1.2})
    whole = np.diag([0.25, 9.0])
    half = N95 * 0.5 * 0.1

    def written(key, place=0.0, start=1.0, factor=False, number=0):
        return _entry(rig, number, unknown(key, start, 0.1, factor=factor), place, whole)

    def entry(key, kind, value, width):
        return Entry(0, key, kind, pytest.approx(value), pytest.approx(width))

    assert written("scale.inertia", 2.0) == entry("scale.inertia", "ratio", 1.2, half)
    assert written("servo.x", 1.0, 3.0, True) == entry(
        "servo.x", "ratio", 3.0 * exp(0.1), half * 3.0 * exp(0.1)
    )
    assert written("doubt.air_moment", 1.0, 0.0) == entry("scale.air_moment", "ratio", 1.2 * 1.1, 1.2 * half)
    assert written("doubt.axis_at", 1.0, 0.0) == entry("blade.axis_at", "ratio", 0.39 + 0.1, half)
    assert written("doubt.profile_drag", 1.0, 0.0).key == "doubt.profile_drag"
    assert written("doubt.air_stall", 1.0, 0.0).kind == "angle"
    monkeypatch.setattr(fitted_file, "usual", lambda *_: (0.002, 7.0))
    damping = written("doubt.damping", 1.0, 1.0, True)
    assert damping == entry("servo.damping", "time", 0.002 * exp(0.1), half * 0.002 * exp(0.1))
    assert written("doubt.gear_load_friction", factor=True).kind == "ratio"
    shaking = written("doubt.shaking", 1.0, 1.0, True)  # several keys in step: it stays a factor
    assert shaking == entry("doubt.shaking", "ratio", exp(0.1), half * exp(0.1))


def test_values_are_typed_to_six_figures_with_their_halves():
    assert _typed(0.123456789, "ratio") == 0.123457
    assert _typed(0.0123456789, "length") == "12.3457 mm"
    assert _with_half(Entry(0, "k", "length", 0.0123456789, 0.000123456)) == "12.3457 +/- 0.1235 mm"
    assert _with_half(Entry(0, "k", "ratio", 1.5, 0.25)) == "1.5 +/- 0.25"


# -- forces by hand --------------------------------------------------------------------------------------

GAUGE = SimpleNamespace(
    pitch=np.array([-1.0, 0.0, 1.0]), up=np.array([-6.0, 2.0, 12.0]), down=np.array([-10.0, -2.0, 6.0])
)
"""Slopes of 8 and 10 N a radian upward, of 8 each downward; 4 N wide, from zero on more."""


def by_hand(value=0.0, pitch=0.5, rising=None, **more):
    return Reading("it", "force", value, 0.2, 0.0, 1, 1, pitch=pitch, rising=rising, **more)


def data_of(**readings):
    return BenchData(readings, (), {}, ())


def test_a_force_at_a_pitch_is_of_its_direction_or_between():
    data = data_of(
        up=by_hand(rising=True), down=by_hand(rising=False), some=by_hand(), push=by_hand(pitch=None)
    )
    assert forces_at_pitch(GAUGE, data) == pytest.approx({"up": 7.0, "down": 2.0, "some": 4.5})


def test_an_angle_by_hand_and_an_unsaid_direction_leave_a_force_open():
    """A quarter of a degree at the mean of both slopes; between both ways a rectangle: the width over 2 sqrt 3."""
    assert np.deg2rad(0.25) == ANGLE_BY_HAND
    data = data_of(said=by_hand(rising=True), open=by_hand(), still=by_hand(pitch=0.0, rising=False))
    slope = 0.5 * (10.0 + 8.0) * np.deg2rad(0.25)
    found = left_open(GAUGE, data)
    assert found["said"] == pytest.approx(slope)
    assert found["open"] == pytest.approx(hypot(slope, 5.0 / (2.0 * sqrt(3.0))), rel=1e-4)
    assert found["still"] == pytest.approx(0.5 * (0.5 * (8.0 + 10.0) + 8.0) * np.deg2rad(0.25))


def test_readings_are_off_by_the_root_of_their_mean_square():
    """2 and 1 of their own uncertainties; what has no pitch, is a word or was read at another speed is left out."""
    rig = SimpleNamespace(gauge=SimpleNamespace(uncertainty=None, resolution=None))
    model = SimpleNamespace(scenario=rig)
    doubt = hypot(0.1, left_open(GAUGE, data_of(a=by_hand(rising=True)))["a"])
    data = data_of(
        a=by_hand(7.0 - 2.0 * doubt, rising=True), b=by_hand(2.0 + doubt, rising=False), c=by_hand(99.0, None),
        d=by_hand(99.0, speed=800.0), e=replace(by_hand(), value="stays"),
    )  # fmt: skip
    there = SimpleNamespace(gauge=GAUGE)
    read = SimpleNamespace(data=data)
    assert _off(read, model, there, ("a", "b", "c", "d", "e")) == pytest.approx(sqrt((4.0 + 1.0) / 2.0))
    assert _off(read, model, there, ("a",)) == pytest.approx(2.0)
    assert _off(read, model, there, ("c", "d", "e")) is None
    assert _off(read, model, SimpleNamespace(gauge=None), ("a",)) is None


@pytest.mark.parametrize(
    ("off", "elsewhere", "count", "told"),
    [
        (2.1, (1.0,), 4, True),
        (2.0, (0.1,), 4, False),
        (2.1, (1.06,), 4, False),
        (2.1, (0.5,), 3, False),
        (None, (0.5,), 4, False),
        (9.0, (None, 4.0), 4, True),
        (9.0, (5.0, None), 4, False),
    ],
)
def test_readings_that_fit_another_build_twice_as_well_are_spoken_of(
    monkeypatch, off, elsewhere, count, told
):
    builds = [SimpleNamespace(name=name, model=name) for name in ("own.toml", "other.toml", "third.toml")]
    builds = builds[: 1 + len(elsewhere)]
    known = dict(zip([one.name for one in builds], (off, *elsewhere), strict=True))
    monkeypatch.setattr(left_over, "_off", lambda _read, model, _there, _names: known[model])
    there = SimpleNamespace(builds=[None] * len(builds))
    said = _better_elsewhere(builds, there, 0, tuple("abcdef"[:count]))
    assert (said is not None) is told
    if told:
        best = builds[-1].name
        assert said.startswith(
            f"{best} better than own.toml, which it is said to be of: {elsewhere[-1]:.1f} x"
        )
        assert f"instead of {off:.1f} x" in said


def test_logs_of_each_build_are_counted_from_its_own_first(monkeypatch):
    """Two logs of the first build, one of the second: channels 0, 1 and 2 of all."""
    called = []
    parts = [
        ("one", SimpleNamespace(data=SimpleNamespace(logs=(1, 2))), "A", ("a",)),
        ("", SimpleNamespace(data=SimpleNamespace(logs=(3,))), "B", ("b",)),
    ]
    monkeypatch.setattr(left_over, "_each", lambda *_: parts)
    monkeypatch.setattr(left_over, "_of_another", lambda *_: ["first"])
    monkeypatch.setattr(left_over, "replace", lambda channel, log: (channel.name, log))

    def words(_own, there, its, channels):
        called.append((there, its, channels))
        return [f"said of {there}"]

    monkeypatch.setattr(left_over, "misfit_in_words", words)
    logged = [SimpleNamespace(name=f"c{log}", log=log) for log in range(3)]
    assert patterns_left(None, None, (), logged) == ["first", "one: said of A", "said of B"]
    assert called == [("A", ("a",), [("c0", 0), ("c1", 1)]), ("B", ("b",), [("c2", 0)])]


def test_a_file_is_spoken_of_once_whether_at_the_best_or_as_written(monkeypatch):
    def one(name, *files):
        readings = {f"r{n}": SimpleNamespace(file=file) for n, file in enumerate(files)}
        return SimpleNamespace(name=name, model=SimpleNamespace(data=SimpleNamespace(readings=readings)))

    first, second = one("a", "x.csv", "y.csv", ""), one("b", "z.csv")
    model = SimpleNamespace(builds=(first, second), at=lambda *_, **__: "written")
    parts = [(0, first, ("r0", "r1", "r2")), (1, second, ("r0",))]
    monkeypatch.setattr(left_over, "parted", lambda *_: parts)
    asked = []

    def better(_builds, there, place, names):
        asked.append((there, place, names))
        return f"better {there}" if (there, place, names) in known else None

    known = [("best", 0, ("r1",)), ("written", 0, ("r1",)), ("written", 1, ("r0",)), ("best", 0, ("r2",))]
    monkeypatch.setattr(left_over, "_better_elsewhere", better)
    assert left_over._of_another(model, "best", ()) == ["y.csv fits better best", "z.csv fits better written"]
    assert len(asked) == 8
    assert left_over._of_another(SimpleNamespace(builds=()), "best", ()) == []


# -- days ------------------------------------------------------------------------------------------------


def test_a_trend_is_seen_by_what_it_comes_to_from_the_first_day_to_the_last():
    """0.06 N in thirty days, known to 0.03: in thirty days 0.06 N, in sixty 0.12, in fifteen 0.03; 0.05 N concerns."""

    def seen(days, change=0.06, doubt=0.03, kind="force"):
        ends = (date(2026, 5, 1), date.fromordinal(date(2026, 5, 1).toordinal() + days // 2))
        ends += (date.fromordinal(date(2026, 5, 1).toordinal() + days),)
        return Trend("x", kind, ends, (), (), change, doubt).seen

    assert seen(30)
    assert seen(26)
    assert not seen(24)
    assert seen(60, -0.04)
    assert not seen(60, 0.02, 0.0)
    assert not seen(600, 0.03)  # no more than its doubt
    assert seen(30, 0.03, 0.01, "ratio")
    assert not seen(30, 0.015, 0.01, "ratio")
    assert not seen(30, 0.0, 0.0)


def test_scatter_about_a_line_is_over_the_days_less_two():
    """Five days a level of 1 and every other one 0.2 off: what is left squared, over three free."""
    days = tuple(date(2026, 5, 1 + k) for k in range(5))
    values = [1.0, 1.2, 1.0, 1.2, 1.0]
    found = _trend("x", "force", days, [(value, 0.05) for value in values])
    time = np.arange(5.0) / 30.0
    line = np.polyfit(time, values, 1)
    left = (values - np.polyval(line, time)) / 0.05
    spread = float(np.sum((time - time.mean()) ** 2)) / 0.05**2
    assert found.change == pytest.approx(line[0], abs=1e-9)
    assert found.doubt == pytest.approx(N95 * sqrt(float(left @ left) / 3.0 / spread))
    quiet = _trend("x", "force", days, [(1.0, 0.05)] * 5)  # never surer than its own doubts
    assert quiet.doubt == pytest.approx(N95 / sqrt(spread))


def points(count, ways=(1.0, -1.0), table="a"):
    return [
        Point(0.1 * k, ways[k % len(ways)], 3.0 * (k // 2 - 1.0), 0.2 * ways[k % len(ways)], 0.1, 1.0, table)
        for k in range(count)
    ]


def test_a_day_tells_by_four_readings_in_both_directions():
    """Half of the loop is 0.2 N wider."""
    (wider, _), (more, _) = drifting._of_day(points(4), 1.0)
    assert (wider, more) == pytest.approx((0.2, 0.0), abs=1e-9)
    assert drifting._of_day(points(4), -1.0)[0][0] == pytest.approx(-0.2)
    assert drifting._of_day(points(3), 1.0) is None
    for ways in ((1.0,), (-1.0,), (0.0,), (1.0, 0.0), (-1.0, 0.0)):
        assert drifting._of_day(points(8, ways), 1.0) is None
    same = [
        one._replace(load=3.0) for one in points(8)
    ]  # a load alike everywhere is no load to tell from the zero
    assert drifting._of_day(same, 1.0) is None


def test_trends_are_held_against_the_loop_that_is_simulated(monkeypatch):
    """Whichever way the linkage turns; of readings of one day nothing is said."""
    told = []
    monkeypatch.setattr(drifting, "points_by_hand", lambda _model, _there, names: ("points of", names))
    monkeypatch.setattr(drifting, "trends", lambda *given: told.append(given) or ("said",))
    days = {"a": date(2026, 5, 1), "b": date(2026, 5, 2)}
    for loop, turned in ((0.4, 1.0), (-0.4, -1.0), (0.0, 1.0)):
        monkeypatch.setattr(drifting, "half_loop", lambda _, loop=loop: loop)
        model = SimpleNamespace(data=SimpleNamespace(days=days))
        assert drifting.drift(model, None, ["x"]) == ("said",)
        assert told[-1] == (("points of", ("x",)), days, turned, abs(loop))
    for few in ({}, {"a": date(2026, 5, 1), "b": date(2026, 5, 1)}):
        assert drifting.drift(SimpleNamespace(data=SimpleNamespace(days=few)), None, ["x"]) == ()


def test_days_are_told_in_their_order():
    later, sooner = date(2026, 6, 1), date(2026, 5, 1)
    found = drifting.trends(
        [*points(8, table="b"), *points(8, table="a")], {"a": sooner, "b": later}, 1.0, 0.5
    )
    assert found[0].what == FRICTION
    assert found[0].days == (sooner, later)
    assert found[0].values == pytest.approx((0.7, 0.7))


# -- several builds --------------------------------------------------------------------------------------


def test_a_later_builds_parameter_is_its_own_where_it_is_known_otherwise():
    one = unknown("k", 1.0, 0.1)
    assert not _is_own(one, None, "k")
    assert not _is_own(one, one, "k")
    assert _is_own(one, unknown("k", 1.001, 0.1), "k")
    assert _is_own(one, unknown("k", 1.0, 0.101), "k")
    assert _is_own(one, one, "doubt.stick")  # it falls anew each time
    assert not _is_own(one, unknown("k", 2.0, 0.3), "rotor.speed")  # in proportion
    read = replace(one, why=AS_READ)
    assert _is_own(read, one, "rotor.speed")
    assert _is_own(one, read, "rotor.speed")


def test_a_key_that_two_builds_state_otherwise_is_refused(scenario_of):
    first, second = scenario_of(), scenario_of(linkage={"servo_arm": "13 mm"})
    builds = tuple(BuildModel(name, one, None) for name, one in (("a", first), ("b", first), ("c", second)))
    refuse = joint_parameters._refuse_contradictions
    refuse(builds[:2], ("linkage.servo_arm",))
    refuse(builds, ("linkage.horn_arm", "rotor.speed", "part.nothing.mass"))
    with pytest.raises(ScenarioError) as told:
        refuse(builds, ("linkage.horn_arm", "linkage.servo_arm"))
    (problem,) = told.value.problems
    assert problem.key == "linkage.servo_arm"
    assert problem.given == "0.013 in SI units in c, 0.012 in a"
    assert "fit a alone" in problem.expected
    fast = scenario_of(rotor={"speed": "8000 rpm"})
    refuse((builds[0], BuildModel("d", fast, None)), ("rotor.speed",))  # which a bench may run at


def test_parameters_of_a_build_by_its_own_names(scenario_of):
    rig = scenario_of()
    builds = [BuildModel(name, rig, SimpleNamespace(scenario=rig)) for name in ("a", "b")]
    names = [
        "linkage.servo_arm",
        "doubt.stick (a)",
        "doubt.stick (b)",
        "rotor.speed",
        "rotor.speed (b)",
        "part.x.mass",
    ]
    assert keys_of(builds, 0, names) == {0: "linkage.servo_arm", 1: "doubt.stick", 3: "rotor.speed"}
    assert keys_of(builds, 1, names) == {0: "linkage.servo_arm", 2: "doubt.stick", 4: "rotor.speed"}
    fast = scenario_of(rotor={"speed": "18000 rpm"})
    builds.append(BuildModel("c", fast, SimpleNamespace(scenario=fast)))
    assert share_of(builds, 2, "rotor.speed", "rotor.speed") == pytest.approx(2.0)
    assert share_of(builds, 2, "rotor.speed", "rotor.speed (c)") == 1.0
    assert share_of(builds, 2, "scale.inertia", "scale.inertia") == 1.0


# -- in time ---------------------------------------------------------------------------------------------


def test_likeness_is_correlation_times_the_share_that_overlaps():
    """By numpy's own correlation; below ten samples, or with nothing that moves, none."""
    clock = np.linspace(0.0, 2.0, 201)
    course = 5.0 + np.sin(7.0 * clock)
    time = np.linspace(1.0, 3.0, 81)  # 41 of 81 within
    values = 3.0 - np.cos(5.0 * time)
    expected = np.corrcoef(np.interp(time[:41], clock, course), values[:41])[0, 1] * 41 / 81
    assert score(time, values, clock, course) == pytest.approx(expected)
    assert score(time, 2.0 * values + 9.0, clock, course) == pytest.approx(expected)
    assert score(time, -values, clock, course) == pytest.approx(-expected)
    ten, nine = (np.linspace(2.0 - 0.01 * (count - 1), 2.0, count) for count in (10, 9))
    assert score(ten, 0.1 * ten, clock, clock) == pytest.approx(1.0)
    assert score(nine, 0.1 * nine, clock, clock) == -1.0
    assert score(ten, 0.0 * ten, clock, clock) == -1.0
    small = 1e-3
    assert score(ten, small * ten, clock, clock) == pytest.approx(1.0)
