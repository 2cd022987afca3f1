"""From scenario tables to an assembly: every shape, its place, its mass, and what is refused."""

import math

import numpy as np
import pytest

from featherbench.assembly import build_assembly, compensation, lead_lag_angle, moments_at
from featherbench.scenario import ScenarioError, from_tables, parts

BLADE = {
    "root": "40 mm",
    "tip": "135 mm",
    "chord": "27 mm",
    "section": "NACA 0012",
    "axis_at": 0.38,
    "swing": "free",
    "bolt_radius": "36 mm",
}
AEROFOIL = {"group": "blade", "shape": "aerofoil", "mass": "6.4 g"}
OTHERS = {
    "rotor": {"blades": 2, "speed": "8400 rpm", "pitch_range": ["-26 deg", "26 deg"]},
    "bearing": {"kind": "thrust ball", "mean_diameter": "7 mm"},
    "linkage": {"horn_arm": "14 mm", "rod_length": "420 mm", "servo_arm": "13 mm"},
    "servo": {
        "voltage": "6 V",
        "stall_torque": "0.32 N*m",
        "transit_60": "0.07 s",
        "stall_current": "1.6 A",
        "gear_ratio": 240,
        "dead_band": "0.4 deg",
        "proportional_band": "6 deg",
        "drive_rate": "333 Hz",
        "travel": "60 deg",
    },
    "supply": {"voltage": "6 V"},
}


def assembly_of(parts, **blade):
    raw = {"title": "invented", "blade": BLADE | blade, "part": {"blade": AEROFOIL} | parts, **OTHERS}
    return build_assembly(from_tables(raw))


def only(part, **blade):
    """The one other part beside the blade, as placed."""
    return assembly_of({"other": part}, **blade).parts[1]


def refused(parts, **blade):
    with pytest.raises(ScenarioError) as error:
        assembly_of(parts, **blade)
    return error.value.problems


STUB = {"from": "0 mm", "length": "4 mm", "diameter": "3 mm"}
COLLAR = {"from": "3 mm", "length": "4 mm", "diameter": "5 mm"}
TURNED = {"shape": "stack", "axis": "normal", "material": "brass"}
LONG_SWING = {"period": "0.9 s", "cord_length": "600 mm", "spacing": "40 mm"}
SHAPES = {
    "box": {"shape": "box", "size": {"radius": "30 mm", "chord": "12 mm", "normal": "9 mm"}},
    "cylinder": {"shape": "cylinder", "axis": "normal", "diameter": "5 mm", "length": "6 mm"},
    "tube": {"shape": "tube", "axis": "radius", "diameter": "9 mm", "bore": "6 mm", "length": "20 mm"},
    "hex": {"shape": "hex", "axis": "chord", "across_flats": "7 mm", "length": "6 mm", "bore": "3 mm"},
    "stack": {
        "shape": "stack",
        "axis": "normal",
        "pieces": [
            {"from": "-7 mm", "length": "14 mm", "diameter": "3 mm"},
            {"from": "7 mm", "length": "4 mm", "across_flats": "5.5 mm"},
        ],
    },
    "screw": {"shape": "screw", "standard": "ISO 4762", "size": "M3x14"},
    "nut": {"shape": "nut", "standard": "DIN 985", "size": "M3"},
    "washer": {"shape": "washer", "standard": "ISO 7089", "size": "M3"},
}


UNDRAWN = {"aerofoil", "mesh", "point", "measured"}
"""Shapes whose metal no solid of known section stands for, each tried by itself below."""


def test_every_shape_that_may_be_typed_is_tried():
    assert set(SHAPES) | UNDRAWN == set(parts.SHAPES)


def metal_of(solid):
    """m^3 of a solid whose section is taken for known."""
    if solid.kind == "box":
        return math.prod(solid.size)
    along = solid.size[["radius", "chord", "normal"].index(solid.axis)]
    across = min(size for size in solid.size if size != along) if len(set(solid.size)) > 1 else along
    whole = math.pi / 4.0 if solid.kind == "round" else math.sqrt(3.0) / 2.0
    return along * (whole * across**2 - math.pi / 4.0 * solid.bore**2)


@pytest.mark.parametrize("name", SHAPES)
def test_a_section_that_bears_is_one_that_is_weighed(name):
    """Strength takes "round", "hex" and "box" for the metal itself: a cone drawn as a bar would bear what it cannot.

    A hexagonal socket counts as the round that fits in it: a fortieth of a screw's metal.
    """
    shape = SHAPES[name] | ({"standard": "ISO 4032"} if name == "nut" else {})  # one without nylon
    part = only(shape | {"group": "grip", "material": "brass", "at": {"radius": "24 mm"}})
    if all(solid.kind in ("round", "hex", "box") for solid in part.solids):
        assert sum(map(metal_of, part.solids)) == pytest.approx(part.volume, rel=0.03)
    else:
        assert {solid.kind for solid in part.solids} == {"surface"}


