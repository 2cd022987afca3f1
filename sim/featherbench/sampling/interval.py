"""A 95 % interval from samples, the one rule of every study: from a few dozen of them as from thousands.

The 2.5 and 97.5 per cent quantiles of 64 samples hang on the outermost two or three of them. So of FEW samples or fewer
a straight-line law of the inputs is fitted first, drawn from again at many places, and each draw given one of the
residuals (scaled to their leave-one-out size by 1/sqrt(1 - leverage)); the quantiles are those of these draws. Where
the law leaves more than ROUGH of the variance (a servo that sticks, a display's steps), where the samples are too few
for it or so many that they speak for themselves, they are the median-unbiased quantiles of the samples (R. J. Hyndman,
Y. Fan, The American Statistician 50 (1996) 361, definition 8; from memory).

How far the edges lie from those of 640 samples of a shipped build with ten tolerances, in per cent of the half-width,
root mean square over findings and disjoint blocks of the samples, by the share of variance that the law leaves:

    samples                 64          128         256         512
    share left          law  bare   law  bare   law  bare   law  bare
    under 0.01          2.1   6.1   2.1   3.7   2.1   2.7   2.1   1.6
    0.1 to 0.25        11.9  18.2  11.6  12.4  12.1  12.7  12.3   2.2
    over 0.25          24.5  19.8  23.8  13.5  22.7   7.0  23.2   2.4

What is added up from parts leaves next to nothing; peaks of current, arrival and displays leave most.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from featherbench.sampling.inputs import Input, normal_score
from featherbench.sampling.samples import sample_places

Array = NDArray[np.float64]

METHOD = (
    "each tolerance taken as a bound within which every value is equally likely, the model's doubts ([doubt]) beside "
    "them; ranges by a straight-line law fitted to the samples and drawn from with its residuals, or by quantiles "
    "where it does not fit or the samples are many"
)
EDGES = (0.025, 0.975)
ROUGH = 0.25
"""Share of the variance that the straight-line law may leave."""
SAMPLES_PER_TERM = 3
FEW = 256
"""Samples up to which the law says more than the samples' own quantiles."""
COLUMNS = 512
"""Values of a sample that are worked out at a time, to spare memory."""
DRAWS, DRAW_SEED = 4096, 1
SETS = 60
"""Drawn again, to see how far off the likeliest value is."""


def interval(places: Array, values: Array, inputs: Sequence[Input] = ()) -> tuple[Array, Array]:
    """Low and high (m,) that hold 95 % of what values (samples, m) at places (samples, inputs) in [-1, 1] stand for.

    inputs: what the places are of; the law is straight in the value of one that does not go evenly with its place.
    NaN in a column gives NaN for it. The same samples give the same interval.
    """
    low, high = np.full(values.shape[1], np.nan), np.full(values.shape[1], np.nan)
    known = np.flatnonzero(np.isfinite(values).all(axis=0))
    for first in range(0, len(known), COLUMNS):
        some = known[first : first + COLUMNS]
        low[some], high[some] = _edges(places, values[:, some], inputs)
    return low, high


def _edges(places: Array, values: Array, inputs: Sequence[Input]) -> Array:
    """Low and high (2, m) of finite values (samples, m)."""
    edges = np.quantile(values, EDGES, axis=0, method="median_unbiased")
    count, varied = places.shape
    if varied and SAMPLES_PER_TERM * (varied + 1) <= count <= FEW:
        law, residual, left = _straight_line(_columns(places, inputs), values)
        smooth = left <= ROUGH
        if smooth.any():
            edges[:, smooth] = _drawn(law[:, smooth], residual[:, smooth], inputs)
    return np.asarray(edges)


def _straight_line(columns: Array, values: Array) -> tuple[Array, Array, Array]:
    """Coefficients (1 + inputs, m), residuals (samples, m) at their leave-one-out size, share of variance left (m,)."""
    orthogonal, upper = np.linalg.qr(columns)
    law = np.linalg.lstsq(upper, orthogonal.T @ values, rcond=None)[0]
    rest = 1.0 - np.minimum((orthogonal**2).sum(axis=1), 1.0 - 1e-9)[:, None]
    residual = values - columns @ law
    variance = values.var(axis=0)
    missed = ((residual / rest) ** 2).mean(axis=0)
    return law, residual / np.sqrt(rest), np.where(variance > 0.0, missed / np.maximum(variance, 1e-300), 1.0)


def _drawn(law: Array, residual: Array, inputs: Sequence[Input]) -> Array:
    """Quantiles (2, m) of the law at many places, a residual added to each."""
    rng = np.random.default_rng(DRAW_SEED)
    which = rng.permutation(np.resize(np.arange(len(residual)), DRAWS))
    drawn = _columns(sample_places(len(law) - 1, DRAWS, DRAW_SEED), inputs) @ law
    return np.asarray(np.quantile(drawn + residual[which], EDGES, axis=0))


def _columns(places: Array, inputs: Sequence[Input]) -> Array:
    columns = np.column_stack([np.ones(len(places)), places])
    for number, own in enumerate(inputs, start=1):
        if own.found is not None:
            columns[:, number] = [normal_score(place) for place in columns[:, number].tolist()]
        elif own.log_normal:
            columns[:, number] = [own.value(place) for place in columns[:, number].tolist()]
    return columns


def most_likely(values: Array) -> float:
    """The one of values (n,) where they lie densest by normal kernels, Silverman's width (B. W. Silverman, Density
    Estimation, 1986, eq. 3.31; from memory). A few that lie very close together, as holds without current do, outweigh
    no broad majority. Raises ValueError for none.
    """
    known = np.sort(np.asarray(values, dtype=float))
    if known.size == 0:
        raise ValueError("no values")
    first, third = np.quantile(known, (0.25, 0.75))
    width = 0.9 * min(float(known.std()), float(third - first) / 1.34) * known.size**-0.2
    if width <= 0.0:
        return float(np.median(known))
    density = np.exp(-0.5 * ((known[:, None] - known) / width) ** 2).sum(axis=1)
    return float(known[int(np.argmax(density))])


def likely_error(values: Array) -> float:
    """How far `most_likely` of so many values is off, as a standard deviation: that over sets of as many, drawn from
    them with replacement (B. Efron, Bootstrap methods, Ann. Statist. 7 (1979) 1; from memory). Of many values sets of
    FEW are drawn, which says too much rather than too little. Zero for a single value; raises ValueError for none.
    """
    known = np.asarray(values, dtype=float)
    if known.size == 0:
        raise ValueError("no values")
    rng = np.random.default_rng(DRAW_SEED)
    sets = rng.integers(known.size, size=(SETS, min(known.size, FEW)))
    return float(np.std([most_likely(known[one]) for one in sets]))
