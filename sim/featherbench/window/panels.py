"""The pictures of the window, that of force apart: made once with the build as in the file, then moved along.

Each says in words, over itself, what it shows.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from featherbench.numerals import display_factor
from featherbench.pictures import style
from featherbench.pictures.drawing import draw, unit_sign
from featherbench.window.panel import FILE, NOW, Panel, scale

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from featherbench.exploring import Snapshot, WholeRange

TIMES = (0.1, 0.2, 0.5, 1.0, 2.0)
"""Scales of time, s."""
SEATED = 4.0
"""Top of the scale of load over friction."""
MEANS = {
    "returns": "",
    "stays": ": balanced to within friction",
    "runs out": ": over-balanced",
}


class ReleasePanel(Panel):
    """Pitch over time after the rod is released on either side."""

    def __init__(self, ax: Axes, base: Snapshot) -> None:
        """The build as in the file."""
        super().__init__(ax, "blades released: pitch at the blade, deg", "time after release, s")
        furthest = 1.08 * float(np.abs(np.rad2deg(base.scenario.rotor.pitch_range)).max())
        ax.set_ylim(-furthest, furthest)
        for case in (base.high, base.low):
            draw(ax, *self._course(case), FILE)
        self._busy = self._settled(base)
        self._shown, self._told = base, ""
        self._now = [self._line(NOW) for _ in range(2)]
        self._done()

    @staticmethod
    def _course(case: Any) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Time s, and pitch deg, led on to the end of the longest scale."""
        time = np.concatenate([[0.0], case.release.time, [TIMES[-1]]])
        pitch = np.concatenate([[case.start], case.release.pitch, case.release.pitch[-1:]])
        return time, np.rad2deg(pitch)

    def _settled(self, snapshot: Snapshot) -> float:
        """When nothing moves any more, s."""
        last = 0.0
        for case in (snapshot.high, snapshot.low):
            time, pitch = self._course(case)
            moving = time[np.abs(pitch - pitch[-1]) > 0.3]
            last = max(last, float(moving[-1]) if len(moving) else 0.0)
        return last

    def show(self, snapshot: Snapshot) -> bool:
        """See `Panel`."""
        self._shown = snapshot
        for line, case in zip(self._now, (snapshot.high, snapshot.low), strict=True):
            line.set_data(*self._course(case))
        high, low = snapshot.high.release.verdict, snapshot.low.release.verdict
        said = f"the blades {high.told}"
        if high != low:
            said = f"high side: {high.told}; low side: {low.told}"
        self._told = f"{said}{MEANS.get(high, '') if high == low else ''}"
        self.say(self._told)
        needed = min(max(1.5 * self._settled(snapshot), 1.5 * self._busy, TIMES[0]), TIMES[-1])
        edge = scale(needed, self._edge, TIMES)
        changed = edge != self._edge
        if changed:
            self._edge = edge
            self.ax.set_xlim(0.0, edge)
        return changed

    def show_range(self, found: WholeRange | None) -> None:
        """Say how many of the sampled builds do as this one, where not all do."""
        if found is None:
            self.say(self._told)
            return
        cases = (self._shown.high, self._shown.low)
        high, low = (case.release.verdict.told for case in cases)
        same = [counts[case.release.verdict] for case, counts in zip(cases, found.released, strict=True)]
        if high != low:
            self.say(f"high: {high} {same[0]}; low: {low} {same[1]} of {found.samples}")
        elif min(same) == found.samples:
            self.say(f"the blades {high}, in all samples")
        else:
            self.say(f"the blades {high}: high side {same[0]}, low side {same[1]} of {found.samples}")


