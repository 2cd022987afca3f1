"""Room for our labels inside axes that somebody else laid out.

Our figures write names at the right of a panel and a head over it, in margins that their own figures have. Axes from
`plt.subplots` have no such margins: so the axes shrink inside the place they were given, and go on doing so when a
layout moves or stretches that place.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from featherbench.pictures import drawing, style
from featherbench.pictures.drawing import figure_of
from featherbench.pictures.root_labels import text_width

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.backend_bases import RendererBase
    from matplotlib.gridspec import SubplotSpec
    from matplotlib.text import Text
    from matplotlib.transforms import Bbox

MOST = 0.5
"""Largest share of the width that labels take."""
TICKS = 0.42
"""Inches left of the axes that figures on the axis take, so that a head may begin there."""
SPARE = 0.1
"""Inches kept clear beside words."""
HEAD = 0.14
"""Inches between the axes and a head."""


class Shrunk(NamedTuple):
    """A locator of axes: the place they were given, less `left` and `right` inches.

    before: the locator they had, if any (axes inset in others have one).
    """

    axes: Axes
    left: float
    right: float
    before: object = None

    def __call__(self, ax: Axes, renderer: RendererBase | None) -> Bbox:
        """The place to draw in, in shares of the figure."""
        from matplotlib.transforms import Bbox

        whole = self.before(ax, renderer) if callable(self.before) else ax.get_position(original=True)
        width = float(figure_of(ax).get_size_inches()[0]) * whole.width
        share = min(1.0, MOST * width / max(self.left + self.right, 1e-9))
        taken = [share * side / width * whole.width for side in (self.left, self.right)]
        return Bbox.from_extents(whole.x0 + taken[0], whole.y0, whole.x1 - taken[1], whole.y1)

    def get_subplotspec(self) -> SubplotSpec | None:
        """Where in a grid the axes stand: layouts ask the locator, when there is one."""
        return self.axes.get_subplotspec()


def make_room(axes: Sequence[Axes], left: float = 0.0, right: float = drawing.RIGHT) -> None:
    """Shrink each of the axes inside its place by so many inches, at most by `MOST` of its width."""
    for ax in axes:
        _place(ax, Shrunk(ax, left, right, ax.get_axes_locator()))


def _place(ax: Axes, locator: Shrunk) -> None:
    ax.set_axes_locator(locator)  # type: ignore[arg-type]
    ax.apply_aspect(locator(ax, None))


def fit_words(axes: Sequence[Axes]) -> None:
    """Take back the room that no label needs, and break what stands over and under each panel into lines that fit it.

    For axes that `make_room` has shrunk, after they were drawn on. All keep the same room, so that panels under one
    another stay level.
    """
    needed = max(_beside(ax) for ax in axes) + SPARE
    for ax in axes:
        locator: object = ax.get_axes_locator()
        assert isinstance(locator, Shrunk)
        shrunk = locator._replace(right=min(locator.right, needed))
        _place(ax, shrunk)
        width = float(figure_of(ax).get_size_inches()[0])
        whole, drawn = shrunk._replace(left=0.0, right=0.0)(ax, None), ax.get_position()
        start = max((drawn.x0 - whole.x0) * width, TICKS)
        for text in ax.texts:
            if _is_head(text):
                text.set_text(
                    "\n".join(_lines(text.get_text(), (whole.x1 - drawn.x0) * width + start - SPARE))
                )
                text.xyann = (-72.0 * start + 2.0, 72.0 * HEAD)  # type: ignore[attr-defined]
            elif text.get_transform() == ax.transAxes and text.get_position()[0] < 1.0:
                room = (1.0 - text.get_position()[0]) * drawn.width * width
                text.set_text("\n".join(_lines(text.get_text(), room)))
        below = ax.xaxis.label
        below.set_text(
            "\n".join(_lines(below.get_text(), max(drawn.width, whole.width - TICKS / width) * width))
        )


def _beside(ax: Axes) -> float:
    """Inches that the words right of a panel reach beyond it."""
    reach = 0.0
    width = ax.get_position().width * float(figure_of(ax).get_size_inches()[0])
    for text in ax.texts:
        x, _ = text.get_position()
        if text.get_transform() == ax.transAxes or getattr(text, "anncoords", "") == "axes fraction":
            start = (x - 1.0) * width
        elif getattr(text, "anncoords", "") == "offset points" and _starts_at_right(text):
            start = x / 72.0
        elif text.get_transform() == ax.transData:  # at the end of a bar, which may be as long as the panel
            start = 0.0
        else:
            continue
        longest = max(
            (text_width(line, float(text.get_fontsize())) for line in text.get_text().split("\n")),
            default=0.0,
        )
        reach = max(reach, start + longest if start >= 0.0 else 0.0)
    return reach


def _starts_at_right(text: Text) -> bool:
    return getattr(text, "xy", (0.0,))[0] == 1.0 and text.get_horizontalalignment() == "left"


def _is_head(text: Text) -> bool:
    return getattr(text, "xy", None) == (0.0, 1.0) and getattr(text, "xycoords", "") == "axes fraction"


def _lines(text: str, room: float) -> list[str]:
    """Words in lines of at most `room` inches each."""
    lines: list[str] = []
    with style.applied():
        for word in text.split():
            longer = f"{lines[-1]} {word}" if lines else word
            if lines and text_width(longer, style.TEXT) <= room:
                lines[-1] = longer
            else:
                lines.append(word)
    return lines
