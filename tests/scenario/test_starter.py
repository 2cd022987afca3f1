"""The starter file and the JSON Schema: what a newcomer and an editor see first."""

import re
import tomllib

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from featherbench.guide.json_schema import json_schema
from featherbench.guide.starter import starter_text
from featherbench.scenario import from_tables
from featherbench.scenario.doubt import Doubt
from featherbench.scenario.own_tables import Workshop
from featherbench.scenario.parts import SHAPES


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
    keys = (
        r"^# (\[(air|joint|shaking|part\.weight|doubt|aircraft|envelope|workshop)\]|\[\[own\]\]|[a-z_]+ = )"
    )
    text = "\n".join(line[2:] if re.match(keys, line) else line for line in lines)
    scenario = from_tables(tomllib.loads(text))
    assert scenario.part["weight"].mirror == "normal"
    assert scenario.aircraft is not None
    assert scenario.envelope is not None
    assert [(piece.shape, piece.count) for piece in scenario.own] == [("washer", 12), ("tube", 4)]
    assert scenario.workshop == Workshop()
    assert scenario.doubt == Doubt()  # what stands there is what is taken without it
    assert scenario.bearing.static_rating == pytest.approx(1300.0)
    assert scenario.joint.cheek_thickness == pytest.approx(1.5e-3)
    assert scenario.part["weight"].held_by == "screwed into the grip"


def test_the_starter_names_every_shape():
    assert f"\n# shape: {' | '.join(SHAPES)}\n" in starter_text("x")


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
