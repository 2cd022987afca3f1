"""What can be written in a scenario file: all of it, each with its meaning, and found by word."""

import json
import tomllib

import pytest
from typer.testing import CliRunner

from featherbench import quantities
from featherbench.cli import app
from featherbench.guide.key_list import LEFT_OUT, MUST, all_keys, search
from featherbench.guide.key_meanings import EXAMPLES, MEANINGS
from featherbench.guide.starter import starter_text
from featherbench.scenario import from_tables
from featherbench.scenario.parts import SHAPES

KEYS = {one.path: one for one in all_keys()}


def _run(*words):
    return CliRunner().invoke(app, ["keys", *words])


def _paths(node, above=""):
    """Every path of a scenario as it is typed, names of parts and entries of lists left open."""
    for key, value in node.items():
        name = "NAME" if above == "part." else key
        if isinstance(value, dict):
            yield from _paths(value, f"{above}{name}.")
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            for entry in value:
                yield from _paths(entry, f"{above}{name}[].")
        else:
            yield f"{above}{name}"


def test_every_key_says_what_it_is_and_shows_one():
    for one in KEYS.values():
        assert one.meaning, one.path
        assert one.example, one.path
        assert one.unit, one.path


def test_no_meaning_or_example_is_of_a_key_that_is_not():
    endings = {path.rpartition(".")[2] for path in KEYS}
    for path in (*MEANINGS, *EXAMPLES):
        assert path in KEYS or (path.startswith("*.") and path[2:] in endings), path


def test_a_key_of_several_shapes_tells_what_each_takes():
    assert KEYS["part.NAME.shape"].unit == " | ".join(SHAPES)
    assert "cylinder" in KEYS["part.NAME.shape"].unit
    assert KEYS["part.NAME.axis"].default == f"{MUST}; normal for some shapes"
    assert KEYS["part.NAME.bore"].default == f"{MUST}; 0 mm for some shapes"


def test_the_starter_writes_nothing_but_listed_keys():
    for path in _paths(tomllib.loads(starter_text("x"))):
        assert path in KEYS, path


@pytest.mark.parametrize(
    "path", [one.path for one in KEYS.values() if "[" not in one.path and "NAME" not in one.path]
)
def test_an_example_is_of_the_kind_that_its_key_wants(path):
    """Read by the program's own door for units, where the key is a quantity."""
    key = KEYS[path]
    kind = key.unit.partition(", such as ")[0]
    kind = kind if kind in quantities.KINDS else kind.removesuffix("s")  # several in a list
    if ", such as " not in key.unit or key.example.startswith("["):
        return
    typed = tomllib.loads(f"x = {key.example}")["x"]
    assert quantities.parse(typed, kind).value is not None


def test_defaults_are_those_that_a_file_without_the_key_gets():
    raw = tomllib.loads(starter_text("x"))
    for path in ("linkage.slider_friction", "servo.damping", "gauge.rate", "limits.over_speed"):
        table, name = path.split(".")
        raw[table].pop(name, None)
        value = getattr(getattr(from_tables(raw), table), name)
        told = KEYS[path].default
        assert value == pytest.approx(float(told) if told.replace(".", "").isdigit() else _si(told)), path
    assert KEYS["rotor.speed"].default == MUST
    assert KEYS["linkage.lever_in"].default == LEFT_OUT


def _si(told):
    unit = told.split(" ", 1)[1]
    kind = {"N": "force", "s": "time", "ms": "time", "Hz": "frequency"}[unit]
    return quantities.parse(told, kind).value


def test_a_word_finds_keys_by_name_first_and_by_meaning():
    found = [one.path for one in search("backlash")]
    assert found == ["servo.gear_play"]
    assert [one.path for one in search("PLAY")][:1] == ["linkage.play.rod"]
    words = _run("bearing").output
    assert "static_rating" in words
    assert "servo arm" not in words


def test_an_unknown_word_is_answered_with_a_near_one():
    result = _run("stifness")
    assert result.exit_code == 2
    assert "did you mean stiffness?" in result.output


def test_the_document_lists_them_all():
    document = json.loads(_run("--json", "-").stdout)
    assert len(document["keys"]) == len(KEYS) > 200
    assert {"path", "unit", "default", "meaning", "example"} == set(document["keys"][0])
