"""The line of every key, for all the ways in which TOML lets a key be written."""

import json
import tomllib

from hypothesis import given
from hypothesis import strategies as st

from featherbench.scenario.locate import key_lines

TEXT = '''# remark
title = "x # no remark"

[rotor]
speed = '8 rpm'  # remark
"odd.key".inner = 1
[part."blade bolt"]
pieces = [
  { from = "1", # remark
    length = [ [1, 2], 3 ] },
]
notes = """
[not.a.table]
x = "quoted" \\""" end"""
[[bench.programme]]
go = 1
[[bench.programme]]
go = 2
  [bench.programme.more]
  deep.er = { x = 1, y = { z = 2 } }
'''


def test_all_ways_to_write_a_key():
    lines = key_lines(TEXT)
    assert lines["title",] == 2
    assert lines["rotor",] == 4
    assert lines["rotor", "speed"] == 5
    assert lines["rotor", "odd.key", "inner"] == 6
    assert lines["part", "blade bolt"] == 7
    assert lines["part", "blade bolt", "pieces", 0, "from"] == 9
    assert lines["part", "blade bolt", "pieces", 0, "length", 0, 1] == 10
    assert lines["part", "blade bolt", "notes"] == 12
    assert ("not", "a", "table") not in lines
    assert lines["bench", "programme", 0, "go"] == 16
    assert lines["bench", "programme", 1, "go"] == 18
    assert lines["bench", "programme", 1, "more", "deep", "er", "y", "z"] == 20


def test_windows_line_ends():
    assert key_lines(TEXT.replace("\n", "\r\n")) == key_lines(TEXT)


def paths(node, prefix=()):
    """Every key path of a tree."""
    inner = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, value in inner:
        yield (*prefix, key)
        yield from paths(value, (*prefix, key))


VALUES = st.recursive(
    st.integers() | st.text(max_size=5) | st.booleans(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3),
    max_leaves=8,
)


def written(value) -> str:
    """A value in TOML, on one line."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{written(key)} = {written(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(written, value)) + "]"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    return json.dumps(value)


@given(st.dictionaries(st.text(max_size=4), VALUES, max_size=5))
def test_every_path_of_any_valid_text_is_found_on_its_line(tree):
    text = "".join(f"{written(key)} = {written(value)}\n" for key, value in tree.items())
    assert tomllib.loads(text) == tree
    lines = key_lines(text)
    order = {key: number for number, key in enumerate(tree, 1)}
    assert lines == {path: order[path[0]] for path in paths(tree)}
