"""A spread of whole bench runs: the economical sample against the full one, seeds, threads, interruption."""

import json
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from featherbench.sampling.checkpoint import CheckpointMismatch
from featherbench.sampling.inputs import spread_inputs, varied
from featherbench.sampling.spread import run_sample, sample_places, shortened_task, spread
from featherbench.scenario import ScenarioError, from_tables
from featherbench.studies import predict
from featherbench.studies.engines import usable_cores

RUNS = 24


@pytest.fixture(scope="module")
def toleranced(scenario_of):
    return scenario_of(
        rotor={"speed": "9000 +/- 90 rpm"},
        part={"blade": {"mass": "5.6 +/- 0.1 g"}},
        linkage={"horn_arm": "13 +/- 0.1 mm"},
        gauge={"uncertainty": "0.1 N"},
    )


@pytest.fixture(scope="module")
def sampled(toleranced):
    return spread(toleranced, runs=RUNS, seed=4)


def test_inputs_are_the_tolerances_and_the_instruments(toleranced):
    by_key = {own.key: own for own in spread_inputs(toleranced, bearing_doubt=True)}
    assert set(by_key) == {
        "bearing.coefficient",
        "gauge.uncertainty",
        "linkage.horn_arm",
        "part.blade.mass",
        "rotor.speed",
    }
    assert (by_key["part.blade.mass"].low, by_key["part.blade.mass"].high) == pytest.approx((5.5e-3, 5.7e-3))
    assert by_key["part.blade.mass"].kind == "mass"
    assert by_key["bearing.coefficient"].high == pytest.approx(3.0 * by_key["bearing.coefficient"].low)
    assert by_key["gauge.uncertainty"].half_width / 3.0**0.5 == pytest.approx(
        0.05
    )  # standard, of 0.1 N at 95 %


def test_values_reach_their_place_and_nothing_else_changes(toleranced):
    inputs = spread_inputs(toleranced)
    moved = varied(toleranced, inputs, tuple(own.high for own in inputs))
    assert moved.part["blade"].mass == pytest.approx(5.7e-3)
    assert moved.linkage.horn_arm == pytest.approx(13.1e-3)
    assert moved.servo == toleranced.servo
    assert toleranced.part["blade"].mass == pytest.approx(5.6e-3)


def test_rows_along_the_radius_and_single_chords_can_be_varied(scenario_of):
    chord = scenario_of(blade={"chord": "26 +/- 0.2 mm"})
    inputs = spread_inputs(chord)
    assert varied(chord, inputs, (26.2e-3,)).blade.chord[0][1] == pytest.approx(26.2e-3)
    rows = scenario_of(blade={"chord": [["40 mm", "28 mm"], ["120 mm", "22 +/- 0.3 mm"]]})
    (own,) = spread_inputs(rows)
    moved = varied(rows, (own,), (22.3e-3,)).blade.chord
    assert [value for _, value in moved] == pytest.approx([28e-3, 22.3e-3])
    assert shortened_task(predict(rows), (own,)).air is None  # the air is solved anew for every sample


def test_the_economical_sample_agrees_with_the_full_prediction(toleranced):
    inputs = spread_inputs(toleranced)[1:]  # without the gauge's own error
    task = shortened_task(predict(toleranced), inputs)
    assert task.air is not None
    places = sample_places(len(inputs), 2, 0)
    for place in places.tolist():
        values = tuple(
            0.5 * (own.low + own.high) + own.half_width * where
            for own, where in zip(inputs, place, strict=True)
        )
        full = predict(varied(toleranced, inputs, values))
        quick = run_sample(task, tuple(place))
        for name in (
            "rod_force_push",
            "rod_force_pull",
            "current_hold_high",
            "current_hold_low",
            "compensation",
        ):
            assert quick[name] == pytest.approx(full.value(name), rel=1e-2, abs=1e-9), name
        for name in ("current_peak_high", "current_peak_low", "servo_torque_peak", "rod_force_breakout"):
            assert quick[name] == pytest.approx(full.value(name), rel=3e-2), name
        assert quick["release"] == full.findings["release"].value


