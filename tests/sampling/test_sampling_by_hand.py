"""Samples, their laws and what is kept of them, by hand: places to values, departures to ranges, shares to parts."""

from dataclasses import replace
from math import exp, log, sqrt
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.sampling import assumptions, departures, doubts, interval, shares
from featherbench.sampling import sampled as samples
from featherbench.sampling import samples as sampling
from featherbench.sampling import spread as spreads
from featherbench.sampling.assumptions import _moved, _trial
from featherbench.sampling.checkpoint import CheckpointMismatch, open_checkpoint
from featherbench.sampling.departures import Departures, Interval, Sample, _shifted, bands_of, departures_of
from featherbench.sampling.doubts import doubted, log_normal, usual, with_doubt
from featherbench.sampling.fitted_joint import Found, found_of, superseded
from featherbench.sampling.inputs import (
    HALF,
    Input,
    _is_of_a_part_taken_off,
    _outside,
    any_tolerance,
    normal_score,
    spread_inputs,
    values_at,
    varied_inputs,
)
from featherbench.sampling.parts import parts_of, remedy
from featherbench.sampling.samples import SampleTask, sample_places, shortened_task
from featherbench.scenario import ScenarioError
from featherbench.scenario.assumed import Assumed

N95 = 1.959964
ONE = (Input("x", -1.0, 1.0, "ratio"),)


# -- places and values -----------------------------------------------------------------------------------


def test_an_even_place_is_a_normal_number_as_far_up_and_never_beyond_three_and_a_half():
    """Any table of the normal distribution: 95 % one-sided at 1.645, 97.5 % at 1.960."""
    assert [normal_score(place) for place in (-1.0, 0.0, 1.0)] == [-3.5, 0.0, 3.5]
    assert normal_score(0.9) == pytest.approx(1.644854)
    assert normal_score(-0.95) == pytest.approx(-N95)
    assert normal_score(0.9999) == 3.5
    assert normal_score(-0.99999) == -3.5
    assert normal_score(0.999) == pytest.approx(3.290527)


def test_an_input_goes_evenly_or_by_its_logarithm_or_as_a_fit_found_it():
    even = Input("part.a.mass", 2.0, 6.0, "mass")
    assert [even.value(place) for place in (-1.0, 0.0, 0.5, 1.0)] == [2.0, 4.0, 5.0, 6.0]
    assert (even.half_width, even.reach) == (2.0, 2.0)
    assert not even.of_model
    assert Input("doubt.x", 0.0, 1.0, "ratio").of_model
    factor = Input("doubt.shaking", 0.5, 2.0, "ratio")
    assert factor.value(0.0) == pytest.approx(1.0)
    assert factor.value(0.95) == pytest.approx(2.0)
    assert factor.value(-0.95) == pytest.approx(0.5)
    assert log_normal(3.0, 0.5) == pytest.approx(exp(log(3.0) * 0.6744898 / N95))
    assert log_normal(3.0, 1.0) == pytest.approx(exp(log(3.0) * 4.753424 / N95))  # at the last millionth
    assert log_normal(3.0, -1.0) == pytest.approx(exp(-log(3.0) * 4.753424 / N95))
    found = Input("part.a.mass", 0.0, 0.0, "mass", Found("part.a.mass", "mass", 5.0, 0.1, (0.6, 0.8)))
    assert found.value(0.0) == 5.0
    assert found.value(0.95) == pytest.approx(5.0 + 0.1 * 0.8 * N95)
    assert found.reach == pytest.approx(0.3)


def test_what_a_fit_found_together_varies_together():
    """Rows (1) and (0.6, 0.8); what is even stands between them and is no part of it."""
    first = Input("a", 0.0, 0.0, "ratio", Found("a", "ratio", 1.0, 0.1, (1.0,)))
    second = Input("b", 0.0, 0.0, "ratio", Found("b", "ratio", 2.0, 0.5, (0.6, 0.8)))
    even = Input("x", 0.0, 10.0, "ratio")
    values = values_at((first, even, second), (0.95, 0.5, -0.95))
    assert values == pytest.approx((1.0 + 0.1 * N95, 7.5, 2.0 + 0.5 * (0.6 - 0.8) * N95))


def test_what_a_fit_found_stays_above_zero_where_it_is_so_by_nature():
    """A mass of 5 g to 2 g: no less than a fiftieth; what was found below zero goes where it goes."""
    mass = Found("part.a.mass", "mass", 5.0, 2.0, (1.0,))
    assert (mass.at(1.0), mass.at(-2.0), mass.at(-3.5)) == pytest.approx((7.0, 1.0, 0.1))
    assert Found("part.a.at.normal", "length", -5.0, 2.0, (1.0,)).at(-3.0) == pytest.approx(-11.0)
    assert Found("doubt.air_stall", "angle", 5.0, 2.0, (1.0,)).at(-3.5) == pytest.approx(-2.0)
    assert Found("doubt.shaking", "ratio", 2.0, 0.5, (1.0,)).at(-2.0) == pytest.approx(2.0 * exp(-1.0))


def test_everything_that_varies_is_listed_with_its_bounds(scenario_of):
    """A tolerance either way; an instrument's 95 % as the rectangle of the same deviation: sqrt 3 over 2 of it."""
    rig = scenario_of(
        part={"blade": {"mass": "5.6 +/- 0.1 g"}}, gauge={"uncertainty": "0.2 N"}, meter={"uncertainty": "0.02 A"},
        linkage={"stiffness": "36 +/- 5 N/mm"},
    )  # fmt: skip
    found = {one.key: one for one in varied_inputs(rig)}
    assert set(list(found)[:2]) == {"part.blade.mass", "linkage.stiffness"}
    assert list(found)[2:] == ["gauge.uncertainty", "meter.uncertainty"]
    assert (found["part.blade.mass"].low, found["part.blade.mass"].high) == pytest.approx((5.5e-3, 5.7e-3))
    kinds = {"part.blade.mass": "mass", "linkage.stiffness": "stiffness", "gauge.uncertainty": "force"}
    assert {key: one.kind for key, one in found.items()} == kinds | {"meter.uncertainty": "current"}
    gauge, meter = found["gauge.uncertainty"], found["meter.uncertainty"]
    assert (gauge.low, gauge.high) == pytest.approx((-0.1 * sqrt(3.0), 0.1 * sqrt(3.0)))
    assert (meter.low, meter.high) == pytest.approx((-0.01 * sqrt(3.0), 0.01 * sqrt(3.0)))
    assert sqrt(3.0) == HALF
    assert not any_tolerance([gauge, meter])
    assert any_tolerance([gauge, found["linkage.stiffness"]])
    with pytest.raises(ScenarioError, match="no quantity with"):
        spread_inputs(scenario_of(gauge={"uncertainty": "0.2 N"}))
    assert spread_inputs(rig) == tuple(found.values())


def test_a_bearing_in_doubt_is_one_to_three_times_what_it_is(scenario_of):
    """In place of its own doubt, and of its tolerance."""
    rig = scenario_of(
        doubt={"bearing_coefficient": 3.0, "profile_drag": 0.3}, bearing={"coefficient": "0.0015 +/- 0.0005"}
    )
    plain = {one.key for one in varied_inputs(rig)}
    assert "bearing.coefficient" in plain
    (own,) = [one for one in varied_inputs(rig, bearing_doubt=True) if one.key == "bearing.coefficient"]
    assert (own.low, own.high) == pytest.approx((0.0015, 0.0045))
    free = scenario_of(doubt={"bearing_coefficient": 3.0, "profile_drag": 0.3})
    assert [one.key for one in varied_inputs(free)] == ["doubt.profile_drag", "doubt.bearing_coefficient"]
    assert [one.key for one in varied_inputs(free, bearing_doubt=True)] == [
        "doubt.profile_drag",
        "bearing.coefficient",
    ]
    assert [one.key for one in spread_inputs(free)] == [one.key for one in varied_inputs(free)]


