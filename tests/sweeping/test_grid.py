"""Which builds a grid or a table is of, and how values are typed."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from featherbench.quantities import parse
from featherbench.scenario import ScenarioError
from featherbench.sweeping.grid import MOVES_AIR, Grid, grid_of, known, values_in


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("8000..11000 rpm:4", ["8000 rpm", "9000 rpm", "10000 rpm", "11000 rpm"]),
        ("8000 rpm..11000 rpm:2", ["8000 rpm", "11000 rpm"]),
        ("-2..2 mm:3", ["-2 mm", "0 mm", "2 mm"]),
        ("0.1..0.3:3", ["0.1", "0.2", "0.3"]),
        ("3/16..1/4 in:2", ["0.1875 in", "0.25 in"]),
        ("9,5..10,5 mm:3", ["9.5 mm", "10 mm", "10.5 mm"]),
        ("brass, steel,tungsten", ["brass", "steel", "tungsten"]),
        ("9,5 mm; 10 mm", ["9,5 mm", "10 mm"]),
        ("9,5 mm", ["9,5 mm"]),
        ("6 +/- 0.1 g", ["6 +/- 0.1 g"]),
    ],
)
def test_ranges_and_lists_as_typed(text, values):
    assert values_in("key", text) == values


@pytest.mark.parametrize(
    "text", ["8..9 mm", "8..9 mm:1", "8..9 mm:x", "..9 mm:3", "8 mm..9 inch:3", "8..9 mm:1e3"]
)
def test_what_is_no_range_is_refused_with_an_example(text):
    with pytest.raises(ScenarioError, match=r"8000\.\.11000 rpm:7"):
        values_in("part.x.length", text)


def test_steps_of_a_tenth_are_typed_without_a_tail():
    assert values_in("k", "0..1 mm:11")[3] == "0.3 mm"


@given(st.lists(st.integers(1, 5), min_size=1, max_size=4), st.randoms())
def test_every_build_has_its_turn_once_and_the_air_changes_least(sizes, random):
    keys = [random.choice(["rotor.speed", "part.a.mass", "blade.tip", "servo.travel"]) for _ in sizes]
    grid = Grid(tuple(f"{key}{n}" for n, key in enumerate(keys)), tuple(tuple(range(size)) for size in sizes))
    order = [grid.run_at(turn) for turn in range(grid.count)]
    assert sorted(order) == list(range(math.prod(sizes)))
    moving = [place for place, key in enumerate(keys) if key.startswith(MOVES_AIR)]
    airs = [tuple(grid.places(build)[place] for place in moving) for build in order]
    changes = sum(one != two for one, two in itertools.pairwise(airs))
    assert changes == len(set(airs)) - 1


def test_the_last_key_is_fastest():
    grid = grid_of({"a": ["1", "2"], "b": ["x", "y", "z"]})
    assert [grid.row(build) for build in range(6)] == [(a, b) for a in "12" for b in "xyz"]


def test_values_come_out_in_si_with_what_they_were_typed_in(scenario_of):
    grid = known(
        grid_of({"rotor.speed": "8000..9000 rpm:2", "servo.kind": ["digital", "analogue"]}), scenario_of()
    )
    assert grid.kinds == ("rotation", "text")
    assert grid.value("9000 rpm", 0) == parse("9000 rpm", "rotation").value
    assert grid.value("analogue", 1) == "analogue"


def test_floats_are_si_and_survive_to_the_last_digit(scenario_of):
    speeds = np.linspace(900.0, 1000.0, 7)
    grid = known(grid_of({"rotor.speed": speeds}), scenario_of())
    assert [grid.value(one, 0) for one in grid.axes[0]] == speeds.tolist()
    assert all(type(one) is str for one in grid.axes[0])  # what travels is plain text


def test_a_frame_is_a_build_a_row_and_takes_back_its_own_headings(scenario_of):
    import pandas as pd

    frame = pd.DataFrame({"rotor.speed [rad/s]": [900.0, 950.0], "part.blade.mass": ["5 g", "6 g"]})
    grid = known(grid_of(frame), scenario_of())
    assert grid.keys == ("rotor.speed", "part.blade.mass")
    assert grid.row(1) == ("950.0 rad/s", "6 g")
    assert grid.value(grid.row(1)[0], 0) == 950.0


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({}, "no keys"),
        ([], "keys with their values"),
        ("rotor.speed", "keys with their values"),
        ({"rotor.speed": 900.0}, "its values"),
        ({"rotor.speed": []}, "no values"),
        ([{"a": "1 g"}, {"b": "1 g"}], "row 1 with other columns"),
        ([{"a": "1 g"}, {"a": None}], "nothing in row 1"),
        ([{"a": float("nan")}], "nothing in row 0"),
        ([{"a": "1 g", "a [kg]": 1.0}], "each once"),
    ],
)
def test_what_is_no_grid_is_refused_in_words(given, said):
    with pytest.raises(ScenarioError, match=said):
        grid_of(given)
