"""What each change does: force on the rod and holding current, a row a change, a line for the build as it is."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from featherbench.numerals import display_factor, unit_in_print
from featherbench.pictures import style
from featherbench.ranking.measures import MEASURES

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from featherbench.ranking.outcome import Ranking, Tried

ROW, TOP, BOTTOM, LEFT, RIGHT, BETWEEN = 0.2, 0.75, 0.45, 2.4, 0.15, 0.25
"""Inches: a row, margins, room between the panels."""
PANELS = (("force", "largest force"), ("hold", "holding current"))
LONGEST = 38
"""Characters of a change on one line; two are written closer."""


def rank_figure(found: Ranking, system: str) -> Figure:
    """Dots where each change leaves force and holding current, lines the range of the change; crosses must not be made.

    Raises ValueError when nothing was tried.
    """
    from matplotlib.figure import Figure

    if not found.tried:
        raise ValueError("no change was tried: there is nothing to draw")
    rows = [*(one for one in found.tried if one not in found.spoiled), *found.spoiled]
    high = ROW * len(rows)
    total = TOP + high + BOTTOM
    wide = (style.WIDTH - LEFT - RIGHT - BETWEEN) / len(PANELS)
    with style.applied():
        figure = Figure(figsize=(style.WIDTH, total))
        for number, (name, words) in enumerate(PANELS):
            left = LEFT + number * (wide + BETWEEN)
            place = (left / style.WIDTH, BOTTOM / total, wide / style.WIDTH, high / total)
            ax = figure.add_axes(place)
            _panel(ax, rows, found, (name, words), system, number == 0)
        _key(figure, total, bool(found.spoiled))
        return figure


def _key(figure: Figure, total: float, spoiled: bool) -> None:
    """What the marks mean, over the panels."""
    marks = [("o", "blue", "holds"), *([("x", "orange", "not to be made as it stands")] if spoiled else [])]
    ax = figure.add_axes((0.0, 1.0 - 0.3 / total, 1.0, 0.25 / total))
    ax.set_axis_off()
    ax.set(xlim=(0.0, style.WIDTH), ylim=(0.0, 1.0))
    place = 0.2
    for marker, role, words in marks:
        ax.plot([place + 0.05], [0.5], marker=marker, color=style.colour(role), markersize=5.0)
        ax.text(place + 0.15, 0.5, words, va="center", fontsize=style.SMALL, color=style.colour(role))
        place += 0.35 + 0.08 * len(words)
    ax.text(
        place, 0.5, "- -  the build as it is", va="center", fontsize=style.SMALL, color=style.colour("grey")
    )


def _panel(
    ax: Axes, rows: list[Tried], found: Ranking, what: tuple[str, str], system: str, named: bool
) -> None:
    name, words = what
    factor, unit = display_factor(MEASURES[name].kind, system)
    before = rows[0].before[name]
    if before is not None:
        ax.axvline(before * factor, color=style.colour("grey"), linewidth=1.0, linestyle=(0.0, (5.0, 2.0)))
    for place, one in enumerate(rows):
        value = one.values[name]
        if value is None or before is None:
            continue
        bad = one in found.spoiled
        colour = style.colour("orange" if bad else "blue")
        if name in one.ranges:
            ends = [max(0.0, before + end) * factor for end in one.ranges[name]]
            ax.plot(ends, [place, place], color=colour, linewidth=1.4, solid_capstyle="butt")
        ax.plot([value * factor], [place], marker="x" if bad else "o", color=colour, markersize=5.0)
    ax.set_xlim(left=min(0.0, ax.get_xlim()[0]))
    ax.set_ylim(len(rows) - 0.4, -0.6)
    ax.grid(axis="x")
    texts = [one.change.words for one in rows]
    labels = [textwrap.fill(text, LONGEST) for text in texts]
    ax.set_yticks(range(len(rows)), labels if named else [""] * len(rows), fontsize=style.SMALL)
    for label in ax.get_yticklabels():
        label.set_linespacing(0.85)
    ax.tick_params(axis="y", length=0.0)
    ax.locator_params(axis="x", nbins=4)
    ax.annotate(
        f"{words}, {unit_in_print(unit)}",
        (0.0, 1.0),
        xytext=(0.0, 8.0),
        xycoords="axes fraction",
        textcoords="offset points",
        fontsize=style.SMALL,
        annotation_clip=False,
    )
