"""A sweep of two keys as a map: bands of one value, darker for more, and hatched regions named in words.

Told apart without colour: the bands by how dark they are and by the figures on their edges, the regions by hatch and
outline. A build that could not be is left blank.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np

from featherbench.numerals import decimals
from featherbench.pictures import style
from featherbench.pictures.drawing import figure_of, head, panel_or_new, shown, unit_sign
from featherbench.sweeping.values import meaning
from featherbench.views.swept.region_map import SweepMap, sweep_map

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.text import Text

    from featherbench.sweeping.sweep import Sweep

ENDS = {"pitch_range": ("low end", "high end")}
"""What the entries of a list are called, where they have names."""
HEIGHT = 3.6
PAD = 0.04
"""Inches: the panel, and what is kept clear beside words."""
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
    own = ax is None
    with style.applied():
        figure, ax = panel_or_new(HEIGHT, ax)
        across, up = (
            shown(places, kinds[key], system)
            for key, places in zip(drawn.keys, (drawn.across, drawn.up), strict=True)
        )
        kind = found.columns[drawn.name]
        named = _bands(ax, across, up, shown(drawn.value, kind, system))
        _regions(ax, drawn, across, up)
        horizontal, vertical = (_named(key, unit_sign(kinds[key], system)) for key in drawn.keys)
        ax.set_xlabel(horizontal)
        head(ax, f"{meaning(drawn.name).label}, {unit_sign(kind, system)}".rstrip(", "))
        ax.set_ylabel(vertical, labelpad=2.0)
        ax.set_xlim(across[0], across[-1])
        ax.set_ylim(up[0], up[-1])
        _key(ax, drawn, _left_blank(found))
        if own:
            _room_for(ax)
        _inside(ax, named)
    return figure


def _room_for(ax: Axes) -> None:
    """Move the left edge of the panel to where the vertical axis' name, left of long figures, has room."""
    figure = figure_of(ax)
    figure.draw_without_rendering()
    lacking = PAD - ax.yaxis.label.get_window_extent().x0 / figure.dpi
    if lacking > 0.0:
        place, share = ax.get_position(), lacking / float(figure.get_size_inches()[0])
        ax.set_position((place.x0 + share, place.y0, place.width - share, place.height))


def _inside(ax: Axes, named: Sequence[Text]) -> None:
    """Shift figures on the edges of bands so far that the panel holds them whole."""
    figure = figure_of(ax)
    figure.draw_without_rendering()
    room, pad = ax.get_window_extent(), PAD * figure.dpi
    for label in named:
        box = label.get_window_extent()
        shift = (
            max(0.0, room.x0 + pad - box.x0) - max(0.0, box.x1 + pad - room.x1),
            max(0.0, room.y0 + pad - box.y0) - max(0.0, box.y1 + pad - room.y1),
        )
        if any(shift):
            place = ax.transData.transform(label.get_position()) + np.array(shift)
            label.set_position(tuple(ax.transData.inverted().transform(place)))


def _named(key: str, unit: str) -> str:
    """The key in words; of a list which entry, counted as people do."""
    parts = key.removeprefix("part.").split(".")
    told = [
        (ENDS[parts[place - 1]][int(part)] if parts[place - 1] in ENDS else f"no. {int(part) + 1}")
        if part.isdigit()
        else part.replace("_", " ")
        for place, part in enumerate(parts)
    ]
    words = " ".join(told)
    return f"{words}, {unit}" if unit else words


def _bands(ax: Axes, across: np.ndarray, up: np.ndarray, value: np.ndarray) -> Sequence[Text]:
    """Filled bands with their edges named, by the texts given back; one band where the value is the same everywhere."""
    from matplotlib.ticker import MaxNLocator

    known = value[np.isfinite(value)]
    if not known.size:
        return ()
    least, most = float(known.min()), float(known.max())
    if most - least <= 1e-9 * max(abs(most), abs(least), 1e-300):
        ax.contourf(across, up, np.isfinite(value), levels=[0.5, 1.5], colors=[SHADES[2]])
        return ()
    levels = MaxNLocator(BANDS).tick_values(least, most)
    masked = np.ma.masked_invalid(value)
    ax.contourf(across, up, masked, levels=levels, colors=_shades(len(levels) - 1))
    lines = ax.contour(across, up, masked, levels=levels[1:-1], colors=style.colour("faint"), linewidths=0.6)
    places = decimals(np.diff(levels).tolist(), 1, 1)
    room = {"facecolor": style.colour("paper"), "edgecolor": "none", "pad": 0.8}
    named = ax.clabel(lines, fmt=lambda level: f"{level:.{places}f}", fontsize=style.SMALL, inline=False)
    for label in named:
        label.set(bbox=room, color=style.colour("ink"), zorder=4.0, rotation=0.0)
    return list(named)


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
