"""The window to play with a build: pictures that follow sliders, and a button that writes the variant.

Whatever does not move is drawn once and kept; a slider's step only draws over it what moves. While a slider is held the
build is read quickly; when it is let go, exactly as `predict` reads it.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from featherbench.exploring import Exploration, explored_variant
from featherbench.pictures import style
from featherbench.plain_text import plain
from featherbench.scenario import Scenario, ScenarioError
from featherbench.views.first_lines import of_run
from featherbench.window.backend import fit_screen
from featherbench.window.cells import Cell
from featherbench.window.controls import Bar, Table, make_buttons
from featherbench.window.force_panel import ForcePanel
from featherbench.window.layout import SIZE, layout
from featherbench.window.panel import key_axes
from featherbench.window.panels import CurrentPanel, Panel, ReleasePanel, SeatPanel
from featherbench.window.ranging import Ranging
from featherbench.window.section import SectionView
from featherbench.window.stop import Cautions, StopBand
from featherbench.window.words import named, refusal, verdict
from featherbench.window.written import write_next_free

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from featherbench.exploring import Snapshot, WholeRange

TITLE = "featherbench explore"
WRITE, BACK, READ = "write variant file", "back to the file", "read the cautions"
LONGEST_TITLE = 90
BEGIN = "Move a slider. The mark on it, and the dashed lines, are the build as in the file."


class Window:
    """An open window. figure: matplotlib's; state: what was moved, SI, by slider; snapshot: what is shown.

    left: the last state that could be built; written: variant files written so far.
    """

    def __init__(
        self,
        scenario: Scenario,
        system: str,
        variant: Path,
        settings: Mapping[str, str],
        say: Callable[[str], None],
    ) -> None:
        """See `explore`; say: takes each remark for the terminal."""
        self.exploration = Exploration(scenario, system)
        self.state: dict[str, float] = {}
        self.left: dict[str, float] = {}
        self.written: list[Path] = []
        self.base = self.snapshot = self.exploration.exact({})
        self._variant, self._settings, self._say = variant, dict(settings), say
        self._trouble = self._stale = False
        with style.applied():
            self._make(system)
        canvas: Any = self.figure.canvas
        for event, call in {
            "draw_event": self._drawn,
            "resize_event": self._resized,
            "button_release_event": self._let_go,
            "close_event": self._closed,
        }.items():
            canvas.mpl_connect(event, call)
        self.ranging.begin(self.base)

    @property
    def scenario(self) -> Scenario:
        """The build as the sliders stand (the last one that can be)."""
        return self.snapshot.scenario

    def _make(self, system: str) -> None:
        from matplotlib import pyplot, rc_context

        with rc_context({"toolbar": "None"}):  # its zoom and pan would only be in the way of the sliders
            self.figure: Figure = pyplot.figure(figsize=SIZE, facecolor=style.colour("paper"))
        if self.figure.canvas.manager is not None:
            self.figure.canvas.manager.set_window_title(TITLE)
            fit_screen(self.figure)
        self.ranging = Ranging(self.exploration, self.figure, self._ranged)
        # first, because each is drawn with everything there is as it is made
        self.bars = {
            slider.key: Bar(self.figure, slider, system, self.move) for slider in self.exploration.sliders
        }
        axes = [self.figure.add_axes((0.1, 0.1, 0.1, 0.1), label=f"picture {number}") for number in range(4)]
        self._force, self._release = ForcePanel(axes[0], self.base, system), ReleasePanel(axes[1], self.base)
        self.panels: tuple[Panel, ...] = (
            self._force,
            self._release,
            CurrentPanel(axes[2], self.base, system),
            SeatPanel(axes[3], self.base),
        )
        self.section = SectionView(
            self.figure.add_axes((0.1, 0.1, 0.1, 0.1), label="from the tip"), self.base
        )
        self.table = Table(self.figure, self.base, system)
        self.buttons = make_buttons(
            self.figure, [(WRITE, self.write), (BACK, self.reset), (READ, self.read_cautions)]
        )
        title = textwrap.shorten(plain(self.base.scenario.title), LONGEST_TITLE, placeholder=" ...")
        self._head = self.figure.text(0.0, 1.0, title, va="top", fontsize=style.TEXT + 1.0)
        self._key_axes = key_axes(self.figure)
        self._strip = self.figure.text(
            0.0, 0.0, "", va="top", fontsize=style.SMALL, animated=True, linespacing=1.3
        )
        self.stop, self.cautions = StopBand(self.figure), Cautions(self.figure)
        self._panel_cells: dict[Panel, Cell] = {panel: Cell(panel.moving, panel.ax) for panel in self.panels}
        self._bar_cells = {key: Cell(bar.moving) for key, bar in self.bars.items()}
        self._table_cell, self._strip_cell = Cell(self.table.moving), Cell([self._strip])
        self._stop_cell = Cell(self.stop.moving)
        self._section_cell = Cell(self.section.moving, self.section.ax)
        own = (self._table_cell, self._strip_cell, self._stop_cell, self._section_cell)
        self._all_cells = (*self._panel_cells.values(), *self._bar_cells.values(), *own)
        self._place()
        self.tell(BEGIN)
        self._show(self.base)

    def _place(self) -> None:
        """Lay everything out for the window's size."""
        width, height = self.figure.get_size_inches()
        found = layout(float(width), float(height), len(self.bars))
        for panel, box, cell in zip(self.panels, found.panels, found.panel_cells, strict=True):
            panel.ax.set_position(box)
            self._panel_cells[panel].box = cell
        for (key, bar), box, cell in zip(self.bars.items(), found.sliders, found.slider_cells, strict=True):
            bar.widget.ax.set_position(box)
            self._bar_cells[key].box = cell
        for button, box in zip(self.buttons, (*found.buttons, found.caution_button), strict=True):
            button.ax.set_position(box)
        self.section.ax.set_position(found.section)
        self._section_cell.box = found.section_cell
        self.table.place(found.table)
        self._table_cell.box = found.table
        self._head.set_position(found.header)
        self._key_axes.set_position(found.key)
        left, bottom, _, tall = self._strip_cell.box = found.strip
        self._strip.set_position((left, bottom + 0.85 * tall))
        self._stop_cell.box = found.stop
        self.stop.place(found.stop, float(width))
        self.cautions.place(found.caution)
        self._columns = int(float(width) * 72.0 / (0.56 * style.SMALL))

    def move(self, key: str, value: float) -> None:
        """A slider was moved (SI): show the build quickly, or say why it cannot be."""
        self.state[key] = value
        self._stale = True
        self.ranging.stop()
        self._force.show_range(self.ranging.found, stale=True)
        self._read(self.exploration.quick, [self._bar_cells[key]])

    def settle(self) -> None:
        """Show exactly what `predict` finds, where that has not been done yet."""
        if self._stale:
            self._stale = False
            self._read(self.exploration.exact, [])
            if not self._trouble:
                self.ranging.begin(self.snapshot)

    def close(self) -> None:
        """Close the window and let go of its figure."""
        from matplotlib import pyplot

        self._closed()
        pyplot.close(self.figure)

    def reset(self) -> None:
        """Back to the build as in the file."""
        self.state, self.left, self._stale, self._trouble = {}, {}, False, False
        for bar in self.bars.values():
            bar.put(bar.slider.start)
        for panel in self.panels:
            panel.forget_scale()
        self.section.forget_scale()
        self.tell(BEGIN)
        self._force.show_range(None)
        self._refresh(self._all_cells, self._show(self.base))
        self.ranging.begin(self.base)

    def write(self) -> Path | None:
        """Write the variant file under the next free name; None, and why in words, when there is none to write."""
        self.settle()
        path = None
        if self._trouble:
            self.tell(f"Nothing written. {self._words}", "orange")
        elif not self.exploration.moved(self.state):
            self.tell("Nothing written: nothing is changed yet.")
        else:
            path = self._written()
        self._refresh([self._strip_cell])
        return path

    def _written(self) -> Path | None:
        from featherbench.render.files import OutputRefused

        try:
            comments = of_run(self.snapshot.bench).comment()
            text = explored_variant(
                self.exploration, self.state, self._variant.parent, self._settings, comments
            )
            path = write_next_free(self._variant, text)
        except (OutputRefused, ScenarioError) as error:
            self.tell(f"Nothing written: {' '.join(str(error).split())}", "orange")
            return None
        self.written.append(path)
        self.tell(
            f"Wrote {path}. Compare it with the file: featherbench compare {named(self.base.scenario)} {path}"
        )
        self._say(f"wrote {path}")
        return path

    def tell(self, words: str, role: str = "ink") -> None:
        """Say something at the foot of the window."""
        self._words = words
        self._strip.set_text(
            textwrap.fill(plain(words), max(self._columns, 40), max_lines=2, placeholder=" ...")
        )
        self._strip.set_color(style.colour(role))

    def _read(self, look_at: Callable[[dict[str, float]], Snapshot], cells: list[Cell]) -> None:
        """Show a state, and these cells; where it cannot be, keep the last picture and say why."""
        before = self._words
        rescaled: list[Cell] = []
        try:
            snapshot = look_at(self.state)
        except (ScenarioError, ValueError, ArithmeticError) as error:
            self._trouble = True
            self.tell(f"{refusal(error)} The pictures show the last build that can be.", "orange")
        else:
            self._trouble = False
            self.left = dict(self.state)
            rescaled = self._show(snapshot)
            self.tell(*verdict(snapshot, self.base, self.exploration.system))
            cells += [*self._panel_cells.values(), self._table_cell, self._stop_cell, self._section_cell]
        if self._words != before:
            cells = [*cells, self._strip_cell]
        self._refresh(cells, rescaled)

    def _show(self, snapshot: Snapshot) -> list[Cell]:
        """Put a snapshot into the pictures; those whose scale has changed."""
        self.snapshot = snapshot
        self.table.show(snapshot)
        self.stop.show(snapshot)
        changed = [self._panel_cells[panel] for panel in self.panels if panel.show(snapshot)]
        return [*changed, self._section_cell] if self.section.show(snapshot) else changed

    def _ranged(self, found: WholeRange | None) -> None:
        """The whole range of what is shown has been worked out."""
        cell = self._panel_cells[self._force]
        rescaled = [cell] if self._force.show_range(found) else []
        self._release.show_range(found)
        self.stop.show(self.snapshot, found)
        cells = [cell, self._panel_cells[self._release], self._stop_cell]
        self._refresh(cells, rescaled)

    def read_cautions(self) -> None:
        """The whole text of the cautions, in a window of its own that closes with this one."""
        self.cautions.read(self.snapshot)

    def _refresh(self, cells: Iterable[Cell], rescaled: Sequence[Cell] = ()) -> None:
        """Bring these onto the screen, and the pictures whose scale has changed; all, where a screen cannot do less."""
        canvas: Any = self.figure.canvas
        if not (self._strip_cell.ready and canvas.supports_blit):  # a notebook may have taken the canvas away
            canvas.draw_idle()
            return
        for cell in cells:
            cell.again(self.figure, cell in rescaled)
        canvas.blit(self.figure.bbox)

    def _drawn(self, event: Any) -> None:
        """All has been drawn but what the cells hold."""
        canvas: Any = self.figure.canvas
        saving = canvas.is_saving()
        for cell in self._all_cells:
            cell.first(self.figure, event.renderer, canvas.supports_blit and not saving, saving)

    def _resized(self, _event: Any) -> None:
        for cell in self._all_cells:
            cell.forget()
        self._place()
        self.tell(self._words)

    def _closed(self, _event: Any = None) -> None:
        self.ranging.stop()
        self.cautions.close()

    def _let_go(self, _event: Any) -> None:
        self.settle()
