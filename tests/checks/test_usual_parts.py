"""Which strengths, lengths of thread, densities, places and masses of parts go without a word.

Beside a blade of 10 g and 25 mm chord on a rotor of 100 mm tip radius; common practice, no source.
"""

from math import inf
from types import SimpleNamespace

import pytest

from featherbench.scenario import parts as written
from featherbench.slips.parts import part_remarks, proportion_remarks
from featherbench.slips.strength import strength_remarks

MM, G, MPA = 1e-3, 1e-3, 1e6


@pytest.fixture
def strengths(stated):
    """Keys of what is asked about [retention]."""

    def keys(**given):
        tables = {f"scenario.retention.{key}": value for key, value in given.items()}
        return [one.key for one in strength_remarks(stated(tables))]

    return keys


@pytest.mark.parametrize("key", ["proof_strength", "yield_strength", "ultimate_strength"])
@pytest.mark.parametrize(
    ("material", "low", "high"),
    [
        (
            "aluminium 6061",
            0.5 * 276.0,
            1.5 * 310.0,
        ),  # half its yield, and half as much again as its ultimate
        ("steel", 0.5 * 235.0, 2200.0),  # steels may be hardened
        ("nylon", 10.0, 300.0),
        (None, 10.0, 2200.0),
    ],
)
def test_strengths_are_held_against_their_metal(strengths, key, material, low, high):
    for value, count in ((0.999 * low, 1), (1.001 * low, 0), (0.999 * high, 0), (1.001 * high, 1)):
        assert strengths(material=material, **{key: value * MPA}).count(f"retention.{key}") == count


def test_a_thread_is_engaged_over_a_third_to_five_diameters(strengths):
    for length, count in ((1.19, 1), (1.21, 0), (19.9, 0), (20.1, 1)):
        assert strengths(thread="M4", engagement=length * MM).count("retention.engagement") == count
    assert strengths(thread="M77", engagement=1.0) == []
    assert strengths(engagement=1.0) == []


def part(kind="box", group="bolt", **stated):
    """A part as written, and placed: 1 cm^3 of it, twin included, reach and mass as stated."""
    classes = {"box": written.BoxPart, "screw": written.ScrewPart, "nut": written.NutPart, "point": written.PointPart,
               "measured": written.MeasuredPart, "hex": written.HexPart, "aerofoil": written.AerofoilPart}  # fmt: skip
    placed = {key: stated.pop(key) for key in ("volume", "reach", "weighs", "size") if key in stated}
    nowhere = {"radius": 0.0, "chord": 0.0, "normal": 0.0}
    at = written.Place.model_construct(**nowhere | stated.pop("at", {"radius": 0.03}))
    own = {"mass": None, "density": None, "material": None, "mirror": None, "axis": "normal", **stated}
    made = classes[kind].model_construct(group=group, at=at, **own)
    moments = SimpleNamespace(
        mass=placed.get("weighs", 1.0 * G),
        feathering=placed.get("weighs", 1.0 * G) * placed.get("reach", 0.01) ** 2,
    )
    solids = (SimpleNamespace(size=placed.get("size", (0.1, 0.1, 0.1))),)
    return made, SimpleNamespace(
        name="piece", group=group, volume=placed.get("volume", 0.0), moments=moments, solids=solids
    )


@pytest.fixture
def asked_of(stated):
    """Keys of what is asked about a part beside a blade of 10 g."""

    def keys(kind="box", group="bolt", **given):
        made, placed = part(kind, group, **given)
        whole = stated({})
        whole.scenario.part = {"piece": made}
        other = SimpleNamespace(
            name="blade", group="blade", moments=SimpleNamespace(mass=10.0 * G), volume=1.0
        )
        whole.assembly = SimpleNamespace(parts=(placed, other))
        return [one.key for one in part_remarks(whole)]

    return keys


DENSITY_ROWS = [
    ({"material": "steel"}, 0.5 * 7850.0, 1.5 * 7850.0),
    ({"density": 2000.0}, 1000.0, 3000.0),
    ({"group": "blade"}, 300.0, 3000.0),
    ({"group": "grip"}, 500.0, 9000.0),
    ({"group": "bolt"}, 900.0, 19500.0),
    ({"group": "counterweight"}, 900.0, 19500.0),
    ({"group": "other"}, 100.0, 20000.0),
]


@pytest.mark.parametrize(("given", "low", "high"), DENSITY_ROWS)
@pytest.mark.parametrize("mirror", [None, "normal"])
def test_mass_and_size_make_a_density(asked_of, given, low, high, mirror):
    """1 cm^3, half of it where a twin is in the volume: from half to half as much again of what it is made of."""
    each = 1e-6 / (1.0 if mirror is None else 2.0)
    place = {"at": {"radius": 0.03, "normal": 0.01}}

    def asked(density):
        return asked_of(mass=density * each, volume=1e-6, mirror=mirror, **place, **given).count(
            "part.piece.mass"
        )

    assert [asked(value) for value in (0.99 * low, 1.01 * low, 0.99 * high, 1.01 * high)] == [1, 0, 0, 1]


