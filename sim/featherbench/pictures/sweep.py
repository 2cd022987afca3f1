"""Picture of a sweep of weights: what each amount costs, where play shows, and what is out of the question."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from featherbench.hovering.draw_doubt import likely_share
from featherbench.hovering.swept_point import FAILS, MAH, MOST_SHOWN, Point
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
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from featherbench.hovering.bias import Bias

HEIGHTS = (1.5, 1.1, 1.1, 1.0)
BARS = (
    ("fails strength", "orange", "////"),
    ("runs to full pitch", "plum", "\\\\\\\\"),
    ("play shows", "blue", "...."),
    ("floats at hover", "grey", ""),
)
"""What speaks against an amount, its colour and hatching, from the top down; the first three forbid it."""


def bias_figure(found: Bias, system: str, axes: Sequence[Axes] | None = None) -> Figure:
    """Rod force, charge in hover, draws in which play shows, and what speaks against each amount, over compensation.

    At the phase of the choice, with the range over the draws; the weights not turned in grey beside it. The ring is the
    choice, the dots its neighbours.
    """
    with style.applied():
        figure, axes = panels(HEIGHTS) if axes is None else (figure_of(axes[0]), axes)
        phases = sorted({point.phase for point in found.points}, key=abs)
        phase = found.chosen.phase if found.chosen is not None else (phases[0] if phases else 0.0)
        row = found.row(phase)
        other = found.row(phases[0]) if phases and phases[0] != phase else []
        factor = float(shown([1.0], "force", system)[0])
        for ax, name, unit, scale in (
            (axes[0], "largest rod force", unit_sign("force", system), factor),
            (axes[1], "charge in five minutes of hover", "mAh", 1.0 / MAH),
            (axes[2], "draws in which play shows", "", 1.0),
        ):
            _doubt(ax, row, name, scale)
            _panel(ax, found, row, other, (name, unit, scale))
            _shade(ax, row)
        _strip(axes[3], row)
        axes[-1].set_xlabel("compensation (0 no weights, 1 all of the mass pull)")
        return figure


def _value(point: Point, name: str) -> float:
    """What a panel shows of a build, SI."""
    if name == "largest rod force":
        return point.rod_force
    return point.charge_flown if name.startswith("charge") else float(point.shown.hits)


def _doubt(ax: Axes, row: Sequence[Point], name: str, scale: float) -> None:
    """What the draws leave open of a panel's line, as a band: what charge they come to, what a count may be."""
    if name == "largest rod force":
        return
    if name.startswith("charge"):
        ends = [point.charge_range for point in row]
    else:
        ends = [likely_share(*point.shown) for point in row]
        scale *= max((point.shown.of for point in row), default=0)
    low, high = (np.array([scale * own[end] for own in ends]) for end in (0, 1))
    ax.fill_between(
        [point.compensation for point in row],
        low,
        high,
        color=style.colour("blue"),
        alpha=0.15,
        linewidth=0.0,
    )


def _panel(
    ax: Axes, found: Bias, row: Sequence[Point], other: Sequence[Point], what: tuple[str, str, float]
) -> None:
    name, unit, scale = what
    labels = []
    for points, stroke in ((other, style.CASES[0]), (row, style.ALONE)):
        if not points:
            continue
        values = [scale * _value(point, name) for point in points]
        turned = f"{np.rad2deg(points[0].phase):+.0f} deg"
        draw(ax, [point.compensation for point in points], values, stroke, label=turned)
        labels.append(Label(values[-1], turned, stroke.role))
    head(ax, name, unit)
    top = max([scale * _value(point, name) for point in (*row, *other)], default=1.0)
    if name.startswith("charge") and row:
        top = max(top, min(2.0 * top, scale * max(point.charge_range[1] for point in row)))
    if name.startswith("draws"):
        of = max((point.shown.of for point in row), default=12)
        ax.axhline(MOST_SHOWN * of, color=style.colour("ink"), linewidth=0.9, linestyle=(0.0, (1.5, 1.5)))
        top = of
    ax.set_ylim(-0.05 * top, 1.12 * top)
    if other:
        name_lines(ax, labels)
    if found.chosen is not None:
        _mark(ax, row, found.chosen, scale, name)


def _mark(ax: Axes, row: Sequence[Point], chosen: Point, scale: float, name: str) -> None:
    """A ring at the choice, a dot at each neighbour."""
    ink, place = style.colour("ink"), list(row).index(chosen)
    for number in (place - 1, place, place + 1):
        if 0 <= number < len(row):
            point = row[number]
            ring = number == place
            face = "none" if ring else ink
            size = 9 if ring else 3.5
            value = scale * _value(point, name)
            ax.plot(
                [point.compensation], [value], marker="o", markersize=size, markerfacecolor=face, color=ink
            )


def _against(point: Point) -> tuple[bool, bool, bool, bool]:
    """What speaks against a build, in the order of BARS."""
    return point.strength == FAILS, point.runs_out, not point.quiet, point.seat_ratio_trim < 1.0


def _spans(row: Sequence[Point], bad: Sequence[bool]) -> list[tuple[float, float]]:
    """Intervals of compensation, half a step to either side of each build that is bad, joined where they touch."""
    places = [point.compensation for point in row]
    edges = [
        places[0],
        *(0.5 * (one + two) for one, two in pairwise(places)),
        places[-1],
    ]
    spans: list[tuple[float, float]] = []
    for number, is_bad in enumerate(bad):
        if not is_bad:
            continue
        if spans and spans[-1][1] == edges[number]:
            spans[-1] = (spans[-1][0], edges[number + 1])
        else:
            spans.append((edges[number], edges[number + 1]))
    return spans


def _shade(ax: Axes, row: Sequence[Point]) -> None:
    """Grey where something forbids the amount."""
    for low, high in _spans(row, [any(_against(point)[:3]) for point in row]) if row else []:
        ax.axvspan(low, high, color=style.colour("rule"), alpha=0.45, linewidth=0.0, zorder=0.2)


def _strip(ax: Axes, row: Sequence[Point]) -> None:
    """A bar for each thing that speaks against an amount, named at the right."""
    from matplotlib.patches import Rectangle

    head(ax, "what speaks against it")
    labels = []
    for number, (name, role, hatch) in enumerate(BARS):
        level = len(BARS) - 1 - number
        labels.append(Label(level + 0.5, name, role))
        for low, high in _spans(row, [_against(point)[number] for point in row]) if row else []:
            ax.add_patch(
                Rectangle(
                    (low, level + 0.15),
                    high - low,
                    0.7,
                    facecolor="none",
                    edgecolor=style.colour(role),
                    hatch=hatch,
                    linewidth=0.8,
                )
            )
    ax.set_ylim(0.0, float(len(BARS)))
    ax.set_yticks([])
    name_lines(ax, labels)