class CurrentPanel(Panel):
    """Current in the servo's lead, moving to and holding at both ends."""

    BARS = (
        ("current_peak_low", "move,\nlow"),
        ("current_hold_low", "hold,\nlow"),
        ("current_peak_high", "move,\nhigh"),
        ("current_hold_high", "hold,\nhigh"),
    )

    def __init__(self, ax: Axes, base: Snapshot, system: str) -> None:
        """The build as in the file."""
        unit = unit_sign("current", system)
        super().__init__(ax, f"current in the servo's lead, {unit}, above idle", "")
        self._factor, self._unit = display_factor("current", system)
        self._base = self._values(base)
        ax.set_xlim(-0.6, 3.6)
        ax.set_xticks(range(4), [name for _, name in self.BARS])
        ax.tick_params(axis="x", length=0.0, pad=3.0)
        self._bars = []
        self._texts = []
        marks: list[Any] = []
        for place, (name, _) in enumerate(self.BARS):
            if name in self._base:
                marks.append(self._line(FILE))
                marks[-1].set_data([place - 0.42, place + 0.42], [self._base[name]] * 2)
            moving = "peak" in name
            bar = ax.bar([place], [0.0], 0.6, color=style.colour(NOW.role), alpha=0.45 if moving else 1.0)[0]
            bar.set_animated(True)
            self._bars.append(bar)
            self._texts.append(
                ax.text(
                    place, 0.0, "", fontsize=style.SMALL, horizontalalignment="center",
                    verticalalignment="bottom", color=style.colour("ink"), animated=True,
                )
            )  # fmt: skip
        self.moving = [*self._bars, *marks, *self._texts]
        self._done()

    def _values(self, snapshot: Snapshot) -> dict[str, float]:
        """Those that there are, in the unit of display."""
        found = {name: snapshot.findings[name] for name, _ in self.BARS}
        return {name: value * self._factor for name, value in found.items() if isinstance(value, float)}

    def show(self, snapshot: Snapshot) -> bool:
        """See `Panel`."""
        values = self._values(snapshot)
        most = max([*values.values(), *self._base.values(), 1e-3])
        edge = scale(1.16 * most, self._edge)
        places = 2 if edge >= 1.0 else 3
        for (name, _), bar, text in zip(self.BARS, self._bars, self._texts, strict=True):
            value = values.get(name)
            bar.set_height(value or 0.0)
            top = max(value or 0.0, 0.0)
            file = self._base.get(name, 0.0)
            if top <= file < top + 0.1 * edge:  # the mark of the file would run through the number
                top = file
            text.set_y(top + 0.015 * edge)
            text.set_text("-" if value is None else f"{value:.{places}f}")
        self._tell(values, places)
        changed = edge != self._edge
        if changed:
            self._edge = edge
            self.ax.set_ylim(min(0.0, *values.values(), 0.0), edge)
        return changed

    def _tell(self, values: dict[str, float], places: int) -> None:
        """The largest of each in words, and which end the bench programme leaves out."""
        said = []
        for words, part in (("moving", "peak"), ("holding", "hold")):
            found = [value for name, value in values.items() if part in name]
            said.append(f"{words} {max(found):.{places}f} {self._unit}" if found else f"{words} -")
        absent = [end for end in ("high", "low") if f"current_hold_{end}" not in values]
        self.say("; ".join([", ".join(said), *(f"no move to the {end} end" for end in absent)]))


class SeatPanel(Panel):
    """Load on the linkage over its friction: below 1 the blades float in the play."""

    def __init__(self, ax: Axes, base: Snapshot) -> None:
        """The build as in the file."""
        super().__init__(ax, "load over friction: below 1 the linkage floats", "pitch at the blade, deg")
        pitch = np.rad2deg(base.statics.pitch)
        ax.set_xlim(float(pitch[0]), float(pitch[-1]))
        ax.set_ylim(0.0, SEATED)
        ax.axhline(1.0, color=style.colour("rule"), linewidth=1.0, zorder=0.6)
        draw(ax, pitch, base.free_play.seat_ratio, FILE)
        self._float = ax.fill_between(
            pitch, 0.0, 0.0, color=style.colour("orange"), alpha=0.18, linewidth=0.0, animated=True
        )
        self.moving.append(self._float)
        self._now = self._line(NOW)
        self._hover = self._line(style.Stroke("green", 1.0, (2.0, 2.0)))
        self._name = ax.text(
            0.0, 0.97 * SEATED, " hover", fontsize=style.SMALL, color=style.colour("green"),
            verticalalignment="top", animated=True,
        )  # fmt: skip
        self.moving.append(self._name)
        self._done()

    def show(self, snapshot: Snapshot) -> bool:
        """See `Panel`."""
        free_play = snapshot.free_play
        self._now.set_data(np.rad2deg(free_play.pitch), free_play.seat_ratio)
        gap = [value for window in free_play.windows for value in (*np.rad2deg(window), np.nan)] or [np.nan]
        self._float.set_data(np.array(gap), 0.0, SEATED)
        there = snapshot.hover_pitch is not None
        place = float(np.rad2deg(snapshot.hover_pitch or 0.0))
        self._hover.set_data([place] * 2 if there else [], [0.0, SEATED] if there else [])
        self._name.set_x(place)
        self._name.set_visible(there)
        low, high = snapshot.findings["float_low"], snapshot.findings["float_high"]
        if isinstance(low, float) and isinstance(high, float):
            self.say(f"floats in its play from {np.rad2deg(low):.1f} to {np.rad2deg(high):.1f} deg")
        else:
            self.say("seated at every pitch")
        return False
