"""Does the thrust bearing bear what it retains."""

from __future__ import annotations

from featherbench.checks.check import Check
from featherbench.studies.run import Run


def bearing_check(run: Run) -> Check:
    """Centrifugal load of one assembly at over-speed against the bearing's static rating."""
    over, rating = run.scenario.limits.over_speed, run.scenario.bearing.static_rating
    return Check(
        f"thrust bearing at {over:g} x speed",
        "force",
        run.value("centrifugal_load") * over**2,
        rating,
        "bearing.static_rating, the maker's" if rating is not None else "state bearing.static_rating",
    )
