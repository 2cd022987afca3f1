"""Pieces of the window that are drawn again by themselves, over what was kept of what lies under them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from featherbench.window.layout import Box


class Cell:
    """A region with what moves in it. ax: a whole picture that stands in it, drawn again when its scale changes."""

    def __init__(self, moving: Sequence[Artist], ax: Axes | None = None) -> None:
        """What moves, in the order in which it is drawn."""
        self.moving, self.ax = tuple(moving), ax
        self.box: Box = (0.0, 0.0, 1.0, 1.0)
        self._bare: Any = None
        self._kept: Any = None
        for artist in (*moving, *([ax] if ax is not None else [])):
            artist.set_animated(True)

    @property
    def ready(self) -> bool:
        """Whether what lies under it has been kept."""
        return self._kept is not None

    def forget(self) -> None:
        """What was kept is no longer so."""
        self._bare = self._kept = None

    def first(self, figure: Figure, renderer: Any, keep: bool, saving: bool) -> None:
        """After a whole drawing: keep what lies there, draw the picture, keep that, draw what moves.

        A picture that is saved draws its moving parts by itself.
        """
        canvas: Any = figure.canvas
        region = self._region(figure)
        if keep:
            self._bare = canvas.copy_from_bbox(region)
        if self.ax is not None:
            self.ax.draw(renderer)
        if keep:
            self._kept = canvas.copy_from_bbox(region)
        for artist in self.moving:
            if not saving or artist.axes is None:
                artist.draw(renderer)

    def again(self, figure: Figure, rescaled: bool) -> None:
        """Only what moves, over what was kept; with the picture itself when its scale has changed."""
        canvas: Any = figure.canvas
        if rescaled and self.ax is not None:
            canvas.restore_region(self._bare)
            figure.draw_artist(self.ax)
            self._kept = canvas.copy_from_bbox(self._region(figure))
        else:
            canvas.restore_region(self._kept)
        for artist in self.moving:
            figure.draw_artist(artist)

    def _region(self, figure: Figure) -> Any:
        from matplotlib.transforms import Bbox

        wide, tall = figure.bbox.width, figure.bbox.height
        left, bottom, width, height = self.box
        return Bbox.from_extents(
            round(left * wide),
            round(bottom * tall),
            round((left + width) * wide),
            round((bottom + height) * tall),
        )