PLACES = [
    ("bolt", "radius", 0.75 * 30.0, 1.33 * 30.0),
    ("grip", "radius", 6.0, 75.0),
    ("blade", "radius", 6.0, 100.0),
    ("grip", "chord", 0.0, 30.0),
    ("grip", "normal", 0.0, 30.0),
]


@pytest.mark.parametrize(("group", "along", "low", "high"), PLACES)
def test_a_part_stands_on_the_blade_and_a_bolt_at_its_place(asked_of, group, along, low, high):
    def asked(place):
        return asked_of(group=group, volume=1e-6, at={"radius": 0.03, along: place * MM}).count(
            f"part.piece.at.{along}"
        )

    assert (asked(0.99 * high), asked(1.01 * high)) == (0, 1)
    if low:
        assert (asked(1.01 * low), asked(0.99 * low)) == (0, 1)


def test_a_part_inside_the_shaft_is_asked_about(asked_of):
    assert "part.piece.at.radius" in asked_of(group="grip", volume=1e-6, at={"radius": -0.03})


@pytest.mark.parametrize(
    ("kind", "group", "low", "high", "key", "how"),
    [
        ("screw", "bolt", 1.0, 17.5, "part.piece.under_head", lambda x: {"under_head": x}),
        ("nut", "bolt", 1.0, inf, "part.piece.at.normal", lambda x: {"at": {"radius": 0.03, "normal": x}}),
        ("hex", "bolt", 1.0, inf, "part.piece.at.normal", lambda x: {"at": {"radius": 0.03, "normal": x}}),
        ("box", "counterweight", 2.5, 30.0, "distance of part.piece", lambda x: {"reach": x}),
    ],
)
def test_how_far_from_the_axis_what_is_screwed_on_stands(asked_of, kind, group, low, high, key, how):
    """Beside a chord of 25 mm."""

    def asked(value):
        return asked_of(kind, group, weighs=1.0 * G, volume=1e-7, **how(value * MM)).count(key)

    assert (asked(1.01 * low), asked(0.99 * low)) == (0, 1)
    if high < inf:
        assert (asked(0.99 * high), asked(1.01 * high)) == (0, 1)


def test_only_what_is_turned_across_is_asked_how_high_it_stands(asked_of):
    low = {"at": {"radius": 0.03, "normal": 0.5 * MM}}
    assert asked_of("nut", "bolt", axis="radius", **low) == []
    assert asked_of("box", "bolt", volume=1e-6, **low) == []
    assert asked_of("nut", "grip", volume=1e-6, reach=0.1 * MM, **low) == []
    assert asked_of("nut", "bolt", **low) == ["part.piece.at.normal"]


@pytest.mark.parametrize(
    ("group", "low", "high"), [("counterweight", 0.15, 8.0), ("grip", 0.2, 11.0), ("other", 0.0, 11.0)]
)
def test_a_part_is_held_against_a_blade_of_10_g(asked_of, group, low, high):
    def asked(mass, **more):
        return asked_of("point", group, weighs=mass * G, **more).count("mass of part.piece")

    assert (asked(0.99 * high), asked(1.01 * high)) == (0, 1)
    assert asked(0.5 * high) == 0
    if low:
        assert (asked(1.01 * low), asked(0.99 * low)) == (0, 1)
    drawn = 0 if group != "counterweight" else 1  # a weight by its mass, whatever its size
    assert asked(1.01 * high, volume=1e-6) == drawn


def test_a_swing_makes_a_radius_of_gyration(asked_of):
    """A box of the same inertia, b wide and high: b/sqrt 6; 1.5 to 12 mm at a tip radius of 100 mm."""
    for gyration, count in ((1.49, 1), (1.51, 0), (11.9, 0), (12.1, 1)):
        side = gyration * MM * 6.0**0.5
        size = (0.05, side * 1.2, side * (2.0 - 1.44) ** 0.5)
        assert asked_of("measured", "grip", size=size).count("part.piece") == count
    assert asked_of("box", "grip", volume=1e-6, size=(0.05, 0.0, 0.0)) == []


@pytest.mark.parametrize(
    ("group", "low", "high"), [("grip", 1.0, 60.0), ("bolt", 0.2, 20.0), ("counterweight", 0.05, 30.0)]
)
def test_groups_are_held_against_a_blade_of_10_g(stated, group, low, high):
    """Two parts of a group count together."""

    def asked(mass):
        whole = stated({})
        whole.assembly = SimpleNamespace(
            parts=tuple(
                SimpleNamespace(name=name, group=own, moments=SimpleNamespace(mass=each * G))
                for name, own, each in (
                    ("a", group, 0.4 * mass),
                    ("b", group, 0.6 * mass),
                    ("blade", "blade", 10.0),
                )
            )
        )
        return [one.key for one in proportion_remarks(whole)]

    key = f"mass of group {group} (part.a, part.b)"
    assert [asked(value).count(key) for value in (0.99 * low, 1.01 * low, 0.99 * high, 1.01 * high)] == [
        1,
        0,
        0,
        1,
    ]


