"""Slips of typing are remarked on, and what people mean is not: every figure of the shipped builds, a unit off."""

import copy
import re
import tomllib
from pathlib import Path

import numpy as np
import pytest

from featherbench.bench.setup import build_setup
from featherbench.checks import Check
from featherbench.judging import judge
from featherbench.scenario import ScenarioError, from_tables, read
from featherbench.slips import HEAD, remark_list, remarks
from featherbench.studies import predict

ROOT = Path(__file__).parents[2]
SHIPPED = sorted((ROOT / "scenarios").glob("*/*.toml"))
PLAIN = ROOT / "scenarios" / "survey-3kg" / "plain.toml"
STARTER = ROOT / "sim" / "featherbench" / "guide" / "starter.toml"
COARSE = np.deg2rad(20.0)
"""Spacing of the load table, rad: no remark depends on it."""


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_the_shipped_builds_are_meant(path):
    assert remarks(build_setup(read(path), spacing=COARSE)) == ()


def test_the_starter_is_meant():
    tree = tomllib.loads(STARTER.read_text(encoding="utf-8"))
    assert remarks(build_setup(from_tables(tree), spacing=COARSE)) == ()


@pytest.mark.parametrize(
    ("key", "typed", "given"),
    [
        ("part.blade.mass", "82 g", "82 g"),
        ("rotor.speed", "94000 rpm", "94000 rpm"),
        ("blade.chord", "29 in", "736.6 mm"),
        ("part.grip.mass", "21 oz", "595.3 g"),
        ("linkage.servo_arm", "14 cm", "140 mm"),
        ("linkage.stiffness", "35 N/m", "0.035 N/mm"),
        ("bearing.static_rating", "14 kN", "14000 N"),
        ("supply.limit", "0.25 A", "0.25 A"),
        ("servo.proportional_band", "2 rad", "114.6 deg"),
        ("servo.gear_ratio", "23.0", "23"),
        ("part.lock-nut.at.normal", "-7 cm", "-70 mm"),
        ("part.blade-bolt.under_head", "5 inch", "127 mm"),
        ("limits.regulator_current", "300 mA", "0.3 A"),
        ("aircraft.tail_arm", "72 mm", "72 mm"),
        ("envelope.lathe_step", "1 mm", "1 mm"),
        ("aircraft.mass", "0.3 kg", "300 g"),
        ("aircraft.yaw_inertia", "0.007 kg*m^2", None),
        ("linkage.play.rod", "4 mm", "4 mm"),
        ("linkage.play.slider", "4 mm", "4 mm"),
        ("linkage.play.horn", "4 mm", "4 mm"),
        ("limits.blade_mismatch", "3 kg*mm", None),
    ],
)
def test_a_slip_is_named_by_key_and_figure(key, typed, given):
    (only,) = remark_list(build_setup(read(PLAIN, {key: typed}), spacing=COARSE))
    assert only.key == key
    assert given is None or only.given == given
    assert only.sentence.startswith(f"{HEAD}: {key} = {only.given}? Usual is ")


def test_hardly_possible_power_is_asked_whether_the_servo_is_brushless():
    """3.84 W of torque x speed out of 6 V x 0.75 A, 0.85: hardly any loss; said to be limited, it is fine."""
    keys = {
        "servo.stall_current": "0.75 A",
        "servo.gear_friction": "3 N*mm",
        "servo.output_friction": "0 N*mm",
    }
    (only,) = remark_list(build_setup(read(PLAIN, keys), spacing=COARSE))
    assert only.key == "servo.stall_torque"
    assert 'servo.drive = "brushless" or "current-limited"' in only.sentence
    keys["servo.drive"] = "brushless"
    assert remark_list(build_setup(read(PLAIN, keys), spacing=COARSE)) == ()


def tables(path=PLAIN):
    """A fresh tree of a file without a base."""
    return tomllib.loads(path.read_text(encoding="utf-8"))


def collars():
    tree = tables()
    variant = tables(PLAIN.with_name("weighted.toml"))
    tree["part"] |= variant["part"]
    for name in variant["remove"]:
        del tree["part"][name]
    return tree


@pytest.mark.parametrize("name", ["stud-bolt", "lock-nut", "head-collar"])
def test_what_has_no_place_sits_in_the_centre_and_that_is_said(name):
    tree = collars()
    del tree["part"][name]["at"]
    found = remark_list(build_setup(from_tables(tree), spacing=COARSE))
    assert [one.key for one in found] == [f"part.{name}.at"]
    assert found[0].given == "not stated"
    assert "rotor's centre" in found[0].sentence
    tree["part"][name]["at"] = {"normal": "9 mm"}
    assert remark_list(build_setup(from_tables(tree), spacing=COARSE))[0].given == "radius 0"


def test_masses_that_each_might_be_are_held_against_one_another_and_the_rotor():
    """A block of aluminium three times too long each way has the density of aluminium."""
    tree = tables()
    del tree["part"]["grip"]["mass"]
    tree["part"]["grip"]["size"] = {"radius": "60 mm", "chord": "36 mm", "normal": "30 mm"}
    found = remark_list(build_setup(from_tables(tree), spacing=COARSE))
    assert found[0].key == "mass of group grip (part.grip, part.horn)"
    tree = tables()
    tree["part"]["grip"] = {"group": "grip", "shape": "point", "at": {"radius": "23 mm"}, "mass": "52 g"}
    (only,) = remark_list(build_setup(from_tables(tree), spacing=COARSE))
    assert only.key == "mass of part.grip"


