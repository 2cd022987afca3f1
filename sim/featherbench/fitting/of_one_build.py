"""A fit of several builds as one of them has it: its own parameters, by its own key paths."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from featherbench.fitting.several_builds import keys_of, share_of

if TYPE_CHECKING:
    from featherbench.fitting.calibrate import Calibration


def each_build(done: Calibration) -> dict[str, Calibration]:
    """The fit as each build has it, by the build's name, the first one first; as it is where there is one only."""
    if not done.model.builds:
        return {"": done}
    return {one.name: _of_build(done, place) for place, one in enumerate(done.model.builds)}


def of_first(done: Calibration) -> Calibration:
    """The fit as the build has it that was asked about."""
    return next(iter(each_build(done).values()))


def _of_build(done: Calibration, place: int) -> Calibration:
    fitted, builds = done.fitted, done.model.builds
    keys = keys_of(builds, place, [one.key for one in fitted.parameters])
    numbers = list(keys)
    own = []
    for number, key in keys.items():
        one = fitted.parameters[number]
        share = share_of(builds, place, key, one.key)
        moved = {name: share * getattr(one, name) for name in ("start", "deviation", "low", "high")}
        own.append(replace(one, key=key) if share == 1.0 else replace(one, key=key, **moved))
    free = [number for number in numbers if number < len(fitted.unknowns)]
    names = dict(zip(numbers, own, strict=True))
    pick, both = np.array(free, dtype=int), np.ix_(numbers, numbers)
    mine = replace(
        fitted,
        unknowns=tuple(names[number] for number in free),
        values=fitted.values[pick],
        low=fitted.low[pick],
        high=fitted.high[pick],
        covariance=fitted.covariance[np.ix_(free, free)],
        jacobian=fitted.jacobian[:, numbers],
        identified=tuple(fitted.identified[number] for number in free),
        confounded=tuple(group for group in fitted.confounded if {one.key for one in own} >= set(group)),
        beside=tuple(names[number] for number in numbers if number not in free),
        places=fitted.places[numbers],
        whole=fitted.whole[both],
        before=fitted.before[both],
    )
    return replace(
        done,
        scenario=builds[place].written,
        model=builds[place].model,
        fitted=mine,
        data=replace(done.data, builds=()),
    )
