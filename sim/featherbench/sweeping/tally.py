"""What a sweep came to, counted chunk by chunk as it comes: the same in whatever order the chunks arrive."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from typing import Any, NamedTuple


class Reached(NamedTuple):
    """A value, SI, and the build that has it."""

    value: float
    build: int


class Tally:
    """done: builds looked at; refused: of them; refusal: why the first of the grid was, and which that is.

    least, most: of each number, with the first build that has it; counts: of each text.
    """

    def __init__(self, columns: Mapping[str, str]) -> None:
        """columns: kinds by name."""
        self.done = self.refused = 0
        self.refusal: tuple[int, str] | None = None
        self.least: dict[str, Reached] = {}
        self.most: dict[str, Reached] = {}
        self.counts = {name: Counter[str]() for name, kind in columns.items() if kind == "text"}
        self._numbers = [name for name, kind in columns.items() if kind != "text"]

    def add(self, table: Mapping[str, list[Any]]) -> None:
        """Count a chunk: `build`, values by name, `refused`."""
        builds = table["build"]
        self.done += len(builds)
        for build, why in zip(builds, table["refused"], strict=True):
            if why:
                self.refused += 1
                if self.refusal is None or build < self.refusal[0]:
                    self.refusal = (build, why)
        for name, counted in self.counts.items():
            counted.update(value for value in table[name] if value is not None)
        for name in self._numbers:
            for value, build in zip(table[name], builds, strict=True):
                if value is not None and not math.isnan(value):
                    self._reach(name, Reached(value, build))

    def _reach(self, name: str, own: Reached) -> None:
        least, most = self.least.get(name, own), self.most.get(name, own)
        self.least[name] = min(least, own)
        self.most[name] = max(most, own, key=lambda one: (one.value, -one.build))
