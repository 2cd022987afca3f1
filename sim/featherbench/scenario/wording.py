"""What the schema refused, in the user's words: nothing of the checking library's own language may show."""

from __future__ import annotations

import difflib
import types
from collections.abc import Iterable, Mapping
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel

from featherbench.scenario.locate import Path as KeyPath
from featherbench.scenario.parts import SHAPES
from featherbench.scenario.problems import Problem, dotted, shown_value
from featherbench.scenario.raw_tree import RawTree
from featherbench.scenario.schema import ScenarioTables

MOST_PROBLEMS = 200


def schema_problems(errors: Iterable[Mapping[str, Any]], tree: RawTree) -> list[Problem]:
    """Turn located schema errors into problems with file, line, key, given and expected."""
    problems = []
    for error in list(errors)[:MOST_PROBLEMS]:
        path = _typed_path(error["loc"])
        if error["type"] in ("union_tag_not_found", "union_tag_invalid"):
            path = (*path, "shape")
        file, line = tree.place(path)
        value = tree.value(path)
        given = "nothing" if error["type"] in ("missing", "union_tag_not_found") else shown_value(value)
        problems.append(Problem(file, line, dotted(path), given, _expected(error, path, tree)))
    return problems


def table_at(path: KeyPath, tree: RawTree) -> type[BaseModel] | None:
    """The schema's table at a key path, None where the path leads to no table."""
    node: Any = ScenarioTables
    for index, step in enumerate(path):
        node = _chosen(node, tree.value(path[:index]))
        if isinstance(node, type) and issubclass(node, BaseModel):
            found = keys_of(node).get(str(step))
            if found is None:
                return None
            node = found
        elif get_origin(node) is dict:
            node = get_args(node)[1]
        elif get_origin(node) in (list, tuple):
            node = get_args(node)[0]
        else:
            return None
    node = _chosen(node, tree.value(path))
    return node if isinstance(node, type) and issubclass(node, BaseModel) else None


def keys_of(table: type[BaseModel]) -> dict[str, Any]:
    """Key as typed in a file -> annotation."""
    return {field.alias or name: field.annotation for name, field in table.model_fields.items()}


def _chosen(node: Any, value: object) -> Any:
    """Strip annotations and None; of several tables take the one whose shape is stated."""
    while get_origin(node) is Annotated:
        node = get_args(node)[0]
    if get_origin(node) not in (Union, types.UnionType):
        return node
    choices = [choice for choice in get_args(node) if choice is not type(None)]
    if len(choices) == 1:
        return _chosen(choices[0], value)
    shape = value.get("shape") if isinstance(value, dict) else None
    for choice in choices:
        if (
            isinstance(choice, type)
            and issubclass(choice, BaseModel)
            and shape in get_args(choice.model_fields["shape"].annotation)
        ):
            return choice
    return None


def _typed_path(location: tuple[str | int, ...]) -> KeyPath:
    """The key path as typed: the checking library inserts the shape's name after that of a part, or after
    the number of an owned piece.
    """
    if len(location) > 2 and location[0] in ("part", "own"):
        return (*location[:2], *location[3:])
    return tuple(location)


_TYPES = {
    "string_type": "text in quotes",
    "list_type": "a list in square brackets",
    "tuple_type": "a list in square brackets",
    "dict_type": 'tables, one per part, for example [part.grip] with shape = "box"',
    "finite_number": "a finite number",
    "float_type": "a plain number, without quotes and without a unit",
    "int_type": "a whole number, without quotes",
    "string_too_short": "a text that is not empty",
}


def _expected(error: Mapping[str, Any], path: KeyPath, tree: RawTree) -> str:
    """What would have been right."""
    kind, facts = error["type"], error.get("ctx", {})
    if kind == "quantity":
        return str(facts["reason"])
    if kind == "missing":
        return _missing(path, tree)
    if kind == "extra_forbidden":
        return _unknown(path, tree)
    if kind in ("union_tag_not_found", "union_tag_invalid"):
        return (
            f"a shape: {facts.get('expected_tags', _SHAPES)}".replace("'", '"')
            if facts
            else f"a shape: {_SHAPES}"
        )
    if kind == "literal_error":
        return f"one of {facts['expected']}".replace("'", '"')
    if kind in _LIMITS:
        name, words = _LIMITS[kind]
        return f"{words} {facts[name]:g}{_for_example(path, tree)}"
    if kind in ("too_short", "too_long"):
        return _count(facts) + _for_example(path, tree)
    if kind in ("model_type", "model_attributes_type"):
        table = table_at(path, tree)
        keys = f" with its keys {', '.join(keys_of(table))}" if table else ""
        return f"a table{keys}, for example [{dotted(path)}]"
    words = _TYPES.get(kind, "a value of the kind this key holds (see featherbench check --schema)")
    return words if "for example" in words else words + _for_example(path, tree)


