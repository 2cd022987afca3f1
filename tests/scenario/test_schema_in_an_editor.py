"""What an editor says by the schema: one message where the mistake is, and none where `read` finds none."""

import json
import re
import tomllib
from pathlib import Path

import jsonschema
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

import featherbench as fb
from featherbench import quantities
from featherbench.guide.quantity_pattern import pattern
from featherbench.guide.starter import starter_text
from featherbench.unit_table import USUAL

SHIPPED = Path(__file__).parents[2] / "scenarios"
UNITS = sorted(
    {text for factors in USUAL.values() for text in factors}
    | {"degC", "µm", "°", "mm²", '"', "g·mm²", "inches"}
)
NUMBERS = [
    "5",
    "-5",
    "+0.5",
    ".5",
    "1e-3",
    "12,5",
    "1 1/2",
    "3/16",
    "12 000",
    "1.234,5",
    "0",
    "-0.0",
    "\u22123",
]


@pytest.fixture(scope="module")
def scenario():
    return _validator("scenario")


@pytest.fixture(scope="module")
def readings():
    return _validator("readings")


def _validator(of):
    schema = fb.schema(of)
    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema["$id"] == f"urn:featherbench:schema:{of}:1"
    return jsonschema.Draft202012Validator(json.loads(json.dumps(schema)))


def messages(validator, tables):
    return [(error.json_path, error.message) for error in validator.iter_errors(tables)]


@pytest.mark.parametrize(
    "file", sorted(SHIPPED.glob("*/*.toml")), ids=lambda file: f"{file.parent.name}-{file.stem}"
)
def test_what_is_shipped_has_no_mistake(scenario, file):
    assert messages(scenario, tomllib.loads(file.read_text())) == []


@pytest.mark.parametrize("file", sorted(SHIPPED.glob("*/bench/*.toml")), ids=lambda file: file.stem)
def test_shipped_readings_have_no_mistake(readings, file):
    assert messages(readings, tomllib.loads(file.read_text())) == []


@pytest.mark.parametrize(
    ("table", "key", "wrong"),
    [
        ("rotor", "speed", "8400"),
        ("rotor", "speed", "8400 kg"),
        ("rotor", "speed", "140 Hz"),
        ("rotor", "speed", "-8400 rpm"),
        ("rotor", "speed", "0 rpm"),
        ("blade", "tip", "135 mmm"),
        ("blade", "tip", "135 g"),
        ("blade", "tip", "135 +/- 1"),
        ("servo", "stall_torque", "0.32 A"),
        ("linkage", "slider_friction", "-0.3 N"),
        ("linkage", "slider_friction", 0.3),
    ],
)
def test_a_mistake_has_one_message_at_its_place(scenario, table, key, wrong):
    tables = tomllib.loads(starter_text("x"))
    tables[table][key] = wrong
    assert [place for place, _ in messages(scenario, tables)] == [f"$.{table}.{key}"]


def test_a_mistyped_shape_has_one_message(scenario):
    tables = tomllib.loads(starter_text("x"))
    tables["part"]["grip"]["shape"] = "boxx"
    ((place, said),) = messages(scenario, tables)
    assert place == "$.part.grip.shape"
    assert "'box'" in said
    tables["part"]["grip"]["shape"] = "box"
    tables["part"]["grip"]["diameter"] = "3 mm"  # a key of another shape
    ((place, said),) = messages(scenario, tables)
    assert place == "$.part.grip"
    assert "'diameter' was unexpected" in said
    del tables["part"]["grip"]["shape"]
    assert [said for _, said in messages(scenario, tables)] == ["'shape' is a required property"]


def test_a_variant_may_leave_the_shape_to_its_base(scenario):
    variant = {"title": "v", "base": "plain.toml", "part": {"weight": {"length": "9 mm"}}}
    assert messages(scenario, variant) == []
    variant["part"]["weight"] = {"lenth": "9 mm"}
    assert len(messages(scenario, variant)) == 1
    variant["part"]["weight"] = {"length": "9 g"}
    assert len(messages(scenario, variant)) == 1
    variant["part"]["weight"] = {"shape": "cylinder", "bore": "2 mm"}
    assert len(messages(scenario, variant)) == 1


@given(
    kind=st.sampled_from(sorted(set(quantities.KINDS) - {"ratio"})),
    number=st.sampled_from(NUMBERS),
    unit=st.sampled_from(UNITS),
    behind=st.sampled_from(["", " +/- 0.1", " +/- 1 %", " ± 0.1 mm", " +- 2 g"]),
    gap=st.sampled_from(["", " "]),
)
@example(kind="moment", number="5", unit="lb", behind=" ± 0.1 mm", gap=" ")
def test_what_is_read_is_not_marked(kind, number, unit, behind, gap):
    texts = [f"{number}{gap}{unit}{behind}", f"{number}{behind}{gap}{unit}"]
    for text in texts:
        try:
            value = quantities.parse(text, kind).value
        except quantities.QuantityError:
            continue
        assert re.search(pattern(kind, "any"), text), text
        if value > 0.0:
            assert re.search(pattern(kind, "positive"), text), text
            assert re.search(pattern(kind, "not negative"), text), text


@pytest.mark.parametrize(
    ("wrong", "place"),
    [
        ({"gauge_push": "9.4"}, "$.readings.gauge_push"),
        ({"gauge_push": "9.4 A"}, "$.readings.gauge_push"),
        ({"gauge_push": ["9.4 N", "-1 N"]}, "$.readings.gauge_push[1]"),
        ({"gauge_pish": "9.4 N"}, "$.readings"),
        ({"forces": [{"rising": "1 N"}]}, "$.readings.forces[0]"),
    ],
)
def test_a_mistake_in_readings_is_marked(readings, wrong, place):
    assert [at for at, _ in messages(readings, {"readings": wrong})] == [place]


def test_blank_readings_are_not_mistakes(readings):
    blank = {
        "gauge_push": " N",
        "release": "",
        "forces": [{"pitch": "4 deg", "rising": " N", "falling": "-2 N"}],
    }
    assert messages(readings, {"readings": blank}) == []


def test_the_starter_names_the_schema_in_its_first_line():
    """By the directive that editors read, and how to make the file that it names."""
    first, second, *_ = starter_text("x").splitlines()
    name = first.removeprefix("#:schema ./")
    assert f"featherbench check --schema > {name} " in second
