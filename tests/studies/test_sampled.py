"""A few dozen samples: intervals of figures and of changes, bands over pitch, threads, seeds, interruption."""

import dataclasses
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from featherbench.bench.setup import build_setup
from featherbench.sampling.inputs import spread_inputs
from featherbench.sampling.interval import interval
from featherbench.sampling.sampled import sampled
from featherbench.sampling.spread import sample_places, spread
from featherbench.scenario import ScenarioError
from featherbench.studies.prediction import bench_run

COUNT = 24
SMOOTH = ("rod_force_push", "rod_force_pull", "centrifugal_load", "mass", "current_hold_high")
TOLERANCES = {
    "rotor": {"speed": "9000 +/- 90 rpm"},
    "part": {"blade": {"mass": "5.6 +/- 0.1 g"}},
    "gauge": {"uncertainty": "0.1 N", "sweep": "1 s"},
}


def ran(scenario):
    """A bench run with what samples are held against."""
    return bench_run(build_setup(scenario), groups=False)


def half(one):
    return 0.5 * (one.high - one.low)


@pytest.fixture(scope="module")
def run(scenario_of):
    return ran(scenario_of(**TOLERANCES))


@pytest.fixture(scope="module")
def heavier(scenario_of):
    part = {"blade": {"mass": "5.6 +/- 0.1 g"}, "grip": {"mass": "6.4 g"}}
    return ran(scenario_of(**{**TOLERANCES, "part": part}))


@pytest.fixture(scope="module")
def alone(run):
    return sampled([run], COUNT)


@pytest.fixture(scope="module")
def both(run, heavier):
    return sampled([run, heavier], COUNT)


def test_intervals_hold_the_figure_as_written(run, alone):
    (build,) = alone.builds
    assert (build.done, build.refused, alone.complete) == (COUNT, 0, True)
    for name in SMOOTH:
        one = build.intervals[name]
        assert one.low < run.value(name) < one.high, name
    assert sum(build.outcomes["release"].values()) == pytest.approx(1.0)
    assert "energy_error" not in build.intervals


def test_a_mass_known_within_bounds_gives_its_rectangle(alone):
    # 95 % of a rectangle of half-width 0.1 g
    assert half(alone.builds[0].intervals["mass"]) == pytest.approx(0.95e-4, rel=0.02)


def test_without_tolerances_nothing_is_said(scenario_of):
    assert sampled([ran(scenario_of(gauge={"uncertainty": "0.1 N"}))], COUNT) is None


def test_what_no_tolerance_moves_has_no_width(run, alone):
    assert alone.builds[0].intervals["compensation"] == (run.value("compensation"),) * 2
    assert alone.builds[0].intervals["servo_force"] == (run.value("servo_force"),) * 2


def test_a_build_against_itself_does_not_change_at_all(run):
    result = sampled([run, run], 16)
    assert set(result.changes[0].values()) == {(0.0, 0.0)}
    assert result.builds[0].intervals == result.builds[1].intervals


def test_what_builds_share_cancels_in_the_change(run, heavier, both):
    before, after = both.builds
    change = both.changes[0]["centrifugal_load"]
    assert change.low < heavier.value("centrifugal_load") - run.value("centrifugal_load") < change.high
    assert half(change) < 0.1 * min(
        half(before.intervals["centrifugal_load"]), half(after.intervals["centrifugal_load"])
    )
    # the blade's mass is the same blade's: only the grip differs, and it is exact
    assert half(both.changes[0]["mass"]) == pytest.approx(0.0, abs=1e-15)
    assert len(both.inputs) == 3


def test_other_bounds_are_another_thing(run, scenario_of):
    other = ran(scenario_of(**{**TOLERANCES, "part": {"blade": {"mass": "5.6 +/- 0.2 g"}}}))
    result = sampled([run, other], 16)
    assert len(result.inputs) == 4
    change = result.changes[0]["mass"]
    apart = [half(build.intervals["mass"]) for build in result.builds]
    assert max(apart) < half(change) < sum(apart)


def test_a_build_without_tolerances_beside_one_with(run, scenario_of):
    exact = ran(scenario_of())
    result = sampled([exact, run], 16)
    assert half(result.builds[0].intervals["rod_force_push"]) == 0.0
    one, change = result.builds[1].intervals["rod_force_push"], result.changes[0]["rod_force_push"]
    assert half(change) == pytest.approx(half(one), rel=1e-6)


@pytest.mark.parametrize("percent", [0.7])
def test_twice_the_tolerance_twice_the_interval(scenario_of, percent):
    halves = []
    for factor in (1.0, 2.0):
        rotor = {"speed": f"9000 +/- {factor * percent * 45.0:.3f} rpm"}
        own = sampled([ran(scenario_of(rotor=rotor))], 16).builds[0].intervals
        halves.append(
            {name: half(own[name]) for name in ("rod_force_push", "centrifugal_load", "thrust_high")}
        )
    for name, once in halves[0].items():
        # the largest push is read from a run in time, whose own jitter is a few hundredths of so narrow an interval
        rel = 0.12 if name == "rod_force_push" else 0.03
        assert halves[1][name] == pytest.approx(2.0 * once, rel=rel), name


