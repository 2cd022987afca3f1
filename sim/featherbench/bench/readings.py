"""Spot readings from the bench: a small table of values with units, uncertainties and repeats."""

from __future__ import annotations

import csv
import difflib
import hashlib
import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np

from featherbench import quantities
from featherbench.bench.end_readings import Read, read_at_ends, verdict_of, without_idle
from featherbench.bench.logs import Log, read_log
from featherbench.bench.logs_text import ReadingsRefused, file_text, refused
from featherbench.bench.pitch_table import BEYOND, ForceAtPitch, is_pitch_table, read_pitch_table
from featherbench.bench.release import TYPED, ReleaseVerdict
from featherbench.bench.sessions import day_of, of_table
from featherbench.bench.typed_forces import FORCES, forces_of_list, is_blank
from featherbench.notebook import OneLine
from featherbench.scenario import Problem, Scenario
from featherbench.scenario.locate import key_lines
from featherbench.standard_input import is_standard_input

READABLE: dict[str, str] = {
    "gauge_push": "force",
    "gauge_pull": "force",
    "rod_force_breakout": "force",
    "rod_force_loop": "force",
    "meter_peak": "current",
    "meter_peak_high": "current",
    "meter_peak_low": "current",
    "meter_hold": "current",
    "current_hold_high": "current",
    "current_hold_low": "current",
    "current_peak_high": "current",
    "current_peak_low": "current",
    "arrival_high": "time",
    "arrival_low": "time",
    "release": "text",
    "release_low": "text",
    "rotor_speed": "rotation",
}
"""What may be read, by the name of the finding it is compared with; rotor_speed is what the test was run at."""
VERDICTS = tuple(verdict.value for verdict in ReleaseVerdict)


@dataclass(frozen=True)
class Reading:
    """One reading: value in SI (mean of the repeats) or a verdict in words.

    uncertainty: expanded (95 %), SI, as stated with it, or None; scatter: standard uncertainty of the mean from
    the repeats, SI, 0 for a single reading. pitch (rad), rising: where and which way, of a force read at a pitch;
    file: its table; speed: rotor speed of a table that states another than the first one, rad/s.
    """

    name: str
    kind: str
    value: float | str
    uncertainty: float | None
    scatter: float
    repeats: int
    line: int | None
    pitch: float | None = None
    rising: bool | None = None
    file: str = ""
    speed: float | None = None


@dataclass(frozen=True)
class BenchData(OneLine):
    """All handed in: spot readings by name, logs, digests by file, what was said; days: of files that state one."""

    readings: dict[str, Reading]
    logs: tuple[Log, ...]
    digests: dict[str, str]
    said: tuple[str, ...]
    days: dict[str, date] = field(default_factory=dict)


def read_bench_data(paths: Sequence[Path | str], scenario: Scenario) -> BenchData:
    """Readings (.toml, or a CSV table headed quantity, value, unit) and logs (any other text); - is standard input.

    Raises ReadingsRefused. The same quantity read in two files is refused, but for forces at a pitch.

    >>> import featherbench as fb
    >>> plain = fb.read(fb.example("survey-3kg/plain"))
    >>> data = fb.read_bench_data([fb.example("survey-3kg/bench/plain-readings")], plain)
    >>> f"{data.readings['gauge_push'].value:.2f} N"
    '11.93 N'
    """
    readings: dict[str, Reading] = {}
    logs: list[Log] = []
    digests: dict[str, str] = {}
    said: list[str] = []
    days: dict[str, date] = {}
    for path in map(Path, paths):
        data, text, told = file_text(path)
        digests[str(path)] = hashlib.sha256(data).hexdigest()
        days |= {path.name: day} if (day := day_of(path, text)) else {}
        toml = _is_toml(path, text)
        if not toml and is_pitch_table(text):
            forces, sentences = read_pitch_table(path, text, scenario)
            others, more = read_at_ends(path, text, scenario)
            if not forces and not others:
                raise refused(path, None, "", "no row with an angle and a reading", "rows such as 12; 4.5")
            found = of_table(path.name, _by_hand(forces) | _at_ends(without_idle(others, scenario)), readings)
            _once(path, found, readings)
            readings |= found
            said += [f"{path.name}: {sentence}" for sentence in (*told, *sentences, *more)]
            continue
        if not toml and not _is_readings_table(text):
            logs.append(read_log(path, scenario.log))
            said += [f"{path.name}: {sentence}" for sentence in logs[-1].said]
            continue
        if toml:
            found, blank = _toml(path, text)
            low, high = scenario.rotor.pitch_range
            least, most = low - BEYOND, high + BEYOND
            beyond = [n for n, one in found.items() if not least <= (one.pitch or 0.0) <= most]
            found = {name: one for name, one in found.items() if name not in beyond}
            found = of_table(path.name, found, readings)
            told = [*told, *blank, *(f"{name} left out, beyond the pitch range" for name in beyond)]
        else:
            found = _table(path, text)
        _once(path, found, readings)
        readings |= found
        said += [f"{path.name}: {sentence}" for sentence in (*told, f"{len(found)} readings")]
    return BenchData(readings, tuple(logs), digests, tuple(said), days)


