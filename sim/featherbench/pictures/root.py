"""The blade root drawn to scale, so that a part in a wrong place or of a wrong size is seen at once.

    root_figure(builds: Sequence[tuple[str, Assembly, Scenario]], system: str, axes=None) -> Figure
    build_of(scenario, name="") -> Build            without a run

One build is shown from three sides; several get one row each, to one scale, the first on top.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from featherbench.assembly import Assembly, build_assembly
from featherbench.numerals import display_factor
from featherbench.pictures import style
from featherbench.pictures.drawing import draw, unit_sign
from featherbench.pictures.root_labels import text_width, write_labels
from featherbench.pictures.root_layout import (
    ABOVE,
    BELOW,
    fitting,
    inches,
    laid_out,
    side_width,
    span_of,
)
from featherbench.pictures.root_names import named_parts
from featherbench.pictures.root_views import (
    VIEWS,
    Build,
    Points,
    blade_outline,
    blade_reach,
    out_on_the_blade,
    shape_of,
)
from featherbench.plain_text import plain
from featherbench.scenario import Scenario

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


ORDER = ("blade", "grip", "other", "bolt", "counterweight")
"""From the back to the front."""
HATCHES = {"counterweight": "/////", "grip": "", "bolt": "xxxxx"}
CENTRE = style.Stroke("faint", 0.8, (9.0, 2.0, 1.5, 2.0))
CLOSEST = 0.28
"""Between two figures of the grid, inches."""
STEPS = {"metric": 10.0, "trade": 0.25}
"""Of the grid, in units of display."""


class Sizes(NamedTuple):
    """Lowest and highest radius, chord and normal that are shown, m (3, 2); scale: inches of paper a metre."""

    span: Points
    scale: float


def build_of(scenario: Scenario, name: str = "") -> Build:
    """A build that need not run. Raises ScenarioError as `build_assembly` does."""
    return Build(name, build_assembly(scenario), scenario)


def root_figure(
    builds: Sequence[tuple[str, Assembly, Scenario]], system: str, axes: Sequence[Axes] | None = None
) -> Figure:
    """Side, top and end view of one blade root, or side and end view of each of several, all to one scale.

    axes: of your own, for each build in turn its side and end view (two each), with the top view after them (three
    each), or the side view alone (one each); the names stand inside the side view's axes, at the right.
    """
    shown = [Build(*build) for build in builds]
    with style.applied():
        span = span_of(shown)
        names = [named_parts(build, span, system) for build in shown]
        wide = max(text_width(label.text) for labels in names for label in labels) + 0.3
        if axes is None:
            figure, axes, scale = laid_out(span, wide, [len(labels) for labels in names])
        else:
            owner = axes[0].get_figure(root=True)
            assert owner is not None
            figure, scale = owner, fitting(axes, len(shown), span, wide)
        each = len(axes) // len(shown)
        for number, (build, labels) in enumerate(zip(shown, names, strict=True)):
            for view, ax in zip(
                ("side", "end", "top"), axes[number * each : (number + 1) * each], strict=False
            ):
                _draw_view(ax, build, view, Sizes(span, scale), system)
                if view == "side":
                    write_labels(ax, labels, float(span[0, 0]) + (side_width(ax, span, scale) + 0.16) / scale)
        return figure


def _draw_view(ax: Axes, build: Build, view: str, sizes: Sizes, system: str) -> None:
    across, up = VIEWS[view]
    low, high = sizes.span[[across, up]].T
    width, height = inches(ax)
    spare = height - ABOVE - BELOW - (high[1] - low[1]) * sizes.scale
    bottom = low[1] - (BELOW + 0.5 * spare) / sizes.scale
    left = low[0] if view == "side" else 0.5 * (low[0] + high[0]) - 0.5 * width / sizes.scale
    ax.set_xlim(left, left + width / sizes.scale)
    ax.set_ylim(bottom, bottom + height / sizes.scale)
    ax.set_aspect("equal", adjustable="datalim")
    for spine in ax.spines.values():
        spine.set_visible(False)
    ax.set_xticks([])
    ax.set_yticks([])
    step = _grid(ax, (low, high), sizes.scale, system)
    _shapes(ax, build, view)
    _axes_of_the_build(ax, build, view, low, high)
    _words(ax, build, view, (low, high), (step, sizes.scale), system)


def _grid(ax: Axes, ends: tuple[Points, Points], scale: float, system: str) -> float:
    """Rules with their figures; the distance between them, m."""
    (low, high), factor, step = ends, display_factor("length", system)[0], STEPS[system]
    while step / factor * scale < CLOSEST / (2.0 if system == "trade" else 1.0):
        step *= 2.5 if f"{step:e}"[0] == "2" and system == "metric" else 2.0
    thin: dict[str, Any] = {"color": style.colour("rule"), "linewidth": 0.5, "zorder": 0.2}
    look: dict[str, Any] = {"fontsize": style.SMALL - 1.5, "color": style.colour("faint")}
    figures_at = 1 if step / factor * scale >= CLOSEST * (1.4 if system == "trade" else 1.0) else 2
    for number, (first, last) in enumerate(zip(low, high, strict=True)):
        counts = range(ceil(first * factor / step), floor(last * factor / step) + 1)
        places = [count * step / factor for count in counts]
        if number == 0:
            ax.vlines(places, low[1], high[1], **thin)
        else:
            ax.hlines(places, low[0], high[0], **thin)
        for count, place in zip(counts, places, strict=True):
            if count % figures_at:
                continue
            text = f"{count * step:g}".replace("-", "\u2212")
            if number == 0:
                ax.text(place, low[1] - 0.04 / scale, text, ha="center", va="top", **look)
            else:
                ax.text(low[0] - 0.04 / scale, place, text, ha="right", va="center", **look)
    return step / factor


def _shapes(ax: Axes, build: Build, view: str) -> None:
    """Every part's outline in its group's stroke, the blade at the back."""
    from matplotlib.patches import Polygon

    parts = sorted(build.assembly.parts, key=lambda part: ORDER.index(part.group))
    if not any(solid.kind == "blade" for part in parts for solid in part.solids):
        points = blade_outline(build.assembly.outline, view, blade_reach(build.assembly))
        closed = np.vstack([points, points[:1]])
        draw(ax, closed[:, 0], closed[:, 1], style.Stroke("blue", 0.8, (1.0, 1.5)), zorder=1.0)
    for layer, part in enumerate(parts):
        stroke = style.GROUPS[part.group]
        tint, order = style.colour(stroke.role), 1.0 + 0.1 * layer
        shape = shape_of(part, view, build.assembly, build.scenario)
        if out_on_the_blade(shape, build, view):
            shape = shape._replace(marks=())
        for points in shape.outlines:
            ax.add_patch(
                Polygon(points, closed=True, facecolor=tint, alpha=0.15, linewidth=0.0, zorder=order)
            )
            hatch = HATCHES.get(part.group) if view != "top" else None
            if hatch:
                ax.add_patch(
                    Polygon(
                        points,
                        closed=True,
                        facecolor="none",
                        edgecolor=tint,
                        hatch=hatch,
                        linewidth=0.0,
                        alpha=0.45,
                        zorder=order,
                    )
                )
            _closed(ax, points, stroke._replace(width=1.1), order + 0.05)
        for points in shape.bores:
            _closed(ax, points, style.Stroke(stroke.role, 0.6, (2.0, 1.5)), order)
        for points in shape.boxes:
            _closed(ax, points, style.Stroke(stroke.role, 1.0, (1.0, 1.5)), order)
        for mark in shape.marks:
            for kind, size in (("o", 7.0), ("+", 11.0)):
                look = style.Stroke(stroke.role, 1.2)
                draw(
                    ax,
                    [mark[0]],
                    [mark[1]],
                    look,
                    marker=kind,
                    markersize=size,
                    markerfacecolor="none",
                    linestyle="none",
                    zorder=3.0,
                )


def _closed(ax: Axes, points: Points, stroke: style.Stroke, order: float) -> None:
    around = np.vstack([points, points[:1]])
    draw(ax, around[:, 0], around[:, 1], stroke, zorder=order)


def _axes_of_the_build(ax: Axes, build: Build, view: str, low: Points, high: Points) -> None:
    """Feathering axis and bolt axis as centre lines, and the heights that weights may take."""
    bolt = build.assembly.bolt
    across = {"side": bolt.radius, "top": bolt.radius, "end": bolt.chord}[view]
    draw(ax, [low[0], high[0]], [0.0, 0.0], CENTRE, zorder=2.5)
    if view == "top":
        arm = 0.06 * float(high[1] - low[1])
        draw(ax, [across, across], [bolt.chord - arm, bolt.chord + arm], CENTRE, zorder=2.5)
        return
    draw(ax, [across, across], [low[1], high[1]], CENTRE, zorder=2.5)
    room = build.scenario.envelope
    if room:
        for level in (room.height_above, -room.height_below):
            draw(ax, [low[0], high[0]], [level, level], style.Stroke("orange", 0.9, (1.0, 2.0)), zorder=0.6)


def _words(
    ax: Axes,
    build: Build,
    view: str,
    ends: tuple[Points, Points],
    lengths: tuple[float, float],
    system: str,
) -> None:
    """Title over the view; which way shaft and leading edge are, and the scale bar."""
    (low, high), (step, scale) = ends, lengths
    name = f"{plain(build.name, 20)}: " if build.name and view == "side" else ""
    titles = {"side": "seen along the chord", "top": "seen from above", "end": "from the tip"}
    small: dict[str, Any] = {"fontsize": style.SMALL - 0.5, "color": style.colour("faint")}
    over, under = high[1] + 0.03 / scale, low[1] - 0.19 / scale
    unit = unit_sign("length", system)
    ax.annotate(
        f"{name}{titles[view]}, {unit}",
        (0.0, 1.0),
        xycoords="axes fraction",
        xytext=(0.0, 3.0),
        textcoords="offset points",
        fontsize=style.TEXT,
        annotation_clip=False,
    )
    if view == "end":
        ax.text(high[0], under, "leading edge \u2192", ha="right", va="top", **small)
    elif view == "top":
        ax.text(high[0], over, "leading edge \u2191", ha="right", va="bottom", **small)
    else:
        ax.text(low[0], under, "\u2190 shaft", va="top", **small)
        level, start = under - 0.07 / scale, low[0] + 0.62 / scale
        draw(ax, [start, start + step], [level, level], style.Stroke("ink", 2.0), solid_capstyle="butt")
        length = f"{step * display_factor('length', system)[0]:g} {unit}"
        ax.text(start + step + 0.05 / scale, level, length, va="center", **small)