def _for_example(path: KeyPath, tree: RawTree) -> str:
    sample = example_of(path, tree)
    return f", for example {sample}" if sample else ""


_SHAPES = ", ".join(SHAPES)
_LIMITS = {
    "greater_than": ("gt", "a number above"),
    "greater_than_equal": ("ge", "a number not below"),
    "less_than": ("lt", "a number below"),
    "less_than_equal": ("le", "a number not above"),
}


def _count(facts: Mapping[str, Any]) -> str:
    least, most = facts.get("min_length"), facts.get("max_length")
    if least is not None and most is None:
        return f"at least {least} entr{'y' if least == 1 else 'ies'}"
    return f"at most {most} entr{'y' if most == 1 else 'ies'}"


def _missing(path: KeyPath, tree: RawTree) -> str:
    """An example line for a key that must be there."""
    key = str(path[-1])
    if isinstance(path[-1], int):
        return "one more entry in this list"
    table = table_at(path, tree)
    if table is None and path == ("part",):
        return "at least one part, for example [part.blade] with group, shape and mass"
    if table is not None:
        needed = [name.alias or key for key, name in table.model_fields.items() if name.is_required()]
        must = f", which must hold {', '.join(needed)}" if needed else ""
        return f"the table [{dotted(path)}]{must}"
    sample = example_of(path, tree)
    return f"this key, for example {key} = {sample}" if sample else f"the key {key}"


def example_of(path: KeyPath, tree: RawTree) -> str:
    """An example value for a key, as it would be typed."""
    table = table_at(path[:-1], tree)
    if table is None:
        return ""
    properties = table.model_json_schema()["properties"]
    return _sample(str(path[-1]), properties.get(str(path[-1]), {}))


_SAMPLES = {
    "pitch_range": '["-26 deg", "26 deg"]',
    "chord": '"27 mm"',
    "axis_at": "0.38",
    "blades": "2",
    "gear_ratio": "240",
    "group": '"grip"',
    "axis": '"normal"',
    "size": '{ radius = "30 mm", chord = "12 mm", normal = "9 mm" }',
    "pieces": '[{ from = "0 mm", length = "6 mm", diameter = "5 mm" }]',
    "standard": '"ISO 4762"',
    "file": '"grip.stl"',
    "materials": '["steel", "brass"]',
    "target": "{ compensation = 0.93 }",
    "title": '"Survey helicopter: plain blade bolts"',
    "go": "1.0",
    "swing": '"free"',
    "held_by": '"clamped under nut"',
}


def _sample(key: str, schema: Mapping[str, Any]) -> str:
    """An example from the schema itself, or one kept for the few keys whose schema has none."""
    examples = schema.get("examples") or [
        example for choice in schema.get("anyOf", []) for example in choice.get("examples", [])
    ]
    return shown_value(examples[0]) if examples else _SAMPLES.get(key, "")


def _unknown(path: KeyPath, tree: RawTree) -> str:
    """The nearest known key, and what is known here."""
    table = table_at(path[:-1], tree)
    known = list(keys_of(table)) if table else []
    if len(path) == 1:
        known += ["base", "remove", "measured", "reference"]
    near = difflib.get_close_matches(str(path[-1]), known, 1, 0.6)
    hint = f"did you mean {near[0]}? " if near else ""
    elsewhere = _home_of(str(path[-1])) if not near else ""
    inside = dotted(path[:-1]) or "the file"
    shape = tree.value((*path[:2], "shape")) if path[0] in ("part", "own") and len(path) == 3 else None
    kind = f" (shape {shape})" if isinstance(shape, str) else ""
    return f"a known key; {hint}{elsewhere}{inside}{kind} can hold {', '.join(known)}"


def _home_of(key: str) -> str:
    """Says in which other table a key is known."""
    for name, field in ScenarioTables.model_fields.items():
        table = _chosen(field.annotation, None)
        if isinstance(table, type) and issubclass(table, BaseModel) and key in keys_of(table):
            return f"{key} belongs into [{name}]; "
    return ""
