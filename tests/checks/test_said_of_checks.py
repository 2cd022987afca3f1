"""What is made of checks: who is thrown how far, what unlike blades weigh, what released blades do; by hand."""

from dataclasses import replace
from math import pi
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.assembly.assembled import Solid
from featherbench.assembly.mass_moments import MassMoments
from featherbench.bench.release import ReleaseVerdict
from featherbench.checks.balance import balance_check, grade_speed, mass_tolerance_moment
from featherbench.checks.check import Check, Verdict
from featherbench.checks.endurance import endurance_at
from featherbench.checks.fasteners import CLASSES, NUTS, combined_stress, property_class
from featherbench.checks.rod import rod_checks
from featherbench.checks.strength import Strength, part_strength
from featherbench.checks.thrown import (
    SPECTACLES,
    Thrown,
    _area,
    _least,
    goes_through,
    thrown_cautions,
    thrown_parts,
)
from featherbench.checks.wording import times_text
from featherbench.judging.judgement import release_lines
from featherbench.judging.sampled_checks import failing_samples, named

SPIN = 9000.0 * 2.0 * pi / 60.0
MM, G = 1e-3, 1e-3


def run_of(setup):
    return SimpleNamespace(scenario=setup.scenario, setup=setup)


@pytest.mark.parametrize(
    ("kind", "axis", "size", "least"),
    [
        ("box", "", (3.0, 4.0, 5.0), 12.0),
        ("box", "", (5.0, 3.0, 4.0), 12.0),
        ("box", "", (3.0, 5.0, 4.0), 12.0),
        ("round", "normal", (4.0, 4.0, 9.0), pi / 4.0 * 16.0),  # end on
        ("round", "normal", (4.0, 4.0, 2.0), 8.0),  # a disc, on its edge
        ("round", "radius", (9.0, 4.0, 4.0), pi / 4.0 * 16.0),
        ("round", "chord", (4.0, 9.0, 4.0), pi / 4.0 * 16.0),
        ("hex", "normal", (4.0, 4.0, 9.0), pi / 4.0 * 16.0),
        ("point", "", (0.0, 0.0, 0.0), None),
    ],
)
def test_the_smallest_shadow_of_a_solid(kind, axis, size, least):
    """mm and mm^2; a hexagon is taken as the circle inside it, which is less."""
    found = _area(Solid(kind, axis, (0.0, 0.0, 0.0), tuple(one * MM for one in size)))
    assert found == (None if least is None else pytest.approx(least * MM**2))


def test_of_several_solids_the_largest_shadow_counts():
    assert _least([3.0, None, 5.0, 4.0]) == 5.0
    assert _least([None, 0.0]) is None


def test_a_blade_leaves_with_all_that_swings_and_comes_tip_first(setup_of, sound):
    """Of NACA 0014 the section is 0.685 t c^2, 26 mm wide: 64.8 mm^2, more than its root of 10 x 5 mm."""
    setup = setup_of(**sound())
    (blade,) = thrown_parts(run_of(setup))
    swinging = setup.assembly.swinging
    assert blade.name == "a blade"
    assert blade.mass == pytest.approx(swinging.mass)
    assert blade.speed == pytest.approx(SPIN * swinging.radial / swinging.mass)
    assert blade.energy == pytest.approx(0.5 * swinging.mass * blade.speed**2)
    assert blade.area == pytest.approx(0.685 * 0.14 * (26 * MM) ** 2, rel=0.01)


RING = {
    "group": "counterweight",
    "shape": "tube",
    "axis": "normal",
    "diameter": "5 mm",
    "bore": "3 mm",
    "length": "2 mm",
    "mass": "1 g",
    "at": {"radius": "36 mm", "normal": "-5.5 mm"},
    "mirror": "normal",
}


def test_a_weight_leaves_alone_and_the_worst_comes_first(setup_of, sound):
    """One of a pair, on edge 5 x 2 mm; heavier further in than a light one further out."""
    light = {**RING, "mass": "0.1 g", "mirror": None, "at": {"radius": "50 mm"}}
    setup = setup_of(**sound(part={"light": {k: v for k, v in light.items() if v}, "ring": RING}))
    found = thrown_parts(run_of(setup))
    assert [one.name for one in found] == ["a blade", 'the weight "ring"', 'the weight "light"']
    ring = found[1]
    assert (ring.mass, ring.speed) == pytest.approx((1.0 * G, SPIN * 36 * MM))
    assert ring.area == pytest.approx(10.0 * MM**2)
    lines = thrown_cautions(run_of(setup))
    assert len(lines) == 2
    assert lines[1].startswith(
        'If the weight "ring" (1 g) comes off at rotor speed, it leaves at 34 m/s (122 km/h)'
    )


def test_what_weighs_nothing_does_not_fly(setup_of, sound):
    setup = setup_of(**sound(part={"ring": RING}))
    parts = tuple(
        replace(part, moments=MassMoments.of_body(0.0, np.zeros(3), np.zeros((3, 3))))
        if part.name == "ring"
        else part
        for part in setup.assembly.parts
    )
    empty = replace(setup, assembly=replace(setup.assembly, parts=parts))
    assert [one.name for one in thrown_parts(run_of(empty))] == ["a blade"]


