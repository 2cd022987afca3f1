"""A logger's file as series in SI; what was read, skipped, guessed and repaired is said."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from featherbench.bench.logs_columns import factor_of, map_columns
from featherbench.bench.logs_text import (
    NOT_MEASURED,
    OVERLOAD,
    Table,
    file_text,
    listed,
    number,
    read_table,
    refused,
)
from featherbench.bench.logs_time import clock, gaps, has_stamps, put_in_order
from featherbench.bench.own_instruments import Instrument
from featherbench.scenario.bench_data import LogFormat

Series = NDArray[np.float64]

LEAST_ROWS = 20
"""Fewer rows make no run."""
COMPARED = {"gauge": ("rod_force", "pitch"), "servo": ("supply_current", "rod_force", "pitch")}
"""Columns by which a log of each test is compared with a simulation; the first that there is aligns it."""
AT_LIMIT = 0.03
"""A largest value shown by more than this share of rows, and much larger than most, may be the instrument's limit."""


@dataclass(frozen=True)
class Log:
    """One logged run. time (n,) s from the first row, rising; columns: role -> (n,) SI, nan where not measured.

    Roles: rod_force (push positive), supply_current, rotor_speed, pitch. test: "gauge" or "servo". said: what was
    read, skipped, guessed and repaired. digest: sha256 of the file. instruments: by kind of what they read, where the
    file states others than the scenario's.
    """

    file: str
    digest: str
    test: str
    time: Series
    columns: dict[str, Series]
    gaps: tuple[tuple[float, float], ...]
    said: tuple[str, ...]
    instruments: Mapping[str, Instrument] = field(default_factory=dict)

    @property
    def interval(self) -> float:
        """The usual time between rows, s."""
        return float(np.median(np.diff(self.time)))


def read_log(path: Path, style: LogFormat) -> Log:
    """Read a logger's file. Raises ReadingsRefused with file, line, what was found and what would do."""
    data, text, said = file_text(path)
    table = read_table(path, text, style)
    table.said[:0] = said
    roles = map_columns(path, table, style)
    time, rows = _time(path, table, roles, style)
    if len(rows) < LEAST_ROWS:
        raise refused(path, None, "", f"{len(rows)} usable rows", f"{LEAST_ROWS} or more rows with a time")
    table.said.insert(0, f"{len(rows)} of {len(table.cells)} rows read, {time[-1]:.4g} s")
    columns = {role: _column(path, table, role, roles[role], style)[rows] for role in roles if role != "time"}
    if "rod_force" in columns and style.push == "negative":
        columns["rod_force"] = -columns["rod_force"]
        table.said.append("force turned round: [log] push = negative")
    missing = gaps(time)
    for start, length in missing[:3]:
        table.said.append(f"gap of {length:.3g} s after {start:.4g} s: nothing is compared there")
    if len(missing) > 3:
        table.said.append(f"and {len(missing) - 3} more gaps")
    test = style.test or _guessed_test(table, columns)
    needed = COMPARED[test]
    if not set(needed) & set(columns):
        raise refused(path, None, "log.columns", f"{', '.join(columns)} of a {test} test",
                      f"one of {', '.join(needed)}, or another [log] test")  # fmt: skip
    return Log(
        str(path), hashlib.sha256(data).hexdigest(), test, time, columns, tuple(missing), tuple(table.said)
    )


def _guessed_test(table: Table, columns: dict[str, Series]) -> str:
    test = "servo" if "supply_current" in columns else "gauge"
    reason = "it holds current" if test == "servo" else "it holds no current"
    table.said.append(f"taken as a log of the {test} test: {reason} (say otherwise with [log] test)")
    return test


def _time(
    path: Path, table: Table, roles: dict[str, int], style: LogFormat
) -> tuple[Series, NDArray[np.intp]]:
    if "time" not in roles:
        if style.sample_rate is None:
            raise refused(path, None, "log.columns.time", "no column of time",
                          'log.columns = { time = "..." }, or [log] sample_rate = "100 Hz"')  # fmt: skip
        rows = np.arange(len(table.cells))
        table.said.append(f"no time column: {style.sample_rate:g} rows a second, as [log] sample_rate says")
        return rows / style.sample_rate, rows
    column = roles["time"]
    factor = None if has_stamps(table, column) else factor_of(path, table, "time", column, style)
    return put_in_order(path, clock(table, column, factor), table.lines, table.said)


def _column(path: Path, table: Table, role: str, column: int, style: LogFormat) -> Series:
    """Values in SI, nan where nothing was measured. Raises ReadingsRefused when hardly anything was."""
    factor = factor_of(path, table, role, column, style)
    name = table.headings[column] or role
    values = np.full(len(table.cells), np.nan)
    blank: list[int] = []
    over: list[int] = []
    odd: list[int] = []
    for row, cells in enumerate(table.cells):
        value = number(cells[column], table.comma)
        if value is not None and abs(value) < 1e30:
            values[row] = value * factor
            continue
        text = cells[column].strip().lower()
        kind = over if text in OVERLOAD else blank if text in NOT_MEASURED else odd
        kind.append(table.lines[row])
    for lines, what in ((blank, "blank"), (over, "overload or error of the instrument"), (odd, "no number")):
        if lines:
            table.said.append(f'column "{name}", {listed(lines)}: {what}, not used')
    good = values[np.isfinite(values)]
    if len(good) < max(LEAST_ROWS, 0.2 * len(values)):
        raise refused(path, None, f"log.columns.{role}", f'column "{name}": {len(good)} numbers in {len(values)} rows',
                      "a column with numbers in most rows, or one column fewer in [log] columns")  # fmt: skip
    if role in ("rod_force", "supply_current") and float(np.ptp(good)) == 0.0:
        raise refused(path, None, f"log.columns.{role}", f'column "{name}" is {good[0]:.4g} (SI) in every row',
                      "a column that was connected")  # fmt: skip
    _caution_at_limit(table, name, role, good)
    return values


def _caution_at_limit(table: Table, name: str, role: str, good: Series) -> None:
    """Say where an instrument seems to have been at its limit: many rows at exactly the largest value."""
    if role not in ("rod_force", "supply_current"):
        return
    for end in (float(good.max()), float(good.min())):
        runs = np.diff(np.flatnonzero(np.concatenate([[True], good != end, [True]]))) - 1
        if runs.max() > max(5.0, AT_LIMIT * len(good)) and abs(end) > 2.0 * float(np.median(np.abs(good))):
            table.said.append(
                f'column "{name}" stays at exactly {end:.4g} (SI) for {int(runs.max())} rows: '
                "the instrument may have been at its limit"
            )
