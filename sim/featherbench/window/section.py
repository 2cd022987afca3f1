"""The small picture of the window that shows from the tip where bolt and weights sit, and follows the sliders."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from featherbench.pictures import style
from featherbench.pictures.root_views import shape_of

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

    from featherbench.exploring import Snapshot

ORDER = ("blade", "grip", "other", "bolt", "counterweight")
"""Of the groups, from the back."""
OPACITY = {"blade": 0.25, "grip": 0.0, "other": 0.0, "bolt": 0.45, "counterweight": 0.6}
SPARE = 1.12
"""How much larger the picture is than what it shows."""


class SectionView:
    """The parts of one assembly as seen from the tip, leading edge at the right, thrust up."""

    def __init__(self, ax: Axes, base: Snapshot) -> None:
        """The build as in the file; the picture keeps its scale until something does not fit."""
        from matplotlib.collections import PolyCollection

        self.ax = ax
        self._edge = 0.0
        ax.set_axis_off()
        ax.set_aspect("equal", adjustable="box")
        self._groups = {}
        for layer, group in enumerate(ORDER):
            tint = style.colour(style.GROUPS[group].role)
            drawn = PolyCollection(
                [], facecolors=[(tint, OPACITY[group])], edgecolors=[tint], linewidths=0.9, zorder=1.0 + layer
            )
            drawn.set_animated(True)
            ax.add_collection(drawn, autolim=False)
            self._groups[group] = drawn
        self.moving: list[Artist] = list(self._groups.values())
        ax.annotate(
            "from the tip",
            (0.5, 0.0),
            xytext=(0.0, -11.0),
            xycoords="axes fraction",
            textcoords="offset points",
            fontsize=style.SMALL,
            color=style.colour("faint"),
            horizontalalignment="center",
            annotation_clip=False,
        )
        self.show(base)

    def show(self, snapshot: Snapshot) -> bool:
        """Draw a snapshot; True when the scale has changed."""
        assembly, scenario = snapshot.setup.assembly, snapshot.scenario
        reach = 0.0
        shapes: dict[str, list[np.ndarray]] = {group: [] for group in ORDER}
        for part in assembly.parts:
            shape = shape_of(part, "end", assembly, scenario)
            for points in (*shape.outlines, *(shape.boxes if part.group != "blade" else ())):
                shapes[part.group].append(points)
                reach = max(reach, float(np.abs(points).max()))
        for group, polygons in shapes.items():
            self._groups[group].set_verts(polygons)
        if self._edge / SPARE**4 <= SPARE * reach <= self._edge:
            return False
        self._edge = SPARE * reach
        self.ax.set(xlim=(-self._edge, self._edge), ylim=(-self._edge, self._edge))
        return True

    def forget_scale(self) -> None:
        """Choose the scale afresh at the next snapshot."""
        self._edge = 0.0
