"""What every picture of the window is: a name, a sentence, and what moves over a background that is kept.

What moves is drawn by the window; `show` updates it and tells whether the scale has changed too, so that the picture
itself must be drawn again.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from featherbench.pictures import style
from featherbench.pictures.drawing import draw, zero_line

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from featherbench.exploring import Snapshot

FILE, NOW = style.CASES[0], style.CASES[1]
"""The build as in the file, and as the sliders stand."""
WHOLE = 0.26
"""Opacity of the whole range."""
LEFT = 0.66
"""Inches between a panel's left edge and its axis."""
STEPS = (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 7.0, 10.0)
SHRINK = 0.4
"""A scale stays until its picture fills less than this share of it."""


def scale(needed: float, now: float, steps: Sequence[float] = ()) -> float:
    """The round scale that holds `needed`; the one in use for as long as it does well enough.

    steps: those to choose from, else of 1 to 10 times a power of ten.
    """
    if SHRINK * now <= needed <= now:
        return now
    if steps:
        return next((step for step in steps if step >= needed), steps[-1])
    power = 10.0 ** np.floor(np.log10(max(needed, 1e-9)))
    return float(next(step * power for step in STEPS if step * power >= needed * (1.0 - 1e-9)))


def key_axes(figure: Figure) -> Axes:
    """What the strokes mean, once for all pictures; to be placed."""
    ax = figure.add_axes((0.0, 0.9, 0.1, 0.05), label="key")
    ax.set_axis_off()
    ax.set(xlim=(0.0, 1.0), ylim=(0.0, 1.0))
    names = (
        ("now", NOW, 0.0),
        ("as in the file", FILE, 0.126),
        ("what the servo has", style.LIMIT, 0.34),
        ("95 % of tolerances and doubts", None, 0.63),
    )
    for words, stroke, place in names:
        role = stroke.role if stroke else NOW.role
        if stroke:
            draw(ax, [place, place + 0.052], [0.5, 0.5], stroke)
        else:
            tint = style.colour(role)
            ax.fill_between(
                [place, place + 0.052], 0.2, 0.8, facecolor=(tint, WHOLE), edgecolor=tint, linewidth=0.45
            )
        look: dict[str, Any] = {"fontsize": style.SMALL, "color": style.colour(role)}
        ax.text(place + 0.063, 0.5, words, va="center", **look)
    return ax


class Panel:
    """A picture with a name and a sentence. moving: what is drawn over the background, the sentence last."""

    def __init__(self, ax: Axes, name: str, across: str) -> None:
        """Axes, what the picture shows, and what lies along it."""
        self.ax = ax
        self.moving: list[Artist] = []
        self._edge = 0.0
        ax.set_xlabel(across, fontsize=style.SMALL, labelpad=2.0)
        zero_line(ax)
        self._said = [
            ax.annotate(
                text,
                (0.0, 1.0),
                xytext=(-LEFT * 72.0 + 6.0, up),
                xycoords="axes fraction",
                textcoords="offset points",
                fontsize=size,
                color=style.colour(role),
                annotation_clip=False,
            )
            for text, up, size, role in ((name, 20.0, style.TEXT, "ink"), ("", 7.0, style.SMALL, NOW.role))
        ]

    def show(self, snapshot: Snapshot) -> bool:
        """Draw a snapshot; True when the scale has changed."""
        raise NotImplementedError

    def forget_scale(self) -> None:
        """Choose the scale afresh at the next snapshot."""
        self._edge = 0.0

    def say(self, text: str) -> None:
        """The sentence under the name."""
        self._said[1].set_text(text)

    def _line(self, stroke: style.Stroke, **more: Any) -> Any:
        """A line that moves."""
        draw(self.ax, [], [], stroke, animated=True, **more)
        line = self.ax.lines[-1]
        self.moving.append(line)
        return line

    def _done(self) -> None:
        """After everything else that moves."""
        self._said[1].set_animated(True)
        self.moving.append(self._said[1])
