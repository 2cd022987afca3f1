"""The scenario file as a JSON Schema, so that an editor can complete and check it."""

from __future__ import annotations

import copy
from typing import Any

from featherbench.guide.quantity_pattern import pattern
from featherbench.scenario.fields import QUANTITY
from featherbench.scenario.schema import ScenarioTables

DRAFT = "https://json-schema.org/draft/2020-12/schema"
VARIANT = "-in-variant"
"""Ending of the names of those tables of which a variant states only what changes."""

_BASE = {
    "type": "string",
    "minLength": 1,
    "description": "scenario file that this one varies",
    "examples": ["plain.toml"],
}
_REMOVE = {
    "type": "array",
    "items": {"type": "string"},
    "description": "parts of the base that this variant does without",
    "examples": [["blade-bolt"]],
}
_MEASURED = {
    "type": "string",
    "minLength": 1,
    "description": "file that calibrate wrote: what it found holds for this build, where this build says the same",
    "examples": ["plain-fitted.toml"],
}

_REFERENCE = {
    "type": "string",
    "minLength": 1,
    "description": "plain build whose bolts compensation counts from: a file, or itself; the last base if left out",
    "examples": ["itself", "plain.toml"],
}


def json_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a scenario file.

    A file with `base` is a variant: of it only the title is required. The rules across several keys
    are beyond a schema; `read` applies them.
    """
    kinds: dict[str, Any] = {}
    whole = _with_patterns(ScenarioTables.model_json_schema(by_alias=True), kinds)
    tables = {name: _tidied(table) for name, table in whole.pop("$defs").items()}
    complete = _tidied(whole)
    variant_tables = {name + VARIANT: _relaxed(table, tables) for name, table in tables.items()}
    variant = _relaxed(complete, tables)
    variant["required"] = ["title", "base"]
    complete["properties"] |= {"measured": _MEASURED, "reference": _REFERENCE}
    variant["properties"] |= {
        "base": _BASE,
        "remove": _REMOVE,
        "measured": _MEASURED,
        "reference": _REFERENCE,
    }
    return {
        "$schema": DRAFT,
        "$id": urn("scenario"),
        "title": "Featherbench scenario",
        "description": "One build of a model-helicopter tail rotor; quantities are texts with their unit.",
        "type": "object",
        "if": {"required": ["base"]},
        "then": {"$ref": "#/$defs/variant"},
        "else": {"$ref": "#/$defs/complete"},
        "$defs": {"complete": complete, "variant": variant, **tables, **variant_tables, **kinds},
    }


def urn(of: str) -> str:
    """What a schema goes by; the number at its end is raised with what it no longer accepts."""
    return f"urn:featherbench:schema:{of}:1"


def _with_patterns(node: Any, kinds: dict[str, Any]) -> Any:
    """With a reference to the pattern of its kind and sign in place of each quantity; `kinds` collects the patterns."""
    if isinstance(node, list):
        return [_with_patterns(one, kinds) for one in node]
    if not isinstance(node, dict):
        return node
    if QUANTITY not in node or not isinstance(node[QUANTITY], list):
        return {key: _with_patterns(value, kinds) for key, value in node.items()}
    kind, sign = node[QUANTITY]
    name = kind if sign == "any" else f"{kind}, {sign}"
    kinds.setdefault(name, {"type": "string", "pattern": pattern(kind, sign)})
    return {key: value for key, value in node.items() if key not in (QUANTITY, "type")} | {
        "$ref": f"#/$defs/{name}"
    }


def _by_shape(union: dict[str, Any]) -> dict[str, Any]:
    """A choice of tables by the key that tells them apart: what it may be, and for each its own table. So whoever
    mistypes it is told that, and not of all that each table misses.
    """
    key, tables = union["discriminator"]["propertyName"], union["discriminator"]["mapping"]
    chosen = [
        {"if": {"properties": {key: {"const": name}}, "required": [key]}, "then": {"$ref": table}}
        for name, table in tables.items()
    ]
    return {"type": "object", "required": [key], "properties": {key: {"enum": list(tables)}}, "allOf": chosen}


def _any_of_them(union: dict[str, Any], tables: dict[str, Any]) -> dict[str, Any]:
    """One table with the keys of all, for a part that leaves its shape to the base."""
    found: dict[str, list[Any]] = {}
    for one in union["allOf"]:
        for name, own in tables[one["then"]["$ref"].removeprefix("#/$defs/")]["properties"].items():
            if own not in found.setdefault(name, []):
                found[name].append(own)
    properties = {name: own[0] if len(own) == 1 else {"anyOf": own} for name, own in found.items()}
    return {"type": "object", "properties": properties, "additionalProperties": False}


def _tidied(schema: dict[str, Any]) -> dict[str, Any]:
    """Without what only the checking library needs: machine-made titles, nulls, defaults in SI numbers."""
    tidy: dict[str, Any] = {}
    if "discriminator" in schema:
        kept = {key: value for key, value in schema.items() if key not in ("oneOf", "discriminator")}
        return _tidied(kept) | _by_shape(schema)
    for key, value in schema.items():
        if key in ("title", "default", "discriminator"):
            continue
        if key == "properties":
            tidy[key] = {name: _tidied(inner) for name, inner in value.items()}
        elif isinstance(value, dict):
            tidy[key] = _tidied(value)
        elif key in ("anyOf", "oneOf", "allOf", "prefixItems"):
            tidy[key] = [_tidied(inner) for inner in value if inner.get("type") != "null"]
        else:
            tidy[key] = value
    if len(tidy.get("anyOf", ())) == 1:
        tidy = {**tidy.pop("anyOf")[0], **tidy}
    if "default" in schema and isinstance(schema["default"], bool):
        tidy["default"] = schema["default"]
    return tidy


def _relaxed(schema: dict[str, Any], tables: dict[str, Any]) -> dict[str, Any]:
    """The same table with nothing required; a part may leave its shape to the base."""
    relaxed = copy.deepcopy(schema)
    waiting: list[Any] = [relaxed]
    while waiting:
        node = waiting.pop()
        if isinstance(node, list):
            waiting.extend(node)
        if not isinstance(node, dict):
            continue
        if isinstance(node.get("allOf"), list):
            (key,) = node["required"]
            node["allOf"].append({"if": {"required": [key]}, "then": {}, "else": _any_of_them(node, tables)})
        if isinstance(node.get("required"), list):
            del node["required"]
        if isinstance(node.get("$ref"), str) and node["$ref"].removeprefix("#/$defs/") in tables:
            node["$ref"] += VARIANT
        waiting.extend(value for key, value in node.items() if key != "if")
    return relaxed
