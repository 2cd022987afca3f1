"""What the gauge and the meter show of a run, beside what is true."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from featherbench.scenario.bench_tables import Gauge, Meter

Series = NDArray[np.float64]

PHASES = 16
"""Places of a gauge's samples in its interval over which its peaks are averaged."""


@dataclass(frozen=True)
class Display:
    """Readings of an instrument: time (n,) s at each refresh, value (n,) in SI as displayed until the next."""

    time: Series
    value: Series


def rounded(value: Series, resolution: float) -> Series:
    """To the nearest step of the display; unchanged when the resolution is 0."""
    return np.asarray(np.round(value / resolution) * resolution if resolution > 0.0 else value, dtype=float)


def gauge_display(time: Series, force: Series, gauge: Gauge) -> Display:
    """Force (N) as a gauge shows it: sampled `rate` times a second, to its resolution.

    A peak-hold pointer shows the largest of these samples, so a short peak between two of them is missed.
    """
    ticks = _ticks(time, 1.0 / gauge.rate)
    return Display(ticks, rounded(np.interp(ticks, time, force), gauge.resolution))


def gauge_peaks(time: Series, force: Series, gauge: Gauge) -> tuple[float, float]:
    """Largest force (N) that a gauge's samples catch, in the mean over when they fall, and its standard deviation.

    Nobody starts a sweep in step with the gauge's samples: the last one before a peak may miss it by an interval. Not
    rounded to the display's steps.
    """
    period = 1.0 / gauge.rate
    starts = time[0] + period * (np.arange(PHASES) + 0.5) / PHASES
    peaks = [float(np.interp(np.arange(start, time[-1], period), time, force).max()) for start in starts]
    return float(np.mean(peaks)), float(np.std(peaks))


def meter_display(time: Series, current: Series, meter: Meter, idle: float) -> Display:
    """Supply current (A) as a meter shows it: mean over `window`, refreshed `rate` times a second, to its resolution.

    idle (A) is taken off when the meter was zeroed with the servo at rest. time and current (n,) hold interval
    means: current[k] is the mean from time[k-1] to time[k].
    """
    edges, charge = _accumulated(time, current)
    ticks = _ticks(time, 1.0 / meter.rate)
    start = np.maximum(ticks - meter.window, edges[0])
    drawn = np.interp(ticks, edges, charge) - np.interp(start, edges, charge)
    mean = drawn / np.maximum(ticks - start, 1e-12)
    return Display(ticks, rounded(mean - (idle if meter.zero_idle else 0.0), meter.resolution))


def peak_shown(time: Series, current: Series, meter: Meter, idle: float, shown: Display) -> float | None:
    """The largest current (A) that a meter has to show of a run: of its readings, or of its min/max hold.

    shown: its readings of the same run; None where it has none.
    """
    if meter.min_max is None:
        return float(shown.value.max()) if len(shown.value) else None
    caught = moving_mean(time, current, meter.min_max).max() - (idle if meter.zero_idle else 0.0)
    return float(rounded(np.asarray(caught), meter.resolution))


def meter_peaks(
    time: Series, current: Series, meter: Meter, idle: float, before: float
) -> tuple[float, float]:
    """Largest current (A) that a meter shows of one move, in the mean over when its readings fall, and the standard
    deviation by that; of a min/max hold what it catches, and 0. Not rounded to the display's steps.

    time and current (n,) as for `meter_display`, of the move and its hold; before: A, that stood until then.
    """
    edges, charge = _accumulated(time, current)

    def drawn(since: Series) -> Series:
        """Integral of the current from the move's start; before it, of what stood until then."""
        return np.asarray(np.interp(since, edges, charge) + before * np.minimum(since - edges[0], 0.0))

    taken = idle if meter.zero_idle else 0.0
    if meter.min_max is not None:
        means = (drawn(time) - drawn(time - meter.min_max)) / meter.min_max
        return float(means.max()) - taken, 0.0
    period = 1.0 / meter.rate
    starts = edges[0] + period * (np.arange(PHASES) + 0.5) / PHASES
    ticks = starts[:, None] + period * np.arange(max(1, int((time[-1] - edges[0]) / period)))
    ticks = np.minimum(ticks, time[-1])
    peaks = ((drawn(ticks) - drawn(ticks - meter.window)) / meter.window).max(axis=1)
    return float(peaks.mean()) - taken, float(peaks.std())


def moving_mean(time: Series, values: Series, window: float) -> Series:
    """Mean over the `window` seconds that end at each time (n,); at the start, over what there is.

    values (n,) hold interval means, as in `meter_display`; windows need not fit the rows.
    """
    edges, total = _accumulated(time, values)
    start = np.maximum(time - window, edges[0])
    return np.asarray((total[1:] - np.interp(start, edges, total)) / (time - start), dtype=float)


def _accumulated(time: Series, values: Series) -> tuple[Series, Series]:
    """Edges (n + 1,) of the record intervals, s, and the running integral (n + 1,) of their means."""
    # filled piece by piece: a sample asks for this some twenty times, which put together by numpy cost a fiftieth of it
    edges, charge = np.empty(len(time) + 1), np.empty(len(time) + 1)
    edges[1:] = time
    edges[0] = 2.0 * time[0] - time[1]
    steps = edges[1:] - edges[:-1]
    edges[0], charge[0] = time[0] - steps[0], 0.0
    np.cumsum(values * steps, out=charge[1:])
    return edges, charge


def _ticks(time: Series, period: float) -> Series:
    """Refresh times within the record, s."""
    first = np.ceil(time[0] / period - 1e-9)
    last = np.floor(time[-1] / period + 1e-9)
    return np.arange(first, last + 1.0) * period
