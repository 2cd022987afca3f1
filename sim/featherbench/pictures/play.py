"""How far the free play of the linkage shows over pitch, and where the blades may float in it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

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


def play_figure(cases: Sequence[Case], system: str, ax: Axes | None = None) -> Figure:
    """Lost motion over pitch, one line a build; bars under them: float windows; a mark where the build hovers."""
    with style.applied():
        figure, ax = panel_or_new(2.5, ax)
        labels: list[Label] = []
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
            _hover(ax, case, pitch, lost, stroke)
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


def _hover(ax: Axes, case: Case, pitch: np.ndarray, lost: np.ndarray, stroke: style.Stroke) -> None:
    hover = case.run.hover
    if hover is None or not hover.found:
        return
    at = float(np.rad2deg(hover.pitch))
    tint = style.colour(stroke.role)
    height = float(np.interp(at, pitch, lost))
    ax.plot([at], [height], marker="o", markersize=6.0, markerfacecolor=style.colour("paper"), color=tint)
    name = f"{case.name}: hover" if case.name else "hover"
    ax.annotate(
        name,
        (at, height),
        xytext=(5, 7),
        textcoords="offset points",
        fontsize=style.SMALL,
        color=tint,
        bbox={"facecolor": style.colour("paper"), "edgecolor": "none", "pad": 0.8, "alpha": 0.8},
    )
