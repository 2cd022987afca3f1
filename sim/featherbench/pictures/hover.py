"""Pictures of hover: the heading as it was flown, and neutral against a slight bias over compensation."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

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
from featherbench.plant.flight import F_HEADING, F_PITCH, F_TIME

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from featherbench.studies.bias import Bias, Point
    from featherbench.studies.wag import Wag

HEIGHTS_WAG = (1.7, 1.5)
HEIGHTS_BIAS = (1.7, 1.5, 1.5)


def wag_figure(wag: Wag, system: str, axes: Sequence[Axes] | None = None) -> Figure:
    """Heading and blade pitch over time, as flown with disturbance and play."""
    with style.applied():
        figure, axes = panels(HEIGHTS_WAG) if axes is None else (figure_of(axes[0]), axes)
        record = wag.flight.record
        for ax, column, name in ((axes[0], F_HEADING, "heading"), (axes[1], F_PITCH, "blade pitch")):
            draw(ax, record[:, F_TIME], shown(record[:, column], "angle", system), style.ALONE, label=name)
            head(ax, name, unit_sign("angle", system))
        zero_line(axes[0])
        axes[-1].set_xlabel("time, s")
        return figure


def bias_figure(bias: Bias, system: str, axes: Sequence[Axes] | None = None) -> Figure:
    """Rod force, seat ratio and wag over compensation, a line a phase, with limits and the chosen point."""
    with style.applied():
        figure, axes = panels(HEIGHTS_BIAS) if axes is None else (figure_of(axes[0]), axes)
        floor = max(bias.visible, 0.0)
        _panel(axes[0], bias, "rod_force", "force", "largest rod force", system)
        _panel(axes[1], bias, "seat_ratio", "ratio", "least seat ratio over the hover band", system)
        _limit(axes[1], bias.margin, "margin")
        _panel(axes[2], bias, "wag_heading", "angle", "wag, heading peak to peak", system)
        _limit(axes[2], float(shown(floor, "angle", system)), "visible")
        axes[-1].set_xlabel("compensation (0 no weights, 1 neutral without air)")
        return figure


def _panel(ax: Axes, bias: Bias, name: str, kind: str, title: str, system: str) -> None:
    phases = sorted({point.phase for point in bias.points})
    labels = []
    for number, phase in enumerate(phases):
        row = sorted((p for p in bias.points if p.phase == phase), key=lambda point: point.compensation)
        values = _shown([getattr(point, name) for point in row], kind, system)
        stroke = style.CASES[number % len(style.CASES)]
        turned = f"{np.rad2deg(phase):+.0f} deg"
        draw(ax, [point.compensation for point in row], values, stroke, label=turned)
        labels.append(Label(float(values[-1]), turned, stroke.role))
    if bias.chosen is not None:
        _mark(ax, bias.chosen, float(_shown([getattr(bias.chosen, name)], kind, system)[0]))
    head(ax, title, unit_sign(kind, system) if kind != "ratio" else "")
    ax.set_ylim(bottom=0.0)
    name_lines(ax, labels)


def _shown(values: list[float], kind: str, system: str) -> np.ndarray:
    return np.asarray(values) if kind == "ratio" else shown(values, kind, system)


def _mark(ax: Axes, point: Point, value: float) -> None:
    ink = style.colour("ink")
    ax.plot([point.compensation], [value], marker="o", markersize=8, markerfacecolor="none", color=ink)


def _limit(ax: Axes, value: float, name: str) -> None:
    ax.axhline(value, color=style.colour("ink"), linewidth=0.9, linestyle=(0.0, (1.5, 1.5)))
    ax.annotate(
        name,
        (1.0, value),
        xytext=(-2, 2),
        xycoords=("axes fraction", "data"),
        textcoords="offset points",
        fontsize=style.SMALL,
        horizontalalignment="right",
    )
