"""What a fit to bench data left behind: its values, how sure each is, and how they hang together."""

from __future__ import annotations

from collections.abc import Container

import numpy as np
from pydantic import Field

from featherbench import quantities
from featherbench.scenario.doubt import AS_WRITTEN, Departure
from featherbench.scenario.parts import Table

DOUBT = "doubt."
_ANGLES = ("air_stall",)


class FittedResult(Table):
    """[fitted]: the joint result of a fit, written by calibrate; a key that is stated otherwise is no longer in it."""

    data: list[str] = Field(default=[], description="files of bench data that were fitted to")
    keys: list[str] = Field(description="what was found, by key path", examples=[["linkage.slider_friction"]])
    values: list[str] = Field(
        description="of each key, with the half-width that holds 95 %", examples=[["0.41 +/- 0.06 N"]]
    )
    correlation: list[list[float]] = Field(
        default=[], description="a row for each key: how it goes with those before it, -1 to 1"
    )


_SAID_BY = {
    "shaking": ("shaking.passing", "shaking.unlike", "shaking.slider"),
    "load_friction": ("linkage.slider_load_friction", "linkage.rod_load_friction"),
}
"""Keys that say anew what a factor on them said."""


def departure_of(fitted: FittedResult | None, toleranced: Container[str] = ()) -> Departure:
    """Where a fitted build lies within the doubts that no key of its own takes.

    toleranced: keys that the build states with a tolerance, which takes their place.
    """
    if fitted is None:
        return AS_WRITTEN
    found = {}
    for key, text in zip(fitted.keys, fitted.values, strict=True):
        name = key.removeprefix(DOUBT)
        anew = any(own in toleranced for own in _SAID_BY.get(name, ()))
        if key.startswith(DOUBT) and name in Departure._fields and not anew:
            found[name] = quantities.parse(text, doubt_kind(key)).value
    return AS_WRITTEN._replace(**found)


def doubt_kind(key: str) -> str:
    """Kind of quantity of a doubt's key."""
    return "angle" if key.removeprefix(DOUBT) in _ANGLES else "ratio"


def correlation_matrix(fitted: FittedResult) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """The whole matrix (n, n), ones on its diagonal; a row that is left out counts as unconnected."""
    whole = np.eye(len(fitted.keys))
    for number, row in enumerate(fitted.correlation):
        whole[number, : len(row)] = row
        whole[: len(row), number] = row
    return whole
