"""Every key that a scenario file may hold, with unit, default, meaning and example: read off the schema itself."""

from __future__ import annotations

import functools
import tomllib
import types
from collections.abc import Iterator
from typing import Annotated, Any, Literal, NamedTuple, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from featherbench import quantities
from featherbench.guide.key_meanings import EXAMPLES, MEANINGS
from featherbench.guide.starter import starter_text
from featherbench.scenario.fields import PLAUSIBLE, Quantity
from featherbench.scenario.schema import ScenarioTables
from featherbench.scenario.toml_writer import toml_value


class Key(NamedTuple):
    """path: as it is typed, NAME for a part's own; unit: such as "mm, inch, ...", or what else is typed; default: "must
    be stated", "left out" or the value; meaning and example in words.
    """

    path: str
    unit: str
    default: str
    meaning: str
    example: str


MUST, LEFT_OUT = "must be stated", "may be left out"
IN_FILES = (
    Key("base", "text", LEFT_OUT, "scenario file that this one varies", '"plain.toml"'),
    Key("remove", "list of texts", LEFT_OUT, "parts of the base that it does without", '["blade-bolt"]'),
    Key(
        "reference",
        "text",
        LEFT_OUT,
        'file of the plain build whose bolts compensation counts from, or "itself"',
        '"plain.toml"',
    ),
    Key(
        "measured",
        "text",
        LEFT_OUT,
        "file that calibrate wrote, whose findings hold here",
        '"plain-fitted.toml"',
    ),
)
"""What no table holds: how files refer to one another."""


def all_keys() -> tuple[Key, ...]:
    """All of them, in the order of the schema; a key that several shapes of part share once."""
    found: dict[str, Key] = {one.path: one for one in IN_FILES}
    for one in _keys(ScenarioTables, ""):
        known = found.get(one.path)
        found[one.path] = one if known is None else _shared(known, one)
    return tuple(found.values())


def _shared(known: Key, other: Key) -> Key:
    """A key of several shapes as the first has it, with all shapes there are, and what some take if it is left out."""
    unit = f"{known.unit} | {other.unit}" if known.path.endswith(".shape") else known.unit
    if other.default in known.default:
        return known._replace(unit=unit)
    return known._replace(unit=unit, default=f"{known.default}; {other.default} for some shapes")


def search(word: str) -> tuple[Key, ...]:
    """Those whose path, meaning, unit or example holds the word, whatever its capitals: by path first."""
    wanted = word.casefold()
    keys = all_keys()
    by_path = [one for one in keys if wanted in one.path.casefold()]
    others = [one for one in keys if one not in by_path and wanted in " ".join(one[1:]).casefold()]
    return (*by_path, *others)


def _keys(model: type[BaseModel], above: str) -> Iterator[Key]:
    for name, field in model.model_fields.items():
        typed = field.alias or name
        yield from _below(f"{above}{typed}", field)


def _below(path: str, field: FieldInfo) -> Iterator[Key]:
    """The key itself, or those of the tables that it holds."""
    tables = list(_tables(field.annotation))
    if not tables:
        yield _key(path, field)
        return
    origin = next((get_origin(one) for one in _flat(field.annotation) if get_origin(one)), None)
    between = ".NAME" if origin is dict else "[]" if origin in (list, tuple) else ""
    for table in tables:
        yield from _keys(table, f"{path}{between}.")


def _flat(annotation: Any) -> Iterator[Any]:
    """A type without what is only marked on it: each of a choice."""
    if get_origin(annotation) is Annotated:
        yield from _flat(get_args(annotation)[0])
    elif get_origin(annotation) in (Union, types.UnionType):
        for one in get_args(annotation):
            yield from _flat(one)
    else:
        yield annotation


def _tables(annotation: Any) -> Iterator[type[BaseModel]]:
    for one in _flat(annotation):
        if isinstance(one, type) and issubclass(one, BaseModel):
            yield one
        elif get_origin(one) in (list, tuple, dict):
            for inner in get_args(one):
                if inner is not Ellipsis:
                    yield from _tables(inner)


def _key(path: str, field: FieldInfo) -> Key:
    quantity = _quantity(field)
    choices = [
        text for one in _flat(field.annotation) if get_origin(one) is Literal for text in get_args(one)
    ]
    return Key(
        path,
        _unit(field, quantity, choices),
        _default(field, quantity),
        _meaning(path, field),
        _example(path, field, quantity, choices),
    )


def _quantity(field: FieldInfo) -> Quantity | None:
    waiting = [*field.metadata, field.annotation]
    while waiting:
        one = waiting.pop(0)
        if isinstance(one, Quantity):
            return one
        waiting += [*getattr(one, "__metadata__", ()), *get_args(one)]
    return None


def _unit(field: FieldInfo, quantity: Quantity | None, choices: list[str]) -> str:
    if choices:
        return " | ".join(map(str, choices))
    if quantity is not None and quantity.kind != "ratio":
        several = any(get_origin(one) in (list, tuple) for one in _flat(field.annotation))
        unit = quantities.KINDS[quantity.kind].example.split(" ", 1)[1]
        return f"{quantity.kind}{'s' if several else ''}, such as {unit}"
    kinds = {one for one in _flat(field.annotation) if isinstance(one, type)}
    if bool in kinds:
        return "true or false"
    if kinds & {int, float}:
        return "a number"
    return "list of texts" if any(get_origin(one) is list for one in _flat(field.annotation)) else "text"


def _default(field: FieldInfo, quantity: Quantity | None) -> str:
    if field.is_required():
        return MUST
    value = field.default if field.default is not PydanticUndefined else None
    if value is None or value == ():
        return LEFT_OUT
    if quantity is not None and quantity.kind in PLAUSIBLE and isinstance(value, int | float):
        return quantities.text(float(value), quantity.kind)
    return (
        {True: "true", False: "false"}.get(value, str(value))
        if isinstance(value, bool)
        else str(value) or LEFT_OUT
    )


def _meaning(path: str, field: FieldInfo) -> str:
    return field.description or MEANINGS.get(path) or MEANINGS.get(f"*.{path.rpartition('.')[2]}", "")


def _example(path: str, field: FieldInfo, quantity: Quantity | None, choices: list[str]) -> str:
    """As stated beside the key, else as it stands in the starter's file, else what its kind allows."""
    if path in EXAMPLES:
        return EXAMPLES[path]
    if field.examples:
        return _typed(field.examples[0])
    started = _started(path)
    if started is not None:
        return _typed(started)
    if choices:
        return f'"{choices[0]}"'
    if quantity is not None:
        return quantity.sample if quantity.kind == "ratio" else f'"{quantity.sample}"'
    default = field.default
    if isinstance(default, bool):
        return str(not default).lower()
    return str(default) if isinstance(default, int | float) else ""


@functools.cache
def _starter() -> dict[str, Any]:
    return tomllib.loads(starter_text("example"))


def _started(path: str) -> object:
    """What stands at a path in the starter's file; of parts what the first says that has the key."""
    nodes: list[Any] = [_starter()]
    for step in path.replace("[]", ".*").split("."):
        found: list[Any] = []
        for node in nodes:
            if step == "NAME" and isinstance(node, dict):
                found += node.values()
            elif step == "*" and isinstance(node, list):
                found += node
            elif isinstance(node, dict) and step in node:
                found.append(node[step])
        nodes = found
    plain = [node for node in nodes if not isinstance(node, dict)]
    return plain[0] if plain else None


def _typed(value: object) -> str:
    return toml_value(value)
