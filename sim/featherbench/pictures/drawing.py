"""What every picture needs: panels of a known size, lines in a stroke, labels beside the lines they name."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from featherbench.numerals import display_factor, unit_in_print
from featherbench.pictures import style

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

LEFT, RIGHT, TOP, BOTTOM, BETWEEN = 0.62, 1.22, 0.34, 0.52, 0.52
"""Margins, and the room between panels, in inches."""
LINE_HEIGHT = 1.25
"""Of a line of text, in font sizes."""


class Label(NamedTuple):
    """A name for the line that leaves the panel on the right at `y` (data units); role: its colour."""

    y: float
    text: str
    role: str


class Sample(NamedTuple):
    """One entry of a key: a stroke, or a mark of a colour, and its name."""

    text: str
    stroke: style.Stroke
    mark: str = ""


def panels(heights: Sequence[float], *, own: bool = False) -> tuple[Figure, list[Axes]]:
    """A figure of panels of these heights (inches) under one another, sharing the horizontal axis; own: but for the
    last, which has one of its own.
    """
    from matplotlib.figure import Figure

    total = TOP + BOTTOM + sum(heights) + BETWEEN * (len(heights) - 1) + BOTTOM * own
    figure = Figure(figsize=(style.WIDTH, total))
    axes: list[Axes] = []
    top = total - TOP
    for number, height in enumerate(heights):
        alone = own and number == len(heights) - 1
        top -= BOTTOM * alone
        place = (
            LEFT / style.WIDTH,
            (top - height) / total,
            1.0 - (LEFT + RIGHT) / style.WIDTH,
            height / total,
        )
        axes.append(figure.add_axes(place, sharex=axes[0] if axes and not alone else None))
        top -= height + BETWEEN
    for ax in axes[: -2 if own else -1]:
        ax.tick_params(labelbottom=False)
    return figure, axes


def panel_or_new(height: float, ax: Axes | None) -> tuple[Figure, Axes]:
    """The axes handed in with their figure, or a figure of one panel of this height (inches)."""
    if ax is None:
        figure, axes = panels([height])
        return figure, axes[0]
    return figure_of(ax), ax


def figure_of(ax: Axes) -> Figure:
    """The whole figure that the axes are part of."""
    figure = ax.get_figure(root=True)
    assert figure is not None
    return figure


def shown(values: ArrayLike, kind: str, system: str) -> NDArray[np.float64]:
    """SI values in the unit of display."""
    return np.asarray(values, dtype=float) * display_factor(kind, system)[0]


def unit_sign(kind: str, system: str) -> str:
    """The unit of display as it is set in print."""
    return unit_in_print(display_factor(kind, system)[1])


def head(ax: Axes, name: str, unit: str = "", sides: str = "") -> None:
    """What the vertical axis shows, over the panel: read without turning the head; sides: which way is which.

    The axis keeps the unit (`ax.yaxis.get_units()`), for whoever reads values off the figure.
    """
    ax.yaxis.set_units(unit)
    text = ", ".join(part for part in (name, unit) if part) + (f": {sides}" if sides else "")
    ax.annotate(
        text,
        (0.0, 1.0),
        xytext=(-LEFT * 72.0 + 4.0, 8.0),
        xycoords="axes fraction",
        textcoords="offset points",
        fontsize=style.TEXT,
        annotation_clip=False,
    )


def draw(ax: Axes, x: ArrayLike, y: ArrayLike, stroke: style.Stroke, **more: Any) -> None:
    """A line in a stroke."""
    dashes = (0.0, stroke.dashes) if stroke.dashes else "solid"
    settings: dict[str, Any] = {
        "color": style.colour(stroke.role),
        "linewidth": stroke.width,
        "linestyle": dashes,
        "solid_capstyle": "round",
    }
    ax.plot(x, y, **{**settings, **more})


def not_flatter(ax: Axes, least: float) -> None:
    """Make the vertical axis reach over `least` (data units) or more, about the same middle."""
    low, high = ax.get_ylim()
    if high - low < least:
        middle = 0.5 * (low + high)
        ax.set_ylim(middle - 0.5 * least, middle + 0.5 * least)


def zero_line(ax: Axes) -> None:
    """A thin rule at zero."""
    ax.axhline(0.0, color=style.colour("rule"), linewidth=0.8, zorder=0.5)


def name_lines(ax: Axes, labels: Sequence[Label]) -> None:
    """Write each label right of the panel, level with its line or as near as leaves the labels apart."""
    if not labels:
        return
    low, high = ax.get_ylim()
    figure = figure_of(ax)
    points = float(ax.get_position().height * figure.get_size_inches()[1] * 72.0)
    ordered = sorted(labels, key=lambda label: label.y)
    wanted = [(label.y - low) / (high - low) * points for label in ordered]
    sizes = [(label.text.count("\n") + 1) * style.SMALL * LINE_HEIGHT for label in ordered]
    for label, at, place in zip(ordered, wanted, apart(wanted, sizes, points), strict=True):
        ax.annotate(
            label.text,
            xy=(1.0, min(max(at, 0.0), points) / points),
            xytext=(1.0 + 14.0 / _width_points(ax), place / points),
            xycoords="axes fraction",
            textcoords="axes fraction",
            fontsize=style.SMALL,
            color=style.colour(label.role),
            verticalalignment="center",
            annotation_clip=False,
            arrowprops={
                "arrowstyle": "-",
                "color": style.colour(label.role),
                "linewidth": 0.6,
                "shrinkA": 1.0,
                "shrinkB": 1.0,
                "relpos": (0.0, 0.5),
            },
        )


def apart(wanted: Sequence[float], sizes: Sequence[float], room: float) -> list[float]:
    """Places (points) as near as can be to those wanted (rising), each `sizes` tall, that do not overlap.

    Middles stay within 0..room unless there is not room for all. Least squares: the places less the room that
    the labels below take must not fall, which is an isotonic regression.
    """
    from scipy.optimize import isotonic_regression

    tall = np.asarray(sizes, dtype=float)
    taken = np.concatenate([[0.0], np.cumsum(0.5 * (tall[1:] + tall[:-1]))])
    free = isotonic_regression(np.asarray(wanted, dtype=float) - taken).x
    spare = room - taken[-1]
    free = np.clip(free, 0.0, spare) if spare >= 0.0 else np.full_like(free, 0.5 * spare)
    return [float(place) for place in free + taken]


def key(ax: Axes, samples: Sequence[Sample]) -> None:
    """Strokes and what they mean, right of the panel from its top."""
    width, height = _width_points(ax), _height_points(ax)
    for number, sample in enumerate(samples):
        y = 1.0 - (number + 0.5) * style.SMALL * 1.45 / height
        start, end = 1.0 + 7.0 / width, 1.0 + 25.0 / width
        settings: dict[str, Any] = {"transform": ax.transAxes, "clip_on": False}
        if sample.mark:
            settings |= {
                "marker": sample.mark,
                "markersize": 6.0,
                "markerfacecolor": "none",
                "linestyle": "none",
            }
            draw(ax, [0.5 * (start + end)], [y], sample.stroke, **settings)
        else:
            draw(ax, [start, end], [y, y], sample.stroke, **settings)
        ax.text(
            end + 5.0 / width,
            y,
            sample.text,
            transform=ax.transAxes,
            fontsize=style.SMALL,
            color=style.colour(sample.stroke.role),
            verticalalignment="center",
        )


def _width_points(ax: Axes) -> float:
    figure = figure_of(ax)
    return float(ax.get_position().width * figure.get_size_inches()[0] * 72.0)


def _height_points(ax: Axes) -> float:
    figure = figure_of(ax)
    return float(ax.get_position().height * figure.get_size_inches()[1] * 72.0)
