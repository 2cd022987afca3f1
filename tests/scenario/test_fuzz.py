"""Whatever stands in a file, the answer is a scenario or a ScenarioError, never anything else."""

import tomllib

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from featherbench.guide.starter import starter_text
from featherbench.scenario import Scenario, ScenarioError, from_tables, read

VALID = starter_text("fuzz").encode()
USUAL = settings.default.max_examples
"""Of the profile: tests/hard_use.py tries many times as many."""
QUICK = settings(max_examples=2 * USUAL, suppress_health_check=[HealthCheck.function_scoped_fixture])
PIECES = st.sampled_from(
    [
        "[rotor]",
        "[[part]]",
        "[part.x]",
        "title",
        "=",
        '"',
        "'''",
        "{",
        "}",
        "[",
        "]",
        ",",
        ".",
        "\n",
        "\r\n",
        "#",
        "-1",
        "1e999",
        "nan",
        "inf",
        "0x1",
        "1979-05-27",
        "true",
        '"8 mm"',
        "8 mm",
        "base",
        "remove",
        "shape",
        '"box"',
        "\x00",
        "\ufeff",
    ]
)


def outcome_of(call, *arguments, **settings):
    """The scenario, or the refusal with at least one problem in plain words; anything else is raised."""
    try:
        outcome = call(*arguments, **settings)
    except ScenarioError as error:
        outcome = error
    if isinstance(outcome, ScenarioError):
        assert outcome.problems
        assert all(problem.given and problem.expected for problem in outcome.problems)
        assert "pydantic" not in str(outcome)
    else:
        assert isinstance(outcome, Scenario)
    return outcome


def check(path):
    outcome = outcome_of(read, path)
    if isinstance(outcome, ScenarioError):
        assert "odd.toml" in str(outcome)


@QUICK
@given(
    data=st.binary(max_size=200) | st.lists(PIECES, max_size=30).map(lambda pieces: " ".join(pieces).encode())
)
def test_random_bytes(tmp_path, data):
    path = tmp_path / "odd.toml"
    path.write_bytes(data)
    check(path)


@QUICK
@given(
    place=st.integers(0, len(VALID)),
    length=st.integers(0, 40),
    new=st.binary(max_size=12) | PIECES.map(str.encode),
    again=st.integers(0, len(VALID)),
)
def test_random_damage_to_a_valid_file(tmp_path, place, length, new, again):
    path = tmp_path / "odd.toml"
    damaged = VALID[:place] + new + VALID[place + length :]
    path.write_bytes(damaged[:again] + new + damaged[again:] if again % 3 == 0 else damaged)
    check(path)


ODD = st.sampled_from(
    [
        None,
        True,
        0,
        -1,
        2**70,
        1.5,
        float("nan"),
        float("inf"),
        "",
        "x",
        "1 mm",
        "-1 mm",
        "1e300 mm",
        "1e-300 g",
        "0 g",
        "8 rpm",
        "1 mm +/- 1 km",
        [],
        [[]],
        ["1 mm"],
        [["1 mm", "2 mm"]],
        [["2 mm", "2 mm"]],
        {},
        {"x": {}},
        {"radius": "1 mm"},
        {"shape": "box"},
        {"shape": 3},
        {"shape": []},
        "aerofoil",
        "free",
        "normal",
        "\x00",
        "../",
        "/",
        "a" * 10_000,
    ]
)


def places(node, prefix=()):
    """Key paths of a tree, leaves and tables."""
    inner = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, value in inner:
        yield (*prefix, key)
        yield from places(value, (*prefix, key))


PLACES = list(places(tomllib.loads(VALID.decode())))


@settings(max_examples=4 * USUAL)
@given(changes=st.lists(st.tuples(st.sampled_from(PLACES), ODD | st.just("delete")), min_size=1, max_size=3))
def test_odd_values_at_any_key(changes):
    raw = tomllib.loads(VALID.decode())
    for path, value in changes:
        node = raw
        try:
            for step in path[:-1]:
                node = node[step]
            if value == "delete":
                del node[path[-1]]
            else:
                node[path[-1]] = value
        except (LookupError, TypeError):
            continue
    outcome_of(from_tables, raw)


@settings(max_examples=2 * USUAL)
@given(
    key=st.text(max_size=12) | st.sampled_from([".".join(map(str, path)) for path in PLACES]),
    value=st.text(max_size=20),
)
def test_any_setting(key, value):
    outcome_of(from_tables, tomllib.loads(VALID.decode()), settings={key: value})


def test_every_key_deleted_in_turn_is_missed_or_not_needed():
    for path in PLACES:
        raw = tomllib.loads(VALID.decode())
        node = raw
        for step in path[:-1]:
            node = node[step]
        del node[path[-1]]
        outcome = outcome_of(from_tables, raw)
        if isinstance(outcome, ScenarioError):
            assert any(str(path[0]) in problem.key for problem in outcome.problems), (path, str(outcome))
