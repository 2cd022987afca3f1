"""Spot readings from the bench: a small table of values with units, uncertainties and repeats."""

from __future__ import annotations

import csv
import difflib
import hashlib
import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np

from featherbench import quantities
from featherbench.bench.end_readings import read_at_ends, verdict_of, without_idle
from featherbench.bench.logs import Log, read_log
from featherbench.bench.logs_text import ReadingsRefused, file_text, refused
from featherbench.bench.named_build import named_build
from featherbench.bench.own_instruments import stated_instruments
from featherbench.bench.pitch_table import BEYOND, is_pitch_table, read_pitch_table
from featherbench.bench.release import TYPED, ReleaseVerdict
from featherbench.bench.sessions import day_of, of_table
from featherbench.bench.spot_readings import BenchData, OfBuild, Reading, at_ends, by_hand, plain_comments
from featherbench.bench.typed_forces import FORCES, forces_of_list, is_blank
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
class _File:
    """A file of readings or a log: its text, and what it is; tree: of TOML; named: the other build that it names."""

    path: Path
    text: str
    said: list[str]
    tree: dict[str, Any] | None
    log: bool
    named: Scenario | None


def read_bench_data(paths: Sequence[Path | str], scenario: Scenario) -> BenchData:
    """Readings (.toml, or a CSV table headed quantity, value, unit) and logs (any other text); - is standard input.

    What a file says to be of another build than `scenario` stands in `builds`. Raises ReadingsRefused. The same
    quantity read in two files of a build is refused, but for forces at a pitch.

    >>> import featherbench as fb
    >>> plain = fb.read(fb.example("survey-3kg/plain"))
    >>> data = fb.read_bench_data([fb.example("survey-3kg/bench/plain-readings")], plain)
    >>> f"{data.readings['gauge_push'].value:.2f} N"
    '11.93 N'
    """
    digests: dict[str, str] = {}
    files = []
    for path in map(Path, paths):
        data, text, told = file_text(path)
        digests[str(path)] = hashlib.sha256(data).hexdigest()
        tree = _tree(path, text) if _is_toml(path, text) else None
        text = plain_comments(text) if tree is None else text
        log = tree is None and not is_pitch_table(text) and not _is_readings_table(text)
        named, said = named_build(path, text, scenario, log=log)
        files.append(_File(path, text, [*told, *said], tree, log, named))
    others: dict[str, list[_File]] = {}
    for file in files:
        if file.named is not None:
            others.setdefault(file.named.source.files[0], []).append(file)
    known = {"": scenario.source.files[0] if scenario.source.files else ""} | {name: name for name in others}
    names = short_names(list(known.values()))
    own = _of_build([file for file in files if file.named is None], scenario)
    builds = tuple(
        OfBuild(names[name], build, _of_build(its, build))
        for name, its in sorted(others.items())
        if (build := its[0].named) is not None
    )
    return replace(own, digests=digests, builds=builds)


def short_names(files: Sequence[str]) -> dict[str, str]:
    """Files by the name that tells them apart: the last part of their paths where that does."""
    last = [Path(file).name for file in files]
    return {file: name if last.count(name) == 1 else file for file, name in zip(files, last, strict=True)}


def _of_build(files: Sequence[_File], scenario: Scenario) -> BenchData:
    """All that was read of one build."""
    readings: dict[str, Reading] = {}
    logs: list[Log] = []
    said: list[str] = []
    days: dict[str, date] = {}
    for file in files:
        days |= {file.path.name: day} if (day := day_of(file.path, file.text)) else {}
        instruments = stated_instruments(file.path, file.text, file.tree)
        if file.log:
            logs.append(replace(read_log(file.path, scenario.log), instruments=instruments))
            told = [*file.said, *logs[-1].said]
        else:
            found, sentences = _spots(file, scenario, readings)
            found = {name: replace(one, instrument=instruments.get(one.kind)) for name, one in found.items()}
            _once(file.path, found, readings)
            readings |= found
            told = [*file.said, *sentences]
        said += [f"{file.path.name}: {sentence}" for sentence in told]
    return BenchData(readings, tuple(logs), {}, tuple(said), days)


def _spots(
    file: _File, scenario: Scenario, earlier: Mapping[str, Reading]
) -> tuple[dict[str, Reading], list[str]]:
    """Spot readings of one file beside those of earlier ones, and what there is to say."""
    path, text = file.path, file.text
    if file.tree is not None:
        found, told = _toml(path, text, file.tree)
        low, high = scenario.rotor.pitch_range
        least, most = low - BEYOND, high + BEYOND
        beyond = [n for n, one in found.items() if not least <= (one.pitch or 0.0) <= most]
        found = {name: one for name, one in found.items() if name not in beyond}
        told += [f"{name} left out, beyond the pitch range" for name in beyond]
        return of_table(path.name, found, earlier), [*told, f"{len(found)} readings"]
    if not is_pitch_table(text):
        found = _table(path, text)
        return found, [f"{len(found)} readings"]
    forces, sentences = read_pitch_table(path, text, scenario)
    others, more = read_at_ends(path, text, scenario)
    if not forces and not others:
        raise refused(path, None, "", "no row with an angle and a reading", "rows such as 12; 4.5")
    found = by_hand(forces) | at_ends(without_idle(others, scenario))
    return of_table(path.name, found, earlier), [*sentences, *more]


def _once(path: Path, found: dict[str, Reading], readings: dict[str, Reading]) -> None:
    twice = set(found) & set(readings)
    if twice:
        raise refused(path, None, min(twice), "read in an earlier file too",
                      "each quantity in one file; what is of another build names it: build = \"over.toml\"; of another "
                      "day: calibrate with one file, then the file that this writes with the next")  # fmt: skip


def _is_toml(path: Path, text: str) -> bool:
    """By its name; what a pipe hands in has none."""
    return path.suffix.lower() == ".toml" or (
        is_standard_input(path) and re.search(r"^\s*\[readings\]", text, re.MULTILINE) is not None
    )


def _is_readings_table(text: str) -> bool:
    first = next((line for line in text.splitlines() if line.strip() and not line.startswith("#")), "")
    words = [word.strip().lower() for word in re.split(r"[,;\t]", first)]
    return words[:2] == ["quantity", "value"]


def _tree(path: Path, text: str) -> dict[str, Any]:
    """What stands in a TOML file."""
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        match = re.search(r"at line (\d+)", str(error))
        raise refused(path, int(match[1]) if match else None, "", str(error)[:60],
                      'valid TOML, for example gauge_push = "9.4 N"') from None  # fmt: skip


def _toml(path: Path, text: str, raw: Mapping[str, Any]) -> tuple[dict[str, Reading], list[str]]:
    """[readings] name = "value unit" or a list of repeats; +/- is the expanded uncertainty. And what was left blank."""
    table = raw.get("readings")
    if not isinstance(table, dict) or not table:
        raise refused(
            path, None, "readings", "no table of readings", '[readings] with, say, gauge_push = "9.4 N"'
        )
    table = {name: value for name, value in table.items() if name not in ("date", "build")}
    lines = key_lines(text)
    problems: list[Problem] = []
    found: dict[str, Reading] = {}
    blank: list[str] = []
    for name, value in table.items():
        line = lines.get(("readings", name))
        try:
            if name == FORCES:
                found |= by_hand(forces_of_list(path, line, value))
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
