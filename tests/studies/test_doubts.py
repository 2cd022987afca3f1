"""What the model does not know: each doubt moves what it should, can be taken out, and gives way to what is stated."""

import numpy as np
import pytest

from featherbench.assembly import build_assembly, lead_lag_angle
from featherbench.bench.setup import build_setup
from featherbench.judging.judgement import release_lines
from featherbench.rotor.bearing import bearing_friction
from featherbench.rotor.build import build_air
from featherbench.rotor.doubted_air import air_family
from featherbench.rotor.inflow import SEPARATED
from featherbench.sampling.doubts import log_normal, with_doubt
from featherbench.sampling.inputs import varied_inputs
from featherbench.sampling.parts import parts_of
from featherbench.sampling.sampled import sampled
from featherbench.sampling.spread import spread
from featherbench.scenario import ScenarioError
from featherbench.scenario.doubt import TAKEN_OUT, Departure, Doubt
from featherbench.studies import predict
from featherbench.studies.prediction import bench_run

OFF = TAKEN_OUT
RUBS = {"slider_load_friction": 0.08, "rod_load_friction": 0.03}
SHAKES = {"passing": "0.5 N*mm", "unlike": "0.2 N*mm", "slider": "0.03 N"}
ANALOGUE = {"kind": "analogue", "chopping_rate": None}
LIMITED = ANALOGUE | {"drive": "current-limited", "stall_current": "0.5 A", "gear_friction": None}
ON = dict.fromkeys(OFF)
"""Left to the defaults."""
FREE = {"swing": "free"}
PIN = {
    "pin": {
        "group": "bolt", "shape": "cylinder", "axis": "normal", "diameter": "3 mm", "length": "14 mm",
        "at": {"radius": "36 mm"}, "mass": "0.8 g",
    }
}  # fmt: skip


DOUBTFUL = {
    "doubt": ON, "blade": FREE, "part": PIN, "linkage": RUBS, "shaking": SHAKES, "servo": ANALOGUE,
}  # fmt: skip


@pytest.fixture(scope="module")
def doubtful(scenario_of):
    return scenario_of(doubt=ON, blade=FREE, part=PIN, linkage=RUBS, shaking=SHAKES, servo=LIMITED)


def keys(scenario):
    return [one.key for one in varied_inputs(scenario)]


def test_every_doubt_is_sampled_by_default_and_can_be_taken_out(doubtful, scenario_of):
    assert set(keys(doubtful)) == {f"doubt.{name}" for name in Doubt.model_fields}
    for name, off in OFF.items():
        less = scenario_of(
            doubt={**ON, name: off}, blade=FREE, part=PIN, linkage=RUBS, shaking=SHAKES, servo=LIMITED
        )
        assert set(keys(doubtful)) - set(keys(less)) == {f"doubt.{name}"}


@pytest.mark.parametrize(
    ("table", "key", "typed", "doubt"),
    [
        ("blade", "axis_at", "0.39 +/- 0.02", "axis_at"),
        ("bearing", "coefficient", "0.0015 +/- 20 %", "bearing_coefficient"),
        ("scale", "air_moment", "1.1 +/- 0.05", "air_moment"),
    ],
)
def test_what_is_stated_with_a_tolerance_takes_the_place_of_a_doubt(scenario_of, table, key, typed, doubt):
    stated = scenario_of(**{"doubt": ON, table: {key: typed}})
    assert f"{table}.{key}" in keys(stated)
    assert f"doubt.{doubt}" not in keys(stated)
    (own,) = (one for one in varied_inputs(stated) if one.key == f"{table}.{key}")
    assert getattr(getattr(stated, table), key) == pytest.approx(0.5 * (own.low + own.high))
    assert own.half_width > 0.0


