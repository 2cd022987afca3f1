"""What a hold most likely draws, in no more digits than samples are worth: friction leaves it anywhere in its range."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from featherbench.numerals import display_factor, error_decimals, numeral

if TYPE_CHECKING:
    from featherbench.sampling.sampled import BuildSpread, Interval, Sampled
    from featherbench.views.view import Row

LEAST, MOST = 1, 3
"""Decimals of a current in A: 0.4 is not told as 0, however few the samples."""


def likely_places(own: BuildSpread, name: str, most: int, system: str) -> int:
    """Decimals that it is worth, at most `most`."""
    worth = error_decimals(own.likely_errors.get(name, 0.0), "current", system)
    return most if worth is None else min(most, max(worth, LEAST))


def likely_text(own: BuildSpread, name: str, most: int, system: str) -> str:
    """Where samples of a hold lie closest, such as "0.4"."""
    factor, _ = display_factor("current", system)
    return numeral(own.likely[name] * factor, likely_places(own, name, most, system))


def with_likely(row: Row, name: str, sampled: Sampled, system: str) -> Row:
    """A row of a finding of every build with what a hold most likely draws in its place, and the change of that; its
    share, of two figures so rough, is left out.
    """
    first, *others = sampled.builds
    if not all(name in one.likely for one in sampled.builds):
        return row
    factor, _ = display_factor("current", system)
    cells = [row.cells[0], likely_text(first, name, MOST, system)]
    for own, changes in zip(others, sampled.changes, strict=True):
        change = (own.likely[name] - first.likely[name]) * factor
        places = min(likely_places(one, name, MOST, system) for one in (first, own))
        range_ = changes.get(name)
        while range_ and places < MOST and not _within(float(numeral(change, places)), range_, factor):
            places += 1  # rounded, it would lie outside the range that is printed under it
        cells += [likely_text(own, name, MOST, system), numeral(change, places, True), ""]
    return replace(row, cells=(*cells, row.cells[-1]))


def _within(shown: float, interval: Interval, factor: float) -> bool:
    return interval.low * factor <= shown <= interval.high * factor
