"""A scrambled Sobol sequence, number for number that of scipy's `qmc.Sobol`, without the half second of loading it.

Every prediction with ranges begins with one. Points follow in Gray-code order, each coordinate a fraction of BITS
binary digits; scrambled by a random lower triangular matrix and a digital shift (J. Matousek, Journal of Complexity 14
(1998) 527; from memory). Direction numbers are those of S. Joe and F. Y. Kuo, SIAM Journal on Scientific Computing 30
(2008) 2635, read from scipy's copy of the table. `tests/studies/test_one_sampler.py` holds the two to each other.
"""

from __future__ import annotations

from math import ceil, log2

import numpy as np
from numpy.typing import NDArray

BITS = 30
"""Binary digits of a coordinate."""
DIRECTIONS = """
3 1; 7 1 3; 11 1 3 1; 13 1 1 1; 19 1 1 3 3; 25 1 3 5 13; 37 1 1 5 5 17; 41 1 1 5 5 5; 47 1 1 7 11 19;
55 1 1 5 1 1; 59 1 1 1 3 11; 61 1 3 5 5 31; 67 1 3 3 9 7 49; 91 1 1 1 15 21 21; 97 1 3 1 13 27 49;
103 1 1 1 15 7 5; 109 1 3 1 15 13 25; 115 1 1 5 5 19 61; 131 1 3 7 11 23 15 103; 137 1 3 7 13 13 15 69;
143 1 1 3 13 7 35 63; 145 1 3 5 9 1 25 53; 157 1 3 1 13 9 35 107; 167 1 3 1 5 27 61 31; 171 1 1 5 11 19 41 61;
185 1 3 5 3 3 13 69; 191 1 1 7 13 1 19 1; 193 1 3 7 5 13 19 59; 203 1 1 3 9 25 29 41; 211 1 3 5 13 23 1 55;
213 1 3 7 3 13 59 17; 229 1 3 1 3 5 53 69; 239 1 1 5 5 23 33 13; 241 1 1 7 7 1 61 123; 247 1 1 7 9 13 61 49;
253 1 3 3 5 3 55 33; 285 1 3 1 15 31 13 49 245; 299 1 3 5 15 31 59 63 97; 301 1 3 1 11 11 11 77 249;
333 1 3 1 11 27 43 71 9; 351 1 1 7 15 21 11 81 45; 355 1 3 7 3 25 31 65 79; 357 1 3 1 1 19 11 3 205;
361 1 1 5 9 19 21 29 157; 369 1 3 7 11 1 33 89 185; 391 1 3 3 3 15 9 79 71; 397 1 3 7 11 15 39 119 27;
425 1 1 3 1 11 31 97 225; 451 1 1 1 3 23 43 57 177; 463 1 3 7 7 17 17 37 71; 487 1 3 1 5 27 63 123 213;
501 1 1 3 5 11 43 53 133; 529 1 3 5 5 29 17 47 173 479; 539 1 3 3 11 3 1 109 9 69; 545 1 1 1 5 17 39 23 5 343;
557 1 3 1 5 25 15 31 103 499; 563 1 1 1 11 11 17 63 105 183; 601 1 1 5 11 9 29 97 231 363;
607 1 1 5 15 19 45 41 7 383; 617 1 3 7 7 31 19 83 137 221; 623 1 1 1 3 23 15 111 223 83;
631 1 1 5 13 31 15 55 25 161; 637 1 1 3 13 25 47 39 87 257; 647 1 1 1 11 21 53 125 249 293;
661 1 1 7 11 11 7 57 79 323; 675 1 1 5 5 17 13 81 3 131; 677 1 1 7 13 23 7 65 251 475;
687 1 3 5 1 9 43 3 149 11; 695 1 1 3 13 31 13 13 255 487; 701 1 3 3 1 5 63 89 91 127;
719 1 1 3 3 1 19 123 127 237; 721 1 1 5 7 23 31 37 243 289; 731 1 1 5 11 17 53 117 183 491;
757 1 1 1 5 1 13 13 209 345; 761 1 1 3 15 1 57 115 7 33; 787 1 3 1 11 7 43 81 207 175;
789 1 3 1 1 15 27 63 255 49; 799 1 3 5 3 27 61 105 171 305; 803 1 1 5 3 1 3 57 249 149
"""
"""Of the second dimension and those after it: its primitive polynomial, as binary digits of a number, and the numbers
that its recurrence begins with."""
MOST = DIRECTIONS.count(";") + 2
"""Dimensions for which there are directions."""


def sobol_points(dimensions: int, count: int, seed: int) -> NDArray[np.float64]:
    """The first points (count, dimensions) in [0, 1) of the sequence scrambled by `seed`."""
    if dimensions > MOST:
        from scipy.stats import qmc

        engine = qmc.Sobol(dimensions, scramble=True, rng=np.random.default_rng(seed))
        return np.asarray(engine.random_base2(ceil(log2(max(count, 2))))[:count])
    rng = np.random.default_rng(seed).spawn(1)[0]
    powers = np.left_shift(np.uint32(1), np.arange(BITS, dtype=np.uint32))
    shift = rng.integers(2, size=(dimensions, BITS), dtype=np.uint32) @ powers
    lower = np.tril(rng.integers(2, size=(dimensions, BITS, BITS), dtype=np.uint32))
    lower[:, np.arange(BITS), np.arange(BITS)] = 1
    digits = (
        _directions(dimensions)[:, :, None] >> np.arange(BITS - 1, -1, -1, dtype=np.uint32)
    ) & np.uint32(1)
    # row p of the matrix mixes the digits down to p into digit p, the first one before the point
    mixed = np.einsum("dpk,djk->djp", lower, digits) & np.uint32(1)
    scrambled = mixed @ powers[::-1]
    # from one point to the next one direction changes it: that of the lowest digit of the count which is 0
    numbers = np.arange(count - 1, dtype=np.int64)
    lowest = np.array(
        [(~number & (number + 1)).bit_length() - 1 for number in numbers.tolist()], dtype=np.int64
    )
    steps = np.concatenate([shift[None, :], scrambled[:, lowest].T])
    return np.bitwise_xor.accumulate(steps, axis=0) * 2.0**-BITS


def _directions(dimensions: int) -> NDArray[np.uint32]:
    """Directions (dimensions, BITS), the first digit of a coordinate as the highest bit."""
    found = [[1] * BITS]
    for row in DIRECTIONS.split(";")[: dimensions - 1]:
        polynomial, *known = (int(word) for word in row.split())
        degree = len(known)
        for place in range(degree, BITS):
            new = known[place - degree]
            for back in range(1, degree + 1):
                if polynomial >> (degree - back) & 1:
                    new ^= known[place - back] << back
            known.append(new)
        found.append(known)
    return np.array(found, dtype=np.uint32) << np.arange(BITS - 1, -1, -1, dtype=np.uint32)
