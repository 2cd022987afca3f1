"""The file of readings as a JSON Schema, so that an editor can complete and check it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from featherbench.guide.findings import in_words
from featherbench.guide.json_schema import DRAFT, urn
from featherbench.guide.quantity_pattern import pattern
from featherbench.quantities import KINDS


def readings_schema(readable: Mapping[str, str]) -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of the readings that `match` and `calibrate` take as TOML.

    readable: names of what may be read, and their kinds: the `READABLE` of `bench/readings.py`, a room above this one.
    """
    fields: dict[str, Any] = {name: _reading(name, kind) for name, kind in readable.items()}
    force = {"anyOf": [{"$ref": "#/$defs/force of either sign"}, _BLANK]}
    fields["forces"] = {
        "type": "array",
        "description": "rows of what the gauge showed at a pitch, push positive, moving up and down",
        "items": {
            "type": "object",
            "required": ["pitch"],
            "properties": {"pitch": {"$ref": "#/$defs/angle"}, "rising": force, "falling": force},
            "additionalProperties": False,
        },
    }
    kinds = sorted({kind for kind in readable.values() if kind != "text"})
    return {
        "$schema": DRAFT,
        "$id": urn("readings"),
        "title": "Featherbench readings",
        "description": "What gauge and meter showed; a text with its unit, or a list of repeats; blank: not read.",
        "type": "object",
        "required": ["readings"],
        "properties": {
            **_about(),
            "readings": {
                "type": "object",
                "minProperties": 1,
                "properties": fields,
                "additionalProperties": False,
            },
        },
        "$defs": {
            **{
                kind: {
                    "type": "string",
                    "pattern": pattern(kind, "any" if kind == "rotation" else "not negative"),
                }
                for kind in kinds
            },
            "angle": {"type": "string", "pattern": pattern("angle", "any"), "examples": ["-12 deg"]},
            "force of either sign": {
                "type": "string",
                "pattern": pattern("force", "any"),
                "examples": ["-4.2 N"],
            },
        },
    }


_BLANK = {"type": "string", "pattern": r"^\s*[^0-9]*$", "description": "not read"}


def _about() -> dict[str, Any]:
    """What a file says of all its readings: day, build, instruments."""
    return {
        "date": {
            "type": "string",
            "pattern": r"^(\d{4}-\d{2}-\d{2})?$",
            "description": "the day they were read; of several days, match and calibrate show what has changed",
            "examples": ["2026-11-02"],
        },
        "build": {
            "type": "string",
            "description": "the scenario file of what was on the bench, as seen from this file; blank: that of the "
            "command line",
            "examples": ["over.toml"],
        },
        **{table: _instrument(table, kind) for table, kind in (("gauge", "force"), ("meter", "current"))},
    }


def _instrument(table: str, kind: str) -> dict[str, Any]:
    what = {"uncertainty": "how far it may be off, in 95 of 100", "resolution": "step of its display"}
    one = {"anyOf": [{"$ref": f"#/$defs/{kind}"}, _BLANK], "examples": [KINDS[kind].example]}
    return {
        "type": "object",
        "description": f"another {table} than the scenario's",
        "properties": {key: {"description": words, **one} for key, words in what.items()},
        "additionalProperties": False,
    }


def _reading(name: str, kind: str) -> dict[str, Any]:
    if kind == "text":
        return {"type": "string", "description": in_words(name)}
    one = {"anyOf": [{"$ref": f"#/$defs/{kind}"}, _BLANK]}
    return {
        "description": in_words(name),
        "examples": [KINDS[kind].example],
        "if": {"type": "array"},
        "then": {"items": one},
        "else": one,
    }
