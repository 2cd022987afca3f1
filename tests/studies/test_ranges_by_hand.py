"""Small laws of ranges, each against a second way to the same figure: bounds of doubts, modes, steps, what is tried."""

from math import exp
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.numerals import error_decimals
from featherbench.sampling import assumptions
from featherbench.sampling.assumptions import _trial, assumptions_that_matter
from featherbench.sampling.departures import STEPPED, shifted_intervals
from featherbench.sampling.doubts import doubted
from featherbench.sampling.fitted_joint import _read
from featherbench.sampling.inputs import Input
from featherbench.sampling.interval import likely_error, most_likely
from featherbench.sampling.sampled import _tied
from featherbench.scenario.assumed import Assumed

ONE = (Input("x", -1.0, 1.0, "ratio"),)


def test_a_doubt_that_is_a_factor_goes_as_far_down_as_up(scenario_of):
    """A factor of 3 is from a third to three times; one of 1 is none; an even one is as wide either way."""
    rig = scenario_of(
        doubt={"bearing_coefficient": 3.0, "air_moment": 0.1, "load_friction": 1.0, "profile_drag": 0.3}
    )
    found = {one.key: (one.low, one.high) for one in doubted(rig)}
    assert found["doubt.bearing_coefficient"] == pytest.approx((1.0 / 3.0, 3.0))
    # an even one: a rectangle of the standard uncertainty that 95 % of a normal one leave, rounded to 2 of them
    low, high = found["doubt.air_moment"]
    assert low == -high == pytest.approx(-0.1 * 3.0**0.5 / 2.0)
    assert found["doubt.profile_drag"][1] == pytest.approx(0.3 * 3.0**0.5 / 2.0)
    assert "doubt.load_friction" not in found


def densest(values):
    """Silverman's rule and a sum of bells, written out."""
    values = sorted(values)
    count = len(values)
    mean = sum(values) / count
    spread = (sum((one - mean) ** 2 for one in values) / count) ** 0.5
    first, third = np.percentile(values, [25, 75])
    width = 0.9 * min(spread, (third - first) / 1.34) / count**0.2
    bells = [sum(exp(-0.5 * ((one - other) / width) ** 2) for other in values) for one in values]
    return values[bells.index(max(bells))]


