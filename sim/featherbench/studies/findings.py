"""One finding, and the curves of a run."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from featherbench.guide.findings import FINDINGS_TABLE


@dataclass(frozen=True)
class Finding:
    """One value, SI (or text); None when the run could not give it (the run's notes say why)."""

    value: float | str | None
    kind: str


@dataclass(frozen=True)
class Curves:
    """Columns (n,) of one curve set and the kind of quantity of each."""

    columns: dict[str, NDArray[np.float64]]
    kinds: dict[str, str]


def finding(name: str, value: float | str | None) -> Finding:
    """A finding under its registered kind. Raises KeyError for a name that is not registered."""
    if isinstance(value, float) and not np.isfinite(value):
        value = None
    return Finding(
        value if value is None or isinstance(value, str) else float(value), FINDINGS_TABLE[name].kind
    )
