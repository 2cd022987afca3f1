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


def test_a_word_near_nothing_still_gets_the_list():
    with pytest.raises(PartRefused, match="One of: steel") as refused:
        material("zzzzqqqq", key="rod_material")
    assert refused.value.key == "rod_material"