def test_a_tolerance_that_reaches_where_no_value_can_be_is_refused():
    above, at_least = (SimpleNamespace(above=0.0, at_least=None), SimpleNamespace(above=None, at_least=0.0))
    assert [_outside(low, above) for low in (-1.0, 0.0, 1.0)] == [True, True, False]
    assert [_outside(low, at_least) for low in (-1.0, 0.0, 1.0)] == [True, False, False]
    assert not _outside(-1.0, SimpleNamespace(above=None, at_least=None))


def test_a_tolerance_as_large_as_its_value_is_refused(scenario_of):
    with pytest.raises(ScenarioError, match="a tolerance as large as the value"):
        varied_inputs(scenario_of(part={"blade": {"mass": "5.6 +/- 5.6 g"}}))


def test_a_part_that_was_taken_off_varies_no_more(scenario_of):
    rig = scenario_of(part={"blade": {"mass": "5.6 +/- 0.1 g"}, "grip": {"mass": "5.4 +/- 0.1 g"}})
    assert not _is_of_a_part_taken_off(rig, "part.blade.mass")
    assert not _is_of_a_part_taken_off(rig, "linkage.stiffness")
    assert _is_of_a_part_taken_off(rig, "part.bolt.mass")
    bare = rig.model_copy(update={"part": {"blade": rig.part["blade"]}})
    assert [one.key for one in varied_inputs(bare)] == ["part.blade.mass"]


# -- doubts ----------------------------------------------------------------------------------------------


def test_doubts_of_the_air_are_even_and_as_wide_as_their_deviation(scenario_of):
    wide = sqrt(3.0) / 2.0
    rig = scenario_of(
        doubt={
            "air_stall": "2 deg",
            "separated_centre": 0.1,
            "axis_at": 0.02,
            "stick": 0.5,
            "blade_stuck": 0.4,
        }
    )
    found = {one.key: (one.low, one.high) for one in doubted(rig)}
    assert found == {
        "doubt.air_stall": pytest.approx((-wide * np.deg2rad(2.0), wide * np.deg2rad(2.0))),
        "doubt.separated_centre": pytest.approx((-wide * 0.1, wide * 0.1)),
        "doubt.axis_at": pytest.approx((-wide * 0.02, wide * 0.02)),
        "doubt.stick": (-0.5, 0.5),
    }  # a clamped blade does not stick on its bolt


def test_a_doubt_falls_away_where_something_better_is_stated(scenario_of):
    own = {"load_friction": 2.0, "damping": 2.0, "axis_at": 0.02, "air_moment": 0.2}
    rig = scenario_of(doubt=own, linkage={"slider_load_friction": 0.02})
    assert {one.key for one in doubted(rig)} == {
        "doubt.load_friction", "doubt.damping", "doubt.axis_at", "doubt.air_moment",
    }  # fmt: skip
    stated = scenario_of(
        doubt=own,
        linkage={"slider_load_friction": "0.02 +/- 0.01"},
        servo={"damping": "3 +/- 1 ms"},
        blade={"axis_at": "0.39 +/- 0.01"},
        scale={"air_moment": "1.0 +/- 0.1"},
    )
    assert doubted(stated) == ()
    none = scenario_of(doubt={"load_friction": 2.0})  # neither rubs with its load: nothing to doubt
    assert doubted(none) == ()
    assert usual(rig, "doubt.load_friction") == (0.02, 0.0)


def test_what_is_usual_stands_for_what_is_not_stated(scenario_of):
    rig = scenario_of()
    assert usual(rig, "doubt.chopping_rate") == (0.0,)  # stated: nothing to doubt
    own = rig.model_copy(update={"servo": rig.servo.model_copy(update={"chopping_rate": None})})
    assert usual(own, "doubt.chopping_rate")[0] > 100.0
    assert usual(rig, "doubt.bearing_coefficient") == (pytest.approx(0.0015),)
    free = rig.model_copy(update={"bearing": rig.bearing.model_copy(update={"mean_diameter": None})})
    assert usual(free, "doubt.bearing_coefficient") == (0.0,)


def test_a_doubt_at_a_value_changes_its_own_key_or_what_departs(scenario_of):
    rig = scenario_of(scale={"air_moment": 1.2})
    assert with_doubt(rig, "doubt.damping", 2.0).servo.damping == pytest.approx(6e-3)
    assert with_doubt(rig, "doubt.air_moment", 0.1).scale.air_moment == pytest.approx(1.32)
    assert with_doubt(rig, "doubt.axis_at", 0.02).blade.axis_at == pytest.approx(0.41)
    assert with_doubt(rig, "doubt.profile_drag", 0.3).departure.profile_drag == 0.3
    shaken = with_doubt(rig, "doubt.shaking", 2.0)
    assert (shaken.departure.shaking, shaken.shaking) == (2.0, rig.shaking)


# -- what is tried in place of an assumption -------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "taken", "tried"),
    [
        ("linkage.stiffness", "36 N/mm", 18e3),
        ("servo.gear_stiffness", "2 N*m/rad", 1.0),
        ("air.density", "1.2 kg/m^3", 1.14),
        ("bearing.coefficient", "0.0015", 0.0045),
        ("servo.current_limit", "1 A", 1.2),
        ("servo.gear_friction", "0.006 N*m", 0.012),
        ("linkage.slider_friction", "0 N", 0.3),
        ("linkage.rod_friction", "0 N", 0.2),
        ("linkage.slider_load_friction", "0", 0.05),
        ("linkage.rod_load_friction", "0", 0.05),
        ("bearing.starting_moment", "none", 2e-4),
        ("servo.output_friction", "none", 1e-3),
        ("servo.gear_play", "none", 0.005),
        ("servo.idle_current", "none", 0.01),
        ("servo.chopping_rate", "none", 2000.0),
        ("supply.resistance", "none", 0.1),
    ],
)
def test_each_assumption_is_tried_at_another_plausible_value(scenario_of, key, taken, tried):
    """Those without a source are judgement, and are kept here as they were judged."""
    trial = _trial(scenario_of(), Assumed(key, taken, "usual"))
    table, name = key.split(".")
    assert getattr(getattr(trial.scenario, table), name) == pytest.approx(tried)
    assert trial.air == (key == "air.density")


def test_words_and_what_acts_in_quick_movements_only_are_not_tried(scenario_of):
    rig = scenario_of(doubt={"air_stall": "2 deg"})
    assert _trial(rig, Assumed("linkage.rod_mass", "4 g", "usual")) is None
    assert _trial(rig, Assumed("servo.gear_ratio", "none", "usual")) is None
    polar = _trial(rig, Assumed("blade.polar", "NACA 0014", "usual"))
    assert polar.scenario.departure.air_stall == pytest.approx(sqrt(3.0) / 2.0 * np.deg2rad(2.0))
    assert polar.air
    assert _trial(scenario_of(), Assumed("blade.polar", "NACA 0014", "usual")) is None


