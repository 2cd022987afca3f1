"""Picture of hover: the heading as it was flown."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from featherbench.pictures import style
from featherbench.pictures.drawing import (
    draw,
    figure_of,
    head,
    panels,
    shown,
    unit_sign,
    zero_line,
)
from featherbench.plant.flight import F_HEADING, F_PITCH, F_TIME

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from featherbench.hovering.wag import Wag

HEIGHTS_WAG = (1.7, 1.5)


def wag_figure(wag: Wag, system: str, axes: Sequence[Axes] | None = None) -> Figure:
    """Heading and blade pitch over time, as flown with disturbance and play."""
    with style.applied():
        figure, axes = panels(HEIGHTS_WAG) if axes is None else (figure_of(axes[0]), axes)
        record = wag.flight.record
        for ax, column, name in ((axes[0], F_HEADING, "heading"), (axes[1], F_PITCH, "blade pitch")):
            draw(ax, record[:, F_TIME], shown(record[:, column], "angle", system), style.ALONE, label=name)
            head(ax, name, unit_sign("angle", system))
        zero_line(axes[0])
        axes[-1].set_xlabel("time, s")
        return figure
