"""Rules of the table that a fit writes: one value a key, numbers that make a correlation."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from featherbench import quantities
from featherbench.scenario.doubt import Departure
from featherbench.scenario.fitted import DOUBT, FittedResult, correlation_matrix, doubt_kind
from featherbench.scenario.tied.strength_rules import Broken


def broken_fitted(fitted: FittedResult) -> Iterator[Broken]:
    """Rules of the table: one value a key, rows that make a correlation."""
    count, place = len(fitted.keys), ("fitted",)
    if len(set(fitted.keys)) != count:
        yield Broken((*place, "keys"), "each key once")
        return
    if len(fitted.values) != count:
        yield Broken((*place, "values"), f"{count} values, one for each key")
        return
    if len(fitted.correlation) > count or any(
        len(row) != number for number, row in enumerate(fitted.correlation)
    ):
        yield Broken(
            (*place, "correlation"),
            "a row for each key of one number for each key before it, the first []",
        )
        return
    if count and float(np.linalg.eigvalsh(correlation_matrix(fitted))[0]) <= 0.0:
        yield Broken(
            (*place, "correlation"), "numbers that can hold together (the table as calibrate wrote it)"
        )
    for number, (key, text) in enumerate(zip(fitted.keys, fitted.values, strict=True)):
        if not key.startswith(DOUBT):
            continue
        if key.removeprefix(DOUBT) not in Departure._fields:
            known = ", ".join(DOUBT + name for name in Departure._fields)
            yield Broken((*place, "keys", number), f"one of {known}, or a key of another table", key)
            continue
        try:
            quantities.parse(text, doubt_kind(key))
        except quantities.QuantityError as error:
            yield Broken((*place, "values", number), str(error), text)
