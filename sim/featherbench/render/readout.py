"""The values behind a figure's lines, for the page to show under the pointer.

A line takes part when it has a name (`draw(..., label=...)`); its panel says in which units it is drawn
(`drawing.measured_in`).
"""

from __future__ import annotations

import json
from math import floor, isfinite, log10
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.lines import Line2D

MOST_POINTS = 240
"""Of a line; more could not be told apart on the page."""
FIGURES = 3
"""Significant figures of the largest value of a line."""


def readout_json(figure: Figure) -> str:
    """Panels with named lines as JSON that is safe inside a script element; "" when no line has a name.

    A panel: box (left, top, width, height) in points from the upper left corner as the SVG has it, limits of the
    horizontal axis, its name and unit, unit of the vertical axis, and lines with name, x, y, digits.
    """
    panels = [panel for ax in figure.axes if (panel := _panel(figure, ax)) is not None]
    if not panels:
        return ""
    return json.dumps(panels, allow_nan=False, separators=(",", ":")).replace("<", "\\u003c")


def _panel(figure: Figure, ax: Axes) -> dict[str, Any] | None:
    named = [line for line in ax.lines if not str(line.get_label()).startswith("_")]
    if not named:
        return None
    width, height = (72.0 * inches for inches in figure.get_size_inches())
    place = ax.get_position()
    low, high = ax.get_xlim()
    x_name, _, x_unit = _horizontal_name(ax).rpartition(", ")
    return {
        "box": [
            round(value, 2)
            for value in (
                place.x0 * width,
                (1.0 - place.y1) * height,
                place.width * width,
                place.height * height,
            )
        ],
        "limits": [round(low, 6), round(high, 6)],
        "x": x_name,
        "xunit": x_unit.partition(" (")[0],
        "digits": _digits(np.array([high - low]), FIGURES),
        "unit": ax.yaxis.get_units() or "",
        "lines": [_line(line) for line in named],
    }


def _horizontal_name(ax: Axes) -> str:
    """What the horizontal axis shows; panels under one another say it once, under the lowest."""
    shared = ax.get_shared_x_axes().get_siblings(ax)
    return next((name for one in (ax, *shared) if (name := one.get_xlabel())), "")


def _line(line: Line2D) -> dict[str, Any]:
    x, y = (np.asarray(values, dtype=float) for values in line.get_data(orig=True))
    if line.get_drawstyle() == "steps-post":
        x, y = np.repeat(x, 2)[1:], np.repeat(y, 2)[:-1]
    kept = np.unique(np.linspace(0, len(x) - 1, min(len(x), MOST_POINTS)).round().astype(int))
    return {
        "name": str(line.get_label()).replace("\n", " "),
        "x": [float(f"{value:.5g}") for value in x[kept]],
        "y": [float(f"{value:.5g}") if isfinite(value) else None for value in y[kept]],
        "digits": _digits(y, FIGURES),
    }


def _digits(values: NDArray[np.float64], figures: int) -> int:
    """Decimals that give the largest value so many significant figures."""
    sizes = np.abs(values[np.isfinite(values)])
    largest = float(sizes.max()) if len(sizes) else 0.0
    return 0 if largest == 0.0 else min(max(figures - 1 - floor(log10(largest)), 0), 4)