def _by_hand(forces: Sequence[ForceAtPitch]) -> dict[str, Reading]:
    """Readings by name; what was read more than once at a pitch and in a direction is a repeat."""
    alike: dict[str, list[ForceAtPitch]] = {}
    for force in forces:
        alike.setdefault(force.name, []).append(force)
    found = {}
    for name, same in alike.items():
        numbers = np.array([one.force for one in same])
        scatter = float(numbers.std(ddof=1) / np.sqrt(len(same))) if len(same) > 1 else 0.0
        first = same[0]
        stated = max(one.tolerance for one in same) or None
        found[name] = Reading(name, "force", float(numbers.mean()), stated, scatter, len(same), first.line,
                              first.pitch, first.rising)  # fmt: skip
    return found


def _at_ends(read: Sequence[Read]) -> dict[str, Reading]:
    """Readings by name; what was read more than once is a repeat, of verdicts the last counts."""
    found = {}
    for name in dict.fromkeys(one.name for one in read):
        same = [one for one in read if one.name == name]
        if same[0].kind == "text":
            found[name] = Reading(name, "text", str(same[-1].value), None, 0.0, len(same), same[-1].line)
            continue
        numbers = np.array([float(one.value) for one in same])
        scatter = float(numbers.std(ddof=1) / np.sqrt(len(same))) if len(same) > 1 else 0.0
        found[name] = Reading(
            name, same[0].kind, float(numbers.mean()), None, scatter, len(same), same[0].line
        )
    return found


def _once(path: Path, found: dict[str, Reading], readings: dict[str, Reading]) -> None:
    twice = set(found) & set(readings)
    if twice:
        raise refused(path, None, min(twice), "read in an earlier file too",
                      "each quantity in one file; what is of another day or build: calibrate with one file, then the "
                      "file that this writes with the next")  # fmt: skip


def _is_toml(path: Path, text: str) -> bool:
    """By its name; what a pipe hands in has none."""
    return path.suffix.lower() == ".toml" or (
        is_standard_input(path) and re.search(r"^\s*\[readings\]", text, re.MULTILINE) is not None
    )


def _is_readings_table(text: str) -> bool:
    first = next((line for line in text.splitlines() if line.strip() and not line.startswith("#")), "")
    words = [word.strip().lower() for word in re.split(r"[,;\t]", first)]
    return words[:2] == ["quantity", "value"]


