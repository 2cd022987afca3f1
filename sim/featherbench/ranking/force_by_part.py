"""What each part, the air and friction add to the largest force on the rod, N, and what a tenth more of a figure does.

The load of a part is its own propeller moment, carried to the rod by virtual work like that of the whole: the parts
and the air sum to the rod's force without friction. Friction is added the harder way, as at rest.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from featherbench.assembly import moments_by_part
from featherbench.bench.setup import Setup, build_setup, pitch_moments
from featherbench.bench.statics import StaticCurves, static_curves
from featherbench.linkage.force import rod_force
from featherbench.linkage.geometry import pitch_rod_travel
from featherbench.rotor.build import Air, build_air
from featherbench.rotor.propeller_moment import propeller_moment
from featherbench.sampling.samples import TABLE, CoarseSetup, moves_air
from featherbench.scenario import Scenario, ScenarioError
from featherbench.studies.key_paths import looked_up, with_value

AIR, FRICTION = "air", "friction"
TENTH = 0.1
TABLES = ("rotor", "air", "blade", "part", "bearing", "linkage", "scale")
"""Tables whose figures the force on the rod depends on; those of servo, supply and instruments it does not."""


class Cause(NamedTuple):
    """name: of a part, AIR or FRICTION; group: of a part, else ""; force: what it adds to the largest force, N,
    negative where it takes some off.
    """

    name: str
    group: str
    force: float


class ForceByPart(NamedTuple):
    """causes: largest first; pitch: rad, at which the largest force lies; total: N, their sum; push: its sense."""

    causes: tuple[Cause, ...]
    pitch: float
    total: float
    push: bool


class Influence(NamedTuple):
    """A tenth more of the figure at a key changes the largest force by `force`, N; value: the figure, SI, of `kind`."""

    key: str
    kind: str
    value: float
    force: float


def force_by_part(setup: Setup, statics: StaticCurves, largest: float | None = None) -> ForceByPart:
    """At the pitch of the largest static force with friction. largest: N, as a gauge run found it, what is over the
    load then being friction; by the static law where it is not known.
    """
    worst = int(np.argmax(np.abs(statics.rod_force) + statics.rod_friction))
    pitch, load = float(statics.pitch[worst]), float(statics.rod_force[worst])
    sense = -1.0 if load < 0.0 else 1.0
    blades = float(setup.plant.pitch.blades)
    slope = pitch_rod_travel(pitch, setup.plant.linkage)[1]
    spin, coning = float(setup.scenario.rotor.speed), float(setup.scenario.rotor.coning)
    groups = {part.name: part.group for part in setup.assembly.parts}

    def at_rod(moment: float) -> float:
        return sense * float(rod_force(-moment, slope, blades))

    causes = [
        Cause(name, groups[name], at_rod(propeller_moment(pitch, spin, 0.0, pitch_moments(own, coning))))
        for name, own in moments_by_part(setup.assembly, setup.lead_lag_at(pitch)).items()
    ]
    causes.append(Cause(AIR, "", at_rod(float(statics.air[worst]))))
    friction = float(statics.rod_friction[worst]) if largest is None else largest - sense * load
    causes.append(Cause(FRICTION, "", friction))
    ordered = tuple(sorted(causes, key=lambda one: -abs(one.force)))
    return ForceByPart(ordered, pitch, sense * load + friction, sense > 0.0)


def influences(setup: Setup) -> tuple[Influence, ...]:
    """What a tenth more of each figure that the files state does to the largest force, most first; figures of 0 and
    those of which a tenth more cannot be are left out.
    """
    scenario = setup.scenario
    air = build_air(scenario)
    before = _largest(scenario, air)
    found = []
    for key, value, kind in _stated(scenario):
        try:
            changed = with_value(scenario, key, (1.0 + TENTH) * value)
            after = _largest(changed, None if _needs_air(key) else air)
        except ScenarioError:
            continue
        found.append(Influence(key, kind, value, after - before))
    return tuple(sorted(found, key=lambda one: -abs(one.force)))


def _needs_air(key: str) -> bool:
    return moves_air(key) or key in ("rotor.speed", "blade.axis_at")


def _largest(scenario: Scenario, air: Air | None) -> float:
    """Largest static force with friction, N."""
    own = build_air(scenario) if air is None else air
    setup = CoarseSetup(**vars(build_setup(scenario, own, spacing=TABLE)))
    statics = static_curves(setup, groups=False)
    return float((np.abs(statics.rod_force) + statics.rod_friction).max())


def _stated(scenario: Scenario) -> Iterator[tuple[str, float, str]]:
    """Key path, value and kind of each quantity that a file or --set states and the force depends on."""
    for key in scenario.source.places:
        if key.partition(".")[0] not in TABLES:
            continue
        try:
            value, field = looked_up(scenario, key)
        except (LookupError, ValueError, TypeError, StopIteration, AttributeError):
            continue  # a word, a table, or of a part that is not fitted
        if field is not None and value:
            yield key, value, field.kind
