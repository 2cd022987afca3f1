"""What the summary of a spread costs by the number of samples, in one run on one core.

`python validation/benchmark_shares.py` works out shares of variance of sixty invented findings of ten inputs, as a
spread does, for 1,024 to 65,536 samples. It ends with 1 when four times the samples cost more than eight times as much
anywhere past the bound on terms, which n log n would not; below that bound (4,096 samples) the fit itself grows, and
what it costs is printed. Not collected by pytest; takes about half a minute.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import itertools
import sys
import time

import numpy as np

from featherbench.sampling.samples import sample_places
from featherbench.sampling.shares import shares_of_each

INPUTS, FINDINGS = 10, 60
COUNTS = (1024, 4096, 16384, 65536)
MOST = 8.0
"""Times as much for four times as many."""


def seconds(count: int) -> float:
    """Processor time of one summary."""
    rng = np.random.default_rng(0)
    places = sample_places(INPUTS, count, 0)
    straight = places @ rng.normal(size=(INPUTS, FINDINGS))
    values = straight + 0.3 * straight**2 + 0.05 * rng.normal(size=straight.shape)
    start = time.process_time()
    shares_of_each(places, values)
    return time.process_time() - start


def main() -> int:
    """Print a line a count; 1 where the cost runs away."""
    spent = [seconds(count) for count in COUNTS]
    for count, own in zip(COUNTS, spent, strict=True):
        print(f"{count:6d} samples: {own:6.2f} s for {FINDINGS} findings")
    ratios = [after / before for before, after in itertools.pairwise(spent[1:])]
    print("four times the samples past 4,096:", ", ".join(f"{one:.1f} x the time" for one in ratios))
    return int(max(ratios) > MOST)


if __name__ == "__main__":
    sys.exit(main())
