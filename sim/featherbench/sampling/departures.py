"""What samples of a build's tolerances come to: each by its departure from the build as written.

Samples are shortened bench runs. Each counts by its departure from the same shortened run of the build as written, and
this departure is laid on the figure as written: what shortening changes cancels.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.sampling.checkpoint import Values
from featherbench.sampling.inputs import Input
from featherbench.sampling.interval import interval
from featherbench.studies.free_play import free_play_curves
from featherbench.studies.run import Run

Array = NDArray[np.float64]

MOSTLY_KNOWN = 0.95
"""A finding that fewer of the samples have gets no interval."""
JUMPING = ("lost_motion", "seat_ratio")
"""Curves with jumps or kinks, beside which a departure is laid on no further than any sample reached."""


STEPPED = ("holding_high", "holding_low")
"""Findings that jump from one way of holding to another, likewise."""


class Interval(NamedTuple):
    """95 % of what the tolerances allow lies between low and high, SI."""

    low: float
    high: float


class Band(NamedTuple):
    """Low and high (n,) over the pitch of the build's static curves, SI, each pitch by itself; NaN where not known."""

    low: Array
    high: Array


class Sample(NamedTuple):
    """Findings and curves (n,) of one sample; refused: why it could not be built, else ""; checks: what they say."""

    values: Values
    curves: dict[str, Array]
    refused: str = ""
    checks: Values = {}  # noqa: RUF012 - never changed


class Departures(NamedTuple):
    """By index of the sample, its findings less those of the build as written, and its curves likewise.

    base: the findings of the build as written, from the same shortened run; written: its curves.
    """

    base: dict[str, float]
    findings: dict[int, dict[str, float]]
    curves: dict[int, dict[str, Array]]
    written: dict[str, Array]


def curves_of(run: Run, pitch: Array) -> dict[str, Array]:
    """The curves that get bands, over pitch (n,), rad; NaN where the run does not reach."""
    names = (
        "moment",
        "air",
        "friction",
        "rod_force",
        "rod_friction",
        "rod_friction_easier",
        "servo_force",
        "servo_angle",
    )
    own = run.statics.pitch
    moved = {
        name: np.interp(pitch, own, getattr(run.statics, name), left=np.nan, right=np.nan) for name in names
    }
    statics = replace(run.statics, pitch=pitch, by_group={}, **moved)
    free_play = free_play_curves(run.setup, statics)
    upper, lower = statics.loop
    return {
        "rod_force": statics.rod_force,
        "rod_force_upper": upper,
        "rod_force_lower": lower,
        "moment": statics.moment,
        "lost_motion": free_play.lost_motion,
        "seat_ratio": free_play.seat_ratio,
    }


def departures_of(samples: Mapping[int, Sample]) -> Departures:
    """Of one build's samples by index, -1 the build as written."""
    written = samples.get(-1)
    if written is None or written.refused:
        return Departures({}, {}, {}, {})
    good = {index: sample for index, sample in samples.items() if index >= 0 and not sample.refused}
    base, findings = finding_departures(written.values, {index: one.values for index, one in good.items()})
    curves = {
        index: {name: one.curves[name] - curve for name, curve in written.curves.items()}
        for index, one in good.items()
    }
    return Departures(base, findings, curves, written.curves)


def finding_departures(
    written: Values, samples: Mapping[int, Values]
) -> tuple[dict[str, float], dict[int, dict[str, float]]]:
    """(numbers of the build as written, by index of the sample its numbers less those)."""
    base = {name: value for name, value in written.items() if isinstance(value, float)}
    return base, {
        index: {
            name: value - own for name, own in base.items() if isinstance(value := values.get(name), float)
        }
        for index, values in samples.items()
    }


def shifted_intervals(
    written: Mapping[str, float],
    shorter: Mapping[str, float],
    departures: Mapping[int, Mapping[str, float]],
    points: Array,
    inputs: Sequence[Input],
) -> dict[str, Interval]:
    """The figures as written with the interval of their departures laid on; points (asked, inputs).

    shorter: the same figures from the shortened run that the departures are from.
    """
    found: dict[str, Interval] = {}
    # findings that the same samples have are worked out together
    alike: dict[tuple[int, ...], list[str]] = {}
    for name in written:
        having = tuple(index for index in sorted(departures) if name in departures[index])
        if having and len(having) >= MOSTLY_KNOWN * len(departures):
            alike.setdefault(having, []).append(name)
    for having, names in alike.items():
        values = np.array([[departures[index][name] for name in names] for index in having])
        low, high = interval(points[list(having)], values, inputs)
        for name, less, more, column in zip(names, low.tolist(), high.tolist(), values.T, strict=True):
            reached = shorter[name] + column
            found[name] = _shifted(written[name], less, more, reached)
            if name in STEPPED:
                found[name] = Interval(
                    max(found[name].low, min(float(reached.min()), written[name])),
                    min(found[name].high, max(float(reached.max()), written[name])),
                )
    return {name: found[name] for name in written if name in found}


def _shifted(written: float, less: float, more: float, reached: Array) -> Interval:
    """The interval about a figure as written; it does not turn the sign of a figure that no sample turns.

    reached: the figure of each sample, from its shortened run.
    """
    low, high = written + less, written + more
    if written >= 0.0 and reached.min() >= 0.0:
        low = max(low, 0.0)
    if written <= 0.0 and reached.max() <= 0.0:
        high = min(high, 0.0)
    return Interval(low, high)


def bands_of(run: Run, away: Departures, points: Array, inputs: Sequence[Input]) -> dict[str, Band]:
    """Bands over the pitch of the build's own static curves."""
    if not away.curves:
        return {}
    having = sorted(away.curves)
    made = {}
    for name, curve in curves_of(run, run.statics.pitch).items():
        rows = np.array([away.curves[index][name] for index in having])
        edges = [curve + edge for edge in interval(points[having], rows, inputs)]
        if name in JUMPING:
            reached = away.written[name] + rows
            least, most = np.minimum(reached.min(axis=0), curve), np.maximum(reached.max(axis=0), curve)
            edges = [np.clip(edge, least, most) for edge in edges]
        made[name] = Band(*edges)
    return made
