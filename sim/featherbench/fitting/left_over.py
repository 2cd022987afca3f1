"""What a fit leaves over, build by build: patterns, trends, how well each fits, readings that fit another better."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from featherbench.bench.readings import Reading
from featherbench.fitting.data import Channel, reading_uncertainty, unstated
from featherbench.fitting.drift import Trend, drift
from featherbench.fitting.hand_readings import forces_at_pitch, left_open
from featherbench.fitting.misfit import misfit_in_words
from featherbench.fitting.model import BenchModel
from featherbench.fitting.several_builds import BuildModel, parted
from featherbench.fitting.simulated import Simulated

OFF, BETTER = 2.0, 0.5
"""Readings that are further off than so many uncertainties, and less than such a share of that off another build, are
spoken of: they may have been read of that one."""
LEAST = 4
"""Readings of a file from which on they can tell."""


class BuildFit(NamedTuple):
    """How well one of several builds fits: its name, spot readings, logs, and the root mean square of what is left of
    the readings, in units of their uncertainty (None without readings)."""

    name: str
    readings: int
    logs: int
    off: float | None


def _each(
    model: BenchModel, simulated: Simulated, names: Sequence[str]
) -> list[tuple[str, BenchModel, Simulated, tuple[str, ...]]]:
    """Every build's name ("" where there is one only), model, simulation and own names of readings."""
    if not model.builds:
        return [("", model, simulated, tuple(names))]
    return [(one.name, one.model, simulated.builds[place], own) for place, one, own in parted(model, names)]


def unstated_of(model: BenchModel) -> list[str]:
    """Which readings have no uncertainty, of each build."""
    models = [one.model for one in model.builds] or [model]
    return [words for one in models for words in unstated(one.data, one.scenario)]


def patterns_left(
    model: BenchModel, simulated: Simulated, names: Sequence[str], logged: Sequence[Channel]
) -> list[str]:
    """The patterns of what is left over, each build by itself, and files that fit another build better."""
    found, first = [], 0
    for name, own, there, its in _each(model, simulated, names):
        logs = len(own.data.logs)
        channels = [
            replace(channel, log=channel.log - first)
            for channel in logged
            if first <= channel.log < first + logs
        ]
        first += logs
        words = misfit_in_words(own, there, its, channels)
        found += [f"{name}: {one}" if name else one for one in words]
    return [*_of_another(model, simulated, names), *found]


def trends_of(model: BenchModel, simulated: Simulated, names: Sequence[str]) -> tuple[Trend, ...]:
    """Trends over the days, of each build that was read on several."""
    return tuple(
        trend._replace(what=f"{name}: {trend.what}") if name else trend
        for name, own, there, its in _each(model, simulated, names)
        for trend in drift(own, there, its)
    )


def fit_of_builds(model: BenchModel, simulated: Simulated, names: Sequence[str]) -> tuple[BuildFit, ...]:
    """How well each build fits; () where there is only one."""
    return tuple(
        BuildFit(name, len(its), len(own.data.logs), _off(own, own, there, its))
        for name, own, there, its in _each(model, simulated, names)
        if name
    )


def _of_another(model: BenchModel, simulated: Simulated, names: Sequence[str]) -> list[str]:
    """Files whose readings fit another build than the one they are of: at the best values, or of the builds as written,
    since a fit to readings of the wrong build spoils both."""
    if not model.builds:
        return []
    found = {}
    for there in (simulated, model.at((), (), verdicts=False)):
        for place, one, own in parted(model, names):
            for file in dict.fromkeys(one.model.data.readings[name].file for name in own):
                its = tuple(name for name in own if one.model.data.readings[name].file == file)
                words = _better_elsewhere(model.builds, there, place, its)
                if file and words and (one.name, file) not in found:
                    found[one.name, file] = f"{file} fits {words}"
    return list(found.values())


def _better_elsewhere(
    builds: Sequence[BuildModel], simulated: Simulated, place: int, names: tuple[str, ...]
) -> str | None:
    own = builds[place]
    off = _off(own.model, own.model, simulated.builds[place], names)
    if len(names) < LEAST or off is None or off <= OFF:
        return None
    for number, other in enumerate(builds):
        elsewhere = _off(own.model, other.model, simulated.builds[number], names)
        if number != place and elsewhere is not None and elsewhere < BETTER * off:
            return (
                f"{other.name} better than {own.name}, which it is said to be of: {elsewhere:.1f} x the uncertainty "
                f"off instead of {off:.1f} x; look at what was on the rotor, and at its line `build`"
            )
    return None


def _off(read: BenchModel, model: BenchModel, simulated: Simulated, names: tuple[str, ...]) -> float | None:
    """Root mean square of readings' departures from a build's simulation, in units of their uncertainty, the error that
    they share taken out; None without forces or where they were read at another rotor speed."""
    if simulated.gauge is None:
        return None
    forces = forces_at_pitch(simulated.gauge, read.data)
    loose = left_open(simulated.gauge, read.data)
    left = []
    for name in names:
        reading: Reading = read.data.readings[name]
        if reading.pitch is None or not isinstance(reading.value, float) or reading.speed is not None:
            continue
        doubt = float(np.hypot(reading_uncertainty(reading, model.scenario), loose[name]))
        left.append((forces[name] - reading.value) / doubt)
    return float(np.sqrt(np.mean(np.square(left)))) if left else None
