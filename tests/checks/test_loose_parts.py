"""What has to say how it is held, whatever its group; washers that nothing presses on; a bolt that slides."""

import pytest

from featherbench.checks.arms import edge_pressure
from featherbench.checks.loose import MOST_SLACK, SLACK
from featherbench.checks.strength import part_strength
from featherbench.checks.thread import thread_areas

PLUG = {
    "group": "other",
    "shape": "cylinder",
    "axis": "normal",
    "diameter": "4 mm",
    "length": "4 mm",
    "at": {"radius": "22 mm", "normal": "6.5 mm"},
    "material": "brass",
}
WASHER = {
    "group": "bolt",
    "shape": "washer",
    "standard": "ISO 7089",
    "size": "M3",
    "material": "steel",
}
SCREW = {
    "group": "bolt",
    "shape": "screw",
    "standard": "ISO 4762",
    "size": "M3x8",
    "at": {"radius": "30 mm", "normal": "5 mm"},
    "property_class": "10.9",
}


def asked(found):
    """Names of the parts that were asked what holds them."""
    return {name.split('"')[1] for name in found if '"' in name}


def at(normal, radius="36 mm"):
    return {"radius": radius, "normal": f"{normal} mm"}


@pytest.mark.parametrize("group", ["counterweight", "other", "grip", "bolt"])
def test_a_piece_of_another_metal_is_asked_in_every_group(path_of, group):
    assert asked(path_of(part={"plug": {**PLUG, "group": group}})) == {"plug"}


def test_what_belongs_to_grip_and_blade_is_not_asked(path_of):
    horn = {"group": "grip", "shape": "point", "mass": "0.7 g", "at": at(0, "20 mm")}
    same = {**PLUG, "group": "grip", "material": "aluminium 6061"}
    spar = {**PLUG, "group": "blade", "material": "carbon/epoxy", "at": at(0, "60 mm")}
    assert asked(path_of(part={"horn": horn, "same": same, "spar": spar})) == set()


def test_metal_in_a_blade_is_asked_and_not_reckoned(path_of):
    inside = {**PLUG, "group": "blade", "material": "tungsten", "at": at(0, "100 mm"), "held_by": "thread"}
    found = path_of(part={"inside": inside})['what holds the weight "inside"']
    assert found.verdict == "unknown"
    assert "blade's maker" in found.source


def test_screws_and_nuts_are_the_bolts_only_where_they_stand_on_it(path_of):
    spare = {"group": "bolt", "shape": "nut", "standard": "ISO 4032", "size": "M3", "at": at(5.7, "30 mm")}
    assert asked(path_of(part={"screw": SCREW, "spare": spare})) == {"screw", "spare"}
    second = {**spare, "at": at(-8.2)}
    assert asked(path_of(part={"second": second})) == set()


def test_washers_lie_between_head_and_nut(path_of):
    """One under the nut is pressed; one on the screw's end is not, nor one on the head."""
    longer = {"bolt": {"size": "M3x20"}}
    under = path_of(part={**longer, "nut": {"at": at(-6.2)}, "washer": {**WASHER, "at": at(-4.75)}})
    assert not [name for name in under if "washer" in name]
    for outside in (-8.0, 9.0):
        found = path_of(part={**longer, "washer": {**WASHER, "at": at(outside)}})
        assert found['what holds the washer "washer"'].verdict == "unknown"


def test_a_washer_outside_that_is_let_in_a_hair_still_lies_outside(path_of):
    """The nut's outer face stands at 6.9 mm; a washer from 6.87 mm on lies in none of its solid."""
    found = path_of(part={"bolt": {"size": "M3x20"}, "washer": {**WASHER, "at": at(-7.12)}})
    assert "outside of head and nut" in found['what holds the washer "washer"'].source


def test_a_washer_drawn_inside_the_head_is_not_pressed(path_of):
    """The socket head stands from 4.5 to 7.5 mm: a washer at 5.5 lies in its solid part, where none can be."""
    found = path_of(part={"washer": {**WASHER, "at": at(5.5)}})
    check = found['what holds the washer "washer"']
    assert check.verdict == "unknown"
    assert "inside the head" in check.source


def test_a_bolt_must_not_slide(path_of):
    """The nut's face stands 4.5 mm below the axis at -5.7; 1.1 mm off, the gap is said; a washer takes 0.5 of it."""
    longer = {"bolt": {"size": "M3x20", "shank_length": "8.6 mm"}}
    assert SLACK not in path_of()
    off = {**longer, "nut": {"at": at(-6.8)}}
    found = path_of(part=off)[SLACK]
    assert found.verdict == "fails"
    assert found.demand == pytest.approx(1.1e-3)
    assert found.allowable == MOST_SLACK
    assert SLACK not in path_of(part={**off, "washer": {**WASHER, "at": at(-5.0)}})
    both = {"bolt": {"size": "M3x20", "under_head": "5.2 mm"}, "nut": {"at": at(-6.2)}}
    assert path_of(part=both)[SLACK].demand == pytest.approx(1.2e-3)


def test_two_metals_are_not_one_piece(path_of):
    name = 'what holds the weight "plug"'
    whole = {**PLUG, "material": "aluminium 6061", "held_by": "one piece", "held_to": "grip"}
    assert path_of(part={"plug": whole})[name].verdict == "holds"
    for other in ({"material": "brass"}, {"material": None, "density": "2700 kg/m^3"}, {"held_to": "bolt"}):
        part = {key: value for key, value in {**whole, **other}.items() if value is not None}
        found = path_of(part={"plug": part})[name]
        assert found.verdict == "unknown"
        assert "not one piece" in found.source or "strength unknown" in found.source


