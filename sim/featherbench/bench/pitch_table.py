"""A table written by hand: force by pitch, in either direction or both, as from a fish scale and a protractor.

Columns by their headings: an angle (pitch, angle, protractor) or the stick in per cent of its throw; and force, or push
and pull, or force up and force down (pitch rising and falling), or force with a column of direction. Units stand in the
headings. A spreadsheet's CSV will do: semicolons, decimal commas, quotation marks.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from featherbench import quantities
from featherbench.bench.logs_columns import split_heading
from featherbench.bench.logs_text import NOT_MEASURED, number, refused
from featherbench.scenario import Scenario

PLACES = {"pitch", "angle", "winkel", "anstellwinkel", "protractor", "blade", "incidence"}
STICK = {"stick", "throw", "rudder", "knueppel", "knüppel", "command"}
FORCES = {"force", "kraft", "load", "gauge", "scale", "reading"}
PUSH, PULL = {"push", "druck", "drücken"}, {"pull", "zug", "ziehen"}
RISING = {"up", "rising", "raising", "increasing", "auf", "steigend", "more"}
FALLING = {"down", "falling", "lowering", "decreasing", "ab", "fallend", "less"}
TIMES = {"time", "t", "zeit", "timestamp", "seconds", "elapsed", "ms", "clock", "uhrzeit", "datum", "date"}
CURRENTS = {"current", "strom", "amps", "ampere"}
BREAKOUT = {"breakout", "breakaway", "losbrechkraft"}
RELEASED = {"released", "release", "losgelassen"}
SPEED = {"rotor", "rpm", "drehzahl", "rotorspeed"}
_SPELT = {"g": "gf", "kg": "kgf", "oz": "ozf", "lb": "lbf", "°": "deg"}
BEYOND = 1e-6
"""rad by which a pitch may lie outside the range by rounding."""


@dataclass(frozen=True)
class ForceAtPitch:
    """One reading: pitch rad; force N, push positive; rising: whether pitch was being raised, None where not said;
    tolerance: expanded uncertainty that was stated with it, N, 0 where none was."""

    pitch: float
    force: float
    rising: bool | None
    line: int
    tolerance: float = 0.0

    @property
    def name(self) -> str:
        """As it is reported."""
        way = {True: ", rising", False: ", falling", None: ""}[self.rising]
        return f"force at {quantities.text(self.pitch, 'angle', digits=3)}{way}"


@dataclass(frozen=True)
class _Column:
    """What a column of force holds: sign of a push, direction, N per unit."""

    index: int
    sign: float
    rising: bool | None
    factor: float


def is_pitch_table(text: str) -> bool:
    """Whether the first line that is no comment heads angles (or the stick) and what was read there, and no time."""
    heads = _heads(text)
    if heads is None:
        return False
    words = [heading_words(cell) for cell in heads[2]]
    place = any(word & (PLACES | STICK) for word in words)
    read = any(word & (FORCES | PUSH | PULL | CURRENTS | RELEASED) for word in words)
    return place and read and not any(word & TIMES for word in words)


def read_pitch_table(path: Path, text: str, scenario: Scenario) -> tuple[list[ForceAtPitch], list[str]]:
    """Readings, and what was read, taken and left out. Raises ReadingsRefused where nothing can be read."""
    heads, rows, said = placed_rows(path, text, scenario)
    by_stick = heads.by_stick
    titles = heads.titles
    direction = next(
        (k for k, title in enumerate(titles) if heading_words(title) & {"direction", "way", "richtung"}), None
    )
    gauge = -1.0 if scenario.log.push == "negative" else 1.0
    columns = _force_columns(path, heads.line, titles, (heads.place, direction), gauge)
    found: list[ForceAtPitch] = []
    for line, cells, pitch in rows:
        way = _direction(cells, direction)
        for column in columns:
            cell = cells[column.index].strip() if column.index < len(cells) else ""
            if cell.lower() in NOT_MEASURED:
                continue
            value = cell_number(cell)
            if value is None:
                said.append(f'line {line}: "{cell}" is no number, left out')
                continue
            rising = way if column.rising is None else column.rising
            found.append(ForceAtPitch(pitch, column.sign * value * column.factor, rising, line))
    if not found:
        if not columns or any(heading_words(title) & (CURRENTS | BREAKOUT | RELEASED) for title in titles):
            return [], said
        raise refused(path, heads.line, "", "no row with an angle and a force", "rows such as 12; 4.5")
    said.insert(0, f"{len(found)} readings of force by pitch" + (", angles by the stick" if by_stick else ""))
    if any(one.rising is None for one in found):
        said.append("no direction is said: each is taken to lie anywhere within the friction")
    return found, said


class Heads(NamedTuple):
    """The line of headings: its number and texts; index of the column of places, and whether the stick gives them."""

    line: int
    titles: list[str]
    place: int
    by_stick: bool


def placed_rows(
    path: Path, text: str, scenario: Scenario
) -> tuple[Heads, list[tuple[int, list[str], float]], list[str]]:
    """The headings; rows with line, cells and pitch, rad; which rows were left out, and why."""
    heads = _heads(text)
    assert heads is not None
    start, delimiter, titles = heads
    place, by_stick, factor = _place_column(path, start, titles)
    low, high = scenario.rotor.pitch_range
    found, said = [], []
    for line, cells in _rows(text, start, delimiter):
        shown = delimiter.join(cells).strip()
        where = cell_number(cells[place]) if place < len(cells) else None
        if where is None:
            said.append(f'line {line} left out, no angle in it: "{shown}"')
            continue
        pitch = _pitch_of(where, by_stick, factor, (low, high))
        if not low - BEYOND <= pitch <= high + BEYOND:
            said.append(f'line {line} left out, beyond the pitch range: "{shown}"')
            continue
        found.append((line, cells, pitch))
    return Heads(start, titles, place, by_stick), found, said


def _heads(text: str) -> tuple[int, str, list[str]] | None:
    """Line number, delimiter and headings of the first line that is no comment."""
    for line, row in enumerate(text.splitlines(), start=1):
        if not row.strip(" ;,\t") or row.lstrip().startswith(("#", "sep=")):
            continue
        delimiter = max(";\t|,", key=row.count)
        return (
            (line, delimiter, [cell.strip() for cell in _cells(row, delimiter)])
            if row.count(delimiter)
            else None
        )
    return None


def _rows(text: str, start: int, delimiter: str) -> list[tuple[int, list[str]]]:
    rows = enumerate(text.splitlines(), start=1)
    return [
        (line, _cells(row, delimiter))
        for line, row in rows
        if line > start and row.strip(" ;,\t") and not row.lstrip().startswith("#")
    ]


def _cells(row: str, delimiter: str) -> list[str]:
    return next(csv.reader([row], delimiter=delimiter, skipinitialspace=True), [])


def heading_words(heading: str) -> set[str]:
    """The words of a heading without its unit, in small letters."""
    return set(re.findall(r"[a-zà-ÿ]+", split_heading(heading)[0].lower()))


def cell_number(cell: str) -> float | None:
    """The number in a cell, with a decimal point or comma."""
    bare = cell.strip()
    return number(bare, "," in bare)


def _place_column(path: Path, line: int, titles: list[str]) -> tuple[int, bool, float]:
    """Index of the column of angles, whether it is the stick, rad per unit (of the stick: throws per unit)."""
    for index, title in enumerate(titles):
        if heading_words(title) & STICK:
            unit = split_heading(title)[1]
            return index, True, 0.01 if unit in ("%", "") else 1.0
    index = next(k for k, title in enumerate(titles) if heading_words(title) & PLACES)
    unit = split_heading(titles[index])[1]
    if not unit:
        raise refused(
            path,
            line,
            titles[index],
            "an angle without a unit",
            f'"{titles[index]} [deg]"',
        )
    return index, False, unit_factor(path, line, titles[index], unit, "angle")


def _force_columns(
    path: Path, line: int, titles: list[str], taken: tuple[int, int | None], gauge: float
) -> list[_Column]:
    """The columns of force; a heading that says push or pull says the sense, else the gauge's own sign of a push."""
    found = []
    for index, title in enumerate(titles):
        words = heading_words(title)
        if index in taken or not words & (FORCES | PUSH | PULL) or words & (BREAKOUT | CURRENTS):
            continue
        unit = split_heading(title)[1]
        if not unit:
            raise refused(
                path, line, title, "a force without a unit", f'its unit in the heading: "{title} [N]"'
            )
        rising = True if words & RISING else False if words & FALLING else None
        sign = gauge if bool(words & PULL) == bool(words & PUSH) else 1.0 if words & PUSH else -1.0
        found.append(_Column(index, sign, rising, unit_factor(path, line, title, unit, "force")))
    return found


def unit_factor(path: Path, line: int, title: str, unit: str, kind: str) -> float:
    """SI per unit of a heading. Raises ReadingsRefused for a unit of something else."""
    spelt = _SPELT.get(unit.strip().lower(), unit.strip())
    try:
        return quantities.parse(f"1 {spelt}", kind).value
    except quantities.QuantityError as error:
        raise refused(path, line, title, f'unit "{unit}"', str(error)) from None


def _pitch_of(where: float, by_stick: bool, factor: float, ends: tuple[float, float]) -> float:
    """Pitch, rad; the stick's full throws are the ends of the range, its middle is zero pitch."""
    if not by_stick:
        return where * factor
    go = where * factor
    return go * ends[1] if go >= 0.0 else -go * ends[0]


def _direction(cells: list[str], column: int | None) -> bool | None:
    words = (
        set(re.findall(r"[a-zà-ÿ]+", cells[column].lower()))
        if column is not None and column < len(cells)
        else set()
    )
    return True if words & RISING else False if words & FALLING else None
