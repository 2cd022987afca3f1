"""Names that are on their way out: they work and say what to write instead, then go. Standard library only."""

from __future__ import annotations

import warnings
from typing import NamedTuple


class Retired(NamedTuple):
    """instead: what to write; since, gone: the versions that told first and that will no longer have it."""

    instead: str
    since: str
    gone: str


RETIRED: dict[str, Retired] = {}
"""Public names of the package, `fb.NAME`, by what they were called; none so far."""


def warn_of(name: str, said: Retired, level: int = 3) -> None:
    """Say so once for each place that uses the name, as a DeprecationWarning; level: frames up to that place."""
    warnings.warn(
        f"featherbench.{name} is called {said.instead} since {said.since}, and goes with {said.gone}",
        DeprecationWarning,
        stacklevel=level,
    )
