"""Checks of a bench run: loads scale as they must, what is missing is said, lever and section by hand."""

import pytest

from featherbench.checks import bench_checks, run_cautions
from featherbench.checks.balance import grade_speed, worst_sum
from featherbench.checks.bolt_joint import bolt_joint, overhang
from featherbench.checks.fasteners import property_class
from featherbench.judging import judge
from featherbench.studies import predict


def _by_name(run):
    return {check.name: check for check in bench_checks(run)}


@pytest.fixture(scope="module")
def bolted(scenario_of, sound):
    return predict(scenario_of(**sound()))


def test_bending_lever_runs_from_the_grip_face(bolted):
    """A point weight on the bolt 10 mm above the axis bends it over 5.5 mm from a face 4.5 mm above."""
    assembly = bolted.setup.assembly
    before = overhang(assembly, 4.5e-3)
    assert bolt_joint(assembly).grip == pytest.approx((-4.5e-3, 4.5e-3))
    head = 3.0e-3  # an M3 socket head, 3 mm high, its foot on the face
    assert 0.4 * head < before.lever < 0.6 * head
    assert before.names == ("bolt",)


def test_a_weight_raises_bending_by_its_own_load_and_lever(bolted, scenario_of, sound):
    weight = {
        "group": "counterweight",
        "shape": "point",
        "mass": "1 g",
        "at": {"radius": "36 mm", "normal": "10 mm"},
    }
    weighted = predict(scenario_of(**sound(part={"weight": weight})))
    faces = overhang(bolted.setup.assembly, 4.5e-3), overhang(weighted.setup.assembly, 4.5e-3)
    gained = faces[1].load * faces[1].lever - faces[0].load * faces[0].lever
    assert gained == pytest.approx(1e-3 * 36e-3 * 5.5e-3, rel=1e-9)
    assert any('the weight "weight"' in said for said in run_cautions(weighted))
    apart = {"at": {"radius": "25 mm", "normal": "10 mm"}, "shape": "cylinder", "axis": "normal",
             "diameter": "5 mm", "length": "4 mm"}  # fmt: skip
    beside = predict(scenario_of(**sound(part={"weight": {**weight, **apart}})))
    assert "weight" not in overhang(beside.setup.assembly, 4.5e-3).names
    fixing = _by_name(beside)['what holds the weight "weight" at 1.2 x speed']
    spin = beside.scenario.rotor.speed * 1.2
    assert fixing.demand == pytest.approx(1e-3 * 25e-3 * spin**2)
    assert fixing.verdict == "unknown"


def test_a_sound_joint_holds_and_one_without_anything_is_unknown(bolted, scenario_of):
    assert judge(bench_checks(bolted)).unknown == ()
    assert not [check for check in bench_checks(bolted) if check.load_path and check.verdict != "holds"]
    bare = _by_name(predict(scenario_of()))
    shear = bare["blade bolt, shear in two planes at 1.2 x speed"]
    assert shear.verdict == "unknown"
    assert "state the blade bolt" in shear.source
    assert bare["rod buckling under the largest push"].verdict == "not checked"
    assert bare["unbalance of unlike blades"].verdict == "not checked"
    assert all(check.allowable is None or check.source for check in bare.values())
    assert judge(tuple(bare.values())).stop


def test_unbalance_follows_the_tolerances_or_a_stated_mismatch(bolted, scenario_of, sound):
    name = "unbalance of unlike blades"
    grip = bolted.scenario.source.tolerances["part.grip.mass"]
    assert _by_name(bolted)[name].demand == pytest.approx(2.0 * grip * 24e-3)
    stated = predict(scenario_of(**sound(limits={"blade_mismatch": "0.2 g*mm"})))
    assert _by_name(stated)[name].demand == pytest.approx(0.2e-6)


@pytest.mark.parametrize(("blades", "expected"), [(2, 2.0), (3, 2.0), (4, 8.0**0.5)])
def test_unluckiest_blades(blades, expected):
    assert worst_sum(blades) == pytest.approx(expected)


def test_names_of_grades_and_classes():
    assert grade_speed("G6.3") == grade_speed("g 6.3 mm/s") == pytest.approx(6.3e-3)
    assert grade_speed("fine") is None
    assert property_class("class 8.8").proof == 580e6
    assert property_class("17") is None