def test_what_an_assumption_moves_is_its_share_of_the_largest_of_its_kind():
    """0.5 N of 10 N, 0.1 A of 2 A; another verdict counts one more; what is not known on both sides counts nothing."""
    base = {"rod_force_push": -10.0, "rod_force_pull": 4.0, "current_hold_high": 2.0, "release": "returns",
            "release_low": "stays", "current_peak_low": None}  # fmt: skip
    assert _moved(base, None) == 0.0
    assert _moved(base, base) == 0.0
    assert _moved(base, base | {"rod_force_pull": 3.5}) == pytest.approx(0.05)
    assert _moved(base, base | {"rod_force_pull": 4.5, "current_hold_high": 1.8}) == pytest.approx(0.1)
    assert _moved(base, base | {"release": "stays"}) == 1.0
    assert _moved(base, base | {"release_low": "returns", "rod_force_push": -9.0}) == pytest.approx(1.1)
    assert _moved(base, base | {"rod_force_push": None, "current_peak_low": 9.0}) == 0.0
    assert _moved({"rod_force_push": 0.0}, {"rod_force_push": 5.0}) == 0.0


def test_only_what_moves_more_than_a_twentieth_is_named_the_most_first(monkeypatch):
    monkeypatch.setattr(assumptions, "shortened_task", lambda *_: SimpleNamespace(scenario=None))
    monkeypatch.setattr(assumptions, "_trial", lambda _, one: SimpleNamespace(key=one))
    monkeypatch.setattr(assumptions, "_ready", lambda *_: None)
    monkeypatch.setattr(assumptions, "_read", lambda _: {})
    monkeypatch.setattr(assumptions, "_moved", lambda _base, share: share)
    found = SimpleNamespace(all_or_stop=lambda: [0.05, 0.051, 1.2])
    monkeypatch.setattr(assumptions, "run_many", lambda *_: found)
    assert assumptions.assumptions_that_matter(SimpleNamespace(assumed=("a", "b", "c"))) == ("c", "b")
    monkeypatch.setattr(assumptions, "_read", lambda _: None)
    assert assumptions.assumptions_that_matter(SimpleNamespace(assumed=("a",))) == ()


def test_a_trial_keeps_the_air_and_the_tests_that_its_key_leaves_alone(monkeypatch):
    taken = []

    class Tests:
        def take_over(self, other):
            taken.append(other)

    monkeypatch.setattr(
        assumptions, "_ready", lambda task: taken.append((task.scenario, task.air, task.like)) or Tests()
    )
    monkeypatch.setattr(assumptions, "_read", lambda _: "read")
    task = SampleTask("base", (), "air", like="like")
    assert assumptions._tried(task, "written", assumptions.Trial("k", "other", False)) == "read"
    assert taken == [("other", "air", "like"), "written"]
    taken.clear()
    assumptions._tried(task, None, assumptions.Trial("k", "other", True))
    assert taken == [("other", None, "like")]


# -- kept in a file --------------------------------------------------------------------------------------

BELONGS = {"kept": "spread", "seed": 1, "inputs": [("a", 1.0)]}


def test_results_come_back_and_what_was_cut_off_is_dropped(tmp_path):
    file = tmp_path / "kept.jsonl"
    first = open_checkpoint(file, BELONGS)
    assert first.known == {}
    first.add(3, {"a": 0.1 + 0.2, "b": None})
    first.add(1, {"a": 2.0})
    first.close()
    whole = file.read_bytes()
    assert whole.count(b"\n") == 3
    file.write_bytes(whole + b'{"index": 5, "val')
    again = open_checkpoint(file, BELONGS)
    assert again.known == {3: {"a": 0.1 + 0.2, "b": None}, 1: {"a": 2.0}}
    again.add(7, {"a": 7.0})
    again.close()
    assert file.read_bytes().startswith(whole)
    last = open_checkpoint(file, BELONGS)
    assert last.known[7] == {"a": 7.0}
    last.close()
    empty = tmp_path / "empty.jsonl"
    empty.write_bytes(b"")
    open_checkpoint(empty, BELONGS).close()
    assert empty.read_bytes().count(b"\n") == 1
    odd = open_checkpoint(tmp_path / "odd.jsonl", BELONGS)
    with pytest.raises(ValueError, match="JSON"):
        odd.add(1, {"a": float("nan")})
    odd.close()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("half a line", "not a file of kept results"),
        ("[1]\n", "not a file of kept results"),
        ('{"kept": "sweep"}\n', "not a file of kept results"),
        ('{"kept": "spread", "seed": 2, "inputs": [["a", 1.0]]}\n', "of another seed"),
        ('{"kept": "spread", "seed": 1, "inputs": []}\n', "of another inputs"),
        (
            '{"kept": "spread", "seed": 1, "inputs": [["a", 1.0]]}\n{"index": 1, "values": {}}\n{"index": 2}\n',
            "after 1 results",
        ),
    ],
)
def test_a_file_of_something_else_or_damaged_is_refused_and_left_alone(tmp_path, text, said):
    file = tmp_path / "kept.jsonl"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(CheckpointMismatch, match=said):
        open_checkpoint(file, BELONGS)
    assert file.read_text(encoding="utf-8") == text


# -- departures ------------------------------------------------------------------------------------------


def test_departures_are_of_the_short_run_of_the_build_as_written():
    """A sample that could not be, and one that has not the figure, are left out."""
    curve = np.array([1.0, 2.0])
    made = departures_of({
        -1: Sample({"a": 5.0, "b": 1.0, "word": "x"}, {"c": curve}),
        0: Sample({"a": 5.5, "b": None, "word": "y"}, {"c": 2.0 * curve}),
        1: Sample({}, {}, "refused"),
        2: Sample({"a": 4.0, "b": 3.0}, {"c": curve - 1.0}),
    })  # fmt: skip
    assert made.base == {"a": 5.0, "b": 1.0}
    assert made.findings == {0: {"a": 0.5}, 2: {"a": -1.0, "b": 2.0}}
    assert {index: one["c"].tolist() for index, one in made.curves.items()} == {
        0: [1.0, 2.0],
        2: [-1.0, -1.0],
    }
    assert made.written["c"] is curve
    none = Departures({}, {}, {}, {})
    assert departures_of({0: Sample({"a": 5.5}, {})}) == none
    assert departures_of({-1: Sample({}, {}, "no"), 0: Sample({"a": 5.5}, {})}) == none


def test_a_range_turns_no_sign_either_way():
    """Also of what is zero as written, and of samples that reach zero itself."""
    assert _shifted(0.0, -0.3, 0.2, np.array([0.0, 0.4])) == (0.0, 0.2)
    assert _shifted(0.0, -0.3, 0.2, np.array([0.0, -0.4])) == (-0.3, 0.0)
    assert _shifted(-0.1, -0.2, 0.3, np.array([-0.4, 0.2])) == pytest.approx((-0.3, 0.2))
    assert _shifted(0.1, -0.2, 0.3, np.array([-0.4, -0.2])) == pytest.approx((-0.1, 0.4))
    assert _shifted(0.5, -0.9, 0.3, np.array([0.4, 0.2])) == pytest.approx((0.0, 0.8))
    assert _shifted(-0.5, -0.9, 0.8, np.array([-0.4, -0.2])) == pytest.approx((-1.4, 0.0))


