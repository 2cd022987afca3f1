"""What so many draws leave open: of a share, of a range, and whether two builds can be told apart by them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

Range = tuple[float, float]
"""(low, high)."""
EDGES = (0.025, 0.975)
"""Between which 95 % lie."""
SURE = 0.05
"""Two builds are told apart where chance alone would part them so far in at most one of twenty cases."""


def likely_share(hits: float, of: float) -> Range:
    """(low, high) between which the share of all such tails lies in 95 of 100 cases, `hits` of `of` draws seen.

    Jeffreys' interval, its outer end 0 of no hits and 1 of nothing else (L. D. Brown, T. T. Cai, A. DasGupta, Interval
    estimation for a binomial proportion, Statistical Science 16 (2001) 101: theirs to recommend for 40 or fewer; from
    memory). (0, 1) of no draws.

    >>> low, high = likely_share(0, 12)
    >>> low, round(high, 2)
    (0.0, 0.18)
    """
    from scipy.stats import beta

    law = beta(hits + 0.5, of - hits + 0.5)
    low, high = (float(law.ppf(edge)) for edge in EDGES)
    return 0.0 if hits <= 0 else low, 1.0 if hits >= of else high


def likely_words(hits: float, of: float) -> str:
    """The same for people: "3 to 36 %"."""
    low, high = (round(100.0 * end) for end in likely_share(hits, of))
    return f"{low} to {high} %"


def draws_tell_apart(one: Sequence[float], other: Sequence[float]) -> bool:
    """Whether the same draws show one build to differ from another: sign test, exact, both ways.

    one, other: by draw, what was seen of each build; draws in which both are the same, or unknown, say nothing.
    """
    from scipy.stats import binomtest

    less, more = (int(np.sum(np.sign(np.subtract(other, one, dtype=float)) == way)) for way in (-1.0, 1.0))
    return bool(less + more) and binomtest(less, less + more).pvalue <= SURE


def range_over(values: Sequence[float]) -> Range:
    """(low, high) that hold 95 % of what the draws stand for; of a dozen, the least and the greatest. Unknown ones are
    left out; nan of none.
    """
    known = np.asarray(values, dtype=float)
    known = known[np.isfinite(known)]
    if not known.size:
        return float("nan"), float("nan")
    low, high = np.quantile(known, EDGES, method="median_unbiased")
    return float(low), float(high)


def smoothed(shares: Sequence[float], loads: Sequence[float]) -> list[float]:
    """Shares by build, evened out: none larger than that of a build whose load exceeds friction by less (`loads`).

    Load keeps the play to one side, so that play shows the less the more load there is; a share against this order is
    the draws' own scatter (least squares under that order: R. E. Barlow and others, Statistical Inference under Order
    Restrictions, 1972; from memory).
    """
    from scipy.optimize import isotonic_regression

    order = np.argsort(np.asarray(loads), kind="stable")
    evened = np.empty(len(order))
    if order.size:
        evened[order] = isotonic_regression(np.asarray(shares, dtype=float)[order], increasing=False).x
    return [float(value) for value in evened]
