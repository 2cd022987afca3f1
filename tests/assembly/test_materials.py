"""Material names: everyday names are understood, unknown ones are answered with the nearest."""

import pytest

from featherbench.assembly.materials import ALSO, MATERIALS, material
from featherbench.assembly.refusal import PartRefused


@pytest.mark.parametrize(
    "name", ["steel", "Brass", " aluminium  6061", "ALUMINUM 7075", "carbon", "Titanium 6Al-4V"]
)
def test_everyday_names(name):
    assert material(name).density > 1000.0


def test_every_other_name_leads_to_a_material():
    assert set(ALSO.values()) <= set(MATERIALS)
    assert all(material(name).name == own for name, own in ALSO.items())


def test_every_value_says_where_it_is_from():
    assert all(row.source and row.status for row in MATERIALS.values())
    assert all(row.name == name for name, row in MATERIALS.items())


def test_a_misspelling_is_answered_with_the_nearest_and_the_list():
    with pytest.raises(PartRefused) as refused:
        material("alumnium 6061")
    assert refused.value.expected.startswith("aluminium 6061?")
    assert "tungsten alloy class 3" in refused.value.expected


@pytest.mark.parametrize(
    ("name", "offered"),
    [
        ("spring steel", "steel?"),
        ("brass cz121", "brass?"),
        ("HSS", ""),
        ("B7", ""),
        ("PA2", ""),
        ("chewing gum", ""),
    ],
)
def test_only_what_is_near_is_offered_and_what_to_state_instead(name, offered):
    with pytest.raises(PartRefused) as refused:
        material(name)
    assert refused.value.expected.startswith(f"{offered} One of: steel".strip())
    assert refused.value.expected.endswith("or state density and yield_strength (or property_class)")


def test_an_alloy_without_its_condition_is_its_weakest():
    assert material("steel 4140").name == "steel 4140 annealed"
    assert material("A2").name == "stainless 304"
    assert material("inox").name == "stainless 304"


def test_a_word_near_nothing_still_gets_the_list():
    with pytest.raises(PartRefused, match="One of: steel") as refused:
        material("zzzzqqqq", key="rod_material")
    assert refused.value.key == "rod_material"


USUAL = {
    "steel": ((7750, 7870), (200, 212)),
    "steel 4140 normalised": ((7750, 7870), (200, 212)),
    "steel 4140 annealed": ((7750, 7870), (200, 212)),
    "stainless 304": ((7860, 8030), (187, 200)),
    "stainless 316": ((7900, 8030), (187, 200)),
    "brass": ((8400, 8600), (96, 110)),
    "aluminium 6061": ((2690, 2720), (68, 71)),
    "aluminium 7075": ((2790, 2830), (70, 73)),
    "aluminium 2024": ((2760, 2800), (72, 74)),
    "titanium 6Al-4V": ((4420, 4480), (110, 120)),
    "tungsten alloy class 1": ((16850, 17250), None),
    "tungsten alloy class 2": ((17150, 17850), None),
    "tungsten alloy class 3": ((17750, 18350), None),
    "tungsten alloy class 4": ((18250, 18850), None),
    "lead": ((11300, 11400), None),
    "carbon/epoxy": ((1500, 1650), (110, 150)),
    "glass/epoxy": ((1800, 2150), (40, 50)),
    "nylon": ((1120, 1160), None),
    "acetal": ((1400, 1430), None),
    "ABS": ((1020, 1080), None),
}
"""Between what handbooks print them, kg/m^3 and GPa (MEM): a slip of the pen is no spread of alloys."""


@pytest.mark.parametrize("name", list(MATERIALS))
def test_every_figure_lies_where_handbooks_print_it(name):
    density, modulus = USUAL[name]
    row = MATERIALS[name]
    assert density[0] <= row.density <= density[1]
    assert (row.modulus is None) == (modulus is None)
    if modulus is not None:
        assert modulus[0] <= row.modulus / 1e9 <= modulus[1]
