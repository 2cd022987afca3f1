"""What a hold most likely draws, in no more digits than samples are worth: friction leaves it anywhere in its range."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from featherbench.numerals import display_factor, error_decimals, numeral

if TYPE_CHECKING:
    from featherbench.sampling.sampled import BuildSpread
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


def with_likely(row: Row, name: str, builds: Sequence[BuildSpread], system: str) -> Row:
    """A row of a finding of every build with what a hold most likely draws in its place, and the change of that; its
    share, of two figures so rough, is left out.
    """
    if not all(name in one.likely for one in builds):
        return row
    factor, _ = display_factor("current", system)
    places = [likely_places(own, name, MOST, system) for own in builds]
    cells = [row.cells[0], likely_text(builds[0], name, MOST, system)]
    for own, worth in zip(builds[1:], places[1:], strict=True):
        change = (own.likely[name] - builds[0].likely[name]) * factor
        cells += [likely_text(own, name, MOST, system), numeral(change, min(places[0], worth), True), ""]
    return replace(row, cells=(*cells, row.cells[-1]))
