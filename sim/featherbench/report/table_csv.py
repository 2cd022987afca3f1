"""Rows of a study as a table for a spreadsheet, SI, units on top."""

from __future__ import annotations

from typing import TYPE_CHECKING

from featherbench.render.document import DIGITS
from featherbench.views.numerals import unit_of

if TYPE_CHECKING:
    import pandas as pd

    from featherbench.studies.match import Match


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