def test_intervals_hold_what_they_say(sampled):
    one = sampled.findings["rod_force_push"]
    values = np.array([row["rod_force_push"] for row in sampled.samples.values()])
    edges = np.quantile(values, [0.025, 0.975])
    # a law of the inputs stands in for the outermost two or three of two dozen samples
    assert (one.low, one.high) == pytest.approx(tuple(edges), abs=0.15 * (edges[1] - edges[0]))
    assert one.low < one.value < one.high
    assert sum(sampled.findings["release"].outcomes.values()) == pytest.approx(1.0)
    assert sampled.findings["mass"].shares["part.blade.mass"] == pytest.approx(1.0, abs=1e-6)
    assert sampled.findings["rod_force_push"].total_shares["gauge.uncertainty"] < 0.1


def test_findings_do_not_depend_on_the_number_of_threads(toleranced, sampled):
    """One, where the sample had as many as the machine has cores; three, where that is one."""
    with ThreadPoolExecutor(1 if usable_cores() > 1 else 3) as pool:
        other = spread(toleranced, runs=RUNS, seed=4, executor=pool)
    assert other.samples == sampled.samples  # bit for bit
    assert other.findings == sampled.findings


def test_another_seed_gives_other_samples(toleranced, sampled):
    other = spread(toleranced, runs=8, seed=5)
    assert other.samples[0] != sampled.samples[0]


def test_an_interrupted_spread_says_so_and_goes_on_from_its_file(toleranced, sampled, tmp_path):
    kept = tmp_path / "kept.jsonl"

    def stop(done: int, _count: int) -> None:
        if done == 6:
            raise KeyboardInterrupt

    with ThreadPoolExecutor(1) as pool:
        partial = spread(toleranced, runs=RUNS, seed=4, keep=kept, executor=pool, progress=stop)
    assert not partial.complete
    assert 6 <= partial.done < RUNS
    with kept.open("a", encoding="utf-8") as stream:
        stream.write('{"index": 20, "val')  # cut off in writing
    begun: list[int] = []
    rest = spread(toleranced, runs=RUNS, seed=4, keep=kept, progress=lambda done, _: begun.append(done))
    assert len(begun) == RUNS - partial.done
    assert rest.complete
    assert rest.samples == sampled.samples
    assert rest.findings == sampled.findings
    rows = kept.read_text(encoding="utf-8").splitlines()
    assert len([json.loads(row) for row in rows]) == RUNS + 1
    with pytest.raises(CheckpointMismatch, match="seed"):
        spread(toleranced, runs=RUNS, seed=5, keep=kept)


def test_a_foreign_file_is_left_alone(toleranced, tmp_path):
    foreign = tmp_path / "notes.txt"
    foreign.write_text("shopping list\n", encoding="utf-8")
    with pytest.raises(CheckpointMismatch, match="not a file of kept results"):
        spread(toleranced, runs=RUNS, keep=foreign)
    assert foreign.read_text(encoding="utf-8") == "shopping list\n"


def test_nothing_to_vary_and_impossible_tolerances_are_refused(scenario_of, tables):
    with pytest.raises(ScenarioError, match="no quantity with"):
        spread(scenario_of())
    huge = from_tables(tables(part={"grip": {"mass": "5.4 +/- 6 g"}}))
    with pytest.raises(ScenarioError, match=r"part\.grip\.mass"):
        spread(huge)


def test_samples_that_cannot_be_built_are_counted_and_explained(scenario_of):
    reach = scenario_of(linkage={"servo_arm": "12 +/- 2 mm"}, servo={"travel": "42 deg"})
    result = spread(reach, runs=RUNS)
    assert 0 < result.refused < RUNS
    assert "servo.travel" in result.refusal
    assert result.findings["rod_force_push"].low is not None
