"""Does the thrust bearing bear what it retains."""

from __future__ import annotations

from featherbench.checks.bolt_joint import Case
from featherbench.checks.check import Check, unknown


def bearing_check(case: Case) -> Check:
    """Centrifugal load of one assembly at over-speed against the bearing's static rating.

    The grip hangs on this bearing: without a rating it is not known whether it stays on.
    """
    name, rating = f"thrust bearing{case.at}", case.scenario.bearing.static_rating
    if rating is None:
        return unknown(name, "force", "state bearing.static_rating, the maker's", case.whole)
    return Check(name, "force", case.whole, rating, "bearing.static_rating, the maker's", load_path=True)
