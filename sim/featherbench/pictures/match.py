"""A logged series and its prediction over time with the prediction's 95 % band, and what is left between them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from featherbench.pictures import style
from featherbench.pictures.drawing import (
    Label,
    draw,
    figure_of,
    head,
    name_lines,
    panels,
    shown,
    unit_sign,
    zero_line,
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from featherbench.fitting.match import MatchedSeries

WORDS = {"rod_force": "force on the rod", "supply_current": "supply current", "pitch": "pitch at the blade"}
MEASURED = style.Stroke("ink", 0.9)
PREDICTED = style.Stroke("blue", 1.5)


def match_figure(series: MatchedSeries, system: str, axes: Sequence[Axes] | None = None) -> Figure:
    """Overlay above, residuals (simulated minus measured) below. system: "metric" or "trade"."""
    with style.applied():
        figure, axes = panels([2.5, 1.3]) if axes is None else (figure_of(axes[0]), axes)
        over, left = axes
        unit = unit_sign(series.kind, system)
        measured, predicted, low, high = (
            shown(one, series.kind, system)
            for one in (series.measured, series.simulated, series.low, series.high)
        )
        zero_line(over)
        over.fill_between(series.time, low, high, color=style.colour("blue"), alpha=0.25, linewidth=0.0)
        draw(over, series.time, measured, MEASURED, label="measured")
        draw(over, series.time, predicted, PREDICTED, label="predicted")
        head(over, WORDS[series.name.split(" ")[0]], unit)
        last = _last(predicted), _last(measured)
        name_lines(over, [Label(last[0], "predicted,\n95 % band", "blue"), Label(last[1], "measured", "ink")])
        zero_line(left)
        left.fill_between(
            series.time,
            low - predicted,
            high - predicted,
            color=style.colour("blue"),
            alpha=0.25,
            linewidth=0.0,
        )
        draw(left, series.time, predicted - measured, style.Stroke("orange", 1.0), label="difference")
        head(left, "predicted minus measured", unit)
        name_lines(left, [Label(_last(predicted - measured), "difference", "orange")])
        left.set_xlim(0.0, float(series.time[-1]))
        left.set_xlabel("time in the log, s")
        return figure


def _last(values: NDArray[np.float64]) -> float:
    """The last value that there is."""
    good = values[np.isfinite(values)]
    return float(good[-1]) if len(good) else 0.0