@pytest.mark.parametrize("name", SHAPES)
def test_a_weighed_mass_overrides_density_times_volume(name):
    common = {"group": "grip", "at": {"radius": "24 mm", "chord": "2 mm", "normal": "-3 mm"}}
    brass = only(SHAPES[name] | common | {"material": "brass"})
    weighed = only(SHAPES[name] | common | {"material": "brass", "mass": "5.6 g"})
    assert (brass.how, weighed.how) == ("from density", "weighed")
    assert weighed.moments.mass == pytest.approx(5.6e-3)
    factor = weighed.moments.mass / brass.moments.mass
    np.testing.assert_allclose(weighed.moments.second, factor * brass.moments.second, rtol=1e-12, atol=1e-24)
    if name == "nut":  # its nylon keeps its own density: brass and nylon, not brass all through
        return
    dense = only(SHAPES[name] | common | {"density": "17000 kg/m^3"})
    assert dense.moments.mass == pytest.approx(2.0 * brass.moments.mass)


def test_the_volume_is_that_of_the_outline_whatever_it_weighs_as():
    """30 x 12 x 9 mm is 3.24e-6 m^3; a twin has as much again."""
    place = {"group": "grip", "at": {"radius": "24 mm", "normal": "9 mm"}}
    for stuff in ({"material": "brass"}, {"mass": "5.6 g"}, {"density": "2000 kg/m^3", "mass": "1 g"}):
        assert only(SHAPES["box"] | place | stuff).volume == pytest.approx(3.24e-6)
    assert only(SHAPES["box"] | place | {"mass": "5.6 g", "mirror": "normal"}).volume == pytest.approx(
        6.48e-6
    )


@pytest.mark.parametrize("name", SHAPES)
def test_a_twin_doubles_the_mass_and_a_turn_keeps_the_feathering_inertia(name):
    common = {"group": "counterweight", "material": "brass", "at": {"radius": "30 mm", "normal": "11 mm"}}
    one = only(SHAPES[name] | common)
    pair = only(SHAPES[name] | common | {"mirror": "normal"})
    turned = only(SHAPES[name] | common | {"mirror": "normal", "turn": "10 deg"})
    assert pair.moments.mass == pytest.approx(2.0 * one.moments.mass)
    assert pair.moments.normal == pytest.approx(2.0 * one.moments.normal)
    assert pair.moments.product == pytest.approx(0.0, abs=1e-18)
    assert turned.moments.feathering == pytest.approx(pair.moments.feathering)
    # a weight above the chord, turned so as to raise pitch, goes toward the trailing edge: I_cn < 0
    spread = pair.moments.normal - pair.moments.chordwise
    assert turned.moments.product == pytest.approx(-0.5 * spread * math.sin(math.radians(20.0)))
    assert len(turned.solids) == 2 * len(one.solids)


def test_centre_of_a_symmetric_shape_is_where_it_was_put():
    part = only(
        SHAPES["box"] | {"group": "grip", "mass": "5.6 g", "at": {"radius": "24 mm", "chord": "1 mm"}}
    )
    np.testing.assert_allclose(part.moments.centre, [0.024, 0.001, 0.0], atol=1e-12)
    (solid,) = part.solids
    assert solid.centre == pytest.approx((0.024, 0.001, 0.0))
    assert solid.size == pytest.approx((0.030, 0.012, 0.009))


def test_a_screw_is_drawn_with_its_head_where_it_sits():
    part = only(SHAPES["screw"] | {"group": "bolt", "under_head": "5 mm", "at": {"radius": "36 mm"}})
    tops = [solid.centre[2] + solid.size[2] / 2.0 for solid in part.solids]
    assert max(tops) == pytest.approx(0.008)
    assert {solid.kind for solid in part.solids} == {"round"}


def test_standard_hardware_without_a_material_is_steel_and_says_so():
    assembly = assembly_of({"bolt": SHAPES["screw"] | {"group": "bolt"}})
    assert [(one.key, one.value) for one in assembly.assumed] == [("part.bolt.material", "steel")]
    assert not assembly_of({"bolt": SHAPES["screw"] | {"group": "bolt", "mass": "1.1 g"}}).assumed


def test_what_swings_is_the_blade_unless_said_otherwise():
    tip = {"group": "other", "shape": "point", "mass": "0.2 g", "at": {"radius": "130 mm"}}
    parts = assembly_of({"still": tip, "swung": tip | {"swings": True}}).parts
    assert [part.swings for part in parts] == [True, False, True]


