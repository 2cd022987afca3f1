"""A sweep of two keys as a map: bands of one value, darker for more, and hatched regions named in words.

Told apart without colour: the bands by how dark they are and by the figures on their edges, the regions by hatch and
outline. A build that could not be is left blank.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np

from featherbench.numerals import decimals
from featherbench.pictures import style
from featherbench.pictures.drawing import head, panel_or_new, shown, unit_sign
from featherbench.sweeping.values import meaning
from featherbench.views.swept.region_map import SweepMap, sweep_map

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from featherbench.sweeping.sweep import Sweep

HEIGHT = 3.6
"""Inches."""
BANDS = 7
SHADES = ("#f4f7fb", "#dbe6f3", "#bcd1e8", "#98b8da", "#739cc9", "#5280b4", "#35649b", "#1f4a80")
"""From light to dark, evenly by lightness: the same order in grey."""


class Region(NamedTuple):
    """How a region is marked."""

    role: str
    hatch: str
    dashes: Literal["solid", "dashed", "dotted"]


MARKS: dict[str, Region] = {
    "runs to full pitch": Region("orange", "||", "solid"),
    "floats at hover": Region("green", "..", "dashed"),
    "fails strength": Region("ink", "xx", "solid"),
    "strength not known": Region("plum", "\\\\", "dotted"),
}


def map_figure(found: Sweep, system: str, ax: Axes | None = None) -> Figure:
    """The map of a sweep of two keys. Raises ValueError, in words, for another."""
    drawn = sweep_map(found)
    kinds = dict(zip(found.grid.keys, found.grid.kinds, strict=True))
    with style.applied():
        figure, ax = panel_or_new(HEIGHT, ax)
        across, up = (
            shown(places, kinds[key], system)
            for key, places in zip(drawn.keys, (drawn.across, drawn.up), strict=True)
        )
        kind = found.columns[drawn.name]
        _bands(ax, across, up, shown(drawn.value, kind, system))
        _regions(ax, drawn, across, up)
        horizontal, vertical = (_named(key, unit_sign(kinds[key], system)) for key in drawn.keys)
        ax.set_xlabel(horizontal)
        head(ax, f"{meaning(drawn.name).label}, {unit_sign(kind, system)}".rstrip(", "))
        ax.set_ylabel(vertical, labelpad=2.0)
        ax.set_xlim(across[0], across[-1])
        ax.set_ylim(up[0], up[-1])
        _key(ax, drawn, _left_blank(found))
    return figure


def _named(key: str, unit: str) -> str:
    words = key.removeprefix("part.").replace(".", " ").replace("_", " ")
    return f"{words}, {unit}" if unit else words


def _bands(ax: Axes, across: np.ndarray, up: np.ndarray, value: np.ndarray) -> None:
    """Filled bands with their edges named; one band where the value is the same everywhere."""
    from matplotlib.ticker import MaxNLocator

    known = value[np.isfinite(value)]
    if not known.size:
        return
    least, most = float(known.min()), float(known.max())
    if most - least <= 1e-9 * max(abs(most), abs(least), 1e-300):
        ax.contourf(across, up, np.isfinite(value), levels=[0.5, 1.5], colors=[SHADES[2]])
        return
    levels = MaxNLocator(BANDS).tick_values(least, most)
    masked = np.ma.masked_invalid(value)
    ax.contourf(across, up, masked, levels=levels, colors=_shades(len(levels) - 1))
    lines = ax.contour(across, up, masked, levels=levels[1:-1], colors=style.colour("faint"), linewidths=0.6)
    places = decimals(np.diff(levels).tolist(), 1, 1)
    room = {"facecolor": style.colour("paper"), "edgecolor": "none", "pad": 0.8}
    for label in ax.clabel(
        lines, fmt=lambda level: f"{level:.{places}f}", fontsize=style.SMALL, inline=False
    ):
        label.set(bbox=room, color=style.colour("ink"), zorder=4.0, rotation=0.0)


def _shades(count: int) -> list[str]:
    """So many of SHADES, evenly."""
    return [SHADES[round(place)] for place in np.linspace(0, len(SHADES) - 1, count)]


def _regions(ax: Axes, drawn: SweepMap, across: np.ndarray, up: np.ndarray) -> None:
    """Hatch and outline of each region."""
    import matplotlib

    for name, inside in drawn.regions.items():
        if inside.all():
            continue  # said in words: a hatch over all of it would hide the rest
        mark, where = MARKS[name], inside.astype(float)
        with matplotlib.rc_context({"hatch.color": style.colour(mark.role), "hatch.linewidth": 0.6}):
            filled = ax.contourf(
                across, up, inside.astype(float), levels=[0.5, 1.5], colors="none", hatches=[mark.hatch]
            )
            filled.set_edgecolor(style.colour(mark.role))
            filled.set_linewidth(0.0)
        ax.contour(
            across,
            up,
            where,
            levels=[0.5],
            colors=style.colour(mark.role),
            linewidths=1.3,
            linestyles=mark.dashes,
        )


def _left_blank(found: Sweep) -> str:
    """What a blank place means: nobody is to take what was not run yet for what cannot be built."""
    if found.done == found.count:
        return "blank: cannot\nbe built"
    return "blank:\nnot run yet" + (", or\ncannot be built" if found.tally.refused else "")


def _key(ax: Axes, drawn: SweepMap, blank: str) -> None:
    """Right of the map: each region's mark and what it means, and what is left blank."""
    from matplotlib.patches import Patch

    marks = []
    for name, inside in drawn.regions.items():
        mark = MARKS[name]
        colour = style.colour(mark.role)
        words = name.replace(" ", "\n", 1) if len(name) > 13 else name
        if inside.all():
            marks.append(Patch(facecolor="none", edgecolor="none", label=f"{words}:\neverywhere"))
            continue
        marks.append(
            Patch(facecolor="none", edgecolor=colour, hatch=mark.hatch, linestyle=mark.dashes, label=words)
        )
    if np.isnan(drawn.value).any():
        marks.append(Patch(facecolor="none", edgecolor=style.colour("rule"), label=blank))
    if marks:
        ax.legend(
            handles=marks,
            loc="upper left",
            bbox_to_anchor=(1.01, 1.0),
            frameon=False,
            fontsize=style.SMALL,
            handlelength=1.3,
            handletextpad=0.5,
            handleheight=1.4,
            borderaxespad=0.0,
        )
