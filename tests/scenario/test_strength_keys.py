"""Keys of what carries load: threads weigh as one diameter and carry with another, contradictions are refused."""

import pytest

from featherbench.assembly import build_assembly
from featherbench.assembly.hardware import pitch_diameter
from featherbench.scenario import ScenarioError, read

PLAIN = "scenarios/survey-3kg/plain.toml"
BOLT = {"group": "bolt", "axis": "normal", "at": {"radius": "36 mm"}}
RING = {"group": "counterweight", "shape": "tube", "axis": "normal", "diameter": "5 mm", "bore": "3 mm",
        "length": "4 mm", "at": {"radius": "36 mm", "normal": "8 mm"}, "material": "brass"}  # fmt: skip


def _part(scenario_of, part):
    assembly = build_assembly(scenario_of(part={"new": part}))
    return next(one for one in assembly.parts if one.name == "new")


def test_a_turned_thread_weighs_as_its_pitch_diameter_and_keeps_its_size(scenario_of):
    pieces = [
        {"from": "-7 mm", "length": "3 mm", "thread": "M3"},
        {"from": "-4 mm", "length": "9 mm", "diameter": "3 mm"},
    ]
    part = _part(scenario_of, {**BOLT, "shape": "stack", "material": "steel", "pieces": pieces})
    thread, plain = part.solids
    assert (thread.thread, plain.thread) == ("M3", "")
    assert thread.size[0] == pytest.approx(pitch_diameter("M3")) == pytest.approx(2.675e-3, abs=1e-6)
    area = (pitch_diameter("M3") ** 2 * 3e-3 + 3e-3**2 * 9e-3) * 3.14159265 / 4.0
    assert part.moments.mass == pytest.approx(7850.0 * area, rel=1e-6)


def test_a_plain_length_under_the_head_is_as_wide_as_the_thread_outside(scenario_of):
    screw = {**BOLT, "shape": "screw", "standard": "ISO 4762", "size": "M3x16", "under_head": "5 mm"}
    thread, plain, *head = _part(scenario_of, {**screw, "shank_length": "9 mm"}).solids
    assert plain.size[0] == pytest.approx(3e-3)
    assert plain.centre[2] + plain.size[2] / 2.0 == pytest.approx(5e-3)
    assert thread.size[2] == pytest.approx(7e-3)
    assert thread.thread == "M3"
    assert all(not one.thread for one in (plain, *head))
    with pytest.raises(ScenarioError, match="shank_length"):
        _part(scenario_of, {**screw, "shank_length": "16 mm"})
    with pytest.raises(ScenarioError, match="shank_diameter"):
        _part(scenario_of, {**screw, "shank_length": "9 mm", "shank_diameter": "2 mm"})


@pytest.mark.parametrize(
    ("part", "key"),
    [
        ({**RING, "held_by": "glue"}, "clamped under nut"),
        ({**RING, "held_to": "nobody"}, "held_to"),
        ({**RING, "held_to": "new"}, "held_to"),
        ({**RING, "yield_strength": "200 MPa", "proof_strength": "200 MPa"}, "proof_strength"),
        ({**RING, "yield_strength": "200 MPa", "property_class": "8.8"}, "property_class"),
        ({**RING, "yield_strength": "200 MPa", "ultimate_strength": "100 MPa"}, "ultimate_strength"),
        ({**RING, "yield_strength": "200"}, "MPa"),
        ({**RING, "tapped": "M5"}, "what M5 weighs as"),
        ({**RING, "tapped": "M7"}, "M3"),
    ],
)
def test_what_cannot_be_is_refused(scenario_of, part, key):
    with pytest.raises(ScenarioError, match=key):
        _part(scenario_of, part)


@pytest.mark.parametrize("given", [10.9, "10.9"])
def test_a_name_that_looks_like_a_number_needs_no_quotes(given):
    """A class is stamped 10.9 and an alloy called 7075: who types it that way has said all there is to say."""
    settings = {
        "limits.bolt_class": given,
        "part.blade-bolt.property_class": given,
        "retention.property_class": given,
    }
    read_back = read(PLAIN, settings)
    assert read_back.limits.bolt_class == "10.9"
    assert read_back.part["blade-bolt"].property_class == "10.9"
    assert read_back.retention.property_class == "10.9"


def test_the_number_of_an_alloy_is_answered_with_its_name():
    with pytest.raises(ScenarioError, match="aluminium 7075"):
        build_assembly(read(PLAIN, {"part.blade-bolt.material": 7075}))
    with pytest.raises(ScenarioError, match="text in quotes"):
        read(PLAIN, {"part.blade-bolt.material": True})
