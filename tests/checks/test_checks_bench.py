"""Checks of a bench run: loads scale as they must, what is missing is said, lever and section by hand."""

from math import pi

import pytest

from featherbench.checks import bench_checks, run_cautions
from featherbench.checks.balance import grade_speed, worst_sum
from featherbench.checks.bolt_joint import bolt_joint, overhang
from featherbench.checks.fasteners import property_class
from featherbench.studies import predict

BOLTED = {
    "part": {
        "root": {
            "group": "blade",
            "shape": "box",
            "size": {"radius": "12 mm", "chord": "10 mm", "normal": "5 mm"},
            "at": {"radius": "36 mm"},
            "mass": "0.8 g",
            "material": "aluminium 6061",
        },
        "grip": {
            "group": "grip",
            "shape": "box",
            "size": {"radius": "30 mm", "chord": "12 mm", "normal": "9 mm"},
            "at": {"radius": "24 mm"},
            "mass": "5.4 +/- 0.02 g",
            "material": "aluminium 6061",
        },
        "bolt": {
            "group": "bolt",
            "shape": "screw",
            "standard": "ISO 4762",
            "size": "M3x16",
            "at": {"radius": "36 mm"},
            "under_head": "4.5 mm",
        },
        "nut": {
            "group": "bolt",
            "shape": "nut",
            "standard": "ISO 4032",
            "size": "M3",
            "at": {"radius": "36 mm", "normal": "-5.7 mm"},
        },
    },
    "linkage": {"rod_diameter": "2 mm", "rod_material": "carbon"},
    "limits": {"bolt_class": "10.9", "balance_grade": "G6.3", "over_speed": 1.2},
}


def _by_name(run):
    return {check.name: check for check in bench_checks(run)}


@pytest.fixture(scope="module")
def bolted(scenario_of):
    return predict(scenario_of(**BOLTED))


def test_shear_is_the_pull_of_the_swinging_parts_alone(bolted):
    check = _by_name(bolted)["blade bolt, shear in two planes at 1.2 x speed"]
    spin = bolted.scenario.rotor.speed * 1.2
    assert check.demand == pytest.approx(bolted.setup.assembly.swinging.radial * spin**2)
    assert check.demand < bolted.value("centrifugal_load") * 1.44
    core = pi / 4.0 * (3e-3 - 1.226869 * 0.5e-3) ** 2
    assert check.allowable == pytest.approx(0.5 * 0.6 * 1040e6 * 2.0 * core)


def test_bending_lever_runs_from_the_grip_face(bolted):
    """A point weight on the bolt 10 mm above the axis bends it over 5.5 mm from a face 4.5 mm above."""
    assembly = bolted.setup.assembly
    before = overhang(assembly, 4.5e-3)
    assert bolt_joint(assembly).grip == pytest.approx((-4.5e-3, 4.5e-3))
    head = 3.0e-3  # an M3 socket head, 3 mm high, its foot on the face
    assert 0.4 * head < before.lever < 0.6 * head
    assert before.names == ("bolt",)


def test_a_weight_raises_bending_by_its_own_load_and_lever(bolted, scenario_of):
    weight = {
        "group": "counterweight",
        "shape": "point",
        "mass": "1 g",
        "at": {"radius": "36 mm", "normal": "10 mm"},
    }
    weighted = predict(scenario_of(**{**BOLTED, "part": {**BOLTED["part"], "weight": weight}}))
    faces = overhang(bolted.setup.assembly, 4.5e-3), overhang(weighted.setup.assembly, 4.5e-3)
    gained = faces[1].load * faces[1].lever - faces[0].load * faces[0].lever
    assert gained == pytest.approx(1e-3 * 36e-3 * 5.5e-3, rel=1e-9)
    assert any('the weight "weight"' in said for said in run_cautions(weighted))
    apart = {**weight, "at": {"radius": "25 mm", "normal": "10 mm"}}
    beside = predict(scenario_of(**{**BOLTED, "part": {**BOLTED["part"], "weight": {**apart, "shape": "cylinder",
        "axis": "normal", "diameter": "5 mm", "length": "4 mm"}}}))  # fmt: skip
    assert "weight" not in overhang(beside.setup.assembly, 4.5e-3).names
    fixing = _by_name(beside)["fixing of the weights beside the blade bolt at 1.2 x speed"]
    spin = beside.scenario.rotor.speed * 1.2
    assert fixing.demand == pytest.approx(1e-3 * 25e-3 * spin**2)
    assert fixing.verdict == "not checked"