def test_a_pull_that_no_single_figure_explains():
    """Speed, tips, sizes and densities pass, the pull does not."""
    changes = {"rotor.speed": "17000 rpm", "part.grip.mass": "13 g", "part.blade.mass": "14 g"}
    (only,) = remark_list(build_setup(read(PLAIN, changes), spacing=COARSE))
    assert only.key == "outward pull of one blade"


NUMBER = re.compile(r"^(-?[\d.]+)(?: \+/- [\d.]+)? ?([A-Za-z*/^0-9]+)(?: \+/- .*)?$")
FACTORS = {
    "mm": (10.0, 0.1, 25.4, 1 / 25.4, 1000.0),
    "m": (10.0, 0.1, 1000.0, 0.001, 0.3048),
    "g": (10.0, 0.1, 28.35, 1 / 28.35, 1000.0),
    "N": (10.0, 0.1, 9.81, 1 / 9.81),
    "N*m": (10.0, 0.1, 1000.0, 0.0981, 0.00706),
    "rpm": (10.0, 0.1, 9.55),
}
"""By unit: a decimal point, inch, ounce, kilo, feet, kilogram-force, kgf*cm, ozf*inch, rad/s."""
SMALL_IS_POSSIBLE = re.compile(
    r"linkage\.(rod_friction|rod_bore|play\.\w+)|bearing\.starting_moment|limits\.(blade_mismatch|bolt_class)"
    r"|servo\.(idle_current|dead_band|gear_play|damping|output_friction)|supply\.resistance|bench\..*|aircraft\.gyro\..*"
    r"|gauge\.(resolution|uncertainty|rate)|meter\.(resolution|uncertainty|window)|part\.horn\.at\.chord"
    r"|part\.[\w-]+\.(bore|property_class|yield_strength|ultimate_strength|shank_length)|retention\..*|air\.altitude|rotor\.pitch_range\.\d|envelope\.target\..*|linkage\.slider_friction"
)
"""Figures of which a tenth is nothing unusual: less friction, less play, a finer instrument."""
LARGE_IS_POSSIBLE = re.compile(
    r"servo\.rotor_inertia|gauge\.rate|meter\.rate|bench\.programme\..*|aircraft\.gyro\..*|limits\.bolt_class"
    r"|part\.[\w-]+\.(property_class|yield_strength|ultimate_strength)|retention\..*"
    r"|part\.[\w-]+-collar\.length"  # a bolt that such a collar hangs on fails its checks
    r"|linkage\.rod_friction|aircraft\.tail_arm|part\.(horn|pitch-arm|arm)\.at\.normal"
)


def figures(tree, path=()):
    """(path, number, unit, written back) of each dimensional text in a tree."""
    for key, value in tree.items() if isinstance(tree, dict) else enumerate(tree):
        if isinstance(value, dict | list):
            yield from figures(value, (*path, key))
        elif isinstance(value, str) and (match := NUMBER.match(value)) and float(match[1]) != 0.0:
            yield (*path, key), float(match[1]), match[2]


def slipped(tree, path, typed):
    """The tree with one figure typed otherwise."""
    tree = copy.deepcopy(tree)
    table = tree
    for key in path[:-1]:
        table = table[key]
    table[path[-1]] = typed
    return tree


def noticed(tree, air):
    try:
        return bool(remarks(build_setup(from_tables(tree), air, spacing=COARSE)))
    except ScenarioError:
        return True


@pytest.mark.parametrize("build", ["survey", "collars", "scout", "starter"])
def test_hardly_a_slip_goes_unremarked(build):
    tree = {
        "survey": tables,
        "collars": collars,
        "scout": lambda: tables(ROOT / "scenarios" / "scout-1kg" / "plain.toml"),
        "starter": lambda: tables(STARTER),
    }[build]()
    air = build_setup(from_tables(tree), spacing=COARSE).air
    unsaid, tried = [], 0
    for path, number, unit in figures(tree):
        if path[0] in ("rotor", "air", "blade") or (build == "collars" and "collar" not in path[1]):
            continue
        key = ".".join(map(str, path))
        for factor in FACTORS.get(unit, (10.0, 0.1)):
            tried += 1
            possible = SMALL_IS_POSSIBLE if factor < 1.0 else LARGE_IS_POSSIBLE
            if possible.fullmatch(key):
                continue
            if not noticed(slipped(tree, path, f"{number * factor:.6g} {unit}"), air):
                unsaid.append((key, factor))
    assert tried > 20
    assert unsaid == []


@pytest.mark.parametrize(
    "key", ["rotor.speed", "blade.root", "blade.tip", "blade.chord", "blade.bolt_radius"]
)
@pytest.mark.parametrize("factor", [10.0, 0.1, 25.4, 1 / 25.4])
def test_a_slip_of_the_rotor_itself(key, factor):
    if key == "rotor.speed" and factor in (25.4, 1 / 25.4):
        pytest.skip("no unit of speed is that far from another")
    table, name = key.split(".")
    tree = tables()
    number, unit = NUMBER.match(tree[table][name]).groups()
    assert noticed(slipped(tree, (table, name), f"{float(number) * factor:.6g} {unit}"), None)


def test_a_judgement_says_the_slip_after_what_forbids_and_before_nothing_else(scenario_of):
    """The lines that begin every answer: DO NOT RUN, then the warning, then what may be a slip."""
    run = predict(scenario_of(gauge={"stiffness": "30 N/m"}))
    failing = Check("rod ball link", "force", 9.0, 6.0, "limits.rod_ball_link")
    stop, remark = judge([failing], run).lines
    assert stop.startswith("DO NOT RUN: 1 check fails (rod ball link")
    assert remark.startswith(f"{HEAD}: gauge.stiffness = 0.03 N/mm?")
    assert judge([failing]).lines == (stop,)