def test_pressure_at_the_edge_of_a_hole():
    """Pressure linear over the depth: its sum is the force, and its moment about the mouth is the moment, reversed."""
    load, moment, width, deep = 10.0, 0.05, 3e-3, 4e-3
    edge = edge_pressure(load, moment, width, deep)
    mean = load / (width * deep)
    slope = (edge - mean) / (0.5 * deep)  # per m from the middle toward the mouth
    steps = 20000
    depths = [(index + 0.5) * deep / steps for index in range(steps)]
    pressures = [mean + slope * (0.5 * deep - depth) for depth in depths]
    each = width * deep / steps
    assert sum(p * each for p in pressures) == pytest.approx(load)
    assert sum(p * each * depth for p, depth in zip(pressures, depths, strict=True)) == pytest.approx(-moment)


def test_an_arm_tilts_out_of_a_shallow_hole(path_of):
    """0.8 mm of thread: the pressure at its edge is over half the grip's yield long before the foot or the pull."""
    arm = {
        "group": "counterweight",
        "shape": "cylinder",
        "axis": "normal",
        "diameter": "2.675 mm",
        "thread": "M3",
        "length": "6 mm",
        "at": at(7.5, "22 mm"),
        "mirror": "normal",
        "material": "steel",
        "yield_strength": "800 MPa",
        "held_by": "screwed into the grip",
    }
    name = 'what holds the weight "arm"'
    deep = path_of(part={"arm": {**arm, "engagement": "4 mm"}})[name]
    assert deep.verdict == "holds"
    shallow = path_of(part={"arm": {**arm, "engagement": "0.8 mm"}})[name]
    assert shallow.kind == "stress"
    assert shallow.allowable == pytest.approx(0.5 * 276e6)
    assert shallow.safety < 0.5 * deep.safety
    pulled = path_of(part={"arm": {**arm, "engagement": "0.51 mm"}})[name]
    assert pulled.kind == "force"  # one pitch does not count: hardly any thread is left


def test_classes_of_nuts(path_of, setup_of, sound):
    """Three quarters of the stress under proof load; a whole M3 nut then bears less than its proof load."""
    for name, stress, proof in (("8", 800.0, 4000.0), ("10", 1040.0, 5200.0), ("5", 520.0, 2600.0)):
        scenario = setup_of(**sound(part={"nut": {"property_class": name}})).scenario
        own = part_strength(scenario, "nut")
        assert own.proof == pytest.approx(0.75 * stress * 1e6)
        assert own.ultimate == pytest.approx(stress * 1e6)
        assert 0.577 * 1.9e-3 * thread_areas("M3")[1] * own.proof < proof
    thread = "thread of the blade bolt, stripping"
    assert path_of(part={"nut": {"property_class": "8"}})[thread].verdict == "holds"
    assert path_of(part={"nut": {"property_class": "04"}})[thread].verdict == "fails"
    assert path_of(part={"nut": {"property_class": "7"}})[thread].verdict == "unknown"


def test_an_alloy_has_to_be_named(path_of):
    """Aluminium and titanium stand for weak grades as well: no strength is taken from so general a name."""
    for part in ("grip", "root"):
        found = path_of(part={part: {"material": "aluminium"}})
        assert (
            found[f"bolt pressure in the {'grip' if part == 'grip' else 'blade root'}"].verdict == "unknown"
        )
    titanium = {"material": "titanium", "property_class": None}
    assert path_of(part={"bolt": titanium})["blade bolt, shear in two planes"].verdict == "unknown"
    named = {"material": "titanium 6Al-4V", "property_class": None}
    assert path_of(part={"bolt": named})["blade bolt, shear in two planes"].verdict == "holds"


def test_a_heavy_piece_in_a_blade_is_asked_whatever_it_is_called(path_of):
    inside = {**PLUG, "group": "blade", "at": at(0, "100 mm")}
    del inside["material"]
    assert asked(path_of(part={"tip": {**inside, "density": "11340 kg/m^3"}})) == {"tip"}
    assert asked(path_of(part={"tip": {**inside, "material": "lead"}})) == {"tip"}
    assert asked(path_of(part={"tip": {**inside, "density": "1900 kg/m^3"}})) == set()


def test_pieces_of_one_part_that_stand_apart_are_no_part(path_of):
    """A pin with 0.3 mm of nothing in it; one drawn whole, and twins, which stand apart on purpose."""
    pieces = [
        {"from": "-8 mm", "length": "8 mm", "diameter": "3 mm"},
        {"from": "0.3 mm", "length": "6 mm", "diameter": "3 mm"},
    ]
    stack = {"group": "other", "shape": "stack", "axis": "normal", "material": "steel", "pieces": pieces,
             "at": {"radius": "30 mm", "normal": "30 mm"}, "held_by": "one piece", "held_to": "grip"}  # fmt: skip
    check = path_of(part={"pin": stack})['pieces of "pin"']
    assert check.verdict == "unknown"
    assert check.load_path
    assert check.source.startswith("they stand 0.30 mm apart")
    whole = {**stack, "pieces": [pieces[0], {**pieces[1], "from": "0.04 mm"}]}
    assert 'pieces of "pin"' not in path_of(part={"pin": whole})
    twins = {**whole, "mirror": "normal"}
    assert 'pieces of "pin"' not in path_of(part={"pin": twins})
    assert path_of(part={"pin": {**twins, "pieces": pieces}})['pieces of "pin"'].source.startswith(
        "they stand 0.30"
    )