def _toml(path: Path, text: str) -> tuple[dict[str, Reading], list[str]]:
    """[readings] name = "value unit" or a list of repeats; +/- is the expanded uncertainty. And what was left blank."""
    try:
        raw = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        match = re.search(r"at line (\d+)", str(error))
        raise refused(path, int(match[1]) if match else None, "", str(error)[:60],
                      'valid TOML, for example gauge_push = "9.4 N"') from None  # fmt: skip
    table = raw.get("readings")
    if not isinstance(table, dict) or not table:
        raise refused(
            path, None, "readings", "no table of readings", '[readings] with, say, gauge_push = "9.4 N"'
        )
    table.pop("date", None)
    lines = key_lines(text)
    problems: list[Problem] = []
    found: dict[str, Reading] = {}
    blank: list[str] = []
    for name, value in table.items():
        line = lines.get(("readings", name))
        try:
            if name == FORCES:
                found |= _by_hand(forces_of_list(path, line, value))
                continue
            values = [
                one
                for one in (value if isinstance(value, list) else [value])
                if not is_blank(one, READABLE.get(name, ""))
            ]
            if value != [] and not values and name in READABLE:
                blank.append(name)
                continue
            found[name] = _reading(path, line, name, values, None)
        except ReadingsRefused as error:
            problems += error.problems
    if problems:
        raise ReadingsRefused(problems)
    if not found:
        raise refused(path, None, "readings", "every field is blank", 'a reading, say gauge_push = "9.4 N"')
    return found, [f"left blank: {', '.join(blank)}"] if blank else []


def _table(path: Path, text: str) -> dict[str, Reading]:
    """Rows of quantity, value, unit and, if wanted, uncertainty; a quantity repeated is a repeat."""
    rows = [(number, line) for number, line in enumerate(text.splitlines(), 1)
            if line.strip() and not line.startswith("#")]  # fmt: skip
    delimiter = max(",;\t", key=rows[0][1].count)
    names = [cell.strip().lower() for cell in rows[0][1].split(delimiter)]
    if "unit" not in names:
        raise refused(
            path, rows[0][0], "unit", ", ".join(names), "a heading: quantity, value, unit, uncertainty"
        )
    given: dict[str, list[str]] = {}
    stated: dict[str, str] = {}
    lines: dict[str, int] = {}
    for line, row in rows[1:]:
        cells = dict(
            zip(names, [cell.strip() for cell in next(csv.reader([row], delimiter=delimiter))], strict=False)
        )
        name, value, unit = cells.get("quantity", ""), cells.get("value", ""), cells.get("unit", "")
        value = value.replace(",", ".") if delimiter != "," else value
        lines.setdefault(name, line)
        given.setdefault(name, []).append(f"{value} {unit}".strip())
        if cells.get("uncertainty"):
            stated[name] = f"{cells['uncertainty'].replace(',', '.')} {unit}"
    problems: list[Problem] = []
    found: dict[str, Reading] = {}
    for name, values in given.items():
        try:
            found[name] = _reading(path, lines[name], name, list(values), stated.get(name))
        except ReadingsRefused as error:
            problems += error.problems
    if problems:
        raise ReadingsRefused(problems)
    return found


def _reading(path: Path, line: int | None, name: str, values: list[Any], stated: str | None) -> Reading:
    kind = READABLE.get(name)
    if kind is None:
        near = difflib.get_close_matches(name, READABLE, 1)
        hint = f"; did you mean {near[0]}?" if near else ""
        raise refused(path, line, name, "a quantity that is not known", f"one of {', '.join(READABLE)}{hint}")
    if kind == "text":
        said = str(values[0]) if values else "nothing"
        verdict = said if said in VERDICTS else verdict_of(said)
        if len(values) != 1 or verdict is None:
            raise refused(path, line, name, said, TYPED)
        return Reading(name, kind, verdict, None, 0.0, 1, line)
    measured = []
    for value in values:
        try:
            measured.append(quantities.parse(value, kind))
        except quantities.QuantityError as error:
            raise refused(path, line, name, str(value)[:60], str(error)) from None
    if not measured:
        raise refused(path, line, name, "an empty list", "at least one reading")
    if name != "rotor_speed" and any(item.value < 0.0 for item in measured):
        raise refused(
            path, line, name, str(values)[:60], "a magnitude: push and pull have names of their own"
        )
    numbers = np.array([item.value for item in measured])
    half = max(item.tolerance for item in measured)
    if stated is not None:
        try:
            half = quantities.parse(stated, kind).value
        except quantities.QuantityError as error:
            raise refused(path, line, name, stated, str(error)) from None
    scatter = float(numbers.std(ddof=1) / np.sqrt(len(numbers))) if len(numbers) > 1 else 0.0
    return Reading(name, kind, float(numbers.mean()), half or None, scatter, len(numbers), line)
