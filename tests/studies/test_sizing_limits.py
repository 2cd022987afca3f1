"""Stated limits are obeyed and named when they bind; what is seated rests on something."""

from math import isclose
from pathlib import Path

import pytest

from featherbench.judging.sizing import size
from featherbench.scenario import ScenarioError, read

PLAIN = "scenarios/survey-3kg/plain.toml"
HEAD = 3.0
"""mm, ISO 4762 M3."""


def _screw_length(found):
    label = next(one.standard for one in found.best.build.made if one.standard.startswith("ISO 4762"))
    return float(label.partition("x")[2])


def _standard(limit, **more):
    return size(read(PLAIN, {"envelope.bolt_length": f"{limit} mm", **more}), "standard")


def test_hardware_no_longer_over_all_than_the_bolt_may_be():
    """Without the limit the rack takes an M3x25, 28 mm with its head."""
    much = {"envelope.target.compensation": 0.9}
    assert _screw_length(size(read(PLAIN, much), "standard")) + HEAD > 26.0
    found = _standard(26, **much)
    assert _screw_length(found) + HEAD <= 26.0
    assert "bolt_length" in found.best.touching


def test_a_limit_that_leaves_no_screw_is_named_with_its_figure():
    for limit in (14, 18):
        with pytest.raises(ScenarioError) as refused:
            _standard(limit)
        words = str(refused.value)
        assert f"envelope.bolt_length allows {limit} mm" in words
        assert "mm over all" in words


COLLAR = {
    "part.blade-bolt.size": "M3x25",
    "part.blade-bolt.under_head": "11.35 mm",
    "part.collar": {
        "group": "counterweight",
        "shape": "tube",
        "axis": "normal",
        "diameter": "6 mm",
        "bore": "3.2 mm",
        "length": "6.35 mm",
        "at": {"radius": "34 mm", "normal": "8.175 mm"},
        "material": "brass",
        "held_by": "clamped under head",
    },
}


def test_a_head_that_stood_on_a_weight_goes_down_to_the_grip_when_the_weight_comes_off():
    found = size(read(PLAIN, COLLAR), "bolt")
    assert isclose(found.space.seat_above, 5e-3)
    assert "collar" in found.taken_off
    head = next(part for name, part in found.scenario.part.items() if name.startswith("weight-bolt-head"))
    assert isclose(head.pieces[0].from_ + head.at.normal, 5e-3, abs_tol=1e-9)
    assert any(
        "the head stood 11.35 mm above the axis, on weights that come off" in note for note in found.notes
    )


def test_a_stated_seat_is_taken_at_its_word_and_a_near_one_left():
    stated = size(read(PLAIN, {**COLLAR, "envelope.seat_above": "6 mm"}), "bolt")
    assert isclose(stated.space.seat_above, 6e-3)
    plain = size(read(PLAIN), "bolt")
    assert isclose(plain.space.seat_above, 5e-3)
    assert plain.space.reseated == ()


INCH = {
    "part.blade-bolt.standard": "ASME B18.3",
    "part.blade-bolt.size": "4-40x5/8",
    "part.lock-nut.standard": "ASME B18.6.3",
    "part.lock-nut.size": "4-40",
    "part.lock-nut.at.normal": "-6.2446 mm",  # 0.098 inch high, on the grip's face
}


@pytest.mark.parametrize(
    ("route", "bought"),
    [
        ("standard", {"ASME B18.3 4-40x7/8", "ASME B18.6.3 4-40", "ASME B18.22.1 4-40"}),
        ("bolt", {""}),
        ("arms", {""}),
        ("own", {"ASME B18.3 4-40x3/4", "ASME B18.6.3 4-40", "ASME B18.22.1 4-40"}),
    ],
)
def test_an_inch_bolt_is_sized_with_inch_hardware(route, bought, tmp_path):
    """Reads back from its file as what it was; a bolt so thin is not strong enough here, and says so."""
    path = tmp_path / "inch.toml"
    text = Path(PLAIN).read_text(encoding="utf-8")
    if route == "own":
        text += "".join(
            f'\n[[own]]\nshape = "{shape}"\nstandard = "{standard}"\nsize = "{size}"\ncount = 12\n'
            for shape, standard, size in (
                ("screw", "ASME B18.3", "4-40 x 3/4 in"),
                ("nut", "ASME B18.2.2", "#4-40 UNC"),
                ("washer", "ASME B18.22.1", "4-40"),
            )
        )
    path.write_text(text, encoding="utf-8")
    found = size(read(path, INCH), route)
    made = found.best.build.made
    assert {one.thread for one in made} == {"4-40"}
    said = {one.standard.replace("#4-40 UNC", "4-40").replace(" x 3/4 in", "x3/4") for one in made}
    assert {one.replace("B18.2.2", "B18.6.3") for one in said} == bought
    assert found.best.achieved == pytest.approx(0.55, abs=0.06)
    assert found.findings["size_compensation"].value == pytest.approx(found.best.achieved, abs=1e-9)


def test_a_washer_that_no_standard_has_is_said_so():
    with pytest.raises(ScenarioError) as refused:
        size(read(PLAIN, {**INCH, "envelope.thread": "5-40"}), "standard")
    assert "ASME B18.22.1 has no 5-40 washer" in refused.value.problems[0].given


def test_a_part_that_was_weighed_leaves_its_tolerance_behind_when_it_is_sized_anew():
    """The bolt as turned has its nut's mass with a tolerance; a new nut of that name has none."""
    found = size(read("scenarios/tutorial-2kg/finished.toml"), "bolt")
    assert found.best.reached
    assert "part.weight-nut.mass" in found.given.source.tolerances
    assert "part.weight-nut.mass" not in found.scenario.source.tolerances
    assert "linkage.slider_friction" in found.scenario.source.tolerances