def test_bands_lie_about_the_curve_as_written_and_jumps_only_as_far_as_a_sample_reached(monkeypatch):
    curve = np.array([10.0, 20.0])
    monkeypatch.setattr(departures, "curves_of", lambda *_: {"moment": curve, "lost_motion": curve})
    monkeypatch.setattr(
        departures, "interval", lambda _points, rows, _of: (rows.min(axis=0) - 5.0, rows.max(axis=0) + 5.0)
    )
    rows = {0: np.array([-1.0, 0.0]), 1: np.array([2.0, 1.0])}
    short = np.array([9.0, 22.0])
    away = Departures({}, {}, {k: dict.fromkeys(("moment", "lost_motion"), one) for k, one in rows.items()},
                      {"moment": short, "lost_motion": short})  # fmt: skip
    run = SimpleNamespace(statics=SimpleNamespace(pitch=None))
    found = bands_of(run, away, np.zeros((2, 1)), ONE)
    assert (found["moment"].low.tolist(), found["moment"].high.tolist()) == ([4.0, 15.0], [17.0, 26.0])
    # short runs reached from 8 to 11 and from 22 to 23; as written 10 and 20 are in their own bands
    assert (found["lost_motion"].low.tolist(), found["lost_motion"].high.tolist()) == (
        [8.0, 20.0],
        [11.0, 23.0],
    )
    assert bands_of(run, Departures({}, {}, {}, {}), np.zeros((0, 1)), ONE) == {}


# -- several builds of one sample ------------------------------------------------------------------------


def test_results_are_parted_by_build_and_the_first_is_as_written():
    results = {0: "a-", 1: "b-", 2: "a0", 3: "b0", 5: "b1"}
    assert samples._by_build(results, 2) == [{-1: "a-", 0: "a0"}, {-1: "b-", 0: "b0", 1: "b1"}]


def run_with(**values):
    kinds = {name: "text" if isinstance(value, str) else "force" for name, value in values.items()}
    found = {name: SimpleNamespace(value=value, kind=kinds[name]) for name, value in values.items()}
    return SimpleNamespace(
        findings=found, statics=SimpleNamespace(pitch="pitch"), value=lambda name: values[name]
    )


def test_a_builds_spread_counts_what_was_refused_and_what_samples_say(monkeypatch):
    monkeypatch.setattr(samples, "bands_of", lambda *_: "bands")
    monkeypatch.setattr(samples, "shifted_intervals", lambda numbers, *_: numbers)
    made = {
        -1: Sample({"release": "z", "holding_high": 9.0}, {}),
        0: Sample({"release": "stays", "holding_high": 1.0}, {}, checks={"failing": ""}),
        1: Sample({}, {}, "too short"),
        2: Sample({"release": "returns", "holding_high": 1.0}, {}, checks={"failing": "bolt"}),
        3: Sample({"release": "returns", "holding_high": 3.0}, {}),
        4: Sample({}, {}, "too long"),
    }
    run = run_with(force=5.0, release="returns", none=None)
    run.findings["none"].kind = "text"
    found = samples._build_spread(run, made, SimpleNamespace(base={}, findings={}), (None, ()))
    assert found.intervals == {"force": 5.0}
    assert found.outcomes == {"release": {"returns": pytest.approx(2 / 3), "stays": pytest.approx(1 / 3)}}
    assert list(found.outcomes["release"]) == ["returns", "stays"]
    assert (found.done, found.refused, found.refusal) == (5, 2, "too short")
    assert found.checks == ({"failing": ""}, {"failing": "bolt"}, {})
    assert found.likely == {"holding_high": pytest.approx(1.0)}
    assert list(found.likely_errors) == ["holding_high"]
    none = samples._build_spread(run, {-1: made[-1]}, SimpleNamespace(base={}, findings={}), (None, ()))
    assert (none.outcomes, none.done, none.refusal, none.likely) == ({}, 0, "", {})


def test_a_change_is_of_what_both_builds_have(monkeypatch):
    told = []
    monkeypatch.setattr(samples, "shifted_intervals", lambda *given: told.append(given) or "ranges")
    base, run = (
        run_with(force=5.0, push=2.0, lost=1.0, release="x"),
        run_with(force=7.0, push=None, release="y"),
    )
    before = SimpleNamespace(
        base={"force": 4.0, "only": 1.0}, findings={0: {"force": 0.5, "push": 1.0}, 1: {"force": 0.1}}
    )
    after = SimpleNamespace(
        base={"force": 6.5, "other": 1.0}, findings={0: {"force": 0.7, "x": 1.0}, 2: {"force": 9.0}}
    )
    assert samples._changes(base, run, before, after, ("points", "inputs")) == "ranges"
    numbers, shorter, both, *where = told[0]
    assert numbers == {"force": 2.0}
    assert shorter == {"force": 2.5}
    assert both == {0: {"force": pytest.approx(0.2)}}
    assert where == ["points", "inputs"]


def test_a_tie_is_of_the_larger_of_push_and_pull():
    """Pushes of 5 N, pulls of 6 and 6.5: apart by half a newton that the samples do not bridge."""
    places = np.linspace(-1.0, 1.0, 21)[:, None]
    moved = {
        row: {"rod_force_push": 0.0, "rod_force_pull": 0.1 * place} for row, place in enumerate(places[:, 0])
    }

    def build(pull, signs=1.0):
        values = {"rod_force_push": 5.0, "rod_force_pull": pull}
        own = {
            row: {"rod_force_push": 0.0, "rod_force_pull": signs * one["rod_force_pull"]}
            for row, one in moved.items()
        }
        return SimpleNamespace(value=values.__getitem__), SimpleNamespace(base=values, findings=own)

    def tied(one, two):
        return samples._tied((one[0], two[0]), (one[1], two[1]), (places, ONE))

    assert not tied(build(6.0), build(6.5))
    assert tied(build(6.0), build(6.5, signs=-9.0))
    assert tied(build(6.0), build(6.0))  # a difference of nothing whatever
    assert not tied(build(6.0), (build(6.0)[0], SimpleNamespace(base={}, findings={})))
    few = build(6.0)[0], SimpleNamespace(base=build(6.0)[1].base, findings={})
    assert not tied(build(6.0), few)  # no sample that both have


def test_a_sample_of_a_build_takes_its_own_places(monkeypatch):
    asked = []
    monkeypatch.setattr(samples, "sample_run", lambda _, place: asked.append(place) or "run")
    monkeypatch.setattr(samples, "sample_values", lambda _task, place, _run: {"at": place})
    monkeypatch.setattr(samples, "curves_of", lambda _, pitch: {"over": pitch})
    task = SampleTask(None, (), None, also=lambda run: {"of": run})
    builds = (samples._Build(task, (2, 0), "p"), samples._Build(replace(task, also=None), (1,), "q"))
    assert samples._sample(builds, (0, (0.1, 0.2, 0.3))) == Sample(
        {"at": (0.3, 0.1)}, {"over": "p"}, "", {"of": "run"}
    )
    assert samples._sample(builds, (1, (0.1, 0.2, 0.3))) == Sample({"at": (0.2,)}, {"over": "q"})
    assert samples._sample(builds, (0, None)).values == {"at": None}
    assert asked == [(0.3, 0.1), (0.2,), None]
    assert samples._refused("why") == Sample({}, {}, "why")


# -- a law through samples -------------------------------------------------------------------------------


def test_the_law_is_fitted_from_three_samples_a_term_to_256():
    """Two terms of one input: six samples; a straight line's 95 % is 0.95 of its ends, quantiles of few are not."""
    for count, law in ((5, False), (6, True), (256, True), (257, False)):
        places = np.linspace(-0.5, 0.5, count)[:, None]
        low, high = interval.interval(places, places.copy(), ONE)
        assert (high[0] > 0.9) == law, count
        assert (low[0] < -0.9) == law, count
    places = np.linspace(-0.5, 0.5, 12)[:, None]
    assert interval.interval(np.zeros((12, 0)), places)[1][0] < 0.6  # of nothing that varies


