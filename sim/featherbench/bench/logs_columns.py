"""Which column of a log is what, and in which unit: as the scenario says, else guessed, and the guess is said."""

from __future__ import annotations

import difflib
import re
from pathlib import Path

from featherbench import quantities
from featherbench.bench.logs_text import Table, refused
from featherbench.scenario.bench_data import LogFormat

KINDS = {
    "time": "time",
    "rod_force": "force",
    "supply_current": "current",
    "rotor_speed": "rotation",
    "pitch": "angle",
}
"""What a log may hold, and the kind of quantity of each."""

_WORDS = {
    "time": {"t", "time", "zeit", "timestamp", "seconds", "elapsed", "temps", "tiempo", "clock", "uhrzeit", "datum",
             "date", "datetime", "ms", "millis"},
    "rod_force": {"force", "kraft", "f", "load", "gauge", "rod", "push", "pull", "fuerza", "newton", "n"},
    "supply_current": {"current", "strom", "i", "amps", "amp", "ampere", "courant", "corriente", "a", "ma", "meter"},
    "rotor_speed": {"rpm", "speed", "drehzahl", "rotor", "omega", "revs", "rev"},
    "pitch": {"pitch", "angle", "winkel", "anstellwinkel", "blade", "deg"},
}  # fmt: skip
_SPELT = {"1/min": "rpm", "u/min": "rpm", "min-1": "rpm", "min^-1": "rpm", "rev/min": "rpm", "°": "deg", "sec": "s",
          "g": "gf", "kg": "kgf", "oz": "ozf", "lb": "lbf"}  # fmt: skip
_UNIT = re.compile(
    r"^(?P<name>.*?)\s*(?:\[(?P<square>[^\]]*)\]|\((?P<round>[^)]*)\)|[/_](?P<bare>[A-Za-z°]+))\s*$"
)


def split_heading(heading: str) -> tuple[str, str]:
    """Name and unit of a heading such as "Force [N]", "Strom (A)", "t/ms", "time_ms"."""
    match = _UNIT.match(heading)
    if match is None:
        return heading.strip(), ""
    unit = match["square"] or match["round"] or match["bare"] or ""
    if match["bare"] is not None and not _known(unit):
        return heading.strip(), ""
    return match["name"].strip(), unit.strip()


def map_columns(path: Path, table: Table, style: LogFormat) -> dict[str, int]:
    """Role -> column number. Raises ReadingsRefused when a stated column is not there."""
    stated = {role: name for role in KINDS if (name := getattr(style.columns, role)) is not None}
    found: dict[str, int] = {}
    for role, name in stated.items():
        found[role] = _stated_column(path, table, role, name)
    taken = set(found.values())
    for role in KINDS:
        if role in found:
            continue
        near = [
            index
            for index, heading in enumerate(table.headings)
            if index not in taken and _guess(role, heading)
        ]
        if len(near) > 1 and not stated:
            near = _most_telling(role, near, table)
        if len(near) > 1:
            names = ", ".join(f'"{table.headings[index]}"' for index in near)
            raise refused(path, None, f"log.columns.{role}", f"several columns that may be it: {names}",
                          f'the right one: log.columns = {{ {role} = "{table.headings[near[0]]}" }}')  # fmt: skip
        if near:
            found[role] = near[0]
            taken.add(near[0])
            table.said.append(
                f'column "{table.headings[near[0]]}" taken as {role.replace("_", " ")} (by its name)'
            )
    unused = [heading or f"number {index + 1}" for index, heading in enumerate(table.headings)
              if index not in taken]  # fmt: skip
    if not set(found) - {"time"}:
        there = ", ".join(f'"{heading}"' for heading in table.headings if heading) or "no headings"
        raise refused(path, None, "log.columns", there,
                      'a column of force or current; say which: log.columns = { rod_force = "..." }')  # fmt: skip
    if unused:
        table.said.append(f"columns not used: {', '.join(unused)}")
    return found


def factor_of(path: Path, table: Table, role: str, column: int, style: LogFormat) -> float:
    """SI value of 1 in the column's unit. Raises ReadingsRefused for no unit or a wrong one."""
    heading = table.headings[column]
    unit = getattr(style.units, role) or table.units[column] or split_heading(heading)[1]
    if not unit and heading.strip().lower() in ("rpm", "ms", "mA".lower()):
        unit = heading.strip()
        unit = "mA" if unit.lower() == "ma" else unit.lower()
    if not unit and heading.strip().lower() in ("amps", "amp", "ampere"):
        unit = "A"
    if not unit and role == "time":
        table.said.append("time has no unit: taken as seconds")
        unit = "s"
    kind = KINDS[role]
    example = f'log.units = {{ {role} = "{quantities.unit_shown(kind)}" }}'
    if not unit:
        raise refused(
            path, None, f"log.units.{role}", f'column "{heading}" has no unit', f"its unit: {example}"
        )
    spelt = _SPELT.get(unit.lower().replace(" ", ""), unit)
    try:
        factor = quantities.parse(f"1 {spelt}", kind).value
    except quantities.QuantityError as error:
        raise refused(path, None, f"log.units.{role}", f'unit "{unit}" of column "{heading}"',
                      f"{error}; or {example}") from None  # fmt: skip
    if spelt != unit and role == "rod_force":
        table.said.append(f'force in "{unit}" taken as {spelt}, the weight of it')
    return factor


def _stated_column(path: Path, table: Table, role: str, name: str) -> int:
    wanted = name.strip().lower()
    hits = [index for index, heading in enumerate(table.headings)
            if wanted in (heading.strip().lower(), split_heading(heading)[0].lower())]  # fmt: skip
    if len(hits) == 1:
        return hits[0]
    there = ", ".join(f'"{heading}"' for heading in table.headings) or "no headings"
    near = difflib.get_close_matches(name, table.headings, 1)
    hint = f'; did you mean "{near[0]}"?' if near else ""
    what = "more than one column of that name" if hits else "no such column"
    raise refused(path, None, f"log.columns.{role}", f'"{name}": {what}', f"one of {there}{hint}")


def _guess(role: str, heading: str) -> bool:
    name, unit = split_heading(heading)
    words = set(re.findall(r"[a-zà-ÿ]+", name.lower()))
    if words & _WORDS[role]:
        return True
    return (
        not words and bool(unit) and role == {"N": "rod_force", "A": "supply_current", "s": "time"}.get(unit)
    )


def _most_telling(role: str, near: list[int], table: Table) -> list[int]:
    """Of several, those whose unit is of the role's kind."""
    fits = []
    for index in near:
        unit = table.units[index] or split_heading(table.headings[index])[1]
        try:
            quantities.parse(f"1 {_SPELT.get(unit.lower(), unit)}", KINDS[role])
        except quantities.QuantityError:
            continue
        fits.append(index)
    return fits or near


def _known(unit: str) -> bool:
    spelt = _SPELT.get(unit.lower(), unit)
    for kind in set(KINDS.values()):
        try:
            quantities.parse(f"1 {spelt}", kind)
        except quantities.QuantityError:
            continue
        return True
    return False