@pytest.mark.parametrize(
    ("times", "words"),
    [(0.99, ""), (1.01, "more than"), (1.9, "more than"), (1.96, "2 times"), (17.6, "18 times")],
)
def test_energy_is_counted_in_tests_of_spectacles(times, words):
    """0.86 g at 45 m/s: 0.871 J."""
    assert pytest.approx(0.87075) == SPECTACLES
    said = goes_through(Thrown("a thing", 1e-3, 1.0, times * SPECTACLES, None))
    assert said == (
        f"has {words} the energy that safety spectacles (EN 166 F) are tested with" if words else ""
    )


def test_tolerances_of_masses_make_a_moment(setup_of, sound):
    """Grip +/- 0.02 g at 24 mm, and each of two rings +/- 0.05 g at 36 mm; two blades, each its unluckier way."""
    setup = setup_of(**sound(part={"ring": {**RING, "mass": "1 +/- 0.05 g"}}))
    off = (0.02 * 24.0 + 2.0 * 0.05 * 36.0) * G * MM
    assert mass_tolerance_moment(setup.scenario, setup.assembly) == pytest.approx(off)
    check = balance_check(run_of(setup))
    assert check.demand == pytest.approx(2.0 * off)
    assert check.allowable == pytest.approx(6.3e-3 * 2.0 * setup.moments.mass / SPIN)
    assert "unluckier end of its tolerance" in check.source
    stated = setup_of(**sound(limits={"blade_mismatch": "0.2 g*mm"}))
    assert "limits.blade_mismatch" in balance_check(run_of(stated)).source
    bare = setup_of(**sound(part={"grip": {"mass": "5.4 g"}}))
    assert mass_tolerance_moment(bare.scenario, bare.assembly) is None
    none = setup_of(**sound(limits={"balance_grade": None}))
    assert balance_check(run_of(none)).verdict is Verdict.NOT_CHECKED
    assert balance_check(run_of(none)).demand == pytest.approx(2.0 * 0.02 * 24.0 * G * MM)
    assert grade_speed("G0") is None


def test_a_close_call_is_told_with_the_commonest_first():
    high = {ReleaseVerdict.STAYS: 0.75, ReleaseVerdict.RUNS_OUT: 0.25}
    counted = "stay put in 75, run to full pitch in 25 of 100 samples."
    (both,) = release_lines(high, high, 100)
    assert both == f"WARNING: too close to call: released at speed, the blades {counted}"
    (one,) = release_lines(high, {ReleaseVerdict.STAYS: 1.0}, 100, "plain")
    assert (
        one
        == f'WARNING: too close to call: released at speed on the high side, the blades of "plain" {counted}'
    )
    (low,) = release_lines({}, {ReleaseVerdict.STAYS: 0.6, ReleaseVerdict.RETURNS: 0.4}, 10)
    assert low == (
        "Too close to call: released at speed on the low side, the blades stay put in 6, "
        "return to centre in 4 of 10 samples."
    )
    assert (
        release_lines(
            {ReleaseVerdict.STAYS: 0.95, ReleaseVerdict.RETURNS: 0.05},
            {ReleaseVerdict.STAYS: 0.96, ReleaseVerdict.RETURNS: 0.04},
            100,
        )
        == ()
    )
    assert len(release_lines({ReleaseVerdict.STAYS: 0.94, ReleaseVerdict.RETURNS: 0.06}, {}, 100)) == 1
    (two,) = release_lines({ReleaseVerdict.STAYS: 0.6, ReleaseVerdict.RETURNS: 0.4}, high, 100)
    assert two == (
        "WARNING: too close to call: released at speed on the high side, the blades stay put in 60, return to centre "
        "in 40 of 100 samples; on the low side they stay put in 75, run to full pitch in 25."
    )


def test_strengths_of_nuts_and_classes():
    """N/mm^2: ISO 898-2 under proof load, three quarters of it to reckon with; ISO 3506 of stainless."""
    rows = {"04": 380, "05": 500, "5": 520, "6": 600, "8": 800, "10": 1040, "12": 1140}
    assert set(NUTS) == set(rows)
    for name, stress in rows.items():
        assert (NUTS[name].ultimate, NUTS[name].proof) == pytest.approx((stress * 1e6, 0.75 * stress * 1e6))
    assert CLASSES["A2-70"].proof == 450e6
    assert property_class("Class A2-70").ultimate == 700e6
    assert combined_stress(3.0, 4.0) == pytest.approx(57.0**0.5)


def test_a_strength_is_the_one_that_is_stated(setup_of, sound):
    proof = {"property_class": None, "proof_strength": "500 MPa"}
    found = part_strength(setup_of(**sound(part={"bolt": proof})).scenario, "bolt")
    assert (found.proof, found.ultimate, found.source) == (500e6, 500e6, "part.bolt.proof_strength")
    only = {"property_class": None, "yield_strength": "450 MPa", "ultimate_strength": "600 MPa"}
    found = part_strength(setup_of(**sound(part={"bolt": only})).scenario, "bolt")
    assert (found.proof, found.ultimate, found.source) == (450e6, 600e6, "part.bolt.yield_strength")