def test_the_law_stands_aside_where_it_leaves_more_than_a_quarter():
    """Of the variance, by samples that it has not seen."""
    places = np.linspace(-1.0, 1.0, 40)[:, None]
    noise = np.random.default_rng(5).normal(0.0, 1.0, 40)
    noise -= np.polyval(np.polyfit(places[:, 0], noise, 1), places[:, 0])
    for share, law in ((0.15, True), (0.35, False)):
        size = sqrt(share / (1.0 - share) * float(np.var(places)) / float(np.var(noise)))
        values = (places[:, 0] + size * noise)[:, None]
        edges = np.array(interval.interval(places, values, ONE))[:, 0]
        bare = np.quantile(values[:, 0], (0.025, 0.975), method="median_unbiased")
        assert np.allclose(edges, bare) is not law, share


def test_residuals_are_at_their_leave_one_out_size():
    """Each left out in turn and foretold by the others, by numpy's own lines."""
    x = np.array([-1.0, -0.4, 0.1, 0.3, 0.9, 1.0])
    y = np.array([0.3, -0.2, 0.4, 0.1, 0.6, 1.4])
    columns = np.column_stack([np.ones(6), x])
    law, residual, left = interval._straight_line(columns, y[:, None])
    line = np.polyfit(x, y, 1)
    assert law[:, 0] == pytest.approx(line[::-1])
    foretold = [y[k] - np.polyval(np.polyfit(np.delete(x, k), np.delete(y, k), 1), x[k]) for k in range(6)]
    assert left[0] == pytest.approx(np.mean(np.square(foretold)) / np.var(y))
    plain = y - np.polyval(line, x)
    assert residual[:, 0] == pytest.approx(np.sign(plain) * np.sqrt(np.abs(plain * np.array(foretold))))
    assert interval._straight_line(columns, np.ones((6, 1)))[2][0] == 1.0  # what does not vary is no law's


def test_the_law_is_straight_in_the_value_of_what_goes_unevenly():
    places = np.array([[0.0, 0.5, 0.95], [0.2, -0.95, 0.0]])
    found = Input("b", 0.0, 0.0, "ratio", Found("b", "ratio", 1.0, 0.1, (1.0,)))
    inputs = (Input("x", 2.0, 6.0, "ratio"), Input("doubt.shaking", 0.5, 2.0, "ratio"), found)
    made = interval._columns(places, inputs)
    assert made == pytest.approx(np.array([
        [1.0, 0.0, inputs[1].value(0.5), N95], [1.0, 0.2, 0.5, 0.0],
    ]))  # fmt: skip
    assert interval._columns(places, ()) == pytest.approx(np.column_stack([np.ones(2), places]))


def test_a_column_with_a_gap_has_no_range_and_leaves_the_others_theirs(monkeypatch):
    monkeypatch.setattr(interval, "COLUMNS", 2)
    places = np.linspace(-1.0, 1.0, 20)[:, None]
    values = places * np.array([1.0, 2.0, 3.0, 4.0, 5.0])
    values[3, 1] = np.nan
    low, high = interval.interval(places, values, ONE)
    assert np.isnan([low[1], high[1]]).all()
    for place, factor in ((0, 1.0), (2, 3.0), (3, 4.0), (4, 5.0)):
        assert (low[place], high[place]) == pytest.approx((-0.95 * factor, 0.95 * factor), rel=5e-3)


def test_the_most_likely_of_values_that_are_all_alike_is_theirs():
    assert interval.most_likely(np.array([2.0, 2.0, 2.0])) == 2.0
    assert interval.most_likely(np.array([2.0, 2.0, 2.0, 2.0, 9.0])) == 2.0
    with pytest.raises(ValueError, match="no values"):
        interval.most_likely(np.array([]))
    assert interval.likely_error(np.full(9, 3.0)) == 0.0


# -- shares ----------------------------------------------------------------------------------------------


def test_shares_need_three_samples_a_term_and_what_varies():
    """Two inputs: nine samples. Rounding is no spread, whatever the sign of the figure."""
    places = np.random.default_rng(1).uniform(-1.0, 1.0, (9, 2))
    law = 2.0 * places[:, 0] + places[:, 1]
    assert shares.variance_shares(places[:8], law[:8]) is None
    assert shares.variance_shares(places, law) is not None
    for figure in (1e6, -1e6):
        assert shares.variance_shares(places, figure + 1e-4 * law) is None
        assert shares.variance_shares(places, figure + 1e-2 * law) is not None
    assert shares.variance_shares(places, 0.0 * law) is None


def test_shares_of_a_known_law_wherever_its_mean_is():
    """y = 3 a + 4 b: 9 and 16 of 25; deviations 3 and 4 over the root of three. A mean far away changes nothing."""
    places = 2.0 * np.random.default_rng(2).random((64, 2)) - 1.0
    for mean in (0.0, 50.0, -50.0):
        found = shares.variance_shares(places, mean + 3.0 * places[:, 0] + 4.0 * places[:, 1])
        assert found.first == pytest.approx([0.36, 0.64], abs=0.06)
        assert found.total == pytest.approx(found.first, abs=1e-6)
        assert found.linear == pytest.approx(np.array([3.0, 4.0]) / sqrt(3.0), rel=1e-6)
        assert found.unexplained == pytest.approx(0.0, abs=1e-9)


def test_how_many_terms_a_number_of_samples_bears():
    """Four samples a term, 1,024 terms at most; the first degree always."""
    assert shares._within(2, 1, 3).shape == (3, 2)
    assert shares._within(2, 2, 23) is None  # six terms
    assert shares._within(2, 2, 24).shape == (6, 2)
    assert shares._within(44, 2, 100_000) is None  # 1,035 terms
    assert shares._within(43, 2, 100_000).shape == (990, 43)


def test_terms_and_blocks_come_to_the_same(monkeypatch):
    places = 2.0 * np.random.default_rng(3).random((70, 2)) - 1.0
    law = (places[:, 0] ** 3 + places[:, 0] * places[:, 1] + np.random.default_rng(4).normal(0.0, 0.1, 70))[
        :, None
    ]
    exponents = shares.terms(2, 2)
    assert exponents.tolist() == [[0, 0], [1, 0], [0, 1], [2, 0], [1, 1], [0, 2]]
    whole = shares._fit(places, exponents, law)
    monkeypatch.setattr(shares, "BLOCK", 16)
    parted = shares._fit(places, exponents, law)
    assert parted[0] == pytest.approx(whole[0])
    assert parted[1] == pytest.approx(whole[1])
    columns = shares.basis(places, exponents)
    assert whole[0] == pytest.approx(np.linalg.lstsq(columns, law, rcond=None)[0])
    out = []
    for row in range(70):
        rest = np.arange(70) != row
        left = law[row] - columns[row] @ np.linalg.lstsq(columns[rest], law[rest], rcond=None)[0]
        out.append(float(left[0]) ** 2)
    assert whole[1][0] == pytest.approx(np.mean(out))


# -- parts and words -------------------------------------------------------------------------------------


def finding(**total):
    return SimpleNamespace(total_shares={key.replace("__", "."): share for key, share in total.items()})


