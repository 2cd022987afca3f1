"""Tables for a spreadsheet, SI, units on top: the bench run over time, and the rows of a study.

Of a bench run only the time series goes here; what goes over pitch are curves of the JSON document.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from featherbench.report.files import write_whole
from featherbench.report.numerals import unit_of
from featherbench.report.summary import cases_of

if TYPE_CHECKING:
    import pandas as pd

    from featherbench.studies.match import Match
    from featherbench.studies.run import Comparison, Run

DIGITS = 7
"""Significant digits."""


def csv_text(run: Run) -> str:
    """Comma-separated curve set "run", columns named like `time [s]`; an empty cell has no value."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(_names(run))
    writer.writerows(_rows(run))
    return stream.getvalue()


def comparison_csv_text(comparison: Comparison) -> str:
    """The same of every run, one below the other; the first column, `build`, says which."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(["build", *_names(comparison.runs[0])])
    for case in cases_of(comparison.runs):
        writer.writerows([case.name, *row] for row in _rows(case.run))
    return stream.getvalue()


def frame_text(frame: pd.DataFrame) -> str:
    """A frame as comma-separated text; an empty cell has no value."""
    return str(frame.to_csv(index=False, float_format=f"%.{DIGITS}g", lineterminator="\n"))


def series_text(found: Match) -> str:
    """Every logged column of a match beside its prediction, one below the other; the first column says which."""
    import pandas as pd

    parts = []
    for one in found.series:
        part = one.to_frame().rename(columns=lambda name: name.split(" [")[0])
        part.insert(0, "unit", unit_of(one.kind))
        part.insert(0, "series", one.name)
        parts.append(part.rename(columns={"time": "time [s]"}))
    return frame_text(pd.concat(parts)) if parts else "series,unit,time [s],measured,simulated,low,high\n"


def _names(run: Run) -> list[str]:
    curves = run.curves["run"]
    return [f"{name} [{unit_of(curves.kinds[name])}]" for name in curves.columns]


def _rows(run: Run) -> Iterator[list[str]]:
    for row in np.column_stack(list(run.curves["run"].columns.values())).tolist():
        yield [f"{value:.{DIGITS}g}" if np.isfinite(value) else "" for value in row]


def write_csv(run: Run, path: Path | str, force: bool = False) -> None:
    """Write `csv_text` to a file, whole or not at all; raises OutputRefused."""
    write_whole(path, csv_text(run), force)
