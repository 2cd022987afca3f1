"""What a table written by hand holds beside forces: currents at the ends, breakout, what released blades did, speed.

Columns by their headings: current moving and current holding (at the ends of the pitch range), breakout force (near
zero pitch), released (in words), rotor speed. All but the last are read under the name of the finding that they are
compared with.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

import numpy as np

from featherbench import quantities
from featherbench.bench.logs_columns import split_heading
from featherbench.bench.logs_text import NOT_MEASURED, refused
from featherbench.bench.pitch_table import (
    BREAKOUT,
    CURRENTS,
    RELEASED,
    SPEED,
    Heads,
    cell_number,
    heading_words,
    placed_rows,
    unit_factor,
)
from featherbench.bench.release import RELEASE_SHARE, TYPED, ReleaseVerdict
from featherbench.scenario import Scenario

MOVING, HOLDING = {"moving", "move", "peak", "bewegt"}, {"holding", "hold", "halten", "held"}
AT_END, AT_ZERO = np.deg2rad(1.0), np.deg2rad(2.0)
"""rad by which a reading may lie off the end, or off zero, that it is compared at."""
FAR = np.deg2rad(2.0)
"""rad between where blades were released and where the prediction releases them, from which on it is said."""
VERDICT_WORDS = (
    (ReleaseVerdict.RETURNS, {"return", "returns", "returned", "centre", "center"}),
    (ReleaseVerdict.STAYS, {"stay", "stays", "stayed", "put"}),
    (ReleaseVerdict.RUNS_OUT, {"run", "runs", "ran", "out", "full"}),
)


class Read(NamedTuple):
    """One cell: a finding's name, kind of quantity, value (SI, or a verdict), line of the file."""

    name: str
    kind: str
    value: float | str
    line: int


class _Column(NamedTuple):
    """place of the column, what it holds, SI per unit."""

    place: int
    what: str
    kind: str
    factor: float


def read_at_ends(path: Path, text: str, scenario: Scenario) -> tuple[list[Read], list[str]]:
    """Every cell that is no force at a pitch, and what was left out of them. Raises ReadingsRefused."""
    heads, rows, _ = placed_rows(path, text, scenario)
    columns = _columns(path, heads)
    found: list[Read] = []
    said: list[str] = []
    for line, cells, pitch in rows:
        for column in columns:
            cell = cells[column.place].strip() if column.place < len(cells) else ""
            if cell.lower() in NOT_MEASURED:
                continue
            name = _name(column.what, pitch, scenario)
            value = verdict_of(cell) if column.kind == "text" else cell_number(cell)
            if value is None:
                wanted = TYPED if column.kind == "text" else "a number"
                said.append(f'line {line}: "{cell}" left out, it is not {wanted}')
            elif not name:
                said.append(f'line {line}: "{cell}" left out, {_where(column.what, scenario)}')
            elif isinstance(value, float):
                found.append(Read(name, column.kind, abs(value) * column.factor, line))
            else:
                found.append(Read(name, column.kind, value, line))
                said += _elsewhere(line, pitch, scenario)
    return found, [*said, *_idle(found, scenario)]


def verdict_of(words: str) -> str | None:
    """What released blades did, as files say it, from a person's words; None where it says none or several."""
    own = set(re.findall(r"[a-z]+", words.lower()))
    found = [verdict for verdict, known in VERDICT_WORDS if own & known]
    return str(found[0]) if len(found) == 1 else None


def without_idle(read: Iterable[Read], scenario: Scenario) -> list[Read]:
    """The same with the idle current taken off, where the meter was not zeroed with the servo at rest."""
    if scenario.meter.zero_idle:
        return list(read)
    idle = float(scenario.servo.idle_current)
    return [
        one._replace(value=max(0.0, float(one.value) - idle)) if one.kind == "current" else one
        for one in read
    ]


def _columns(path: Path, heads: Heads) -> list[_Column]:
    found = []
    for index, title in enumerate(heads.titles):
        words = heading_words(title)
        if index == heads.place:
            continue
        if words & CURRENTS:
            what = "moving" if words & MOVING else "holding" if words & HOLDING else ""
            if not what:
                raise refused(
                    path, heads.line, title, "a current, moving or holding?", '"current holding [A]"'
                )
            found.append(_Column(index, what, "current", _unit(path, heads, title, "current", "A")))
        elif words & BREAKOUT:
            found.append(_Column(index, "breakout", "force", _unit(path, heads, title, "force", "N")))
        elif words & RELEASED:
            found.append(_Column(index, "released", "text", 1.0))
        elif words & SPEED:
            found.append(_Column(index, "speed", "rotation", _unit(path, heads, title, "rotation", "rpm")))
    return found


def _unit(path: Path, heads: Heads, title: str, kind: str, example: str) -> float:
    unit = split_heading(title)[1] or ("rpm" if kind == "rotation" and "rpm" in heading_words(title) else "")
    if not unit:
        raise refused(path, heads.line, title, f"a {kind} without a unit", f'"{title} [{example}]"')
    return unit_factor(path, heads.line, title, unit, kind)


def _name(what: str, pitch: float, scenario: Scenario) -> str:
    """The finding that a cell at a pitch is compared with; "" where there is none."""
    low, high = scenario.rotor.pitch_range
    if what in ("moving", "holding"):
        end = "high" if pitch >= high - AT_END else "low" if pitch <= low + AT_END else ""
        # while it moves a meter shows less than flows: it averages
        return f"{'meter_peak' if what == 'moving' else 'current_hold'}_{end}" if end else ""
    if what == "breakout":
        return "rod_force_breakout" if abs(pitch) <= AT_ZERO else ""
    if what == "released":
        return (
            ""
            if abs(pitch) <= AT_ZERO
            else "release"
            if (pitch > 0.0) == (_released_at(scenario) > 0.0)
            else "release_low"
        )
    return "rotor_speed"


def _where(what: str, scenario: Scenario) -> str:
    low, high = (quantities.text(end, "angle", digits=3) for end in scenario.rotor.pitch_range)
    return {
        "moving": f"a current is compared at the ends of the range only, {low} and {high}",
        "holding": f"a current is compared at the ends of the range only, {low} and {high}",
        "breakout": "the force to start moving is compared at zero pitch only",
        "released": "blades released at zero pitch tell nothing",
    }[what]


def _released_at(scenario: Scenario) -> float:
    given = scenario.bench.release_from
    return RELEASE_SHARE * scenario.rotor.pitch_range[1] if given is None else float(given)


def _elsewhere(line: int, pitch: float, scenario: Scenario) -> list[str]:
    """A remark where the prediction releases the blades at another pitch."""
    ours = abs(_released_at(scenario))
    if abs(abs(pitch) - ours) <= FAR:
        return []
    there, here = (quantities.text(abs(one), "angle", digits=3) for one in (pitch, ours))
    return [
        f"line {line}: released at {there}, the prediction releases at {here}; set [bench] release_from to "
        "compare like with like"
    ]


def _idle(read: list[Read], scenario: Scenario) -> list[str]:
    if scenario.meter.zero_idle or not any(one.kind == "current" for one in read):
        return []
    idle = quantities.text(float(scenario.servo.idle_current), "current", digits=2)
    return [f"the servo's idle current, {idle}, is taken off the currents: [meter] zero_idle is false"]