def test_what_measurements_leave_open_and_what_the_model_does_not_know_make_one_whole():
    """Shares 0.3, 0.6 and 0.3 add up to 1.2: a quarter, a half, a quarter; of two findings the mean."""
    one = finding(part__a__mass=0.3, doubt__air_stall=0.6, bearing__coefficient=0.3)
    found = parts_of([one], ())
    assert (found.measured, found.model) == pytest.approx((0.25, 0.75))
    assert found.of_measured == (("part.a.mass", pytest.approx(0.25)),)
    assert found.of_model == (
        ("doubt.air_stall", pytest.approx(0.5)),
        ("bearing.coefficient", pytest.approx(0.25)),
    )
    stated = parts_of([one], ("bearing.coefficient",))
    assert [key for key, _ in stated.of_measured] == [
        "bearing.coefficient",
        "part.a.mass",
    ]  # of equals by name
    both = parts_of([one, finding(part__a__mass=0.8), finding(), finding(part__a__mass=0.0)], ())
    assert (both.measured, both.model) == pytest.approx((0.625, 0.375))
    assert parts_of([finding(), finding(a=0.0)], ()) is None


def test_each_part_has_its_remedy():
    assert remedy("gauge.uncertainty") == "a better instrument"
    assert remedy("doubt.axis_at") == doubts.REMEDIES["doubt.axis_at"]
    assert remedy("part.a.mass") == "measure part.a.mass more closely"


# -- a spread --------------------------------------------------------------------------------------------


def spread_of(value=5.0, low=4.0, high=6.0):
    return spreads.FindingSpread("mass", value, low, high, 1.0, 1.0, {}, {}, None, {})


@pytest.mark.parametrize(
    ("value", "low", "high", "aside"),
    [(5.0, 4.0, 6.0, False), (4.0, 4.0, 6.0, False), (6.0, 4.0, 6.0, False), (3.9, 4.0, 6.0, True),
     (6.1, 4.0, 6.0, True),
     ("returns", 4.0, 6.0, False), (9.0, None, 6.0, False), (9.0, 4.0, None, False)],
)  # fmt: skip
def test_a_build_as_written_may_lie_beside_its_range(value, low, high, aside):
    assert spread_of(value, low, high).aside is aside


def test_a_finding_over_samples_by_hand():
    """Of four samples one has no value; of a text each is counted; without samples nothing is known."""
    rows = {0: {"mass": 1.0, "release": "stays"}, 1: {"mass": None, "release": "returns"},
            2: {"mass": 3.0, "release": "stays"},
            3: {"mass": 2.0, "release": "stays"}}  # fmt: skip
    points = np.linspace(-1.0, 1.0, 4)[:, None]
    own = shares.Shares(np.array([0.4]), np.array([0.5]), np.array([1.0]), 0.1, 2)
    found = spreads._finding_spread("mass", 2.0, None, rows, points, ONE, own)
    assert found.share_known == 0.75
    assert found.standard == pytest.approx(1.0)
    low, high = interval.interval(points[[0, 2, 3]], np.array([[1.0], [3.0], [2.0]]), ONE)
    assert (found.low, found.high) == (low[0], high[0])
    assert (found.shares, found.total_shares, found.unexplained) == ({"x": 0.4}, {"x": 0.5}, 0.1)
    bare = spreads._finding_spread("mass", 2.0, Interval(0.0, 9.0), {0: rows[0]}, points, ONE, None)
    assert (bare.low, bare.high, bare.standard, bare.shares, bare.unexplained) == (0.0, 9.0, None, {}, None)
    text = spreads._finding_spread("release", "stays", None, rows, points, ONE, None)
    assert (text.outcomes, text.share_known, text.low) == ({"returns": 0.25, "stays": 0.75}, 1.0, None)
    for none in ({}, {1: rows[1]}):
        empty = spreads._finding_spread("mass", 2.0, None, none, points, ONE, None)
        assert (empty.low, empty.share_known) == (None, 0.0)


# -- one sample ------------------------------------------------------------------------------------------


def test_places_of_samples_go_on_where_fewer_ended():
    """A scrambled Sobol sequence: 64 begin as 8 do, even of one."""
    eight, many = sample_places(3, 8, 5), sample_places(3, 64, 5)
    assert many.shape == (64, 3)
    assert many[:8] == pytest.approx(eight)
    assert sample_places(3, 1, 5) == pytest.approx(eight[:1])
    assert sample_places(3, 5, 5) == pytest.approx(eight[:5])
    assert not np.allclose(sample_places(3, 8, 6), eight)
    assert np.abs(many).max() <= 1.0
    assert many.min() < -0.9
    for column in many.T:  # of 64 one in each sixty-fourth
        assert sorted(((column + 1.0) * 32.0).astype(int).tolist()) == list(range(64))


def nominal(scenario, arrivals=(0.1, 0.2), spin=()):
    if spin:
        scenario = scenario.model_copy(update={"bench": scenario.bench.model_copy(update={"spin": spin})})
    legs = [SimpleNamespace(arrival=arrival) for arrival in arrivals]
    return SimpleNamespace(
        scenario=scenario, servo=SimpleNamespace(legs=legs), setup=SimpleNamespace(air="air")
    )


def test_a_samples_run_is_shortened_without_changing_what_is_read(scenario_of):
    """Holds by whole periods of the meter, to 0.9 s or twice the slowest arrival and the meter's window; a sweep of 8 s
    to 4, twice as many readings a second, half the pause.
    """
    rig = scenario_of(
        bench={"programme": [{"go": 1.0, "hold": "2.05 s"}, {"go": -1.0, "hold": "0.5 s"}]},
        meter={"rate": "3 Hz", "window": "300 ms"}, gauge={"sweep": "8 s", "rate": "10 Hz", "pause": "1 s"},
    )  # fmt: skip
    task = shortened_task(nominal(rig), ())
    assert [move.hold for move in task.scenario.bench.programme] == pytest.approx([2.05 - 3 / 3.0, 0.5])
    gauge = task.scenario.gauge
    assert (gauge.sweep, gauge.rate, gauge.pause) == pytest.approx((4.0, 20.0, 0.5))
    assert (task.air, task.inputs, task.like.air) == ("air", (), "air")
    slow = shortened_task(nominal(rig, (0.6, float("nan"))), ())
    assert slow.scenario.bench.programme[0].hold == pytest.approx(2.05 - 1 / 3.0)  # 1.5 s at least
    never = shortened_task(nominal(rig, (float("inf"),)), ())  # as if in half a second
    assert never.scenario.bench.programme[0].hold == pytest.approx(2.05 - 2 / 3.0)
    short = shortened_task(nominal(scenario_of(gauge={"sweep": "3 s", "rate": "10 Hz"})), ())
    assert (short.scenario.gauge.sweep, short.scenario.gauge.rate) == pytest.approx((3.0, 10.0))
    course = nominal(rig, spin=rig.bench.spin or ("tied",))
    assert shortened_task(course, ()).scenario.bench is course.scenario.bench
    assert shortened_task(nominal(rig), (), air="known").air == "known"


@pytest.mark.parametrize(
    ("keys", "kept"),
    [(("part.a.mass", "rotor.speed"), "air"), (("blade.chord",), None), (("air.density", "doubt.air_stall"), None),
     (("doubt.air_stall",), "family"), (("blade.axis_at",), "family"),
     (("doubt.profile_drag", "part.a.mass"), "family")],
)  # fmt: skip
def test_air_is_solved_anew_only_where_an_input_changes_it(monkeypatch, keys, kept):
    monkeypatch.setattr(sampling, "family_within", lambda *_: "family")
    run = SimpleNamespace(setup=SimpleNamespace(air="air"), scenario=None)
    assert sampling._kept_air(run, tuple(Input(key, 0.0, 1.0, "ratio") for key in keys)) == kept


