"""What is written as TOML reads back as it was, whatever a person typed."""

import math
import tomllib

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from featherbench.guide.starter import starter_text
from featherbench.scenario import read
from featherbench.scenario.toml_writer import toml_key, toml_value
from featherbench.studies.variant_file import differing_tables, typed_key, variant_file

texts = st.text(st.characters(exclude_categories=["Cs"]))
values = st.recursive(
    texts | st.booleans() | st.integers(-(2**63), 2**63 - 1) | st.floats(allow_nan=False),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(texts, inner, max_size=3),
    max_leaves=8,
)
AWKWARD = 'worn\x7f "tail" \\ \x00\x1f\r\n\t é'


@given(texts, values)
def test_keys_and_values_read_back(key, value):
    line = f"{toml_key(key)} = {toml_value(value)}\n"
    assert line.count("\n") == 1
    assert tomllib.loads(line) == {key: value}


def test_numbers_of_numpy_are_numbers():
    assert tomllib.loads(f"a = {toml_value([np.float64(0.1), math.inf])}") == {"a": [0.1, math.inf]}
    with pytest.raises(TypeError):
        toml_value(None)


def test_a_title_with_control_characters_is_written_into_a_variant(tmp_path):
    base = tmp_path / "base.toml"
    base.write_text(starter_text("base"), encoding="utf-8")
    scenario = read(base)
    name = next(iter(scenario.part))
    changes = {"title": toml_value(AWKWARD), typed_key(scenario, f"part.{name}.mass"): "7.1 g"}
    tables = differing_tables(str(base), changes)
    remarks = {f"part.{name}.mass": "95 %:\n7.0 to 7.2 g"}
    text = variant_file(
        scenario, tmp_path, heading="H", title=tables.pop("title"), tables=tables, remarks=remarks
    )
    (tmp_path / "variant.toml").write_text(text, encoding="utf-8", newline="")
    variant = read(tmp_path / "variant.toml")
    assert variant.title == AWKWARD
    assert variant.part[name].mass == pytest.approx(0.0071)
    assert "# 95 %:" in text


def test_an_entry_of_a_list_is_written_with_its_list(tmp_path):
    base = tmp_path / "base.toml"
    base.write_text(starter_text("base"), encoding="utf-8")
    tables = differing_tables(str(base), {"bench.programme.0.hold": "2.5 s"})
    (tmp_path / "v.toml").write_text(
        variant_file(read(base), tmp_path, heading="H", title="v", tables=tables), encoding="utf-8"
    )
    before, after = read(base).bench.programme, read(tmp_path / "v.toml").bench.programme
    assert after[0].hold == 2.5
    assert after[1:] == before[1:]
