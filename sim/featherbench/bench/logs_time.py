"""The clock of a log: numbers or clock times to seconds from the first row, repeats, restarts and gaps."""

from __future__ import annotations

import re
from datetime import datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from featherbench.bench.logs_text import Table, is_stamp, listed, number, refused

Series = NDArray[np.float64]

GAP = 3.5
"""A step longer than this many usual ones is a gap."""
OUT_OF_ORDER = 0.01
"""Up to this share of rows out of order is sorted; more is refused."""
_FORMS = ("%d.%m.%Y %H:%M:%S.%f", "%d.%m.%Y %H:%M:%S", "%d/%m/%Y %H:%M:%S.%f", "%d/%m/%Y %H:%M:%S",
          "%H:%M:%S.%f", "%H:%M:%S", "%H:%M")  # fmt: skip


def clock(table: Table, column: int, factor: float | None) -> Series:
    """Seconds of each row (n,), nan where the cell holds none. factor: seconds per unit, None for clock times."""
    cells = [row[column] for row in table.cells]
    if factor is not None:
        values = [number(cell, table.comma) for cell in cells]
        return np.array([np.nan if value is None else value * factor for value in values])
    stamps = [_stamp(cell) for cell in cells]
    seconds = np.array([np.nan if stamp is None else stamp for stamp in stamps])
    wraps = np.flatnonzero(np.diff(seconds) < -43200.0)
    if len(wraps) == 1:
        seconds[wraps[0] + 1 :] += 86400.0
        table.said.append(f"line {table.lines[wraps[0] + 1]}: the clock passes midnight, counted on")
    return seconds


def has_stamps(table: Table, column: int) -> bool:
    """Whether a column holds clock times rather than numbers."""
    cells = [row[column] for row in table.cells[:50] if row[column].strip()]
    return bool(cells) and sum(map(is_stamp, cells)) > 0.5 * len(cells)


def put_in_order(
    path: Path, time: Series, lines: list[int], said: list[str]
) -> tuple[Series, NDArray[np.intp]]:
    """Times (m,) that rise, from zero, and the rows (m,) they belong to. Raises ReadingsRefused for a restart."""
    usable = np.flatnonzero(np.isfinite(time))
    if len(usable) < len(time):
        gone = np.flatnonzero(~np.isfinite(time))
        said.append(f"{listed([lines[row] for row in gone.tolist()])}: no time, skipped")
    time = time[usable]
    if len(time) < 2:
        return time, usable
    back = np.flatnonzero(np.diff(time) < 0.0)
    if len(back):
        row = int(usable[back[0] + 1])
        if len(back) > max(1.0, OUT_OF_ORDER * len(time)) or np.sum(time < time[back[0]]) - back[0] > max(
            2.0, OUT_OF_ORDER * len(time)
        ):
            raise refused(path, lines[row], "time", "time runs backward: the logger was restarted or two runs joined",
                          "one run a file: cut the log at this line")  # fmt: skip
        said.append(
            f"{listed([lines[int(usable[k + 1])] for k in back.tolist()])}: out of order, sorted by time"
        )
        order = np.argsort(time, kind="stable")
        time, usable = time[order], usable[order]
    if len(time) > 1 and time[0] == time[-1]:
        raise refused(path, lines[int(usable[0])], "time", "a clock that never ticks: the same time in every row",
                      "the time of each row, in seconds or as clock times")  # fmt: skip
    time, usable = _without_repeats(time, usable, lines, said)
    return time - time[0], usable


def gaps(time: Series) -> list[tuple[float, float]]:
    """Start and length (s) of each place where rows are missing."""
    steps = np.diff(time)
    if not len(steps):
        return []
    long = np.flatnonzero(steps > GAP * float(np.median(steps)))
    return [(float(time[k]), float(steps[k])) for k in long.tolist()]


def _without_repeats(
    time: Series, rows: NDArray[np.intp], lines: list[int], said: list[str]
) -> tuple[Series, NDArray[np.intp]]:
    """Rows that share a time: spread evenly when the clock is coarse, else the later ones are left out."""
    same = np.diff(time) <= 0.0
    if not same.any():
        return time, rows
    if same.mean() > 0.3:
        values, first, counts = np.unique(time, return_index=True, return_counts=True)
        tick = float(np.median(np.diff(values)))
        usual = float(np.median(counts))
        spread = time.copy()
        for value, start, count in zip(values, first, counts, strict=True):
            # the first second may have begun before the log did
            late = max(usual - count, 0.0) if start == 0 else 0.0
            spread[start : start + count] = value + tick * (late + np.arange(count)) / max(
                usual, count + late
            )
        said.append(f"several rows share each time stamp (a clock of {tick:.3g} s): spread evenly within it")
        return spread, rows
    keep = np.concatenate([[True], ~same])
    gone = [lines[int(row)] for row in rows[~keep].tolist()]
    said.append(f"{listed(gone)}: the same time as the row before, skipped")
    return time[keep], rows[keep]


def _stamp(cell: str) -> float | None:
    """Seconds of a clock time, on a scale common to the file."""
    text = re.sub(r"(?<=:[0-9]{2}),", ".", cell.strip()).removesuffix("Z")
    try:
        return (datetime.fromisoformat(text) - datetime(2000, 1, 1)).total_seconds()
    except (ValueError, TypeError):
        pass
    for form in _FORMS:
        try:
            return (datetime.strptime(text, form) - datetime(1900, 1, 1)).total_seconds()
        except ValueError:
            continue
    return None