def test_a_family_of_air_reaches_as_far_as_its_stall_may(monkeypatch):
    monkeypatch.setattr(sampling, "air_family", lambda _, reach: reach)
    stall = Input("doubt.air_stall", -0.02, 0.02, "angle")
    assert sampling.family_within(None, (*ONE, stall)) == pytest.approx(0.02)
    assert sampling.family_within(None, (stall,), 1.7) == pytest.approx(0.034)
    assert sampling.family_within(None, ONE) == 0.0


def test_a_sample_is_read_by_its_instruments_unless_they_are_left_out(monkeypatch):
    monkeypatch.setattr(sampling, "sample_run", lambda _, place: f"run at {place}")
    monkeypatch.setattr(sampling, "sample_values", lambda _, place, run: {"read at": place, "run": run})
    task = SampleTask(None, (), None)
    assert sampling.run_sample(task, (0.5,)) == {"read at": (0.5,), "run": "run at (0.5,)"}
    assert sampling.run_sample(task, (0.5,), instruments=False) == {"read at": None, "run": "run at (0.5,)"}
    also = sampling.run_sample(replace(task, also=lambda run: {"more": run}), (0.5,))
    assert also["more"] == "run at (0.5,)"

    def refused(*_):
        raise ScenarioError([])

    monkeypatch.setattr(sampling, "sample_run", refused)
    assert list(sampling.run_sample(task, (0.5,))) == ["refused"]


def test_what_of_a_fit_is_gone_is_named(scenario_of):
    rig = scenario_of()
    assert (found_of(rig), superseded(rig)) == ((), ())


# -- the whole of a sample and of a spread ---------------------------------------------------------------


def test_a_free_blade_on_a_pin_may_stick(scenario_of, monkeypatch):
    own = {"blade_stuck": 0.4}
    for pin, swing, doubt, there in (
        (3e-3, "free", own, True), (None, "free", own, False), (3e-3, "clamped", own, False), (3e-3, "free", {}, False),
    ):  # fmt: skip
        rig = scenario_of(doubt=own)
        blade = rig.blade.model_copy(update={"swing": swing})
        doubt_ = rig.doubt.model_copy(update={"blade_stuck": doubt.get("blade_stuck", 0.0)})
        rig = rig.model_copy(update={"blade": blade, "doubt": doubt_})
        monkeypatch.setattr(doubts, "blade_pin_diameter", lambda *_, pin=pin: pin)
        monkeypatch.setattr(doubts, "build_assembly", lambda _: SimpleNamespace(parts=()))
        found = [(one.low, one.high) for one in doubted(rig) if one.key == "doubt.blade_stuck"]
        assert found == ([(-0.4, 0.4)] if there else [])


def test_what_a_fit_found_is_bounded_by_the_rectangle_of_its_deviation(scenario_of, monkeypatch):
    """For those who ask for bounds; a doubt whose own key it says is not varied beside it."""
    found = (
        Found("scale.air_moment", "ratio", 1.1, 0.2, (1.0,)),
        Found("doubt.profile_drag", "ratio", 0.1, 0.05, (0.0, 1.0)),
    )
    monkeypatch.setattr("featherbench.sampling.inputs.found_of", lambda _: found)
    rig = scenario_of(doubt={"air_moment": 0.3, "profile_drag": 0.3, "axis_at": 0.02})
    inputs = varied_inputs(rig)
    assert [one.key for one in inputs] == ["scale.air_moment", "doubt.profile_drag", "doubt.axis_at"]
    assert (inputs[0].low, inputs[0].high) == pytest.approx((1.1 - 0.2 * sqrt(3.0), 1.1 + 0.2 * sqrt(3.0)))
    assert inputs[0].found is found[0]
    assert inputs[2].found is None


def test_a_finding_is_worked_out_of_the_samples_that_have_it():
    """Two figures that different samples have, each with its own places."""
    points = 2.0 * np.random.default_rng(6).random((40, 2)) - 1.0
    rows = {
        k: {"mass": float(3.0 * a + 4.0 * b), "load": float(a) if k % 2 else None}
        for k, (a, b) in enumerate(points.tolist())
    }
    found = spreads._shares_of(["mass", "load", "none"], rows, points)
    assert list(found) == ["mass", "load"]
    assert found["mass"].total == pytest.approx([0.36, 0.64], abs=0.08)
    assert found["load"].total == pytest.approx([1.0, 0.0], abs=1e-6)


def test_a_spread_is_summed_up_from_its_samples(monkeypatch):
    monkeypatch.setattr(
        spreads, "_shares_of", lambda names, good, points: dict.fromkeys(names, (sorted(good), len(points)))
    )
    monkeypatch.setattr(
        spreads, "_finding_spread", lambda _, value, laid, good, *__: (value, laid, list(good))
    )
    monkeypatch.setattr(
        spreads, "shifted_intervals", lambda numbers, base, away, *_: {"mass": (numbers, base, away)}
    )
    values = {"mass": 5.0, "release": "stays", "energy_error": 1.0, "my_own": 1.0}
    nominal = SimpleNamespace(findings={name: SimpleNamespace(value=value) for name, value in values.items()})
    samples_ = {2: {"mass": 6.0}, 0: {"mass": 5.5}, 1: {"refused": "too short"}, 3: {"refused": "too long"}}
    found = spreads._summarised(nominal, ONE, {"mass": 4.0}, samples_, np.zeros((9, 1)), 7, False)
    assert list(found.findings) == ["mass", "release"]
    laid = (
        {"mass": 5.0, "energy_error": 1.0, "my_own": 1.0},
        {"mass": 4.0},
        {0: {"mass": 1.5}, 2: {"mass": 2.0}},
    )
    assert found.findings["mass"] == (5.0, laid, [0, 2])
    assert (found.asked, found.refused, found.refusal, found.seed, found.complete) == (
        9,
        2,
        "too short",
        7,
        False,
    )
    assert found.done == 4
    none = spreads._summarised(nominal, ONE, {}, {}, np.zeros((9, 1)), 7, True)
    assert (none.done, none.refused, none.refusal) == (0, 0, "")


@pytest.fixture
def quickly(monkeypatch):
    """A spread without runs: what it asks for is kept."""
    asked = {}
    monkeypatch.setattr(
        spreads, "spread_inputs", lambda _, bearing_doubt: asked.update(bearing=bearing_doubt) or ONE
    )
    monkeypatch.setattr(spreads, "predict", lambda scenario: f"run of {scenario}")
    monkeypatch.setattr(
        spreads, "sample_places", lambda *given: asked.update(places=given) or np.array([[0.5], [0.25]])
    )
    monkeypatch.setattr(spreads, "shortened_task", lambda run, inputs: SampleTask(run, inputs, None))
    monkeypatch.setattr(spreads, "sample_checks", lambda: "checks")
    monkeypatch.setattr(spreads, "run_sample", lambda task, place: {"at": place, "also": task.also})
    monkeypatch.setattr(spreads, "_belongs", lambda *given: {"kept": "x", "of": str(given)})
    monkeypatch.setattr(spreads, "_summarised", lambda *given: given)

    def many(task, places, **how):
        asked.update(how)
        for index, place in enumerate(places):
            if how["keep"]:
                how["keep"](index, {"at": place[0]})
        return SimpleNamespace(results={k: task(place) for k, place in enumerate(places)}, complete=True)

    monkeypatch.setattr(spreads, "run_many", many)
    return asked