def test_without_a_blade_nothing_is_held_against_it(stated):
    whole = stated({})
    weight = SimpleNamespace(name="a", group="grip", moments=SimpleNamespace(mass=1.0 * G))
    whole.assembly = SimpleNamespace(parts=(weight,))
    assert list(proportion_remarks(whole)) == []


def test_all_parts_together_are_held_against_the_rotor(stated):
    """1.5 to 40 kg/m^3 of the cube of 100 mm: 1.5 to 40 g."""
    for mass, count in ((1.49, 1), (1.51, 0), (39.9, 0), (40.1, 1)):
        found = [one.key for one in proportion_remarks(stated({"moments.mass": mass * G}))]
        assert found.count("mass of all parts together") == count


def test_a_density_is_told_by_size_and_mass(stated):
    """Twins of 1 cm^3 together, 20 g each: 40 g/cm^3; of steel each would be 2 to 5.9 g. Nothing of no size."""
    made, placed = part("box", "grip", mass=20.0 * G, volume=1e-6, material="steel", mirror="normal")
    whole = stated({})
    whole.scenario.part = {"piece": made}
    whole.assembly = SimpleNamespace(parts=(placed,))
    (said,) = (one for one in part_remarks(whole) if one.key == "part.piece.mass")
    assert said.usual.startswith("2 to 5.9 g")
    assert "40 g/cm^3" in said.why
    made, placed = part("point", "other", mass=20.0 * G, volume=0.0)
    whole.scenario.part, whole.assembly.parts = {"piece": made}, (placed,)
    assert "part.piece.mass" not in [one.key for one in part_remarks(whole)]


def test_what_a_part_is_for_is_said_where_no_material_is(stated):
    for group, words in (("grip", "for a grip of its size"), ("other", "for a solid of its size")):
        made, placed = part("box", group, mass=1.0, volume=1e-6)
        whole = stated({})
        whole.scenario.part = {"piece": made}
        whole.assembly = SimpleNamespace(parts=(placed,))
        (said,) = (one for one in part_remarks(whole) if one.key == "part.piece.mass")
        assert said.usual.endswith(words)


def test_a_stated_density_is_that_of_a_solid(asked_of):
    for density, count in ((19.0, 1), (21.0, 0), (19900.0, 0), (20100.0, 1)):
        assert asked_of(group="grip", density=density).count("part.piece.density") == count


def test_a_part_without_a_place_is_asked_for_one(stated):
    for at, given in (({"radius": 0.0}, "radius 0"), ({}, "not stated")):
        made, placed = part("box", "counterweight", volume=1e-6, at={"radius": 0.0}, reach=1e-6)
        if not at:
            made.__pydantic_fields_set__.discard("at")
        whole = stated({})
        whole.scenario.part = {"piece": made}
        whole.assembly = SimpleNamespace(parts=(placed,))
        assert [(one.key, one.given) for one in part_remarks(whole)] == [("part.piece.at", given)]


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"joint": {"root_thickness": "3.9 mm"}}, "joint.root_thickness"),
        ({"joint": {"root_thickness": "4.1 mm"}}, None),
        ({"joint": {"root_thickness": "6.2 mm"}}, None),
        ({"joint": {"root_thickness": "6.3 mm"}}, "joint.root_thickness"),
        ({"joint": {"cheek_thickness": "1.5 mm"}}, "joint.cheek_thickness"),
        ({"joint": {"cheek_thickness": "1.54 mm"}}, None),
        ({"joint": {"cheek_thickness": "2.36 mm"}}, None),
        ({"joint": {"cheek_thickness": "2.4 mm"}}, "joint.cheek_thickness"),
        ({"joint": {"cheek_thickness": "1.5 mm", "clearance": "0.4 mm"}}, None),
        ({"part": {"bolt": {"engagement": "0.89 mm"}}}, "part.bolt.engagement"),
        ({"part": {"bolt": {"engagement": "15.1 mm"}}}, "part.bolt.engagement"),
        ({"part": {"bolt": {"engagement": "14.9 mm"}}}, None),
        ({"part": {"root": {"engagement": "99 mm"}}}, None),
    ],
)
def test_what_is_stated_of_the_joint_is_within_a_fifth_or_so_of_its_parts(setup_of, sound, changes, key):
    """Root of 5 mm: 4 to 6.25; cheeks (9 - 5)/2 - 0.1 = 1.9 mm: 1.52 to 2.375; M3 engaged 0.9 to 15 mm."""
    found = [one.key for one in strength_remarks(setup_of(**sound(**changes)))]
    assert found == ([key] if key else [])


def test_a_stud_states_its_own_thread(setup_of, sound):
    stud = {
        "group": "counterweight",
        "shape": "cylinder",
        "axis": "normal",
        "diameter": "2.675 mm",
        "thread": "M3",
        "length": "6 mm",
        "at": {"radius": "22 mm", "normal": "7.5 mm"},
        "material": "steel",
        "engagement": "0.8 mm",
    }
    found = [one.key for one in strength_remarks(setup_of(**sound(part={"stud": stud})))]
    assert found == ["part.stud.engagement"]