@pytest.mark.parametrize("count", [9, 40, 200])
@pytest.mark.parametrize("scale", [1e-3, 1.0, 50.0])
def test_the_most_likely_is_where_values_lie_densest(count, scale):
    """Of two heaps, a broad and a narrow one, in any unit."""
    for seed in range(4):
        draw = np.random.default_rng(seed)
        broad, narrow = draw.normal(5.0, 1.5, 2 * count // 3), draw.normal(0.0, 0.3, count - 2 * count // 3)
        values = scale * np.concatenate([broad, narrow])
        assert most_likely(values) == pytest.approx(densest(values), rel=1e-12)


@pytest.mark.parametrize("count", [32, 64, 2048])
def test_how_far_off_the_most_likely_is_said_to_be_is_how_far_off_it_is(count):
    """Against as many fresh sets of samples from where the first came; of many values it may say too much."""
    draws = [np.random.default_rng(seed).normal(0.4, 0.15, count) for seed in range(30)]
    scatter = np.std([most_likely(one) for one in draws])
    told = np.median([likely_error(one) for one in draws[:6]])
    assert 0.6 * scatter < told < (1.7 if count <= 256 else 4.0) * scatter
    assert likely_error(np.array([0.4])) == pytest.approx(0.0, abs=1e-12)
    with pytest.raises(ValueError, match="no values"):
        likely_error(np.array([]))


@pytest.mark.parametrize(
    ("error", "places"), [(0.12, 0), (0.065, 1), (0.017, 1), (0.0099, 2), (0.0, None), (float("nan"), None)]
)
def test_a_digit_stands_for_no_less_than_the_error(error, places):
    assert error_decimals(error, "current", "metric") == places


def test_a_figure_that_jumps_is_not_said_to_go_beyond_what_a_run_came_to():
    """8 of 40 runs hold with 1 A, the others with 0.2 A, as the build as written does: no straight line through that
    is a current, and a range from 0.2 to 1 A is all that was seen.
    """
    places = np.linspace(-0.975, 0.975, 40)[:, None]
    jumps = {row: {STEPPED[0]: 0.8 if place > 0.6 else 0.0} for row, place in enumerate(places[:, 0])}
    found = shifted_intervals({STEPPED[0]: 0.2}, {STEPPED[0]: 0.2}, jumps, places, ONE)[STEPPED[0]]
    assert found.low == pytest.approx(0.2)
    assert 0.2 < found.high <= 1.0 + 1e-12
    down = {row: {STEPPED[0]: -0.8 if place > 0.6 else 0.0} for row, place in enumerate(places[:, 0])}
    found = shifted_intervals({STEPPED[0]: 1.0}, {STEPPED[0]: 1.0}, down, places, ONE)[STEPPED[0]]
    assert found.high == pytest.approx(1.0)
    assert 0.2 - 1e-12 <= found.low < 1.0
    # as written it may be what no shortened run came to: it is in its own range all the same
    found = shifted_intervals({STEPPED[0]: 1.5}, {STEPPED[0]: 1.0}, down, places, ONE)[STEPPED[0]]
    assert found.low <= 1.5 <= found.high


@pytest.mark.parametrize(("apart", "tied"), [(0.05, True), (0.5, False), (-0.5, False)])
def test_two_builds_are_tied_where_the_range_of_their_difference_holds_zero(apart, tied):
    """Forces of 5 N and as much more; samples move their difference evenly by up to 0.2 N. A sample that one of the
    builds has not is left out.
    """
    places = np.linspace(-1.0, 1.0, 21)[:, None]
    force = lambda value: {"rod_force_push": value, "rod_force_pull": 1.0}  # noqa: E731
    moved = [
        {
            row: {"rod_force_push": side * 0.1 * place, "rod_force_pull": 0.0}
            for row, place in enumerate(places[:, 0])
        }
        for side in (-1.0, 1.0)
    ]
    del moved[0][3]
    del moved[1][7]
    runs = tuple(SimpleNamespace(value=force(value).__getitem__) for value in (5.0, 5.0 + apart))
    away = tuple(
        SimpleNamespace(base=force(value), findings=own)
        for value, own in zip((5.0, 5.0 + apart), moved, strict=True)
    )
    assert _tied(runs, away, (places, ONE)) is tied


@pytest.mark.parametrize(
    "key",
    [
        "gauge.sweep",
        "meter.rate",
        "limits.rod_ball_link",
        "joint.clearance",
        "aircraft.mass",
        "bench.release_from",
    ],
)
def test_instruments_and_strength_are_not_tried_in_place_of_what_was_assumed(scenario_of, key):
    assert _trial(scenario_of(), Assumed(key, "2 s", "usual")) is None


def test_what_was_assumed_is_tried_at_twice_as_much(scenario_of):
    trial = _trial(scenario_of(), Assumed("linkage.slider_friction", "0.3 N", "usual"))
    assert trial.scenario.linkage.slider_friction == pytest.approx(0.6)


@pytest.mark.parametrize(("missing", "told"), [(0, True), (2, True), (3, False)])
def test_a_figure_that_most_samples_have_has_a_range(missing, told):
    """Of 40 samples 38 are 95 %: with them, not with 37."""
    places = np.linspace(-1.0, 1.0, 40)[:, None]
    away = {
        row: {"other": 0.0} | ({} if row < missing else {"mass": float(places[row, 0])}) for row in range(40)
    }
    found = shifted_intervals({"mass": 5.0, "other": 1.0}, {"mass": 5.0, "other": 1.0}, away, places, ONE)
    assert ("mass" in found) is told
    assert "other" in found


def test_each_assumption_is_judged_by_its_own_trial(monkeypatch):
    """The first changes nothing, the second a force by half, the third by a tenth; a fourth cannot be built."""
    keys = ("one", "two", "three", "four")
    monkeypatch.setattr(assumptions, "shortened_task", lambda *_: SimpleNamespace(scenario=None))
    monkeypatch.setattr(assumptions, "_trial", lambda _, one: SimpleNamespace(key=one))
    force = lambda value: {"rod_force_push": value, "rod_force_pull": 4.0}  # noqa: E731
    monkeypatch.setattr(assumptions, "_ready", lambda *_: None)
    monkeypatch.setattr(assumptions, "_read", lambda _: force(5.0))
    results = dict(enumerate([force(5.0), force(7.5), force(5.5), None]))
    monkeypatch.setattr(
        assumptions, "run_many", lambda *_: SimpleNamespace(all_or_stop=lambda: list(results.values()))
    )
    assert assumptions_that_matter(SimpleNamespace(assumed=keys)) == ("two", "three")


@pytest.mark.parametrize(
    ("key", "text", "stated", "polar", "holds"),
    [
        ("doubt.air_stall", "0.5 +/- 0.8 deg", (), None, True),
        ("doubt.air_stall", "0.5 +/- 0.8 deg", (), "the section's own curve", False),
        ("doubt.shaking", "1.8 +/- 0.9", (), "the section's own curve", True),
        ("doubt.shaking", "1.8 +/- 0.9", ("shaking.passing",), None, False),
        ("doubt.air_stall", "0.6 +/- 0.8 deg", (), None, False),  # not what the build says
        ("doubt.air_stall", "0.5 deg", (), None, False),  # and what is known exactly is no doubt
    ],
)
def test_what_was_found_of_a_doubt_holds_until_something_better_is_stated(key, text, stated, polar, holds):
    build = SimpleNamespace(
        departure=SimpleNamespace(air_stall=np.deg2rad(0.5), shaking=1.8),
        source=SimpleNamespace(tolerances=dict.fromkeys(stated)),
        blade=SimpleNamespace(polar=polar),
    )
    found = _read(build, 0, key, text)
    assert (found is not None) is holds


def test_a_straight_line_is_not_followed_beyond_what_a_stepped_figure_came_to():
    """Twelve samples from the middle half: 95 % of the whole would be 0.095 to each side, 0.05 is what was seen. A
    figure that does not jump is followed.
    """
    places = np.linspace(-0.5, 0.5, 12)[:, None]
    away = {
        row: {name: 0.1 * place for name in (STEPPED[0], "mass")} for row, place in enumerate(places[:, 0])
    }
    written = {STEPPED[0]: 5.0, "mass": 5.0}
    found = shifted_intervals(written, written, away, places, ONE)
    assert tuple(found["mass"]) == pytest.approx((5.0 - 0.095, 5.0 + 0.095), abs=1e-4)
    assert tuple(found[STEPPED[0]]) == pytest.approx((4.95, 5.05))