def test_a_spread_runs_what_it_is_asked_for(quickly):
    nominal, inputs, written, results, points, seed, complete = spreads.spread("build", runs=2, seed=4)
    assert (nominal, inputs, written, seed, complete) == (
        "run of build",
        ONE,
        {"at": None, "also": "checks"},
        4,
        True,
    )
    assert results == {k: {"at": (place,), "also": "checks"} for k, place in enumerate((0.5, 0.25))}
    assert points.shape == (2, 1)
    assert (quickly["places"], quickly["bearing"], quickly["known"], quickly["keep"]) == (
        (1, 2, 4),
        False,
        None,
        None,
    )
    assert spreads.spread("build", also="own", bearing_doubt=True)[2]["also"] == "own"
    assert (quickly["places"], quickly["bearing"]) == ((1, 2048, 0), True)


def test_a_spread_goes_on_from_its_file(quickly, tmp_path):
    file = tmp_path / "kept.jsonl"
    spreads.spread("build", runs=2, keep=file)
    assert quickly["known"] == {}
    assert file.read_bytes().count(b"\n") == 3
    spreads.spread("build", runs=1, keep=file)
    assert quickly["known"] == {0: {"at": 0.5}}  # what was asked for more of is not taken
    with pytest.raises(CheckpointMismatch):
        spreads.spread("build", runs=2, seed=9, keep=file)


def test_builds_are_sampled_together_at_the_places_of_all_their_inputs(monkeypatch):
    """x and y of the first, y and z of the second: three in all; changes against the first, of each pair a tie."""
    keys = {"one": "xy", "two": "yz", "three": "z"}
    inputs = {name: tuple(Input(key, 0.0, 1.0, "ratio") for key in own) for name, own in keys.items()}
    runs = [
        SimpleNamespace(scenario=name, statics=SimpleNamespace(pitch=f"pitch of {name}")) for name in keys
    ]
    told = {}
    monkeypatch.setattr(samples, "varied_inputs", lambda scenario: inputs.get(scenario, ()))
    monkeypatch.setattr(samples, "shortened_task", lambda run, own: SampleTask(run.scenario, own, None))
    monkeypatch.setattr(samples, "sample_checks", lambda: "checks")
    monkeypatch.setattr(
        samples, "sample_places", lambda *given: told.update(places=given) or np.array([[0.1, 0.2, 0.3]])
    )
    monkeypatch.setattr(samples, "_sample", lambda builds, work: (builds[work[0]], work[1]))
    monkeypatch.setattr(samples, "departures_of", lambda sample: sample)
    monkeypatch.setattr(
        samples, "_build_spread", lambda run, sample, _, where: (run.scenario, sorted(sample), where[1])
    )
    monkeypatch.setattr(samples, "_changes", lambda first, run, *_: (first.scenario, run.scenario))
    monkeypatch.setattr(samples, "_tied", lambda pair, *_: {one.scenario for one in pair} == {"two", "three"})

    def many(task, work, **_):
        told["work"] = list(work)
        return SimpleNamespace(results={k: task(one) for k, one in enumerate(work)}, complete=True)

    monkeypatch.setattr(samples, "run_many", many)
    found = samples.sampled(runs, 5, seed=2)
    assert told["places"] == (3, 5, 2)
    assert told["work"] == [(k, None) for k in range(3)] + [(k, (0.1, 0.2, 0.3)) for k in range(3)]
    assert found.builds == tuple((name, [-1, 0], inputs[name]) for name in keys)
    assert found.changes == (("one", "two"), ("one", "three"))
    assert found.ties == frozenset({frozenset({1, 2})})
    assert [one.key for one in found.inputs] == ["x", "y", "z"]
    assert (found.asked, found.seed, found.complete) == (5, 2, True)
    samples.sampled(runs[:1])
    assert told["places"] == (2, 64, 0)
    bare = SimpleNamespace(scenario="bare", statics=SimpleNamespace(pitch=None))
    assert samples.sampled([bare]) is None
    assert samples.sampled([bare, runs[0]], 1) is not None


def test_a_frame_counts_builds_from_the_first_and_changes_from_the_second():
    pytest.importorskip("pandas")
    ranges = {"rod_force_push": Interval(1.0, 2.0)}
    build = SimpleNamespace(intervals=ranges)
    found = samples.Sampled((build, build), (ranges,), (), 1, 0, True)
    assert found.to_frame().index.tolist() == [(0, "rod_force_push"), (1, "rod_force_push")]
    assert found.to_frame("changes").index.tolist() == [(1, "rod_force_push")]
    with pytest.raises(KeyError):
        found.to_frame("others")


@pytest.mark.parametrize(
    ("place", "air", "given"), [(None, "air", "air"), ((0.5,), "air", "air"), ((0.5,), None, "built")]
)
def test_a_sample_is_made_ready_with_its_values_and_its_air(monkeypatch, place, air, given):
    monkeypatch.setattr(sampling, "varied", lambda scenario, _, values: f"{scenario} at {values}")
    monkeypatch.setattr(sampling, "build_air", lambda _: "built")
    monkeypatch.setattr(
        sampling,
        "build_setup",
        lambda scenario, air, spacing, like: SimpleNamespace(a=(scenario, air, spacing, like)),
    )
    monkeypatch.setattr(sampling, "CoarseSetup", lambda a: a)
    made = sampling.sample_setup(SampleTask("build", ONE, air, like="like"), place)
    assert made == ("build at (0.5,)" if place else "build", given, sampling.TABLE, "like")
    assert pytest.approx(np.deg2rad(0.75)) == sampling.TABLE
    assert sampling.GAUGE_SHARE == 1.6


def test_a_family_of_air_gives_each_sample_its_own(monkeypatch):
    family = sampling.AirFamily.__new__(sampling.AirFamily)
    monkeypatch.setattr(sampling.AirFamily, "at", lambda _self, scenario: f"air of {scenario}")
    monkeypatch.setattr(sampling, "build_setup", lambda _scenario, air, **_: SimpleNamespace(air=air))
    monkeypatch.setattr(sampling, "CoarseSetup", lambda air: air)
    assert sampling.sample_setup(SampleTask("build", (), family), None) == "air of build"


def test_an_assumptions_build_is_read_unless_it_cannot_be():
    values = {"rod_force_push": 5.0, "release": "stays"}
    asked = []

    class Tests:
        def findings(self, names):
            asked.append(names)
            return {name: SimpleNamespace(value=value) for name, value in values.items()}

    class Stuck:
        def findings(self, _):
            raise ScenarioError([])

    assert assumptions._read(Tests()) == values
    assert set(asked[0]) == {*assumptions.FORCES, *assumptions.CURRENTS, *assumptions.RELEASED}
    assert assumptions._read(None) is assumptions._read(Stuck()) is None


def test_the_law_draws_with_the_residuals_that_it_left(monkeypatch):
    """A law of zero with residuals of -1 and 1 in equal number: 95 % of the draws lie from one to the other."""
    law, residual = np.zeros((2, 1)), np.array([[-1.0], [1.0], [-1.0], [1.0]])
    low, high = interval._drawn(law, residual, ONE)
    assert (low[0], high[0]) == (-1.0, 1.0)
    skew = np.array([[-1.0]] * 3 + [[9.0]])
    assert interval._drawn(law, skew, ONE)[:, 0].tolist() == [-1.0, 9.0]
    asked = []
    monkeypatch.setattr(
        interval, "sample_places", lambda *given: asked.append(given) or np.zeros(given[1::-1])
    )
    interval._drawn(np.zeros((4, 1)), residual, ())
    assert asked == [(3, 4096, 1)]