def test_a_margin_is_what_is_left_over():
    assert Check("x", "force", 2.0, 3.0, "").margin == pytest.approx(0.5)
    assert Check("x", "force", 2.0, None, "").margin is None


@pytest.mark.parametrize(
    ("safety", "words"),
    [(0.1, "0.1 x"), (0.0999, "0.10 x"), (0.95, "0.95 x"), (0.951, "0.95 x"), (10.0, "10.0 x"),
     (10.1, "more than 10 x"),
     (0.999, "0.99 x"), (0.9995, "0.999 x"), (0.001, "0.001 x"),
     (0.0009, "less than 0.001 x"), (float("nan"), "no figure")],
)  # fmt: skip
def test_words_of_margins_at_their_ends(safety, words):
    assert times_text(safety) == words


def test_samples_that_fail_are_counted_by_check():
    samples = [
        {"checks_failing": "thrust bearing; rod ball link", "load_paths_unknown": ""},
        {"checks_failing": "thrust bearing", "load_paths_unknown": "grip"},
        {"checks_failing": "", "load_paths_unknown": ""},
        {"checks_failing": "", "load_paths_unknown": "grip"},
    ]
    assert failing_samples(samples) == [samples[0], samples[1], samples[3]]
    assert named(samples) == "thrust bearing 2, grip 2, rod ball link 1"


def rod_run(push=3.0, pull=2.0, forces=(1.0, -5.0), **linkage):
    stated = {
        "rod_modulus": None,
        "rod_material": None,
        "rod_support_spacing": None,
        "rod_diameter": None,
        "rod_bore": 0.0,
    }
    scenario = SimpleNamespace(
        linkage=SimpleNamespace(**stated | linkage),
        limits=SimpleNamespace(rod_ball_link=linkage.pop("link", None)),
    )
    gauge = SimpleNamespace(push=push, pull=pull)
    return SimpleNamespace(scenario=scenario, gauge=gauge, servo=SimpleNamespace(rod_force=np.array(forces)))


def test_a_rod_is_pushed_by_the_worse_of_gauge_and_servo():
    """Pushed 3 N by hand, pulled 5 N by the servo; a steel tube of 2 x 1 mm over 0.2 m, 205 GPa by its material."""
    tube = {"rod_material": "steel", "rod_support_spacing": 0.2, "rod_diameter": 2e-3, "rod_bore": 1e-3}
    buckling, link = rod_checks(rod_run(**tube, link=6.0))
    assert (buckling.demand, link.demand, link.allowable, link.source) == (
        3.0,
        5.0,
        6.0,
        "limits.rod_ball_link",
    )
    second = pi * (16.0 - 1.0) / 64.0 * 1e-12
    modulus = 2.0 * buckling.allowable * 0.2**2 / (pi**2 * second)
    assert 195e9 < modulus < 215e9
    stated = rod_checks(rod_run(**tube, rod_modulus=70e9))[0]
    assert stated.allowable == pytest.approx(0.5 * pi**2 * 70e9 * second / 0.04)
    assert rod_checks(rod_run(forces=(4.0, -1.0)))[0].demand == 4.0
    assert rod_checks(rod_run(pull=7.0))[1].demand == 7.0
    assert rod_checks(rod_run())[1].source == "state limits.rod_ball_link"


@pytest.mark.parametrize("lacking", ["rod_support_spacing", "rod_diameter", "rod_modulus"])
def test_what_a_rod_lacks_is_asked_for(lacking):
    whole = {"rod_modulus": 70e9, "rod_support_spacing": 0.2, "rod_diameter": 2e-3}
    check = rod_checks(rod_run(**{**whole, lacking: None}))[0]
    assert check.verdict is Verdict.NOT_CHECKED
    assert check.source.startswith(f"state linkage.{lacking}")
    assert check.source.count("linkage.") == 1
    odd = rod_checks(rod_run(**{**whole, "rod_modulus": None, "rod_material": "cheese"}))[0]
    assert "rod_modulus" in odd.source


def test_a_weight_on_the_other_side_of_the_shaft_flies_as_fast(setup_of, sound):
    ring = {key: value for key, value in RING.items() if key != "mirror"} | {"at": {"radius": "-36 mm"}}
    (_, found) = thrown_parts(run_of(setup_of(**sound(part={"ring": ring}))))
    assert found.speed == pytest.approx(SPIN * 36 * MM)


def test_skin_takes_what_is_published_and_a_soft_bar_is_no_better_than_polished():
    """1.25 m kgf/cm^2, 122.6 kJ/m^2; the surface factor of machined steel, 4.51 Rm^-0.265, ends at 1 (200 MPa)."""
    for density, through in ((122.0e3, False), (123.0e3, True)):
        assert ("skin" in goes_through(Thrown("a thing", 1e-3, 1.0, density * 1e-5, 1e-5))) == through
    soft = Strength(150e6, 200e6, "", "steel")
    assert endurance_at(soft, "shank", 3e-3, 0.0) == pytest.approx(0.7 * 0.5 * 200e6 / 1.5)
