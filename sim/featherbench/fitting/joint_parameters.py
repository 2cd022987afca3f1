"""What a fit varies, of one build or of several together: see `several_builds` for whose each parameter is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import isclose
from typing import TYPE_CHECKING

import numpy as np

from featherbench.fitting.improved import AS_READ
from featherbench.fitting.nuisances import at_bench_speed, correlation_before, nuisances
from featherbench.fitting.several_builds import SPEED, BuildModel, has, labelled
from featherbench.fitting.unknowns import Unknown, unknowns
from featherbench.sampling.doubts import PASSING
from featherbench.scenario import Problem, Scenario, ScenarioError, located
from featherbench.studies.key_paths import looked_up

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from featherbench.fitting.model import BenchModel


def parameters(
    scenario: Scenario, model: BenchModel, free: tuple[str, ...]
) -> tuple[tuple[Unknown, ...], tuple[Unknown, ...], NDArray[np.float64]]:
    """Unknowns, what is fitted along, and how all go together beforehand. Raises ScenarioError.

    A key to be found that two builds state otherwise is refused: it cannot be one number for both.
    """
    builds = model.builds or (BuildModel("", scenario, model),)
    _refuse_contradictions(builds, free)
    nowhere = tuple(key for key in free if not any(has(one.written, key) for one in builds))
    unknowns(scenario, nowhere)  # refuses them
    found: list[Unknown] = []
    beside: list[Unknown] = []
    origin: dict[str, tuple[int, str]] = {}
    for place, one in enumerate(builds):
        own = unknowns(one.written, tuple(key for key in free if has(one.written, key)))
        own = tuple(at_model(unknown, one.model.scenario) for unknown in own)
        along = at_bench_speed(nuisances(one.written, own), one.model.scenario, one.model.data)
        along = tuple(unknown for unknown in along if unknown.key not in {free.key for free in own})
        for unknown, into in [*((each, found) for each in own), *((each, beside) for each in along)]:
            name = unknown.key
            earlier = next((each for each in (*found, *beside) if each.key == name), None)
            if _is_own(unknown, earlier, name):
                name = labelled(name, one.name)
            elif earlier is not None:
                continue
            into.append(replace(unknown, key=name))
            origin[name] = place, unknown.key
    return tuple(found), tuple(beside), _before(builds, (*found, *beside), origin)


def at_model(unknown: Unknown, scenario: Scenario) -> Unknown:
    """The unknown; rotor speed starts from what was read on the bench."""
    if unknown.key != SPEED:
        return unknown
    speed = float(scenario.rotor.speed)
    return replace(unknown, start=speed, low=0.9 * speed, high=1.1 * speed)


def _is_own(unknown: Unknown, earlier: Unknown | None, key: str) -> bool:
    """Whether a parameter is a later build's alone though an earlier one has the key too."""
    if earlier is None:
        return False
    if key in PASSING:
        return True
    if key == SPEED:
        return AS_READ in (unknown.why, earlier.why)
    alike = isclose(unknown.start, earlier.start, rel_tol=1e-6, abs_tol=1e-12)
    return not (alike and isclose(unknown.deviation, earlier.deviation, rel_tol=1e-6))


def _refuse_contradictions(builds: Sequence[BuildModel], free: tuple[str, ...]) -> None:
    problems = []
    first = builds[0]
    for key in free:
        holders = [one for one in builds if key != SPEED and has(one.written, key)]
        for one in holders[1:]:
            given, expected = (looked_up(build.written, key)[0] for build in (one, holders[0]))
            if not isclose(given, expected, rel_tol=1e-6, abs_tol=1e-12):
                file, line = one.written.source.place(key)
                there = holders[0].name
                problems.append(
                    Problem(file, line, key, f"{given:.6g} in SI units in {one.name}, {expected:.6g} in {there}",
                            f"the same in both, since one number is to be found for both; else leave {key} out of "
                            f"--free, or fit {first.name} alone")
                )  # fmt: skip
    if problems:
        raise located(ScenarioError(problems), first.written)


def _before(
    builds: Sequence[BuildModel], parameters: tuple[Unknown, ...], origin: dict[str, tuple[int, str]]
) -> NDArray[np.float64]:
    """Correlation beforehand (n, n): what an earlier fit of a build left between parameters that came from it."""
    whole = np.eye(len(parameters))
    for place, one in enumerate(builds):
        numbers = [k for k, each in enumerate(parameters) if origin[each.key][0] == place]
        own = tuple(replace(parameters[k], key=origin[parameters[k].key][1]) for k in numbers)
        if numbers:
            whole[np.ix_(numbers, numbers)] = correlation_before(one.written, own)
    return whole