def test_neither_threads_nor_chance_change_anything(run, alone):
    with ThreadPoolExecutor(1) as pool:
        other = sampled([run], COUNT, executor=pool)
    assert other.builds[0].intervals == alone.builds[0].intervals  # bit for bit
    for name, band in alone.builds[0].bands.items():
        assert np.array_equal(band.low, other.builds[0].bands[name].low)


def test_another_seed_gives_another_sample(run, alone):
    other = sampled([run], COUNT, seed=3)
    assert other.builds[0].intervals["rod_force_push"] != alone.builds[0].intervals["rod_force_push"]
    assert half(other.builds[0].intervals["rod_force_push"]) == pytest.approx(
        half(alone.builds[0].intervals["rod_force_push"]), rel=0.1
    )


def test_what_was_done_before_an_interrupt_is_kept_in_pairs(run, heavier):
    def stop(done: int, _count: int) -> None:
        if done == 21:
            raise KeyboardInterrupt

    with ThreadPoolExecutor(1) as pool:
        part = sampled([run, heavier], COUNT, executor=pool, progress=stop)
    assert not part.complete
    before, after = part.builds
    assert 9 <= after.done <= before.done < COUNT
    assert part.changes[0]["rod_force_push"].low < part.changes[0]["rod_force_push"].high


def test_interrupted_before_anything_is_known(run):
    def stop(_done: int, _count: int) -> None:
        raise KeyboardInterrupt

    with ThreadPoolExecutor(1) as pool:
        part = sampled([run], COUNT, executor=pool, progress=stop)
    assert not part.complete
    assert part.builds[0].done < COUNT


def test_bands_lie_around_the_curves(run, alone):
    build = alone.builds[0]
    curves = {"rod_force": run.statics.rod_force, "moment": run.statics.moment}
    curves["rod_force_upper"] = run.statics.rod_force + run.statics.rod_friction
    for name, curve in curves.items():
        band = build.bands[name]
        assert band.low.shape == band.high.shape == build.pitch.shape == curve.shape
        assert np.all(band.low <= curve + 1e-6)
        assert np.all(curve - 1e-6 <= band.high)
    assert set(build.bands) > {"lost_motion", "seat_ratio"}


def test_samples_that_cannot_be_built_are_counted(scenario_of):
    reach = ran(scenario_of(linkage={"servo_arm": "12 +/- 2 mm"}, servo={"travel": "42 deg"}))
    build = sampled([reach], COUNT).builds[0]
    assert 0 < build.refused < COUNT
    assert "servo.travel" in build.refusal
    assert build.intervals["servo_force"].low < build.intervals["servo_force"].high


def test_an_impossible_tolerance_is_refused(scenario_of):
    with pytest.raises(ScenarioError, match=r"part\.grip\.mass"):
        sampled([ran(scenario_of(part={"grip": {"mass": "5.4 +/- 6 g"}}))], COUNT)


def test_a_few_samples_agree_with_many(run, alone):
    few = alone.builds[0].intervals
    many = spread(run.scenario, runs=96, seed=11).findings
    for name in ("rod_force_push", "rod_force_pull", "centrifugal_load", "mass", "thrust_high"):
        width = 0.5 * (many[name].high - many[name].low)
        assert half(few[name]) == pytest.approx(width, rel=0.08), name


def test_the_interval_of_a_straight_line_is_that_of_its_rectangle():
    places = sample_places(2, 64, 0)
    low, high = interval(places, np.column_stack([3.0 * places[:, 0], np.zeros(64)]))
    assert (low[0], high[0]) == pytest.approx((-2.85, 2.85), rel=0.01)
    assert (low[1], high[1]) == (0.0, 0.0)


def test_jumps_and_few_samples_get_plain_quantiles_and_gaps_stay_gaps():
    places = sample_places(2, 64, 0)
    jump = np.where(np.sin(40.0 * places[:, 0]) > 0.0, 1.0, -1.0)
    low, high = interval(places, np.column_stack([jump, np.full(64, np.nan)]))
    assert (low[0], high[0]) == (-1.0, 1.0)
    assert np.isnan(low[1])
    few = interval(places[:6], places[:6, :1])
    assert few[0][0] == places[:6, 0].min()


def test_a_part_that_was_taken_off_has_no_tolerance(scenario_of):
    scenario = scenario_of(**TOLERANCES)
    tolerances = {**scenario.source.tolerances, "part.old-nut.mass": 1e-5}
    source = dataclasses.replace(scenario.source, tolerances=tolerances)
    less = scenario.model_copy(update={"source": source})
    assert spread_inputs(less) == spread_inputs(scenario)


def test_a_tolerance_of_the_pitch_range_leaves_gaps_at_its_ends(scenario_of):
    ends = ran(scenario_of(rotor={"pitch_range": ["-24 +/- 1 deg", "26 +/- 1 deg"]}))
    band = sampled([ends], 16).builds[0].bands["rod_force"]
    assert np.isnan(band.low[0])
    assert np.isfinite(band.low[len(band.low) // 2])


def test_no_range_turns_a_sign_that_no_sample_turned(both):
    for build in both.builds:
        for name in ("seat_ratio_hover", "lost_motion", "rod_force_breakout", "current_hold_high"):
            if name in build.intervals:
                assert build.intervals[name].low >= 0.0, name
