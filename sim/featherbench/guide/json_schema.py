"""The scenario file as a JSON Schema, so that an editor can complete and check it."""

from __future__ import annotations

import copy
from typing import Any

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
    whole = ScenarioTables.model_json_schema(by_alias=True)
    tables = {name: _tidied(table) for name, table in whole.pop("$defs").items()}
    complete = _tidied(whole)
    variant_tables = {name + VARIANT: _relaxed(table) for name, table in tables.items()}
    variant = _relaxed(complete)
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
        "title": "Featherbench scenario",
        "description": "One build of a model-helicopter tail rotor; quantities are texts with their unit.",
        "type": "object",
        "if": {"required": ["base"]},
        "then": {"$ref": "#/$defs/variant"},
        "else": {"$ref": "#/$defs/complete"},
        "$defs": {"complete": complete, "variant": variant, **tables, **variant_tables},
    }


def _tidied(schema: dict[str, Any]) -> dict[str, Any]:
    """Without what only the checking library needs: machine-made titles, nulls, defaults in SI numbers."""
    tidy: dict[str, Any] = {}
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


def _relaxed(schema: dict[str, Any]) -> dict[str, Any]:
    """The same table with nothing required; a part may leave its shape to the base."""
    relaxed = copy.deepcopy(schema)
    waiting: list[Any] = [relaxed]
    while waiting:
        node = waiting.pop()
        if isinstance(node, list):
            waiting.extend(node)
        if not isinstance(node, dict):
            continue
        if isinstance(node.get("required"), list):
            del node["required"]
        if isinstance(node.get("oneOf"), list):
            node["anyOf"] = node.pop("oneOf")
        if isinstance(node.get("$ref"), str):
            node["$ref"] += VARIANT
        waiting.extend(node.values())
    return relaxed
