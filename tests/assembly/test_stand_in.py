"""A part that takes the place of one of the plain build."""

import pytest

from featherbench.assembly import build_assembly, compensation, moments_at
from featherbench.scenario import ScenarioError, from_tables


def test_a_part_that_stands_in_counts_against_the_plain_one(tables):
    bolt = {
        "group": "bolt", "shape": "cylinder", "axis": "normal", "diameter": "3 mm", "length": "14 mm",
        "at": {"radius": "36 mm"}, "material": "steel",
    }  # fmt: skip
    plain = build_assembly(from_tables(tables(part={"bolt": bolt})))
    longer = bolt | {"length": "24 mm", "instead_of": ["bolt"]}
    scenario = from_tables(tables(part={"bolt": bolt, "long": longer}))
    assembly = build_assembly(scenario)
    assert "bolt" not in scenario.part
    assert [part.name for part in assembly.replaced] == ["bolt"]
    before, after = moments_at(plain, 0.0), moments_at(assembly, 0.0)
    assert after.normal > before.normal
    expected = 1.0 - (after.chordwise - after.normal) / (before.chordwise - before.normal)
    assert compensation(assembly, 0.0) == pytest.approx(expected, rel=1e-12)
    assert compensation(plain, 0.0) == 0.0


@pytest.mark.parametrize("named", ["long", "nothing"])
def test_standing_in_for_itself_or_for_nothing_is_refused(tables, named):
    longer = {"group": "bolt", "shape": "point", "mass": "1 g", "instead_of": [named]}
    with pytest.raises(ScenarioError, match="instead_of"):
        from_tables(tables(part={"long": longer}))
