"""Does the thrust bearing bear what it retains."""

from __future__ import annotations

from math import inf, pi

from featherbench.checks.bolt_joint import Case
from featherbench.checks.check import Check, unknown

F0, LARGEST_BALL = 61.6e6, 0.3
"""Pa; of the mean diameter."""


def bearing_check(case: Case) -> Check:
    """Centrifugal load of one assembly at over-speed against the bearing's static rating.

    The grip hangs on this bearing: without a rating it is not known whether it stays on.
    """
    name, rating = f"thrust bearing{case.at}", case.scenario.bearing.static_rating
    if rating is None:
        return unknown(name, "force", "state bearing.static_rating, the maker's", case.whole)
    source, most = "bearing.static_rating, the maker's", most_rating(case.scenario.bearing.mean_diameter)
    if rating > most:
        source = f"no thrust bearing of that size bears {rating:,.0f} N: the most that its balls can (ISO 76) counts"
    return Check(name, "force", case.whole, min(rating, most), source, load_path=True)


def most_rating(mean_diameter: float | None) -> float:
    """Greatest static rating, N, of a thrust ball bearing of a mean diameter (m): ISO 76, C0a = f0 Z Dw^2 sin 90 deg
    with f0 = 61.6 N/mm^2 (from memory), balls side by side all round (Z Dw = pi Dpw) and as large as 0.3 Dpw.
    """
    return inf if mean_diameter is None else F0 * pi * LARGEST_BALL * mean_diameter**2
