"""The largest force on the rod taken apart by part, and by a tenth more of each figure."""

import json
from math import cos, isclose, sin

import pytest
from typer.testing import CliRunner

import featherbench as fb
from featherbench.bench.setup import build_setup
from featherbench.bench.statics import static_curves
from featherbench.cli import app
from featherbench.linkage.geometry import pitch_rod_travel
from featherbench.ranking.force_by_part import force_by_part, influences

PLAIN = "scenarios/survey-3kg/plain.toml"
STILL = {"shaking.passing": "0 N*mm"}
"""What shakes frees some friction on the gauge: 0.4 % of the largest force, which the law at rest does not have."""
DRY = STILL | {"linkage.slider_load_friction": "0", "linkage.rod_load_friction": "0"}
"""Joints that rub with their load add to the force of every part."""


def _found(settings=None):
    setup = build_setup(fb.read(PLAIN, settings))
    return force_by_part(setup, static_curves(setup))


@pytest.fixture(scope="module")
def moved():
    return {one.key: one.force for one in influences(build_setup(fb.read(PLAIN)))}


def test_parts_air_and_friction_sum_to_the_largest_force_of_the_gauge():
    found, run = _found(STILL), fb.predict(fb.read(PLAIN, STILL))
    assert isclose(sum(one.force for one in found.causes), found.total, rel_tol=1e-9)
    assert isclose(found.total, max(run.value("rod_force_push"), run.value("rod_force_pull")), rel_tol=2e-3)


def test_a_small_pitch_arm_is_told_apart_from_the_grip_it_hides_under():
    """0.7 g, 10 mm forward: four times the grip of 5.2 g about the axis."""
    forces = {one.name: one.force for one in _found().causes}
    assert forces["horn"] > 3.0 * forces["grip"] > 0.0
    by_size = sorted(forces.values(), key=abs, reverse=True)
    assert [one.force for one in _found().causes] == by_size
    assert forces["blade-bolt"] < 0.0  # above and below the axis: takes force off


def test_a_point_forward_of_the_axis_pulls_what_a_hand_calculation_says():
    """N_b m r-free: F = N_b m c^2 Omega^2 sin cos / slope, the slope from the whole rod force's own law."""

    at = {"chord": "12 mm", "radius": "20 mm"}
    extra = {"part.lead": {"group": "grip", "shape": "point", "mass": "0.5 g", "at": at}}
    scenario = fb.read(PLAIN, extra)
    setup = build_setup(scenario)
    found = force_by_part(setup, static_curves(setup))
    lead = next(one.force for one in found.causes if one.name == "lead")
    slope = pitch_rod_travel(found.pitch, setup.plant.linkage)[1]
    by_hand = 2 * 0.5e-3 * 0.012**2 * scenario.rotor.speed**2 * sin(found.pitch) * cos(found.pitch) / slope
    assert isclose(lead, abs(by_hand), rel_tol=1e-9)


def test_a_tenth_more_of_a_mass_is_a_tenth_of_what_its_part_adds():
    forces = {one.name: one.force for one in _found(DRY).causes}
    moved = {one.key: one.force for one in influences(build_setup(fb.read(PLAIN, DRY)))}
    assert isclose(moved["part.horn.mass"], 0.1 * forces["horn"], rel_tol=0.03)
    assert isclose(moved["part.grip.mass"], 0.1 * forces["grip"], rel_tol=0.1)  # and what the bearing rubs


def test_signs_and_sizes_of_a_tenth_more(moved):
    found = _found()
    friction = next(one.force for one in found.causes if one.name == "friction")
    load = found.total - friction
    assert 0.21 * load * 0.98 < moved["rotor.speed"] < 0.21 * found.total  # joints rub with their load
    assert moved["part.blade-bolt.under_head"] < 0.0 < moved["part.horn.at.chord"]
    assert moved["linkage.servo_arm"] == 0.0
    assert "servo.stall_torque" not in moved


def test_of_a_build_that_pulls_what_adds_is_positive_too():
    pull = _found({"linkage.reversed": "true"})
    push = _found()
    assert not pull.push
    assert push.push
    assert isclose(pull.total, push.total, rel_tol=0.1)
    assert next(one.force for one in pull.causes if one.name == "blade") > 0.0


def test_predict_says_it_and_keeps_the_rest_for_verbose():
    words = CliRunner().invoke(app, ["predict", PLAIN]).output
    assert "10 % more of" not in words
    words = CliRunner().invoke(app, ["predict", PLAIN, "--verbose"]).output
    assert "Where the largest force comes from (push, at 28.0 deg)" in words
    told = words[words.index("Where the largest force comes from") :]
    assert told.index("horn") < told.index("air") < told.index("friction")
    assert "10 % more of" in words
    document = json.loads(CliRunner().invoke(app, ["predict", PLAIN, "--json", "-"]).stdout)
    causes = document["force_by_part"]["causes"]
    assert [one["name"] for one in causes[:2]] == ["blade", "horn"]
    assert isclose(sum(one["force"] for one in causes), document["force_by_part"]["total"])
