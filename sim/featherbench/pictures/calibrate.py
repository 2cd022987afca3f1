"""What a calibration says of each unknown: before, after, and how sure, in multiples of what was written."""

from __future__ import annotations

from typing import TYPE_CHECKING

from featherbench.numerals import unit_in_print
from featherbench.pictures import style
from featherbench.pictures.drawing import figure_of
from featherbench.views.fitted.match_summary import fitted_sheet

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from featherbench.fitting.calibrate import Calibration

ROW, TOP, BOTTOM, LEFT, RIGHT = 0.42, 0.2, 0.55, 1.75, 1.25
"""Inches: a row, margins."""
WIDEST = (0.0, 3.0)
"""Of the horizontal axis; what lies outside is cut at its edge."""


def calibrate_figure(done: Calibration, system: str, ax: Axes | None = None) -> Figure:
    """A row an unknown: box of what was thought likely (95 %), ring as written, dot and bar as fitted (95 %)."""
    from matplotlib.figure import Figure

    fitted = done.fitted
    count = len(fitted.unknowns)
    with style.applied():
        if ax is None:
            height = TOP + ROW * count + BOTTOM
            figure = Figure(figsize=(style.WIDTH, height))
            ax = figure.add_axes(
                (
                    LEFT / style.WIDTH,
                    BOTTOM / height,
                    1.0 - (LEFT + RIGHT) / style.WIDTH,
                    ROW * count / height,
                )
            )
        else:
            figure = figure_of(ax)
        texts = [row.cells for row in fitted_sheet(done, system).rows]
        edges = [0.7, 1.3]
        for place, (unknown, value, low, high) in enumerate(
            zip(fitted.unknowns, fitted.values, fitted.low, fitted.high, strict=True)
        ):
            prior = 2.0 * unknown.deviation / unknown.start
            fit, least, most = (float(number) / unknown.start for number in (value, low, high))
            _row(ax, place, prior, fit, (least, most), known=fitted.identified[place])
            edges += [1.0 - prior, 1.0 + prior, least, most]
            ax.annotate(
                f"{texts[place][2]} {unit_in_print(texts[place][5])}"
                if fitted.identified[place]
                else ("not by itself" if count > 1 else "not found"),
                (1.0, place),
                xytext=(8, 0),
                xycoords=("axes fraction", "data"),
                textcoords="offset points",
                fontsize=style.SMALL,
                verticalalignment="center",
                annotation_clip=False,
            )
        ax.axvline(1.0, color=style.colour("rule"), linewidth=0.8, zorder=0.5)
        ax.set_xlim(max(min(edges) - 0.05, WIDEST[0]), min(max(edges) + 0.05, WIDEST[1]))
        ax.set_yticks(range(count), [unknown.key for unknown in fitted.unknowns])
        ax.set_ylim(count - 0.5, -0.5)
        ax.tick_params(axis="y", length=0.0)
        ax.set_xlabel("times what the scenario says")
        return figure


def _row(
    ax: Axes, place: int, prior: float, fit: float, interval: tuple[float, float], *, known: bool
) -> None:
    from matplotlib.patches import Rectangle

    faint, blue = style.colour("faint"), style.colour("blue" if known else "grey")
    ax.add_patch(
        Rectangle(
            (1.0 - prior, place - 0.28), 2.0 * prior, 0.56, facecolor="none", edgecolor=faint, linewidth=0.8
        )
    )
    ax.plot([1.0], [place], marker="o", markersize=8.0, markerfacecolor="none", color=faint)
    ax.plot(
        interval, [place, place], color=blue, linewidth=2.2, linestyle="-" if known else (0.0, (2.0, 1.5))
    )
    ax.plot([fit], [place], marker="o", markersize=5.0, color=blue)
