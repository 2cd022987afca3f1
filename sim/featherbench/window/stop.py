"""What has to be read first in the window: the band that says whether the build may be run, and the cautions."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING

from featherbench.checks import SHORT_CAUTIONS, run_cautions
from featherbench.pictures import style
from featherbench.plain_text import plain
from featherbench.window.words import judged

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.figure import Figure

    from featherbench.exploring import Snapshot, WholeRange
    from featherbench.window.layout import Box

LETTER = 0.64
"""Width of a bold letter over its size."""
TITLE = "Cautions"
WIDTH, MARGIN, LINE = 7.2, 0.25, 0.21
"""Inches; LINE from line to line."""
COLUMNS = 88


class StopBand:
    """Over everything else, in words and colour, and with every step of a slider."""

    def __init__(self, figure: Figure) -> None:
        """Empty, until it is placed and shows a snapshot."""
        self._text = figure.text(
            0.0, 0.0, "", va="top", fontsize=style.SMALL, fontweight="bold", animated=True, linespacing=1.2
        )
        self.moving: list[Artist] = [self._text]
        self._columns, self._words = 80, ""

    def place(self, box: Box, width: float) -> None:
        """Put it there; width of the window, inches."""
        left, bottom, wide, tall = box
        self._text.set_position((left, bottom + 0.88 * tall))
        self._columns = max(40, int(wide * width * 72.0 / (LETTER * style.SMALL)))
        self._write()

    def show(self, snapshot: Snapshot, whole: WholeRange | None = None) -> None:
        """Whether the build of a snapshot may be run. whole: what its tolerances and doubts make of it."""
        words, role = judged(snapshot, whole)
        self._words = plain(words)
        self._text.set_color(style.colour(role))
        self._write()

    def _write(self) -> None:
        self._text.set_text(textwrap.fill(self._words, self._columns, max_lines=2, placeholder=" ..."))


class Cautions:
    """A line at the foot of the window, and a window with the whole text. page: that window's figure, once opened."""

    def __init__(self, figure: Figure) -> None:
        """The line, not yet placed."""
        self._line = figure.text(0.0, 0.0, SHORT_CAUTIONS[0], va="center", fontsize=style.SMALL)
        self.page: Figure | None = None

    def place(self, box: Box) -> None:
        """Put the line there."""
        self._line.set_position((box[0], box[1] + 0.5 * box[3]))

    def read(self, snapshot: Snapshot) -> None:
        """Open the whole text, or bring it up again."""
        from matplotlib import pyplot
        from matplotlib.backend_bases import NonGuiException

        self.close()
        self.page = page(run_cautions(snapshot.bench))
        manager = self.page.canvas.manager
        if manager is None:
            return
        manager.set_window_title(TITLE)
        try:
            manager.show()
        except NonGuiException:  # pictures only: whoever drew it shows it
            pyplot.figure(self.page)

    def close(self, _event: object = None) -> None:
        """Close the whole text."""
        from matplotlib import pyplot

        if self.page is not None:
            pyplot.close(self.page)
            self.page = None


def page(cautions: Sequence[str]) -> Figure:
    """A figure with all of them, as high as they need."""
    from matplotlib import pyplot, rc_context

    shown = "\n\n".join(textwrap.fill(plain(text), COLUMNS) for text in cautions)
    high = LINE * (shown.count("\n") + 1) + 2.0 * MARGIN
    with style.applied(), rc_context({"toolbar": "None"}):
        figure: Figure = pyplot.figure(figsize=(WIDTH, high), facecolor=style.colour("paper"))
        place = (MARGIN / WIDTH, 1.0 - MARGIN / high)
        figure.text(*place, shown, va="top", fontsize=style.TEXT, linespacing=1.4)
    return figure
