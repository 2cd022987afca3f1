"""Each amount of weight of a sweep is judged by what it does itself, not by the build as written."""

from types import SimpleNamespace

import pytest

from featherbench.bench.setup import build_setup
from featherbench.checks.load_path import load_path_checks
from featherbench.hovering.weight_amounts import swept
from featherbench.judging.biasing import amount_checks, servo_check, strength_at
from featherbench.scenario import read
from featherbench.views.first_lines import of_bias, of_scenario


@pytest.fixture(scope="module")
def worn():
    return build_setup(read("scenarios/survey-3kg/worn.toml"))


def _by_name(checks):
    return {check.name.partition(" at ")[0]: check for check in checks}


def test_the_amount_as_written_is_judged_as_it_is_written(worn):
    from featherbench.assembly import compensation

    own = compensation(worn.assembly, worn.lead_lag)
    for one, other in zip(amount_checks(worn, own), load_path_checks(worn), strict=True):
        assert one.name == other.name
        assert one.demand == pytest.approx(other.demand, rel=1e-9)
        assert one.allowable == pytest.approx(other.allowable, rel=1e-9)


def test_more_weight_pulls_and_bends_in_proportion(worn):
    """At the same place twice the compensation beyond that of the bare bolt is twice the weights' mass: twice what
    their own fixing bears, and the bearing's load grows by as much as they pull.
    """
    bare = swept(worn, [0.0])[0]  # its bolt cancels more than the plain one
    assert 0.1 < bare < 0.2
    none, one, two = (_by_name(amount_checks(worn, bare + more)) for more in (0.0, 0.4, 0.8))
    held = 'what holds the weight "head-collar"'
    assert two[held].demand == pytest.approx(2.0 * one[held].demand, rel=1e-9)
    weights = one["thrust bearing"].demand - none["thrust bearing"].demand
    assert weights > 0.0
    assert two["thrust bearing"].demand == pytest.approx(
        none["thrust bearing"].demand + 2.0 * weights, rel=1e-9
    )


def test_an_amount_that_breaks_the_bolt_is_said_to(worn):
    assert strength_at(worn, 0.4).word == "holds"
    broken = strength_at(worn, 1.4)
    assert broken.word == "fails"
    assert "blade bolt, starts and turns 0.7 x" in broken.against


def test_of_points_of_mass_the_pull_is_checked_and_nothing_said_to_hold_them():
    bare = build_setup(read("scenarios/survey-3kg/plain.toml"))
    assert strength_at(bare, 0.0).word == "holds"
    unheld = strength_at(bare, 0.5)
    assert unheld.word == "unknown"
    assert "what holds the weights of the sweep (" in unheld.against
    load = _by_name(amount_checks(bare, 0.0))["thrust bearing"].demand
    weak = build_setup(
        read("scenarios/survey-3kg/plain.toml", {"bearing.static_rating": f"{1.01 * load:.3f} N"})
    )
    assert strength_at(weak, 0.0).word == "holds"
    assert strength_at(weak, 0.5).word == "fails"


def test_what_is_aimed_for_and_fails_is_the_first_line(worn):
    point = SimpleNamespace(compensation=1.4, strength="fails", against="1 check fails (blade bolt 0.7 x)")
    written = of_scenario(worn.scenario)
    first = of_bias(SimpleNamespace(chosen=point), written)
    assert first.do_not_run
    assert first.lines[0] == (
        "DO NOT RUN: at the compensation of 1.40 that is aimed for: 1 check fails (blade bolt 0.7 x)."
    )
    point.strength = "unknown"
    assert of_bias(SimpleNamespace(chosen=point), written).lines == ()


def test_the_servo_of_each_amount_is_judged_by_what_that_amount_asks_of_it(worn):
    """Towards neutral weights take load off: a servo that just turns the built blades cannot turn bare ones."""
    bare, built = (servo_check(worn, kappa) for kappa in (0.0, 0.5))
    assert bare.demand > 1.3 * built.demand
    assert bare.allowable == built.allowable == worn.drive.available_torque(worn.plant.supply)
    weaker = 0.5 * (bare.demand + built.demand) / bare.allowable
    scenario = worn.scenario
    servo = scenario.servo.model_copy(update={"stall_torque": weaker * scenario.servo.stall_torque})
    weak = build_setup(scenario.model_copy(update={"servo": servo}), worn.air)
    assert strength_at(weak, 0.0).word == "fails"
    assert "servo torque over the stroke" in strength_at(weak, 0.0).against
    assert "servo torque" not in strength_at(weak, 0.5).against