@pytest.mark.parametrize(
    "doubt",
    [{"air_stal": "1 deg"}, {"air_stall": "9 deg"}, {"air_stall": 2.0}, {"air_moment": "12 %"},
     {"bearing_coefficient": 0.5}, {"axis_at": 0.5}, {"blade_stuck": -0.1}, {"separated_centre": 0.3}],
)  # fmt: skip
def test_what_cannot_be_is_refused_by_name(scenario_of, doubt):
    (name,) = doubt
    with pytest.raises(ScenarioError, match=rf"doubt\.{name}"):
        scenario_of(doubt=doubt)


def test_a_number_in_quotes_still_needs_its_tolerance(scenario_of):
    with pytest.raises(ScenarioError, match=r"blade\.axis_at"):
        scenario_of(blade={"axis_at": "0.39"})


def test_a_clamped_blade_does_not_stick_and_one_without_a_known_pin_is_not_guessed(scenario_of):
    assert "doubt.blade_stuck" not in keys(scenario_of(doubt=ON, part=PIN))
    assert "doubt.blade_stuck" not in keys(scenario_of(doubt=ON, blade=FREE))


def test_the_stuck_angle_is_the_friction_circle_over_the_restoring_moment(doubtful):
    """A flat bar: mu r_pin S_r over r_b times the first moment about the bolt, at zero pitch and without drag."""
    assembly = build_assembly(doubtful)
    balanced = lead_lag_angle(assembly, 0.0)
    held = build_assembly(doubtful.model_copy(update={"departure": Departure(blade_stuck=0.16)}))
    blade = assembly.swinging
    restoring = 36e-3 * (blade.radial - 36e-3 * blade.mass)
    expected = 0.16 * 1.5e-3 * blade.radial / restoring
    assert np.rad2deg(expected) == pytest.approx(0.8, abs=0.25)
    assert lead_lag_angle(held, 0.0) - balanced == pytest.approx(expected, rel=0.01)


def test_tables_between_those_that_were_solved_agree_with_a_rotor_solved_anew(doubtful):
    family = air_family(doubtful, np.deg2rad(3.5))
    base = family.base.table.sums[:, 0]
    places = (
        (3.5, 0.0, 0.0, 0.0),
        (-2.4, 0.2, 0.0, 0.04),
        (0.6, -0.25, 0.01, -0.05),
        (0.0, 0.0, -0.02, 0.0),
        (0.0, 0.0, 0.0, 0.05),
    )
    for stall, drag, aft, centre in places:
        away = Departure(float(np.deg2rad(stall)), drag, separated_centre=centre)
        blade = doubtful.blade.model_copy(update={"axis_at": doubtful.blade.axis_at + aft})
        moved = doubtful.model_copy(update={"departure": away, "blade": blade})
        solved = build_air(moved)
        read = family.at(moved)
        effect = np.abs(solved.table.sums[:, 0] - base).max(axis=0)[:SEPARATED]
        error = np.abs(read.table.sums[:, 0] - solved.table.sums[:, 0]).max(axis=0)[:SEPARATED]
        moves = effect > 1e-3 * np.abs(base).max(axis=0)[:SEPARATED]
        assert np.all(error[moves] < 0.05 * effect[moves]), (stall, drag, aft, centre, error / effect)
        assert np.allclose(read.rotor.sections, solved.rotor.sections)
        assert np.allclose(read.rotor.stations.quarter_chord, solved.rotor.stations.quarter_chord)


FELT = {
    "bearing_coefficient": "rod_force_loop",
    "profile_drag": "power",
    "chopping_rate": "current_hold_high",
    "shaking": "rod_force_loop",
    "stick": "holding_high",
    "proportional_band": "current_hold_high",
    "dead_band": "current_hold_high",
    "damping": "current_peak_high",
    "gear_load_friction": "current_hold_high",
}
"""Findings that feel a doubt; of the others the largest push."""
FEW = 6
"""Samples: the ends of a range are not asked for, only that there is one."""


