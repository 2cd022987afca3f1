"""The drawing as SVG or PDF at true scale, through matplotlib."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import TYPE_CHECKING

from featherbench.pictures import style
from featherbench.workshop.sheet import (
    ARROW,
    DIM_SIZE,
    PAPER,
    STAMP_HIGH,
    STAMP_SIZE,
    STAMP_TURN,
    Dim,
    Sheet,
    Stamp,
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

MM = 1.0 / 25.4
POINTS = 72.0 / 25.4
STROKES = {
    "outline": (0.5, "solid"),
    "hidden": (0.25, (0, (6.0, 3.0))),
    "thread": (0.25, "solid"),
    "flat": (0.5, "solid"),
    "diagonal": (0.18, "solid"),
    "hatch": (0.18, "solid"),
    "sign": (0.25, "solid"),
    "axis": (0.18, (0, (14.0, 3.0, 2.0, 3.0))),
    "frame": (0.35, "solid"),
}
"""Width in mm and dashes of each layer."""
PAST = 1.5
STAMP_COLOUR = "#b00000"


def sheet_bytes(sheet: Sheet, kind: str) -> bytes:
    """The sheet as a file of `kind` "svg" or "pdf"; the same sheet gives the same bytes, there is no date in it."""
    figure = sheet_figure(sheet)
    target = io.BytesIO()
    facts = {"Title": sheet.title} | ({"Date": None} if kind == "svg" else {"CreationDate": None})
    with style.applied():
        figure.savefig(target, format=kind, metadata=facts, facecolor="white")
    return target.getvalue()


def sheets_pdf(sheets: Sequence[Sheet]) -> bytes:
    """All sheets as pages of one PDF; the same sheets give the same bytes."""
    from matplotlib.backends.backend_pdf import PdfPages

    target = io.BytesIO()
    with (
        style.applied(),
        PdfPages(target, metadata={"Title": sheets[0].title, "CreationDate": None}) as pages,
    ):
        for sheet in sheets:
            pages.savefig(sheet_figure(sheet), facecolor="white")
    return target.getvalue()


def sheet_figure(sheet: Sheet) -> Figure:
    """The sheet drawn on a figure of its paper's size."""
    from matplotlib.figure import Figure

    with style.applied():
        figure = Figure(figsize=(PAPER[0] * MM, PAPER[1] * MM), facecolor="white")
        axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
        axes.set_xlim(0.0, PAPER[0])
        axes.set_ylim(0.0, PAPER[1])
        axes.axis("off")
        _draw(axes, sheet)
    return figure


def _draw(axes: Axes, sheet: Sheet) -> None:
    from matplotlib.patches import Circle

    for line in sheet.lines:
        width, dashes = STROKES[line.layer.split()[0]]
        axes.plot(
            [line.start[0], line.end[0]],
            [line.start[1], line.end[1]],
            color="black",
            linewidth=width * POINTS,
            linestyle=dashes,
        )
    for circle in sheet.circles:
        width, dashes = STROKES[circle.layer]
        axes.add_patch(
            Circle(
                circle.centre,
                circle.radius,
                fill=False,
                linewidth=width * POINTS,
                linestyle=dashes,
                color="black",
            )
        )
    for dim in sheet.dims:
        _dimension(axes, dim)
    if sheet.stamp is not None:
        _stamp(axes, sheet.stamp)
    for words in (*sheet.words, *(sheet.stamp.lines if sheet.stamp is not None else ())):
        axes.text(
            *words.at,
            words.text,
            fontsize=words.size * POINTS,
            fontweight="bold" if words.bold else "normal",
            va="baseline",
        )


def _stamp(axes: Axes, stamp: Stamp) -> None:
    """The word across the sheet, in a heavy frame: to be seen without colour, too, and to be read through."""
    axes.text(
        0.5 * PAPER[0],
        STAMP_HIGH,
        stamp.word,
        fontsize=STAMP_SIZE * POINTS,
        fontweight="bold",
        color=STAMP_COLOUR,
        alpha=0.5,
        rotation=STAMP_TURN,
        ha="center",
        va="center",
        zorder=9.0,
        bbox={
            "boxstyle": "square,pad=0.25",
            "facecolor": "none",
            "edgecolor": STAMP_COLOUR,
            "linewidth": 4.0,
        },
    )


def _dimension(axes: Axes, dim: Dim) -> None:
    """Extension lines, dimension line with arrows, and the text over it (beside it when it stands upright)."""
    level = dim.through
    if dim.along == "x":
        ends = ((dim.start[0], level[1]), (dim.end[0], level[1]))
    else:
        ends = ((level[0], dim.start[1]), (level[0], dim.end[1]))
    for point, end in zip((dim.start, dim.end), ends, strict=True):
        over = tuple(
            e + PAST * (1.0 if e > p else -1.0 if e < p else 0.0) for p, e in zip(point, end, strict=True)
        )
        axes.plot([point[0], over[0]], [point[1], over[1]], color="black", linewidth=0.18 * POINTS)
    room = abs(ends[1][0] - ends[0][0]) + abs(ends[1][1] - ends[0][1])
    outside = room < 3.0 * ARROW
    arrow = {
        "color": "black",
        "linewidth": 0.18 * POINTS,
        "shrinkA": 0.0,
        "shrinkB": 0.0,
        "mutation_scale": 6.0,
    }
    if outside:
        for tip, other in (ends, ends[::-1]):
            away = (tip[0] - 5.0 * (other[0] - tip[0]) / room, tip[1] - 5.0 * (other[1] - tip[1]) / room)
            axes.annotate("", tip, away, arrowprops={**arrow, "arrowstyle": "-|>"})
    else:
        axes.annotate("", *ends, arrowprops={**arrow, "arrowstyle": "<|-|>"})
    size = DIM_SIZE * POINTS
    if dim.along == "y":
        axes.text(level[0] + 1.5, 0.5 * (ends[0][1] + ends[1][1]), dim.text, fontsize=size, va="center")
    elif room >= 0.62 * DIM_SIZE * len(dim.text):
        axes.text(0.5 * (ends[0][0] + ends[1][0]), level[1] + 0.8, dim.text, fontsize=size, ha="center")
    else:
        axes.text(ends[1][0] + (6.5 if outside else 2.5), level[1] + 0.8, dim.text, fontsize=size)
