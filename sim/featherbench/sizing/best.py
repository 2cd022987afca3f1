"""The best choice of one route: on target, light, and with nothing against it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from pydantic import TypeAdapter

from featherbench.bench.setup import Setup, build_setup
from featherbench.scenario import Scenario
from featherbench.scenario.parts import Part
from featherbench.sizing.choices import Choices
from featherbench.sizing.machined import Build
from featherbench.sizing.sizing_target import SizingTarget

BANDS = (0.005, 0.01, 0.02, 0.05, 0.1, 0.2, np.inf)
"""Residue, relative to the target: the lightest choice of the narrowest band that holds any is taken."""
TRIED = 9
"""Choices of a band that are held against the strength checks, from the lightest to the heaviest."""
REACHED = 0.05
"""A residue within this share of the target counts as reached."""
Judge = Callable[[Setup], tuple[str, ...]]


def nothing_against(setup: Setup) -> tuple[str, ...]:
    """For where strength is not asked about."""
    del setup
    return ()


@dataclass(frozen=True)
class Alternative:
    """The best of one route and material. achieved and residue (target - achieved) in the target's own quantity, SI;
    mass kg and load N added per blade to the build without weights; touching: limits it reaches. against: why it must
    not be made, check by check. above, below: how far the new parts reach from the feathering axis, m. margin: least of
    what is allowed over what is demanded in what keeps blades and weights on, and weakest what that is of; None and ""
    where nobody judged.
    """

    route: str
    words: str
    build: Build
    achieved: float
    residue: float
    mass: float
    load: float
    touching: tuple[str, ...]
    reached: bool
    against: tuple[str, ...] = ()
    above: float = 0.0
    below: float = 0.0
    margin: float | None = None
    weakest: str = ""

    @property
    def holds(self) -> bool:
        """Whether nothing speaks against making it."""
        return not self.against


def rank(alternative: Alternative) -> tuple[bool, float, float]:
    """Those that hold first; of these the reached ones, by load; then the nearest."""
    return (
        (not alternative.holds, 0.0, alternative.load)
        if alternative.reached
        else (not alternative.holds, abs(alternative.residue), alternative.load)
    )


def best_of(setup: Setup, choices: Choices, target: SizingTarget, judge: Judge) -> Alternative:
    """The lightest choice that holds, of the narrowest band of residue that holds any such; else the lightest."""
    achieved = target.measure(choices.weights, choices.radius, choices.chord)
    residue = target.value - achieved
    usable = target.usable(choices.weights, choices.chord)
    residue = np.where(usable, residue, np.inf) if usable.any() else residue
    share = np.abs(residue) / abs(target.value)
    first: Alternative | None = None
    failed: set[int] = set()
    for limit in BANDS:
        inside = np.flatnonzero(share <= limit)
        if not inside.size or (first is not None and limit > REACHED):
            continue
        if np.isinf(limit):  # nothing near: the nearest there is
            inside = inside[np.abs(residue[inside]) <= np.min(np.abs(residue[inside])) * 1.001]
        for pick in _tried(inside, np.asarray(choices.weights.mass), choices.every):
            if pick in failed:
                continue
            one = _alternative(setup, choices, pick, float(achieved[pick]), target)
            variant = with_parts(setup.scenario, one.build, one.words)
            one = replace(one, against=judge(build_setup(variant, setup.air)))
            if one.holds:
                return one
            first = first or one
            failed.add(pick)
    assert first is not None
    return first


def _tried(inside: NDArray[np.int64], mass: NDArray[np.float64], every: bool) -> list[int]:
    """The lightest of some choices, and a few over all the rest by mass; or every one of them, lightest first."""
    by_mass = inside[np.argsort(mass[inside], kind="stable")]
    if every:
        return [int(place) for place in by_mass]
    places = np.unique(np.linspace(0, by_mass.size - 1, TRIED).astype(int))
    return [int(by_mass[place]) for place in places]


def _alternative(
    setup: Setup, choices: Choices, pick: int, achieved: float, target: SizingTarget
) -> Alternative:
    off = [part.moments for part in setup.assembly.parts if part.name in choices.removed]
    mass = float(choices.weights.mass[pick]) - sum(one.mass for one in off)
    radial = float(choices.weights.mass[pick]) * choices.radius - sum(one.radial for one in off)
    return Alternative(
        route=choices.route,
        words=choices.words,
        build=renamed(choices.make(pick), set(setup.scenario.part)),
        achieved=achieved,
        residue=target.value - achieved,
        mass=mass,
        load=radial * float(setup.scenario.rotor.speed) ** 2,
        touching=tuple(choices.touching(pick)),
        reached=bool(abs(target.value - achieved) <= REACHED * abs(target.value)),
    )


def renamed(build: Build, taken: set[str]) -> Build:
    """The build with part names that the scenario does not have yet."""
    names = {}
    for name in build.parts:
        names[name] = name
        while names[name] in taken:
            names[name] = f"{names[name]}-new"
    parts = {names[name]: dict(table) for name, table in build.parts.items()}
    for table in parts.values():
        if table.get("held_to") in names:
            table["held_to"] = names[table["held_to"]]
    made = tuple(replace(one, fitted=tuple(names[name] for name in one.fitted)) for one in build.made)
    return replace(build, made=made, parts=parts)


def _is_of(key: str, parts: Iterable[str]) -> bool:
    """Whether a key path lies in one of the parts."""
    return any(key.startswith(f"part.{name}.") for name in parts)


def with_parts(plain: Scenario, build: Build, words: str) -> Scenario:
    """The build with the new parts fitted, ready to run."""
    adapter: TypeAdapter[Part] = TypeAdapter(Part)
    new = {name: adapter.validate_python(table) for name, table in build.parts.items()}
    gone = {name for part in new.values() for name in part.instead_of}
    kept = {name: part for name, part in plain.part.items() if name not in gone and name not in new}
    replaced = {name: part for name, part in plain.part.items() if name in gone}
    tolerances = {  # a new part of an old one's name has none of its tolerances
        key: half for key, half in plain.source.tolerances.items() if not _is_of(key, new)
    }
    folder = Path(plain.source.folder)
    source = replace(plain.source, files=plain.source.files, folder=folder, tolerances=tolerances)
    title = f"{plain.title}: {words}"
    return plain.model_copy(
        update={"title": title, "part": {**kept, **new}, "replaced": replaced, "source": source}
    )
