"""Names in a column beside a view, each led to the point it names, without one line crossing another."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from featherbench.pictures import style
from featherbench.pictures.drawing import LINE_HEIGHT
from featherbench.pictures.root_views import Points

if TYPE_CHECKING:
    from matplotlib.axes import Axes

SMALLEST = 6.0
"""Font size below which names are left out rather than shrunk, points."""


class Named(NamedTuple):
    """A name, the point (2,) it belongs to in data units, and the role of its colour."""

    text: str
    at: Points
    role: str


def text_width(text: str, size: float = style.SMALL) -> float:
    """Width of one line in inches, in the font that is set; of the points that span its curves, so hardly too wide."""
    from matplotlib.textpath import TextPath

    across = TextPath((0.0, 0.0), text, size=size).vertices[:, 0]
    return float(np.ptp(across)) / 72.0 if len(across) else 0.0


def write_labels(ax: Axes, labels: Sequence[Named], left: float) -> None:
    """Write the names one below the other from `left` (data units), over the height of the axes.

    Of all orders the one with the shortest leaders in sum is taken: straight leaders then do not cross.
    """
    from scipy.optimize import linear_sum_assignment

    low, high = ax.get_ylim()
    figure = ax.get_figure(root=True)
    assert figure is not None
    points = float(ax.get_position().height * figure.get_size_inches()[1] * 72.0)
    size = min(style.SMALL, max(points / (LINE_HEIGHT * len(labels)), SMALLEST))
    most = max(int(points / (LINE_HEIGHT * size)), 1)
    shown = list(labels[:most])
    pitch = min(1.6 * size, points / len(shown))
    middle = float(np.mean([label.at[1] for label in shown]))
    half = 0.5 * pitch * len(shown) * (high - low) / points
    middle = min(max(middle, low + half), high - half)
    steps = (np.arange(len(shown)) + 0.5) / len(shown) * 2.0 - 1.0
    slots = np.column_stack([np.full(len(shown), left), middle + half * steps])
    anchors = np.array([label.at for label in shown])
    distance = np.linalg.norm(anchors[:, None, :] - slots[None, :, :], axis=2)
    _, chosen = linear_sum_assignment(distance)
    for label, slot in zip(shown, chosen, strict=True):
        tint = style.colour(label.role)
        ax.annotate(
            label.text,
            xy=(float(label.at[0]), float(label.at[1])),
            xytext=(float(slots[slot, 0]), float(slots[slot, 1])),
            fontsize=size,
            color=tint,
            verticalalignment="center",
            annotation_clip=False,
            zorder=4.0,
            arrowprops={
                "arrowstyle": "-",
                "color": tint,
                "linewidth": 0.6,
                "shrinkA": 1.0,
                "shrinkB": 0.0,
                "relpos": (0.0, 0.5),
            },
        )
        ax.plot(*label.at, marker="o", markersize=2.4, color=tint, linestyle="none", zorder=4.0)
