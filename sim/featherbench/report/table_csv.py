"""The bench run over time as a table for a spreadsheet: one row per recorded moment, SI, units on top.

Only the time series goes here; the force loop and the moments over pitch are curves of the JSON document.
"""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from featherbench.report.document import unit_of
from featherbench.report.files import write_whole

if TYPE_CHECKING:
    from featherbench.studies.run import Run

DIGITS = 7
"""Significant digits."""


def csv_text(run: Run) -> str:
    """Comma-separated curve set "run", columns named like `time [s]`; an empty cell has no value."""
    curves = run.curves["run"]
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow([f"{name} [{unit_of(curves.kinds[name])}]" for name in curves.columns])
    for row in np.column_stack(list(curves.columns.values())).tolist():
        writer.writerow([f"{value:.{DIGITS}g}" if np.isfinite(value) else "" for value in row])
    return stream.getvalue()


def write_csv(run: Run, path: Path | str, force: bool = False) -> None:
    """Write `csv_text` to a file, whole or not at all; raises OutputRefused."""
    write_whole(path, csv_text(run), force)
