"""The window's picture of the force on the rod, with its friction and with the whole range that it may lie in."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from featherbench.numerals import quantity, range_text, spread_decimals
from featherbench.pictures import style
from featherbench.pictures.drawing import draw, shown, unit_sign
from featherbench.window.panel import FILE, NOW, WHOLE, Panel, scale

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from featherbench.exploring import Snapshot, WholeRange

IN_VIEW = 2.5
"""The servo's force is drawn while it is less than this many times the largest force; it is written always."""
STALE = 0.12
"""Opacity of a range that is of another build than the one shown."""


class ForcePanel(Panel):
    """Force on the rod over pitch: friction band, and what the servo has."""

    def __init__(self, ax: Axes, base: Snapshot, system: str) -> None:
        """The build as in the file."""
        unit = unit_sign("force", system)
        super().__init__(ax, f"force on the rod, {unit}: push up, pull down", "pitch at the blade, deg")
        self._system = system
        self._base = base
        self._tallest, self._least = 0.0, ""
        pitch = np.rad2deg(base.statics.pitch)
        ax.set_xlim(float(pitch[0]), float(pitch[-1]))
        draw(ax, pitch, shown(base.statics.rod_force, "force", system), FILE)
        self._band = ax.fill_between(
            pitch, 0.0, 0.0, color=style.colour(NOW.role), alpha=0.16, linewidth=0.0, animated=True
        )
        self.moving.append(self._band)
        self._range: WholeRange | None = None
        self._whole = ax.fill_between(pitch, 0.0, 0.0, linewidth=0.45, zorder=0.8, animated=True)
        self.moving.insert(0, self._whole)
        self._limits = [self._line(style.LIMIT) for _ in range(2)]
        self._now = self._line(NOW)
        self._done()

    def show(self, snapshot: Snapshot) -> bool:
        """See `Panel`."""
        statics = snapshot.statics
        pitch = np.rad2deg(statics.pitch)
        force, half, servo = (
            shown(values, "force", self._system)
            for values in (statics.rod_force, statics.rod_friction, statics.servo_force)
        )
        self._band.set_data(pitch, force - half, force + half)
        self._now.set_data(pitch, force)
        for line, side in zip(self._limits, (1.0, -1.0), strict=True):
            line.set_data(pitch, side * servo)
        tallest = float((np.abs(force) + half).max())
        if float(servo.min()) < IN_VIEW * tallest:
            tallest = max(tallest, min(float(servo.max()), IN_VIEW * tallest))
        push, pull = (
            _value(snapshot, f"rod_force_{name}", "force", self._system) for name in ("push", "pull")
        )
        self._least = quantity(float(statics.servo_force.min()), "force", self._system)
        self.say(f"push {push}, pull {pull}; the servo has {self._least}")
        self._tallest = tallest
        return self._scaled()

    def show_range(self, found: WholeRange | None, *, stale: bool = False) -> bool:
        """Draw where 95 % of all builds within tolerances and doubts lie, greyed where it is of another build than the
        one that is shown; True when the scale has changed.
        """
        self._range = found
        tint = style.colour("grey" if stale else NOW.role)
        self._whole.set(facecolor=(tint, STALE if stale else WHOLE), edgecolor=(tint, 0.0 if stale else 1.0))
        if found is None:
            self._whole.set_data(np.zeros(1), 0.0, 0.0)
        else:
            if not stale:
                self._tell(found)
            low, high = (shown(edge, "force", self._system) for edge in found.band)
            self._whole.set_data(np.rad2deg(found.pitch), low, high)
        return self._scaled()

    def _tell(self, found: WholeRange) -> None:
        """The ranges of push and pull, to as many decimals as they are worth; the table has the figures."""
        ranges = {"push": found.push, "pull": found.pull}
        halves = [0.5 * (own.high - own.low) for own in ranges.values()]
        places = spread_decimals(halves, "force", self._system)
        if places is not None:
            said = (
                f"{name} {range_text(own.low, own.high, 'force', self._system, places)}"
                for name, own in ranges.items()
            )
            self.say(f"{', '.join(said)}; servo {self._least}")

    def _scaled(self) -> bool:
        """Fit the scale to all that is drawn; True when it has changed."""
        base = self._base.statics
        file = shown(np.abs(base.rod_force) + base.rod_friction, "force", self._system)
        whole = shown(np.abs(self._range.band), "force", self._system) if self._range else np.zeros(1)
        edge = scale(1.05 * max(self._tallest, float(file.max()), float(np.nanmax(whole))), self._edge)
        changed = edge != self._edge
        if changed:
            self._edge = edge
            self.ax.set_ylim(-edge, edge)
        return changed


def _value(snapshot: Snapshot, name: str, kind: str, system: str) -> str:
    value = snapshot.findings[name]
    return quantity(value if isinstance(value, float) else None, kind, system)
