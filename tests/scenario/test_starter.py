"""The starter file, the JSON Schema, the explanation: what a newcomer and an editor see first."""

import re
import tomllib

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from featherbench.scenario import from_tables, read
from featherbench.scenario.explain import explain
from featherbench.scenario.json_schema import json_schema
from featherbench.scenario.starter import starter_text


@pytest.fixture(scope="module")
def validator():
    schema = json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def test_the_starter_passes_check_and_says_it_is_invented():
    text = starter_text("my build")
    assert from_tables(tomllib.loads(text)).title == "my build"
    assert "invented" in text
    assert "TITLE" not in text


def test_the_commented_keys_of_the_starter_are_right_too():
    lines = starter_text("all of it").splitlines()
    keys = r"^# (\[(air|part\.weight|aircraft|envelope)\]|[a-z_]+ = )"
    text = "\n".join(line[2:] if re.match(keys, line) else line for line in lines)
    scenario = from_tables(tomllib.loads(text))
    assert scenario.part["weight"].mirror == "normal"
    assert scenario.aircraft is not None
    assert scenario.envelope is not None
    assert scenario.bearing.static_rating == pytest.approx(900.0)


@given(st.text(max_size=30))
def test_any_name_makes_a_valid_starter(name):
    title = tomllib.loads(starter_text(name))["title"]
    assert title
    assert title.isprintable()


def test_the_schema_accepts_what_is_read(validator, example):
    validator.validate(tomllib.loads(starter_text("x")))
    validator.validate(tomllib.loads(example))
    validator.validate(
        {"title": "v", "base": "plain.toml", "remove": ["collar"], "part": {"weight": {"length": "9 mm"}}}
    )


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('speed = "8400 rpm"', "speed = 8400"),
        ("blades = 2", "blades = 9"),
        ("blades = 2", "blade = 2"),
        ('shape = "box"', 'shape = "boxes"'),
        ('swing = "free"', 'swing = "loose"'),
        ('tip = "135 mm"', ""),
        ('cord_length = "300 mm"', "cord_length = []"),
    ],
)
def test_the_schema_refuses_what_is_refused(validator, example, old, new):
    assert not validator.is_valid(tomllib.loads(example.replace(old, new, 1)))


def test_the_schema_refuses_unknown_keys_in_a_variant(validator):
    for tables in ({"rotor": {"sped": "1 rpm"}}, {"part": {"weight": {"lenth": "9 mm"}}}, {"extra": 1}):
        assert not validator.is_valid({"title": "v", "base": "plain.toml"} | tables)
    assert not validator.is_valid({"base": "plain.toml"})
    assert not validator.is_valid({"title": "v"})


def test_the_explanation_shows_values_tolerances_and_defaults(plain):
    told = {
        system: "\n".join(str(section) for section in explain(read(plain), system))
        for system in ("metric", "trade")
    }
    assert re.search(r"mass +6.4 g +\(\+/- 0.05 g\)", told["metric"])
    assert re.search(r"tip +135 mm\n", told["metric"])
    assert re.search(r"tip +5.315 inch\n", told["trade"])
    assert re.search(r"stall_torque +45.32 ozf\*inch\n", told["trade"])
    assert re.search(r"damping_ratio +0.1 +\(by default\)", told["metric"])
    assert "go 1, hold 1.5 s; go -1, hold 1.5 s; go 0, hold 1 s" in told["metric"]
    assert "from 0 mm, length 4 mm, diameter 8 mm, bore 3 mm; from 4 mm" in told["metric"]
    assert "6 mm; 8 mm; 9 mm" in told["metric"]


def test_the_explanation_shows_every_part_and_every_stated_key(plain):
    scenario = read(plain)
    sections = {section.heading: section for section in explain(scenario)}
    assert {f"[part.{name}]" for name in scenario.part} <= set(sections)
    for name in ("rotor", "blade", "linkage", "servo", "gauge", "meter"):
        stated = {key for key in getattr(scenario, name).model_fields_set if key != "play"}
        assert stated <= {line.key for line in sections[f"[{name}]"].lines}


def test_a_chord_table_is_explained_row_by_row(plain):
    scenario = read(plain, {"blade.chord": '[["40 mm", "29 mm"], ["135 mm", "22 mm"]]'})
    (blade,) = [section for section in explain(scenario) if section.heading == "[blade]"]
    assert {line.key: line.value for line in blade.lines}["chord"] == "40 mm: 29 mm; 135 mm: 22 mm"
