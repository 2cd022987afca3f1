"""The energy audit of a run: what went in less what was stored and lost, against what was turned over."""

from __future__ import annotations

from collections.abc import Iterable

FLOOR = 1e-12
"""J; below it a run has turned nothing over."""


def audit_error(works: Iterable[float], losses: Iterable[float], stored: float) -> float:
    """Relative error of a run's energies, J: works into it, losses out of it, `stored` more in it than at its start."""
    gone_in = [float(work) for work in works]
    lost = sum(float(loss) for loss in losses)
    turned_over = sum(abs(work) for work in gone_in) + abs(lost) + FLOOR
    return abs(sum(gone_in) - stored - lost) / turned_over
