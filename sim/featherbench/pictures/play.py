"""How far the free play of the linkage shows over pitch, and where the blades may float in it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from featherbench.pictures import style
from featherbench.pictures.bands import draw_band
from featherbench.pictures.bench import pitch_axis
from featherbench.pictures.drawing import Label, draw, head, name_lines, panel_or_new
from featherbench.studies.free_play import free_play_curves
from featherbench.views.cases import Case

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

FLOAT_RULE = 0.06
"""Height of the bar that marks a float window, as a share of the panel, one over another for several builds."""
BESIDE = 8.0
"""deg: hover pitches closer than this have no room for a name each."""


class Ring(NamedTuple):
    """Where a build hovers, deg, and how far its blade lags there, deg; the build's name and colour."""

    pitch: float
    lost: float
    name: str
    role: str


def play_figure(cases: Sequence[Case], system: str, ax: Axes | None = None) -> Figure:
    """Lost motion over pitch, one line a build; bars under them: float windows; a mark where the build hovers."""
    with style.applied():
        figure, ax = panel_or_new(2.5, ax)
        labels: list[Label] = []
        rings: list[Ring] = []
        tallest = 0.0
        for number, case in enumerate(cases):
            stroke = style.case_stroke(number, len(cases))
            free_play = free_play_curves(case.run.setup, case.run.statics)
            pitch, lost = np.rad2deg(free_play.pitch), np.rad2deg(free_play.lost_motion)
            draw_band(ax, case, "lost_motion", "angle", system, stroke.role)
            draw(ax, pitch, lost, stroke, label=case.name or "lost motion")
            labels.append(Label(float(lost[-1]), case.name or "lost motion", stroke.role))
            tallest = max(tallest, float(lost.max()))
            _windows(ax, [tuple(np.rad2deg(window)) for window in free_play.windows], number, stroke)
            rings += _ring(ax, case, pitch, lost, stroke)
        _name_hover(ax, rings, len(cases))
        room = FLOAT_RULE * (len(cases) + 0.5) * 1.2 * tallest
        ax.set_ylim(-room, 1.2 * tallest)
        pitch_axis(ax, cases)
        head(ax, "lost motion at the blade when the servo reverses", "deg")
        name_lines(ax, [*labels, Label(-0.5 * room, "free in its play", "faint")])
        return figure


def _windows(ax: Axes, windows: Sequence[tuple[float, ...]], number: int, stroke: style.Stroke) -> None:
    foot, top = (FLOAT_RULE * (number + part) for part in (0.15, 0.85))
    for low, high in windows:
        ax.fill_between(
            [low, high],
            foot,
            top,
            transform=ax.get_xaxis_transform(),
            color=style.colour(stroke.role),
            alpha=0.55,
            hatch="////" if number % 2 == 0 else "",
            linewidth=0.0,
        )


def _ring(ax: Axes, case: Case, pitch: np.ndarray, lost: np.ndarray, stroke: style.Stroke) -> list[Ring]:
    """A ring on the line where the build hovers."""
    hover = case.run.hover
    if hover is None or not hover.found:
        return []
    at = float(np.rad2deg(hover.pitch))
    height = float(np.interp(at, pitch, lost))
    face, tint = style.colour("paper"), style.colour(stroke.role)
    ax.plot([at], [height], marker="o", markersize=6.0, markerfacecolor=face, color=tint)
    return [Ring(at, height, case.name, stroke.role)]


def _name_hover(ax: Axes, rings: Sequence[Ring], builds: int) -> None:
    """Rings close together are named once, over the highest: the colour of each tells its build."""
    left = sorted(rings)
    while left:
        near = [ring for ring in left if ring.pitch - left[0].pitch <= BESIDE]
        left = left[len(near) :]
        top = max(near, key=lambda ring: ring.lost)
        names = ", ".join(ring.name for ring in near if ring.name)
        ax.annotate(
            "hover" if len(near) == builds or not names else f"{names}: hover",
            (top.pitch, top.lost),
            xytext=(5, 7),
            textcoords="offset points",
            fontsize=style.SMALL,
            color=style.colour(top.role if len(near) == 1 else "ink"),
            bbox={"facecolor": style.colour("paper"), "edgecolor": "none", "pad": 0.8, "alpha": 0.8},
        )
