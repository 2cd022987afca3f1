"""Whose variance is it: a polynomial fitted to the samples, and the shares of variance that follow from it.

Inputs are independent and even on [-1, 1], so Legendre polynomials of them are orthogonal, and once a sum of their
products fits the samples its variance falls apart into one part for each term (polynomial chaos, B. Sudret, Reliability
Engineering and System Safety 93 (2008) 964). First-order share: the terms of one input alone; total share: every term
that it has a part in. The degree is the one whose fit predicts samples it has not seen best (leave-one-out); what no
polynomial predicts (jumps, stick and slip) is reported as unexplained.

What is fitted to the same samples is fitted together: a degree is worked out once, not once for every finding. The
terms are nearly orthonormal over the samples, so normal equations lose next to nothing, and they are summed up from
blocks of samples: 65,536 of them with 1,001 terms take no more memory than 4,096.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cholesky, pinvh, solve_triangular

Array = NDArray[np.float64]

MOST_DEGREE = 10
SAMPLES_PER_TERM = 4
"""A fit has at most one term for this many samples."""
MOST_TERMS = 1024
"""And no more than these, which samples past 4,096 do not raise: what it costs would grow with their cube."""
BLOCK = 4096
"""Samples that are worked out at a time."""
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
    factors = single.reshape(len(places), -1)
    # a term has few inputs, which are put first: as many factors as the largest has, and not one for every input
    most = int((exponents > 0).sum(axis=1).max(initial=0))
    first = np.argsort(exponents == 0, axis=1, kind="stable")[:, :most]
    columns = np.ones((len(places), len(exponents)))
    for inputs in first.T:
        columns *= factors[:, inputs * (highest + 1) + exponents[np.arange(len(exponents)), inputs]]
    return columns


def variance_shares(places: Array, values: Array) -> Shares | None:
    """Shares of the variance of values (samples,) at places (samples, inputs) in [-1, 1].

    None when the values do not vary, or when there are fewer than three samples for every input.
    """
    return shares_of_each(places, values[:, None])[0]


def shares_of_each(places: Array, values: Array) -> list[Shares | None]:
    """The same of each column of values (samples, m)."""
    count, inputs = places.shape
    spread = values.std(axis=0)
    varies = np.flatnonzero(spread > STILL * (np.abs(values.mean(axis=0)) + 1e-30))
    found: list[Shares | None] = [None] * values.shape[1]
    if count < 3 * (inputs + 1) or not varies.size:
        return found
    scaled = (values[:, varies] - values[:, varies].mean(axis=0)) / spread[varies]
    best: list[_Fit | None] = [None] * varies.size
    for degree in range(1, MOST_DEGREE + 1):
        exponents = _within(inputs, degree, count)
        if exponents is None:
            break
        coefficients, errors = _fit(places, exponents, scaled)
        for number, error in enumerate(errors.tolist()):
            before = best[number]
            if before is None or error < before.error:
                best[number] = _Fit(error, degree, exponents, coefficients[:, number])
    for column, fit in zip(varies.tolist(), best, strict=True):
        assert fit is not None
        found[column] = _shares(fit, float(spread[column]))
    return found


class _Fit(NamedTuple):
    """error: mean square of leave-one-out residuals, over a variance of 1; exponents (terms, inputs), coefficients
    (terms,).
    """

    error: float
    degree: int
    exponents: NDArray[np.int64]
    coefficients: Array


def _shares(fit: _Fit, spread: float) -> Shares:
    """What a fit to values of this standard deviation says."""
    unexplained = min(max(fit.error, 0.0), 1.0)
    parts = fit.coefficients[1:] ** 2
    involved = fit.exponents[1:] > 0
    alone = involved & (involved.sum(axis=1) == 1)[:, None]
    straight = alone & (fit.exponents[1:] == 1)
    # shares of all the variance: the explained parts add up to what is explained
    explained = (1.0 - unexplained) / max(float(parts.sum()), 1e-300)
    return Shares(
        first=explained * parts @ alone,
        total=explained * parts @ involved,
        linear=spread * np.sqrt(parts @ straight),
        unexplained=unexplained,
        degree=fit.degree,
    )


def _within(inputs: int, degree: int, count: int) -> NDArray[np.int64] | None:
    """Exponents of that degree when the samples suffice for them; the first degree is always fitted."""
    size = 1
    for step in range(1, degree + 1):
        size = size * (inputs + step) // step
    few = SAMPLES_PER_TERM * size <= count and size <= MOST_TERMS
    return terms(inputs, degree) if degree == 1 or few else None


def _fit(places: Array, exponents: NDArray[np.int64], values: Array) -> tuple[Array, Array]:
    """Of values (samples, m): least-squares coefficients (terms, m), mean squares (m,) of leave-one-out residuals."""
    blocks = [slice(first, first + BLOCK) for first in range(0, len(places), BLOCK)]
    gram = np.zeros((len(exponents), len(exponents)))
    product = np.zeros((len(exponents), values.shape[1]))
    columns = np.empty((0, 0))
    for block in blocks:
        columns = basis(places[block], exponents)
        gram += columns.T @ columns
        product += columns.T @ values[block]
    try:
        root = cholesky(gram, lower=True)
    except np.linalg.LinAlgError:  # places that do not tell the terms apart
        inverse = pinvh(gram)
    else:
        half = solve_triangular(root, np.eye(len(gram)), lower=True)
        inverse = half.T @ half
    coefficients = inverse @ product
    squares = np.zeros(values.shape[1])
    for block in blocks:
        if len(blocks) > 1:  # of one the columns are there still
            columns = basis(places[block], exponents)
        leverage = np.minimum(np.einsum("st,st->s", columns @ inverse, columns), 1.0 - 1e-9)
        squares += (((values[block] - columns @ coefficients) / (1.0 - leverage)[:, None]) ** 2).sum(axis=0)
    return coefficients, squares / len(places)