def test_a_blade_settles_with_its_mass_on_the_axis_and_weights_compensate():
    weight = SHAPES["cylinder"] | {"group": "counterweight", "material": "brass", "mirror": "normal"}
    assembly = assembly_of({"weight": weight | {"at": {"radius": "30 mm", "normal": "11 mm"}}})
    swing = lead_lag_angle(assembly, 0.0)
    assert moments_at(assembly, swing).centre[1] == pytest.approx(0.0, abs=1e-12)
    assert 0.0 < compensation(assembly, swing) < 1.5
    assert assembly_of({}, swing="clamped", swing_angle="2 deg").bolt.set_angle == pytest.approx(
        0.0349, abs=1e-4
    )


def test_short_and_long_form_of_a_bifilar_swing_agree():
    swing = {"period": "0.9 s", "cord_length": "600 mm", "spacing": "40 mm"}
    body = {
        "group": "grip",
        "shape": "measured",
        "mass": "8 g",
        "normal_share": 0.4,
        "at": {"radius": "25 mm"},
    }
    short, long = only(body | swing), only(body | {"swings_measured": [swing]})
    np.testing.assert_allclose(short.moments.second, long.moments.second)
    expected = 0.008 * 9.80665 * 0.04**2 * 0.9**2 / (16.0 * math.pi**2 * 0.6)
    assert short.moments.feathering == pytest.approx(expected)
    assert short.moments.normal == pytest.approx(0.4 * expected)


def test_a_swung_blade_takes_its_share_from_the_section_and_says_so():
    swing = {"period": "0.6 s", "cord_length": "600 mm", "spacing": "30 mm"}
    body = {"group": "blade", "shape": "measured", "mass": "6.4 g", "at": {"radius": "87 mm"}} | swing
    assembly = assembly_of({"blade": body})
    (part,) = assembly.parts
    assert "part.blade.normal_share" in [one.key for one in assembly.assumed]
    # second moments of the section: 0.0378196 t c^4 across and 0.0394075 t^3 c^4 about the chord line
    share = 0.0394075 * 0.12**2 / (0.0378196 + 0.0394075 * 0.12**2)
    assert part.moments.normal / part.moments.feathering == pytest.approx(share, rel=1e-4)


def test_a_mesh_is_read_beside_the_scenario(tmp_path, monkeypatch):
    trimesh = pytest.importorskip("trimesh")
    trimesh.creation.box(extents=(30, 12, 9)).export(tmp_path / "grip.stl")
    monkeypatch.chdir(tmp_path)
    common = {"group": "grip", "mass": "5.6 g", "at": {"radius": "24 mm"}}
    mesh, box = only({"shape": "mesh", "file": "grip.stl"} | common), only(SHAPES["box"] | common)
    np.testing.assert_allclose(mesh.moments.second, box.moments.second, rtol=1e-9, atol=1e-20)
    assert mesh.solids[0].size == pytest.approx(box.solids[0].size)


@pytest.mark.parametrize(
    ("part", "key"),
    [
        (SHAPES["box"] | {"material": "brss"}, "material"),
        (SHAPES["screw"] | {"size": "M3"}, "size"),
        (SHAPES["nut"] | {"standard": "ISO 1"}, "standard"),
        ({"shape": "mesh", "file": "README.stl", "material": "brass"}, "file"),
        (
            {"shape": "measured", "mass": "5 g", "swings_measured": [LONG_SWING, LONG_SWING]},
            "swings_measured",
        ),
        ({"shape": "measured", "mass": "5 g", "swings_measured": [LONG_SWING]}, "normal_share"),
        ({"shape": "aerofoil", "mass": "5 g", "at": {"chord": "1 mm"}}, "at"),
        ({"shape": "aerofoil", "mass": "5 g", "turn": "1 deg"}, "turn"),
        (TURNED | {"pieces": [STUB, COLLAR]}, "pieces.1"),
    ],
)
def test_a_part_that_cannot_be_is_refused_by_its_key(part, key):
    (problem,) = refused({"odd": part | {"group": "other"}})
    assert problem.key == f"part.odd.{key}"
    assert problem.given
    assert problem.expected


def test_all_bad_parts_are_told_together():
    bad = SHAPES["box"] | {"group": "other", "material": "cheese"}
    problems = refused({"one": bad, "two": bad})
    assert [p.key for p in problems] == ["part.one.material", "part.two.material"]
    assert problems[0].file == "scenario"


def test_a_section_that_is_none_and_a_free_blade_that_is_none_are_refused():
    assert refused({}, section="NACA 4412")[0].key == "blade.section"
    point = {"group": "grip", "shape": "point", "mass": "5 g"}
    assert refused({"blade": point})[0].key == "blade.swing"
