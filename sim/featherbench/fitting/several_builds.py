"""Readings of several builds in one fit: what the builds have in common is one unknown, what differs is each one's own.

A parameter is named by its key path where all builds that have the key share it, and by the key path and the build's
name behind it, "doubt.blade_stuck (over.toml)", where it is that build's alone: what falls anew at each run-up, a
number in which the builds differ, and a rotor speed that was read of each. Rotor speeds otherwise go together in
proportion, as one tachometer has them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from featherbench.bench.spot_readings import BenchData, Reading
from featherbench.sampling.doubts import PREFIX
from featherbench.scenario import Scenario
from featherbench.studies.key_paths import looked_up

if TYPE_CHECKING:
    from featherbench.fitting.model import BenchModel
    from featherbench.fitting.simulated import Simulated

SPEED = "rotor.speed"


@dataclass(frozen=True)
class BuildModel:
    """One of the builds: its name, as its file says it, and its model as the bench ran it."""

    name: str
    written: Scenario
    model: BenchModel

    @property
    def speed(self) -> float:
        """rad/s, as the bench ran it."""
        return float(self.model.scenario.rotor.speed)


def labelled(name: str, build: str) -> str:
    """What is one build's alone."""
    return f"{name} ({build})"


def has(scenario: Scenario, key: str) -> bool:
    """Whether a build has a number at a key path; all have the model's doubts."""
    if key.startswith(PREFIX):
        return True
    try:
        looked_up(scenario, key)
    except (LookupError, StopIteration, TypeError, ValueError, AttributeError):
        return False
    return True


def keys_of(builds: Sequence[BuildModel], place: int, names: Sequence[str]) -> dict[int, str]:
    """Which of the parameters one build has: its own key path by the number of the parameter."""
    own = builds[place]
    tails = [f" ({one.name})" for one in builds]
    alone = {name.removesuffix(tails[place]) for name in names if name.endswith(tails[place])}
    found = {}
    for number, name in enumerate(names):
        if name.endswith(tails[place]):
            found[number] = name.removesuffix(tails[place])
        elif not name.endswith(tuple(tails)) and name not in alone and has(own.written, name):
            found[number] = name
    return found


def share_of(builds: Sequence[BuildModel], place: int, key: str, name: str) -> float:
    """What a parameter's value is to be multiplied by for a build: of a rotor speed that all share."""
    return builds[place].speed / builds[0].speed if key == name == SPEED else 1.0


def at_builds(
    builds: Sequence[BuildModel],
    names: tuple[str, ...],
    values: tuple[float, ...],
    step_share: float,
    verdicts: bool,
) -> Simulated:
    """All builds' tests, each with what it has of the parameters; their readings by the names of `whole_data`."""
    found = []
    for place, one in enumerate(builds):
        keys = keys_of(builds, place, names)
        own = tuple(values[k] * share_of(builds, place, key, names[k]) for k, key in keys.items())
        found.append(one.model.at(tuple(keys.values()), own, step_share=step_share, verdicts=verdicts))
    spots, sampling = {}, {}
    for place, (one, there) in enumerate(zip(builds, found, strict=True)):
        for name in one.model.data.readings:
            spots[_of(place, name, one.name)] = there.spots.get(name)
            if name in there.sampling:
                sampling[_of(place, name, one.name)] = there.sampling[name]
    return replace(found[0], spots=spots, sampling=sampling, builds=tuple(found))


def _of(place: int, name: str, build: str) -> str:
    """A reading's name beside those of other builds; the first build's keep theirs."""
    return name if place == 0 else labelled(name, build)


def whole_data(data: BenchData) -> BenchData:
    """The readings and logs of all builds: a reading of another than the first has its name behind its own."""
    readings: dict[str, Reading] = dict(data.readings)
    for build in data.builds:
        for name, one in build.data.readings.items():
            label = labelled(name, build.name)
            readings[label] = replace(one, name=label)
    logs = (*data.logs, *(log for build in data.builds for log in build.data.logs))
    said = (*data.said, *(words for build in data.builds for words in build.data.said))
    return replace(data, readings=readings, logs=logs, said=said)


def parted(model: BenchModel, names: Sequence[str]) -> Iterator[tuple[int, BuildModel, tuple[str, ...]]]:
    """Each build with the names of its own readings among `names`, as its own model has them."""
    for place, one in enumerate(model.builds):
        own = {_of(place, name, one.name): name for name in one.model.data.readings}
        yield place, one, tuple(own[name] for name in names if name in own)
