"""Weights of a cubic spline: what is asked at one place of many curves over the same few nodes.

The spline's third derivative is continuous at the second and the last node but one ("not a knot"), as in scipy's
`CubicSpline`, which takes a third of a second to load and would be the only thing that most predictions load scipy for
(C. de Boor, A Practical Guide to Splines, 1978, chapter IV; from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def spline_slopes(nodes: Array) -> Array:
    """Slopes (k, k) of the spline at each node, per value at each node: slopes @ values. nodes (k,), rising, k > 3."""
    size, gaps = len(nodes), np.diff(nodes)
    rise = np.zeros((size - 1, size))  # of each piece, per value
    pieces = np.arange(size - 1)
    rise[pieces, pieces], rise[pieces, pieces + 1] = -1.0 / gaps, 1.0 / gaps
    left, right = np.zeros((size, size)), np.zeros((size, size))
    for row in range(1, size - 1):
        before, after = gaps[row - 1], gaps[row]
        left[row, row - 1 : row + 2] = after, 2.0 * (before + after), before
        right[row] = 3.0 * (after * rise[row - 1] + before * rise[row])
    for row, beside, own, other in ((0, 1, 0, 1), (size - 1, size - 2, size - 2, size - 3)):
        both = gaps[own] + gaps[other]
        left[row, row], left[row, beside] = gaps[other], both
        right[row] = (
            (gaps[own] + 2.0 * both) * gaps[other] * rise[own] + gaps[own] ** 2 * rise[other]
        ) / both
    return np.asarray(np.linalg.solve(left, right))


def spline_weights(nodes: Array, slopes: Array, place: float) -> Array:
    """Weights (k,) of the values at the nodes that sum to the spline at `place`; beyond the ends its last piece."""
    piece = min(max(int(np.searchsorted(nodes, place, side="right")) - 1, 0), len(nodes) - 2)
    gap = nodes[piece + 1] - nodes[piece]
    share = (place - nodes[piece]) / gap
    rest = 1.0 - share
    weights = gap * share * rest * (rest * slopes[piece] - share * slopes[piece + 1])
    weights[piece] += rest * rest * (1.0 + 2.0 * share)
    weights[piece + 1] += share * share * (1.0 + 2.0 * rest)
    return np.asarray(weights)
