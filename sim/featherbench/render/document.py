"""A view as one document for other programs: SI only, never NaN, the same names for ever; and as a spreadsheet."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping
from math import isfinite
from typing import TYPE_CHECKING, Any

import numpy as np

from featherbench.numerals import unit_of
from featherbench.studies.findings import Curves
from featherbench.version import __version__

if TYPE_CHECKING:
    from featherbench.views.first_lines import FirstLines
    from featherbench.views.view import View

FORMAT = 1
"""Of the documents: raised when a name goes or means something else; names that are added leave it as it is."""
DIGITS = 7
"""Significant digits of curves; single values are given in full."""


def document(view: View) -> dict[str, Any]:
    """What the view holds for programs, and before it whether its builds may be run; NaN and infinity become None."""
    return {**heading(view.first if view.builds else None), **plain_data(view.data)}


def heading(first: FirstLines | None) -> dict[str, Any]:
    """What every document begins with: whether the build may be run, what is to be read first, both only where there is
    a build; the program, and the format of the document.
    """
    judged = {} if first is None else first.document()
    return {**judged, "tool": "featherbench", "version": __version__, "format": FORMAT}


def plain_data(value: Any) -> Any:
    """Dictionaries, lists, numbers, texts and None of whatever a view holds."""
    if isinstance(value, Curves):
        return {
            "columns": {name: _rounded(column.tolist()) for name, column in value.columns.items()},
            "units": {name: unit_of(kind) for name, kind in value.kinds.items()},
        }
    if isinstance(value, Mapping):
        return {key: plain_data(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain_data(item) for item in value]
    return None if isinstance(value, float) and not isfinite(value) else value


def _rounded(values: list[float]) -> list[float | None]:
    return [float(f"{value:.{DIGITS}g}") if isfinite(value) else None for value in values]


def json_text(document: Mapping[str, Any]) -> str:
    """The document as JSON, a list of plain values on one line; raises ValueError for NaN or infinity."""
    return _json(document, 0) + "\n"


def _json(value: Any, depth: int) -> str:
    """JSON text, dictionaries and lists of them over several lines."""
    pad, end = "  " * (depth + 1), "  " * depth
    if isinstance(value, Mapping) and value:
        items = [f"{pad}{json.dumps(str(key))}: {_json(item, depth + 1)}" for key, item in value.items()]
        return "{\n" + ",\n".join(items) + f"\n{end}}}"
    if isinstance(value, list) and any(isinstance(item, Mapping | list) for item in value):
        return "[\n" + ",\n".join(pad + _json(item, depth + 1) for item in value) + f"\n{end}]"
    return json.dumps(value, allow_nan=False)


def series_text(view: View) -> str:
    """The view's series, comma-separated, columns named like `time [s]`; an empty cell has no value.

    Of several builds one below the other; the first column, `build`, says which. "" where there is none.
    """
    if view.series is None:
        return ""
    if not isinstance(view.series, Mapping):
        frame = view.series()
        return str(frame.to_csv(index=False, float_format=f"%.{DIGITS}g", lineterminator="\n"))
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    several = len(view.series) > 1
    for number, (build, curves) in enumerate(view.series.items()):
        names = [f"{name} [{unit_of(curves.kinds[name])}]" for name in curves.columns]
        if not number:
            writer.writerow(["build", *names] if several else names)
        for row in np.column_stack(list(curves.columns.values())).tolist():
            cells = [f"{value:.{DIGITS}g}" if isfinite(value) else "" for value in row]
            writer.writerow([build, *cells] if several else cells)
    return stream.getvalue()
