"""How large the views of a blade root are drawn and where they stand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from featherbench.pictures import style
from featherbench.pictures.root_views import (
    VIEWS,
    Build,
    Points,
    blade_outline,
    blade_reach,
    out_on_the_blade,
    shape_of,
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

LEFT, RIGHT, TOP, BOTTOM, ACROSS, BETWEEN = 0.42, 0.06, 0.3, 0.04, 0.42, 0.36
"""Margins and gaps between views, inches."""
ABOVE, BELOW = 0.16, 0.36
"""Room in the axes above and below what is drawn, for figures and words, inches."""
SIDE, END = 1.65, 1.3
"""Least width of a column of views, for the words over and under it, inches."""
LINE = 0.165
"""Height of a name in the column, inches."""
TALLEST = 8.5
"""Of one build's views together, inches."""
LARGEST = 5.0
"""Enlargement at which a root is large enough."""
INCHES = 1.0 / 0.0254


def span_of(builds: Sequence[Build]) -> Points:
    """Lowest and highest (3, 2) of everything that any of the builds shows, with a little room, m."""
    lows, highs = [], []
    for build in builds:
        bolt, room = build.assembly.bolt, build.scenario.envelope
        reach = blade_reach(build.assembly)
        lows.append([bolt.radius, bolt.chord, -room.height_below if room else 0.0])
        highs.append([reach, bolt.chord, room.height_above if room else 0.0])
        shapes = [blade_outline(build.assembly.outline, view, reach) for view in VIEWS]
        ends = {view: [shape] for view, shape in zip(VIEWS, shapes, strict=True)}
        for part in build.assembly.parts:
            for view in VIEWS:
                shape = shape_of(part, view, build.assembly, build.scenario)
                if not out_on_the_blade(shape, build, view):
                    ends[view].append(shape.extents)
        for view, (across, up) in VIEWS.items():
            every = np.vstack(ends[view])
            low, high = [np.inf] * 3, [-np.inf] * 3
            low[across], low[up] = every.min(axis=0)
            high[across], high[up] = every.max(axis=0)
            lows.append(low)
            highs.append(high)
    low, high = np.min(lows, axis=0), np.max(highs, axis=0)
    spare = 0.02 * float(np.max(high - low))
    return np.column_stack([low - spare, high + spare])


def laid_out(span: Points, wide: float, labels: Sequence[int]) -> tuple[Figure, list[Axes], float]:
    """A figure, its axes (side, end and, of one build, top) and the scale that fills the width."""
    from matplotlib.figure import Figure

    size, alone = span[:, 1] - span[:, 0], len(labels) == 1
    scale = LARGEST * INCHES
    while _width(size, scale, wide, alone) > max(style.WIDTH, _width(size, 0.0, wide, alone)) or (
        _height(size, scale, alone) > TALLEST
    ):
        scale *= 0.995
    across = _width(size, scale, wide, alone)
    side, end, normal = max(size[0] * scale, SIDE), max(size[1] * scale, END), size[2] * scale
    second = LEFT + side + (ACROSS if alone else wide + ACROSS)
    places, top = [], TOP
    for count in labels:
        row = max(normal + ABOVE + BELOW, count * LINE)
        places.append((LEFT, top, side + wide, row))
        if not alone:
            places.append((second, top, end, row))
        top += row + BETWEEN
    if alone:
        row = max(normal, size[1] * scale) + ABOVE + BELOW
        places += [(second, top, end, row), (LEFT, top, side, row)]
        top += row + BETWEEN
    across, tall = max(across, style.WIDTH), top - BETWEEN + BOTTOM
    figure = Figure(figsize=(across, tall))
    made = [
        figure.add_axes((x / across, 1.0 - (y + high) / tall, width / across, high / tall))
        for x, y, width, high in places
    ]
    return figure, made, scale


def _width(size: Points, scale: float, wide: float, alone: bool) -> float:
    """Inches across that views of `size` (radius, chord, normal; m) take with names `wide`."""
    side, end = max(float(size[0]) * scale, SIDE), max(float(size[1]) * scale, END)
    beside = max(wide, ACROSS + end) if alone else wide + ACROSS + end
    return LEFT + side + beside + RIGHT


def _height(size: Points, scale: float, alone: bool) -> float:
    """Inches up that the views of one build take."""
    views = (size[2], max(size[1], size[2])) if alone else (size[2],)
    return float(sum(view * scale + ABOVE + BELOW for view in views))


def fitting(axes: Sequence[Axes], count: int, span: Points, wide: float) -> float:
    """The largest scale at which every view fits the axes it was given."""
    if len(axes) % count or not 1 <= len(axes) // count <= 3:
        raise ValueError(f"{len(axes)} axes for {count} builds: give 1, 2 or 3 for each")
    size, scale = span[:, 1] - span[:, 0], LARGEST * INCHES
    for number, ax in enumerate(axes):
        view = ("side", "end", "top")[number % (len(axes) // count)]
        across, up = VIEWS[view]
        width, height = inches(ax)
        taken = min(wide, 0.5 * width) if view == "side" else 0.0
        scale = min(
            scale, (width - taken) / size[across], max(height - ABOVE - BELOW, 0.3 * height) / size[up]
        )
    return scale


def side_width(ax: Axes, span: Points, scale: float) -> float:
    """Inches of the side view's axes that are not for names."""
    drawn = float(span[0, 1] - span[0, 0]) * scale
    return drawn if drawn >= SIDE else min(SIDE, max(drawn, 0.5 * inches(ax)[0]))


def inches(ax: Axes) -> tuple[float, float]:
    """Width and height of axes."""
    figure = ax.get_figure(root=True)
    assert figure is not None
    place, size = ax.get_position(), figure.get_size_inches()
    return float(place.width * size[0]), float(place.height * size[1])
