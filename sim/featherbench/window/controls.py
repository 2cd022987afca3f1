"""The sliders and buttons of the window, in the units chosen, and the table of figures under them."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from featherbench import quantities
from featherbench.numerals import row_texts
from featherbench.pictures import style
from featherbench.window.panel import NOW

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.figure import Figure

    from featherbench.exploring import Slider, Snapshot

FIGURES = (
    ("compensation", "ratio", "compensation"),
    ("mass", "mass", "mass of one assembly"),
    ("centrifugal_load", "force", "its centrifugal load"),
    ("rod_force_push", "force", "largest push"),
    ("rod_force_pull", "force", "largest pull"),
    ("rod_force_hover", "force", "force in hover"),
    ("current_hold_hover", "current", "holding in hover"),
)
"""Rows of the table: finding, kind, words; those that the build in the file has."""
DIGITS = {"length": {"metric": 2, "trade": 3}, "mass": {"metric": 2, "trade": 2}}
LONGEST_LABEL = 36
GRIP = 0.025
"""Of a slider's range, that its axes reach beyond both ends."""
PLACES = {"angle": 1, "rotation": 0}


def slider_text(slider: Slider, value: float, system: str) -> str:
    """A slider's value as people read it."""
    number, unit = quantities.shown(value, slider.kind, system)
    places = DIGITS.get(slider.kind, {}).get(system, PLACES.get(slider.kind, 2))
    shown = f"{number:.{places}f}"
    return f"{shown.lstrip('-') if float(shown) == 0.0 else shown} {unit}"


class Bar:
    """One slider: matplotlib's, in the unit of display, with its writing above it."""

    def __init__(
        self, figure: Figure, slider: Slider, system: str, moved: Callable[[str, float], None]
    ) -> None:
        """moved: takes the slider's key and the value it was moved to, SI."""
        from matplotlib.widgets import Slider as Drawing

        # without this, outside a window, the whole figure is drawn as each slider is made
        Widget = type("Slider", (Drawing,), {"drawon": False})
        self.slider, self._system = slider, system
        self._factor = quantities.shown(1.0, slider.kind, system)[0]
        places = [place * self._factor for place in slider.places]
        ax = figure.add_axes((0.0, 0.0, 0.1, 0.1), label=slider.key)
        handle = {"facecolor": style.colour("paper"), "edgecolor": style.colour(NOW.role), "size": 11}
        self.widget = Widget(
            ax,
            textwrap.shorten(slider.label, LONGEST_LABEL, placeholder=" ..."),
            places[0],
            places[-1],
            valinit=slider.start * self._factor,
            valstep=places,
            color=style.colour(NOW.role),
            track_color=style.colour("rule"),
            initcolor=style.colour("grey"),
            handle_style=handle,
        )
        room = GRIP * (
            places[-1] - places[0]
        )  # a handle at either end lies within the axes, and can be taken
        ax.set_xlim(places[0] - room, places[-1] + room)
        self.widget.label.set(x=0.0, y=1.15, ha="left", va="bottom", fontsize=style.SMALL)
        self.widget.valtext.set(
            x=1.0, y=1.15, ha="right", va="bottom", fontsize=style.SMALL, color=style.colour(NOW.role)
        )
        self._moved = moved
        self.moving: list[Artist] = [self.widget.poly, self.widget.vline, ax.lines[-1], self.widget.valtext]
        for artist in self.moving:
            artist.set_animated(True)
        self.widget.on_changed(self._changed)
        self._write(slider.start)

    def _changed(self, number: float) -> None:
        value = self.slider.nearest(number / self._factor)
        self._write(value)
        self._moved(self.slider.key, value)

    def _write(self, value: float) -> None:
        self.widget.valtext.set_text(slider_text(self.slider, value, self._system))

    def put(self, value: float) -> None:
        """Move it there, SI, without telling anybody."""
        self.widget.eventson = False
        self.widget.set_val(self.slider.nearest(value) * self._factor)
        self.widget.eventson = True
        self._write(self.slider.nearest(value))


class Table:
    """Figures that are no picture: now, and as in the file."""

    def __init__(self, figure: Figure, base: Snapshot, system: str) -> None:
        """The build as in the file."""
        self._base, self._system = base, system
        style_of: dict[str, Any] = {"fontsize": style.SMALL, "va": "baseline", "linespacing": 1.25}
        self._texts = [
            figure.text(0.0, 0.0, "", ha=side, color=style.colour(role), **style_of)
            for side, role in (("left", "ink"), ("right", NOW.role), ("right", "faint"))
        ]
        self._texts[1].set_animated(True)
        self.moving: list[Artist] = [self._texts[1]]
        names, _, file = self._columns(base)
        self._texts[0].set_text("\n".join(["", *names]))
        self._texts[2].set_text("\n".join(["in the file", *file]))

    def _columns(self, snapshot: Snapshot) -> tuple[list[str], list[str], list[str]]:
        names, now, file = [], [], []
        for name, kind, words in FIGURES:
            if self._base.findings[name] is None:
                continue
            (one, two), unit, _ = row_texts(
                [snapshot.findings[name], self._base.findings[name]], kind, self._system
            )
            names.append(f"{words}, {unit}" if unit else words)
            now.append(one)
            file.append(two)
        return names, now, file

    def show(self, snapshot: Snapshot) -> None:
        """The figures of a snapshot."""
        self._texts[1].set_text("\n".join(["now", *self._columns(snapshot)[1]]))

    def place(self, box: tuple[float, float, float, float]) -> None:
        """Put it there: left, bottom, width, height as shares of the figure."""
        left, bottom, width, _ = box
        for text, share in zip(self._texts, (0.0, 0.74, 1.0), strict=True):
            text.set_position((left + share * width, bottom))


def make_buttons(figure: Figure, words: Sequence[tuple[str, Callable[[], object]]]) -> list[Any]:
    """Buttons that call what belongs to their words."""
    from matplotlib.widgets import Button

    made = []
    for text, pressed in words:
        ax = figure.add_axes((0.0, 0.0, 0.1, 0.1), label=text)
        plain = style.colour("rule")
        button = Button(ax, text, color=plain, hovercolor=plain, useblit=False)
        button.drawon = False
        button.label.set_fontsize(style.SMALL)
        button.on_clicked(lambda _event, call=pressed: call())  # type: ignore[misc]
        for spine in ax.spines.values():
            spine.set_visible(False)
        made.append(button)
    return made