@pytest.mark.parametrize("name", OFF)
def test_each_doubt_moves_the_force_or_the_friction(scenario_of, name):
    servo = LIMITED if name == "gear_load_friction" else ANALOGUE
    only = scenario_of(
        doubt={**OFF, name: ON[name]}, blade=FREE, part=PIN, linkage=RUBS, shaking=SHAKES, servo=servo
    )
    run = bench_run(build_setup(only), groups=False)
    found = sampled([run], FEW).builds[0].intervals
    feels = FELT.get(name, "rod_force_push")
    assert found[feels].high - found[feels].low > 0.002 * abs(run.value(feels)), found[feels]
    assert found[feels].low < run.value(feels) <= found[feels].high
    assert found[feels].high > run.value(feels) or name == "stick"  # a slam holds as a hand does there


def test_the_bearing_factor_is_as_often_below_as_above_and_beyond_its_bounds_in_one_of_twenty():
    places = np.linspace(-1.0, 1.0, 4001)
    factors = np.array([log_normal(3.0, place) for place in places])
    assert np.median(factors) == pytest.approx(1.0)
    assert np.mean((factors < 1.0 / 3.0) | (factors > 3.0)) == pytest.approx(0.05, abs=1e-3)


def test_a_doubted_bearing_keeps_what_the_user_stated_as_its_middle(doubtful):
    moved = with_doubt(doubtful, "doubt.bearing_coefficient", 2.0)
    assert bearing_friction(moved.bearing, 1.0).load_moment == pytest.approx(
        2.0 * bearing_friction(doubtful.bearing, 1.0).load_moment
    )


def test_the_own_factor_on_the_air_moment_stays(scenario_of):
    moved = with_doubt(scenario_of(scale={"air_moment": 1.2}), "doubt.air_moment", 0.1)
    assert moved.scale.air_moment == pytest.approx(1.32)


def test_builds_share_their_doubts_so_that_a_change_is_surer(doubtful, scenario_of):
    longer = predict(
        scenario_of(
            doubt=ON,
            blade=FREE,
            part=PIN,
            linkage={**RUBS, "horn_arm": "14 mm"},
            shaking=SHAKES,
            servo=ANALOGUE,
        )
    )
    found = sampled([predict(doubtful), longer], 16)
    assert len(found.inputs) == len(keys(doubtful))
    width = {
        name: found.changes[0][name].high - found.changes[0][name].low
        for name in ("rod_force_push", "rod_force_pull")
    }
    for name, change in width.items():
        assert change < 0.5 * min(one.intervals[name].high - one.intervals[name].low for one in found.builds)


def test_variance_falls_in_two(scenario_of):
    both = scenario_of(doubt={**OFF, "air_moment": None}, linkage={"horn_arm": "13 +/- 0.3 mm"})
    found = spread(both, runs=16)
    own = parts_of([found.findings["rod_force_push"]], both.source.tolerances)
    assert own.measured + own.model == pytest.approx(1.0)
    assert 0.02 < own.measured < 0.98
    assert [own.of_measured[0][0], own.of_model[0][0]] == ["linkage.horn_arm", "doubt.air_moment"]
    mass = parts_of([found.findings["servo_torque_share"]], both.source.tolerances)
    assert mass is None or mass.measured >= 0.0


def test_a_release_is_called_only_where_nearly_all_samples_agree():
    assert release_lines({"stays": 0.97, "runs out": 0.03}, {"returns": 1.0}, 100) == ()
    (said,) = release_lines({"stays": 0.75, "runs out": 0.25}, {"returns": 1.0}, 100, "tight")
    assert said == (
        'WARNING: too close to call: released at speed on the high side, the blades of "tight" stay put in 75, run '
        "to full pitch in 25 of 100 samples."
    )
    (said,) = release_lines({"stays": 0.5, "returns": 0.5}, {"stays": 0.5, "returns": 0.5}, 16)
    assert said.startswith("Too close to call: released at speed, the blades")
