"""Working out the whole range in the time between two looks at what a hand does: a moved slider never waits for it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from featherbench.scenario import ScenarioError

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from featherbench.exploring import Exploration, RangeWork, Snapshot, WholeRange

BETWEEN = 15
"""ms from one sample to the next, in which the window is free."""


class Ranging:
    """found: the last range that was worked out, of `snapshot`; both None before."""

    def __init__(
        self, exploration: Exploration, figure: Figure, tell: Callable[[WholeRange | None], None]
    ) -> None:
        """tell: takes a range as soon as it is known, None where there is none."""
        self.found: WholeRange | None = None
        self.snapshot: Snapshot | None = None
        self._exploration, self._tell = exploration, tell
        self._wanted: Snapshot | None = None
        self._work: RangeWork | None = None
        canvas: Any = figure.canvas
        self._timer = canvas.new_timer(interval=BETWEEN)
        self._timer.add_callback(self.step)

    def begin(self, snapshot: Snapshot) -> None:
        """Start on a build that has been predicted, at the next time that nothing else is to do."""
        self.stop()
        if snapshot is self.snapshot:
            self._tell(self.found)
            return
        self._wanted = snapshot
        self._timer.start()

    def stop(self) -> None:
        """Give up what is being worked out."""
        self._timer.stop()
        self._wanted = self._work = None

    def finish(self) -> None:
        """Work out at once what is left, for whoever saves the picture."""
        while self._wanted is not None:
            self.step()

    def step(self) -> None:
        """A few milliseconds of it."""
        if self._wanted is None:
            self._timer.stop()
            return
        try:
            if self._work is None:
                self._work = self._exploration.range_of(self._wanted)
            elif not self._work.done:
                self._work.step()
            if not self._work.done:
                return
            found = self._work.result()
        except ScenarioError:  # a tolerance that reaches where no value can be: predict says which
            found = None
        self.found, self.snapshot = found, self._wanted
        self.stop()
        self._tell(found)
