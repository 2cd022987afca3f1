"""How a part hangs for its swing, with what is to be measured: a sketch, not to scale."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from featherbench.pictures import style
from featherbench.pictures.drawing import figure_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Point = tuple[float, float]

HEIGHT = 3.6
CORD = style.Stroke("ink", 1.1)
AXIS = style.Stroke("blue", 1.0, (8.0, 2.0, 1.5, 2.0))


def swing_figure(method: str, ax: Axes | None = None) -> Figure:
    """The sketch of "bifilar", "trifilar" or "compound"; raises ValueError for another."""
    from matplotlib.figure import Figure

    sketches = {"bifilar": _bifilar, "trifilar": _trifilar, "compound": _compound}
    if method not in sketches:
        raise ValueError(f"no swing is called {method!r}: {', '.join(sketches)}")
    with style.applied():
        if ax is None:
            figure = Figure(figsize=(style.WIDTH, HEIGHT))
            ax = figure.add_axes((0.0, 0.0, 1.0, 1.0))
        else:
            figure = figure_of(ax)
        ax.set_xlim(0.0, 1.5)
        ax.set_ylim(0.0, 1.0)
        ax.set_aspect("equal")
        ax.axis("off")
        sketches[method](ax)
        return figure


def _bifilar(ax: Axes) -> None:
    _ceiling(ax, 0.35, 0.95)
    for x in (0.5, 0.8):
        _line(ax, [(x, 0.92), (x, 0.46)], CORD)
    _line(ax, [(0.46, 0.46), (0.84, 0.46)], style.Stroke("ink", 3.0))
    _body(ax, [(0.61, 0.46), (0.69, 0.46), (0.71, 0.12), (0.59, 0.12)])
    _line(ax, [(0.65, 0.98), (0.65, 0.03)], AXIS)
    _turn(ax, (0.65, 0.07))
    _measure(ax, (0.5, 0.885), (0.8, 0.885), "spacing", (0.505, 0.85), "left")
    _measure(ax, (0.9, 0.92), (0.9, 0.46), "cord length", (0.93, 0.69))
    _say(ax, (0.93, 0.44), "light yoke: swing it alone too")
    _say(ax, (0.93, 0.27), "the part; its weight, with\nthe yoke's, is the mass")
    _say(ax, (0.93, 0.06), "axis asked for, through\nthe centre of mass", "blue")


def _trifilar(ax: Axes) -> None:
    _ceiling(ax, 0.3, 0.95)
    _ring(ax, (0.625, 0.3), 0.24, 0.06)
    for x, foot in ((0.40, 0.28), (0.81, 0.262), (0.667, 0.359)):  # the last at the back
        _line(ax, [(x, 0.92), (x, foot)], CORD)
    _body(ax, [(0.54, 0.3), (0.71, 0.3), (0.71, 0.42), (0.54, 0.42)])
    _line(ax, [(0.625, 0.98), (0.625, 0.08)], AXIS)
    _turn(ax, (0.625, 0.14))
    _measure(ax, (0.385, 0.19), (0.865, 0.19), "spacing: across the\ncircle of cords", (0.9, 0.19), "left")
    _measure(ax, (0.92, 0.92), (0.92, 0.27), "cord length", (0.95, 0.6))
    _say(ax, (0.95, 0.36), "part on a light plate:\nswing the plate alone too")
    _say(ax, (0.95, 0.06), "axis asked for, through\nthe centre of mass", "blue")


def _compound(ax: Axes) -> None:
    lean = np.deg2rad(14.0)
    pivot = np.array([0.55, 0.82])
    turn = np.array([[np.cos(lean), -np.sin(lean)], [np.sin(lean), np.cos(lean)]])
    shape = [(-0.05, 0.06), (0.05, 0.06), (0.07, -0.68), (-0.07, -0.68)]
    _body(ax, [tuple(pivot + turn @ np.array(corner)) for corner in shape])
    centre = pivot + turn @ np.array([0.0, -0.34])
    for spot, role in ((pivot, "ink"), (centre, "blue")):
        ax.plot(
            [spot[0]], [spot[1]], marker="o", markersize=7, color=style.colour(role), markerfacecolor="none"
        )
    _line(ax, [tuple(pivot), (pivot[0], 0.06)], style.Stroke("faint", 0.8, (3.0, 2.0)))
    along = turn @ np.array([0.13, 0.0])
    _measure(ax, tuple(pivot + along), tuple(centre + along), "pivot distance", (0.83, 0.7))
    _say(ax, (0.83, 0.86), "pivot: knife edge, or a needle in a hole")
    _say(
        ax, (0.83, 0.47), "centre of mass; the axis asked for\ngoes through it, parallel to the pivot", "blue"
    )
    _say(ax, (0.83, 0.26), "period: there and back")


def _ceiling(ax: Axes, left: float, right: float) -> None:
    _line(ax, [(left, 0.92), (right, 0.92)], style.Stroke("ink", 1.6))
    for x in np.arange(left, right - 0.01, 0.05):
        _line(ax, [(x, 0.92), (x + 0.03, 0.95)], style.Stroke("faint", 0.7))


def _line(ax: Axes, points: Sequence[Point], stroke: style.Stroke) -> None:
    dashes = (0.0, stroke.dashes) if stroke.dashes else "solid"
    x, y = zip(*points, strict=True)
    over = 3.0 if stroke is AXIS else 2.0
    ax.plot(x, y, color=style.colour(stroke.role), linewidth=stroke.width, linestyle=dashes, zorder=over)


def _body(ax: Axes, corners: Sequence[Point]) -> None:
    x, y = zip(*corners, strict=True)
    ax.fill(x, y, facecolor=style.colour("rule"), edgecolor=style.colour("ink"), linewidth=1.2, zorder=2.5)


def _ring(ax: Axes, centre: Point, wide: float, tall: float) -> None:
    from matplotlib.patches import Ellipse

    ink = style.colour("ink")
    ax.add_patch(Ellipse(centre, 2.0 * wide, 2.0 * tall, facecolor="none", edgecolor=ink, linewidth=1.2))


def _turn(ax: Axes, centre: Point) -> None:
    from matplotlib.patches import Arc

    blue = style.colour("blue")
    ax.add_patch(Arc(centre, 0.14, 0.05, theta1=200.0, theta2=520.0, edgecolor=blue, linewidth=1.2))


def _measure(ax: Axes, one: Point, two: Point, name: str, at: Point, side: str = "") -> None:
    ax.annotate(
        "", one, two, arrowprops={"arrowstyle": "<->", "color": style.colour("orange"), "linewidth": 1.0}
    )
    level = abs(one[1] - two[1]) < 1e-9 and not side
    ax.text(
        *at,
        name,
        fontsize=style.TEXT,
        color=style.colour("orange"),
        ha="center" if level else "left",
        va="center",
    )


def _say(ax: Axes, at: Point, words: str, role: str = "ink") -> None:
    ax.text(*at, words, fontsize=style.SMALL, color=style.colour(role), va="center")
