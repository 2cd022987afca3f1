"""What was read on the bench, as every study takes it: spot readings, logs, and of which build and day they are."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from featherbench.bench.end_readings import Read
from featherbench.bench.logs import Log
from featherbench.bench.own_instruments import Instrument
from featherbench.bench.pitch_table import ForceAtPitch
from featherbench.notebook import OneLine
from featherbench.scenario import Scenario


@dataclass(frozen=True)
class Reading:
    """One reading: value in SI (mean of the repeats) or a verdict in words.

    uncertainty: expanded (95 %), SI, as stated with it, or None; scatter: standard uncertainty of the mean from
    the repeats, SI, 0 for a single reading. pitch (rad), rising: where and which way, of a force read at a pitch;
    file: its table; speed: rotor speed of a table that states another than the first one, rad/s; instrument: what it
    was read with, None for the scenario's own.
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
    instrument: Instrument | None = None


@dataclass(frozen=True)
class BenchData(OneLine):
    """All handed in: spot readings by name, logs, digests by file, what was said; days: of files that state one;
    builds: what is of other builds than the one that was asked about."""

    readings: dict[str, Reading]
    logs: tuple[Log, ...]
    digests: Mapping[str, str]
    said: tuple[str, ...]
    days: dict[str, date] = field(default_factory=dict)
    builds: tuple[OfBuild, ...] = ()


@dataclass(frozen=True)
class OfBuild:
    """What was read of another build: its name (its file's), the build, the data."""

    name: str
    scenario: Scenario
    data: BenchData


def by_hand(forces: Sequence[ForceAtPitch]) -> dict[str, Reading]:
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


def at_ends(read: Sequence[Read]) -> dict[str, Reading]:
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


def plain_comments(text: str) -> str:
    """A table's text with its lines of comment as they were before a spreadsheet saved them: without quotation marks
    about them, and without the delimiters of the empty cells behind them."""
    bare = re.sub(r'^[ \t]*"[ \t]*(#[^\n]*)', lambda line: line[1].replace('"', ""), text, flags=re.MULTILINE)
    return re.sub(r"^([ \t]*#[^\n]*?)[;,\t \r]+$", r"\1", bare, flags=re.MULTILINE)