def test_centrifugal_demands_go_with_over_speed_squared(bolted, scenario_of):
    limits = {**BOLTED["limits"], "over_speed": 1.5}
    faster = predict(scenario_of(**{**BOLTED, "limits": limits}))
    pairs = [(check, other) for check, other in zip(bench_checks(bolted), bench_checks(faster), strict=True)]
    compared = [(one, two) for one, two in pairs if "1.2 x speed" in one.name and "together" not in one.name]
    assert len(compared) == 5
    for one, two in compared:
        assert two.demand / one.demand == pytest.approx((1.5 / 1.2) ** 2)


def test_a_thinner_class_allows_less_and_an_unknown_one_is_said(bolted, scenario_of):
    softer = predict(scenario_of(**{**BOLTED, "limits": {"bolt_class": "4.8"}}))
    strong, soft = _by_name(bolted), _by_name(softer)
    for name in strong:
        if name.startswith("blade bolt"):
            assert soft[name].allowable < strong[name].allowable
    odd = predict(scenario_of(**{**BOLTED, "limits": {"bolt_class": "11.5"}}))
    check = _by_name(odd)["blade bolt, shear in two planes at 1.2 x speed"]
    assert check.verdict == "not checked"
    assert "10.9" in check.source


def test_nothing_is_assumed_where_parts_are_missing(scenario_of):
    bare = _by_name(predict(scenario_of()))
    shear = bare["blade bolt, shear in two planes at 1.2 x speed"]
    assert shear.verdict == "not checked"
    assert "state the blade bolt" in shear.source
    assert bare["rod buckling under the largest push"].verdict == "not checked"
    assert bare["unbalance of unlike blades"].verdict == "not checked"
    assert all(check.allowable is None or check.source for check in bare.values())


def test_a_bolt_too_short_for_its_nut_fails(scenario_of, bolted):
    assert _by_name(bolted)["thread of the blade bolt in its nut"].verdict == "holds"
    short = {**BOLTED["part"], "bolt": {**BOLTED["part"]["bolt"], "size": "M3x10"}}
    check = _by_name(predict(scenario_of(**{**BOLTED, "part": short})))["thread of the blade bolt in its nut"]
    assert check.verdict == "fails"
    assert check.allowable == pytest.approx(1e-3)  # the nut reaches from 4.5 to 6.9 mm, the screw to 5.5


def test_unbalance_follows_the_tolerances_or_a_stated_mismatch(bolted, scenario_of):
    name = "unbalance of unlike blades"
    grip = bolted.scenario.source.tolerances["part.grip.mass"]
    assert _by_name(bolted)[name].demand == pytest.approx(2.0 * grip * 24e-3)
    stated = predict(scenario_of(**{**BOLTED, "limits": {**BOLTED["limits"], "blade_mismatch": "0.2 g*mm"}}))
    assert _by_name(stated)[name].demand == pytest.approx(0.2e-6)


@pytest.mark.parametrize(("blades", "expected"), [(2, 2.0), (3, 2.0), (4, 8.0**0.5)])
def test_unluckiest_blades(blades, expected):
    assert worst_sum(blades) == pytest.approx(expected)


def test_names_of_grades_and_classes():
    assert grade_speed("G6.3") == grade_speed("g 6.3 mm/s") == pytest.approx(6.3e-3)
    assert grade_speed("fine") is None
    assert property_class("class 8.8").proof == 580e6
    assert property_class("17") is None
