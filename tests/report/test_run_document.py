"""The JSON document: its form, SI units, and that it is JSON whatever a run holds."""

from __future__ import annotations

import csv
import dataclasses
import io
import json
import math
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pytest
from shown import comparison_document, csv_text, json_text, run_document, write_whole

from featherbench.checks import CAUTIONS, Check
from featherbench.studies.findings import Finding
from featherbench.studies.run import Comparison, Run

NUMBER_TEXT_OR_NULL = {"type": ["number", "string", "null"]}
RUN_FORM: dict[str, Any] = {
    "type": "object",
    "required": ["scenario", "findings", "curves", "checks", "cautions", "assumed"],
    "properties": {
        "scenario": {
            "type": "object",
            "required": ["title", "files", "digest"],
            "properties": {
                "title": {"type": "string"},
                "files": {"type": "array", "items": {"type": "string"}},
            },
        },
        "findings": {
            "type": "object",
            "minProperties": 20,
            "additionalProperties": {
                "type": "object",
                "required": ["value", "unit"],
                "properties": {"value": NUMBER_TEXT_OR_NULL, "unit": {"type": "string"}},
                "additionalProperties": False,
            },
        },
        "curves": {
            "type": "object",
            "additionalProperties": {
                "type": "object",
                "required": ["columns", "units"],
                "properties": {
                    "columns": {
                        "type": "object",
                        "additionalProperties": {"type": "array", "items": {"type": ["number", "null"]}},
                    },
                    "units": {"type": "object", "additionalProperties": {"type": "string"}},
                },
            },
        },
        "checks": {
            "type": "array",
            "items": {
                "type": "object",
                "required": [
                    *("name", "demand", "allowable", "unit", "margin", "safety"),
                    *("section", "load_path", "source", "verdict"),
                ],
                "maxProperties": 10,
            },
        },
        "cautions": {"type": "array", "minItems": 1, "items": {"type": "string"}},
        "assumed": {"type": "array", "items": {"type": "object", "required": ["key", "value", "why"]}},
    },
}


def read_back(document: dict[str, Any]) -> dict[str, Any]:
    """Through text and a strict reader: NaN and Infinity are no JSON."""

    def refuse(word: str) -> float:
        raise AssertionError(f"{word} is no JSON")

    read: dict[str, Any] = json.loads(json_text(document), parse_constant=refuse)
    return read


def test_a_run_has_the_stated_form(plain_run: Run, checks: tuple[Check, ...]) -> None:
    document = read_back(run_document(plain_run, checks, CAUTIONS, seed=7))
    assert document["format"] == 1  # whoever reads it later must know by which names
    jsonschema.validate(document, RUN_FORM)
    assert document["tool"] == "featherbench"
    assert document["seed"] == 7
    assert "seed" not in run_document(plain_run, checks, CAUTIONS)
    for curves in document["curves"].values():
        assert set(curves["columns"]) == set(curves["units"])
        assert len({len(column) for column in curves["columns"].values()}) == 1


def test_everything_is_si(plain_run: Run, checks: tuple[Check, ...]) -> None:
    document = run_document(plain_run, checks, CAUTIONS)
    units = {name: found["unit"] for name, found in document["findings"].items()}
    assert units["rod_force_push"] == "N"
    assert units["current_hold_high"] == "A"
    assert units["inertia_chordwise"] == "kg*m^2"
    assert units["radial_moment"] == "kg*m"
    assert units["propeller_moment_low"] == "N*m"
    assert units["compensation"] == "1"
    assert units["release"] == ""
    assert document["findings"]["rod_force_push"]["value"] == plain_run.findings["rod_force_push"].value
    pitch = document["curves"]["force_loop"]["columns"]["pitch"]
    assert document["curves"]["force_loop"]["units"]["pitch"] == "rad"
    np.testing.assert_allclose(pitch, plain_run.gauge.pitch, rtol=1e-6)


def test_missing_values_are_null(plain_run: Run, checks: tuple[Check, ...]) -> None:
    assert plain_run.findings["arrival_low"].value is None
    broken = dataclasses.replace(
        plain_run, findings={**plain_run.findings, "mass": Finding(math.nan, "mass")}
    )
    broken.curves["run"].columns["pitch"][3] = math.nan
    try:
        document = read_back(run_document(broken, checks, CAUTIONS))
    finally:
        broken.curves["run"].columns["pitch"][3] = 0.0
    assert document["findings"]["arrival_low"]["value"] is None
    assert document["findings"]["mass"]["value"] is None
    assert document["curves"]["run"]["columns"]["pitch"][3] is None
    unlimited = document["checks"][2]
    assert unlimited["allowable"] is None
    assert unlimited["margin"] is None
    assert unlimited["verdict"] == "not checked"


def test_a_comparison_lists_runs_and_changes(comparison: Comparison, checks: tuple[Check, ...]) -> None:
    document = read_back(comparison_document(comparison, [checks, checks], CAUTIONS, seed=0))
    assert len(document["runs"]) == 2
    for run in document["runs"]:
        jsonschema.validate(run, RUN_FORM)
    (changes,) = document["changes"]
    assert (changes["base"], changes["run"]) == (0, 1)
    push = changes["findings"]["rod_force_push"]
    assert push["difference"] == pytest.approx(push["after"] - push["before"])
    assert push["share"] == pytest.approx(push["difference"] / push["before"])
    assert changes["findings"]["release"] == {
        "before": "returns", "after": "stays", "difference": None, "share": None, "unit": "",
    }  # fmt: skip


def test_free_text_passes_unchanged_and_harmless(plain_run: Run) -> None:
    title = '"quoted" \x1b[31m <script> \u2028 ü'
    plain_run = dataclasses.replace(plain_run, notes=(title,))
    text = json_text(run_document(plain_run, (), ()))
    assert text.isascii()
    assert "\x1b" not in text
    assert json.loads(text)["notes"] == [title]


def test_written_files_are_read_back(plain_run: Run, checks: tuple[Check, ...], tmp_path: Path) -> None:
    document = run_document(plain_run, checks, CAUTIONS)
    write_whole(tmp_path / "run.json", json_text(document))
    assert json.loads((tmp_path / "run.json").read_text("utf-8")) == json.loads(json.dumps(document))
    write_whole(tmp_path / "run.csv", csv_text(plain_run))
    assert (tmp_path / "run.csv").read_text("utf-8") == csv_text(plain_run)


def test_the_time_series_has_units_on_top(plain_run: Run) -> None:
    rows = list(csv.reader(io.StringIO(csv_text(plain_run))))
    assert rows[0][:3] == ["time [s]", "command [rad]", "pitch [rad]"]
    assert "supply_current [A]" in rows[0]
    values = np.array(rows[1:], dtype=float)
    assert values.shape == (len(plain_run.servo.time), len(rows[0]))
    np.testing.assert_allclose(values[:, 0], plain_run.servo.time, atol=1e-6)
    np.testing.assert_allclose(values[:, 4], plain_run.servo.supply_current, rtol=1e-6, atol=1e-9)
