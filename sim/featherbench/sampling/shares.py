"""Whose variance is it: a polynomial fitted to the samples, and the shares of variance that follow from it.

Inputs are independent and even on [-1, 1], so Legendre polynomials of them are orthogonal, and once a sum of their
products fits the samples its variance falls apart into one part for each term (polynomial chaos, B. Sudret, Reliability
Engineering and System Safety 93 (2008) 964). First-order share: the terms of one input alone; total share: every term
that it has a part in. The degree is the one whose fit predicts samples it has not seen best (leave-one-out); what no
polynomial predicts (jumps, stick and slip) is reported as unexplained.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

MOST_DEGREE = 10
SAMPLES_PER_TERM = 4
"""A fit has at most one term for this many samples."""
STILL = 1e-9
"""A spread below this share of the value is rounding."""


@dataclass(frozen=True)
class Shares:
    """first, total: (inputs,) shares of the variance; linear: (inputs,) standard deviation that each input makes by its
    straight-line part alone, in the output's unit; unexplained: share that the fit does not predict; degree of it.
    """

    first: Array
    total: Array
    linear: Array
    unexplained: float
    degree: int


def terms(inputs: int, degree: int) -> NDArray[np.int64]:
    """Exponents (terms, inputs) of all products up to a total degree, the constant first."""
    rows = [np.zeros(inputs, dtype=np.int64)]
    for total in range(1, degree + 1):
        chosen = itertools.combinations_with_replacement(range(inputs), total)
        rows.extend(np.bincount(one, minlength=inputs).astype(np.int64) for one in chosen)
    return np.array(rows)


def basis(places: Array, exponents: NDArray[np.int64]) -> Array:
    """Products (samples, terms) of Legendre polynomials of unit variance; places (samples, inputs) in [-1, 1]."""
    highest = int(exponents.max(initial=0))
    single = np.polynomial.legendre.legvander(places, highest) * np.sqrt(2.0 * np.arange(highest + 1) + 1.0)
    columns = np.ones((len(places), len(exponents)))
    for number in range(places.shape[1]):
        columns *= single[:, number, :][:, exponents[:, number]]
    return columns


def variance_shares(places: Array, values: Array) -> Shares | None:
    """Shares of the variance of values (samples,) at places (samples, inputs) in [-1, 1].

    None when the values do not vary, or when there are fewer than three samples for every input.
    """
    count, inputs = places.shape
    spread = float(np.std(values))
    if count < 3 * (inputs + 1) or spread <= STILL * (abs(float(np.mean(values))) + 1e-30):
        return None
    scaled = (values - values.mean()) / spread
    best: tuple[float, int, NDArray[np.int64], Array] | None = None
    for degree in range(1, MOST_DEGREE + 1):
        exponents = _within(inputs, degree, count)
        if exponents is None:
            break
        coefficients, error = _fit(basis(places, exponents), scaled)
        if best is None or error < best[0]:
            best = (error, degree, exponents, coefficients)
    assert best is not None
    error, degree, exponents, coefficients = best
    unexplained = min(max(error, 0.0), 1.0)
    parts = coefficients[1:] ** 2
    involved = exponents[1:] > 0
    alone = involved & (involved.sum(axis=1) == 1)[:, None]
    straight = alone & (exponents[1:] == 1)
    # shares of all the variance: the explained parts add up to what is explained
    explained = (1.0 - unexplained) / max(float(parts.sum()), 1e-300)
    return Shares(
        first=explained * parts @ alone,
        total=explained * parts @ involved,
        linear=spread * np.sqrt(parts @ straight),
        unexplained=unexplained,
        degree=degree,
    )


def _within(inputs: int, degree: int, count: int) -> NDArray[np.int64] | None:
    """Exponents of that degree when the samples suffice for them; the first degree is always fitted."""
    size = 1
    for step in range(1, degree + 1):
        size = size * (inputs + step) // step
    return terms(inputs, degree) if degree == 1 or SAMPLES_PER_TERM * size <= count else None


def _fit(columns: Array, values: Array) -> tuple[Array, float]:
    """Least-squares coefficients and the mean square of leave-one-out residuals, over a variance of 1."""
    orthogonal, upper = np.linalg.qr(columns)
    coefficients = np.linalg.lstsq(upper, orthogonal.T @ values, rcond=None)[0]
    leverage = np.minimum((orthogonal**2).sum(axis=1), 1.0 - 1e-9)
    residual = (values - columns @ coefficients) / (1.0 - leverage)
    return coefficients, float(np.mean(residual**2))
