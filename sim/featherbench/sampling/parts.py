"""A finding's variance in two parts: what your measurements leave open, and what the model itself does not know.

Of the total shares of `spread_shares`, each key's set against the sum of all, so that the two parts make one whole and
what two keys make together is shared between them.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import NamedTuple

from featherbench.sampling.doubts import OWN_KEYS, PREFIX, REMEDIES
from featherbench.sampling.inputs import INSTRUMENTS
from featherbench.sampling.spread import FindingSpread


class Parts(NamedTuple):
    """measured, model: shares of what makes the variance, 1 together; of_measured, of_model: (key, share) in each,
    largest first.
    """

    measured: float
    model: float
    of_measured: tuple[tuple[str, float], ...]
    of_model: tuple[tuple[str, float], ...]


def parts_of(findings: Sequence[FindingSpread], tolerances: Collection[str]) -> Parts | None:
    """The two parts of one finding, or of several in the mean; None where none of them varies.

    tolerances: keys that the scenario states a tolerance for.
    """
    shares: dict[str, float] = {}
    known = [finding for finding in findings if sum(finding.total_shares.values()) > 0.0]
    for one in known:
        whole = sum(one.total_shares.values()) * len(known)
        for key, share in one.total_shares.items():
            shares[key] = shares.get(key, 0.0) + share / whole
    if not known:
        return None
    ordered = sorted(shares.items(), key=lambda item: (-item[1], item[0]))
    model = tuple(item for item in ordered if _of_model(item[0], tolerances))
    measured = tuple(item for item in ordered if item not in model)
    return Parts(sum(share for _, share in measured), sum(share for _, share in model), measured, model)


def _of_model(key: str, tolerances: Collection[str]) -> bool:
    """Whether a key is a doubt of the model's own, or what a fit found in its place."""
    return key not in tolerances and (key.startswith(PREFIX) or key in OWN_KEYS.values())


def remedy(key: str) -> str:
    """What would shrink a part of the range, in a few words."""
    if key in INSTRUMENTS:
        return "a better instrument"
    return REMEDIES.get(key, f"measure {key} more closely")
