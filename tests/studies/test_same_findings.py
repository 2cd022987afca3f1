"""The same build gives the same findings: again, from several threads, and typed in other units."""

import re
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest

from featherbench.scenario import from_tables, read
from featherbench.studies import compare, compared, predict

# exact by definition: inch, pound and standard gravity (international yard and pound 1959; CGPM 1901)
INCH, OUNCE, OUNCE_FORCE = 0.0254, 0.45359237 / 16, 0.45359237 * 9.80665 / 16
TRADE = {
    "mm": (1e-3, INCH, "in"),
    "g": (1e-3, OUNCE, "oz"),
    "N": (1.0, OUNCE_FORCE, "ozf"),
    "N*m": (1.0, OUNCE_FORCE * INCH, "ozf*in"),
    "N*mm": (1e-3, OUNCE_FORCE * INCH, "ozf*in"),
    "N/mm": (1e3, 16 * OUNCE_FORCE / INCH, "lbf/in"),
    "deg": (np.pi / 180.0, 1.0, "rad"),
    "rpm": (np.pi / 30.0, 1.0, "rad/s"),
    "ms": (1e-3, 1.0, "s"),
}
SURVEY = Path(__file__).parents[2] / "scenarios" / "survey-3kg" / "plain.toml"
STATIC = [
    "mass",
    "radial_moment",
    "centrifugal_load",
    "inertia_chordwise",
    "inertia_normal",
    "compensation",
    "feathering_frequency",
    "propeller_moment_low",
    "propeller_moment_high",
    "servo_force",
]


def trade(node):
    """The same tables with every quantity in trade units, to the last digit."""
    if isinstance(node, dict):
        return {key: trade(value) for key, value in node.items()}
    if isinstance(node, list):
        return [trade(value) for value in node]
    found = re.fullmatch(r"([-+.0-9e]+) (\S+)", node) if isinstance(node, str) else None
    if found is None or found[2] not in TRADE:
        return node
    metric, other, unit = TRADE[found[2]]
    return f"{float(found[1]) * metric / other!r} {unit}"


def same(one, two, relative=0.0):
    assert one.findings.keys() == two.findings.keys()
    for name, finding in one.findings.items():
        if isinstance(finding.value, float):
            assert two.value(name) == pytest.approx(finding.value, rel=relative, abs=relative * 1e-3), name
        else:
            assert two.findings[name].value == finding.value, name
    for name, curves in one.curves.items():
        for column, values in curves.columns.items():
            if relative == 0.0:
                assert np.array_equal(values, two.curves[name].columns[column]), f"{name} {column}"


def test_again_is_the_same_bit_for_bit(scenario_of):
    same(predict(scenario_of()), predict(scenario_of()))


def test_two_threads_find_what_one_finds(scenario_of, weight):
    builds = [scenario_of(), scenario_of(part=weight(0.5, 12.0)), scenario_of(rotor={"speed": "7000 rpm"})]
    alone = [predict(build) for build in builds]
    with ThreadPoolExecutor(2) as pool:
        together = list(pool.map(predict, builds * 2))
    for one, two in zip(alone * 2, together, strict=True):
        same(one, two)


def test_trade_units_find_what_metric_units_find(tables, weight):
    """Masses, centrifugal moments, friction to 1e-12; what was iterated or stepped to 1e-9; text the same.

    The stepper takes differences of places (1e-5 m of play and give, of 1e-2 m) through contact and friction
    thresholds thousands of times: the last digit of an input grows by some four decades on the way.
    """
    metric = tables(part=weight(0.3, 12.0))
    imperial = trade(metric)
    assert imperial["blade"]["root"].endswith(" in")
    assert imperial["servo"]["stall_torque"].endswith(" ozf*in")
    assert imperial["part"]["weight"]["mass"].endswith(" oz")
    one, two = predict(from_tables(metric)), predict(from_tables(imperial))
    same(one, two, 1e-9)
    for name in STATIC:
        assert two.value(name) == pytest.approx(one.value(name), rel=1e-12), name
    for column in ("pitch", "friction", "rod_friction", "servo_force"):
        assert getattr(two.statics, column) == pytest.approx(getattr(one.statics, column), rel=1e-12), column
    for group, moment in one.statics.by_group.items():
        assert two.statics.by_group[group] == pytest.approx(moment, rel=1e-12, abs=1e-15), group
    # the air's share comes out of an iteration that stops within 1e-10
    assert two.statics.rod_force == pytest.approx(one.statics.rod_force, rel=1e-9, abs=1e-12)


def test_compare_sets_each_build_against_the_first(scenario_of, weight):
    builds = [scenario_of(), scenario_of(part=weight(0.4, 12.0))]
    both = compare(*builds)
    (changes,) = both.changes
    by_name = {change.name: change for change in changes}
    push = by_name["rod_force_push"]
    assert push.before == both.runs[0].value("rod_force_push")
    assert push.after == both.runs[1].value("rod_force_push")
    assert push.difference == push.after - push.before < 0.0
    assert push.share == pytest.approx(push.after / push.before - 1.0)
    assert by_name["release"].difference is None
    assert by_name["compensation"].share is None  # from none there is no share
    same_again = compared([both.runs[0], both.runs[0]]).changes[0]
    assert all(change.difference in (0.0, None) for change in same_again)


def test_series_come_as_a_frame_with_units(scenario_of):
    run = predict(scenario_of())
    frame = run.to_frame()
    assert frame["time [s]"].to_numpy() == pytest.approx(run.servo.time)
    assert "rod_force [N]" in frame
    assert len(run.to_frame("force_loop")) == len(run.gauge.pitch)
    with pytest.raises(ValueError, match="returns"):
        run.value("release")


def test_builds_are_compared_where_only_one_of_them_finds_something():
    # without an aircraft there is no hover, so one of the two has no seat ratio in hover, whichever comes first
    scenario = read(SURVEY)
    flown, parked = predict(scenario), predict(scenario.model_copy(update={"aircraft": None}))
    hover = set(flown.findings) - set(parked.findings)
    assert "hover_thrust" in hover
    for runs, known in (([flown, parked], "before"), ([parked, flown], "after")):
        done = compared(runs)
        changes = {one.name: one for one in done.changes[0]}
        assert hover <= set(changes)
        one = changes["hover_thrust"]
        assert getattr(one, known) == flown.value("hover_thrust")
        assert {one.before, one.after} == {flown.value("hover_thrust"), None}
        assert one.difference is None
        assert one.share is None
        assert set(done.to_frame().loc[1].index) == set(flown.findings)
