"""What is said of a fit: whether it may be believed, what it could not tell, what it foretold."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from featherbench.fitting.fit import Fitted
    from featherbench.fitting.kept_aside import Predicted

DOUBTFUL = 2.0
"""A fit that leaves more than so many times the instruments' uncertainty is not handed on."""
MORE = 1.3
"""Scatter of forces by hand from which on it is counted: less is chance among two dozen readings."""


def still_off(after: float) -> tuple[str, ...]:
    """What is said of a fit whose mean squared residual stays above what instruments explain."""
    if after <= DOUBTFUL**2:
        return ()
    return (
        f"the fit is still {after**0.5:.1f} x the instruments' uncertainty off: the model lacks something, or a "
        "reading is wrong; its intervals mean little",
    )


def scattered(scatter: float) -> tuple[str, ...]:
    """What is said of forces by hand that lie further about the fit than they should."""
    if scatter <= MORE:
        return ()
    return (
        f"forces by hand lie {scatter:.1f} x as far about the fit as display and angle make likely, and count as that "
        "much less sure: read some of them again, each way",
    )


def fit_in_words(best: Fitted, aside: tuple[Predicted, ...], keep_aside: bool) -> list[str]:
    """What could not be told apart or found, what ran into a bound, and how what was kept aside came out."""
    said = []
    if best.interrupted:
        said.append(
            "interrupted: the values are the best found so far, the intervals only those of the curvature"
        )
    for group in best.confounded:
        if len(group) > 1:
            said.append(
                f"this data cannot tell apart: {' and '.join(group)}; fix one, or see what to measure next"
            )
        elif group:
            said.append(f"this data says little about {group[0]}")
    for unknown, value in zip(best.unknowns, best.values, strict=True):
        if min(value - unknown.low, unknown.high - value) < 1e-3 * (unknown.high - unknown.low):
            said.append(f"{unknown.key} ran into its bound: the model lacks something, or the bound is wrong")
    if aside:
        good = sum(abs(held_out.e_n) <= 1.0 for held_out in aside)
        said.append(f"kept aside and predicted: {good} of {len(aside)} quantities agree (|E_n| <= 1)")
    else:
        said.append("nothing was kept aside" + (": too few readings" if keep_aside else ""))
    return said
