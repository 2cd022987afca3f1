"""What each change does: force on the rod and holding current, a row a change, a line for the build as it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from featherbench.numerals import display_factor, unit_in_print
from featherbench.pictures import style
from featherbench.ranking import MEASURES

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from featherbench.ranking import Ranking, Tried

ROW, TOP, BOTTOM, LEFT, RIGHT, BETWEEN = 0.2, 0.55, 0.45, 2.2, 0.15, 0.25
"""Inches: a row, margins, room between the panels."""
PANELS = (("force", "largest force"), ("hold", "holding current"))
LONGEST = 34


def rank_figure(found: Ranking, system: str) -> Figure:
    """Dots where each change leaves force and holding current, lines the range of the change; crosses must not be made.

    Raises ValueError when nothing was tried.
    """
    from matplotlib.figure import Figure

    if not found.tried:
        raise ValueError("no change was tried: there is nothing to draw")
    rows = [*found.spoiled, *(one for one in found.tried if one not in found.spoiled)]
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
        return figure


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
    labels = [text if len(text) <= LONGEST else text[: LONGEST - 2] + ".." for text in texts]
    ax.set_yticks(range(len(rows)), labels if named else [""] * len(rows), fontsize=style.SMALL)
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
