"""The builds of a sweep: a scenario's counterweights made heavier or lighter, and turned about the feathering axis."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from math import cos, sin

import numpy as np

from featherbench.assembly import Assembly, MassMoments, PlacedPart, compensation, moments_by_group
from featherbench.bench.setup import Setup, build_setup

STAND_IN_HEIGHT = 0.012
"""m above and below the axis, of the point weights that stand in where a scenario has no counterweights."""


def amount(base: Setup, kappa: float) -> tuple[MassMoments, float]:
    """The weights of the build (or their stand-in), and how many times as heavy they are at a compensation; 0 where the
    build's own bolts cancel as much without them.
    """
    weights = moments_by_group(base.assembly, base.lead_lag).get("counterweight")
    if weights is None:
        places = ([base.assembly.bolt.radius, 0.0, side * STAND_IN_HEIGHT] for side in (1.0, -1.0))
        pair = (MassMoments.of_body(0.5e-3, np.array(place), np.zeros((3, 3))) for place in places)
        weights = sum(pair, MassMoments.zero())
    unit = replace(base.assembly, parts=(*_others(base), _weights(weights, 1.0, 0.0)))
    bare = compensation(replace(base.assembly, parts=_others(base)), base.lead_lag)
    return weights, max(0.0, (kappa - bare) / (compensation(unit, base.lead_lag) - bare))


def swept(base: Setup, compensations: Iterable[float]) -> tuple[float, ...]:
    """Those that weights can make, upward: what the build's own bolts cancel beyond the plain ones is there without
    any, and stands for all that is less.
    """
    bare = compensation(replace(base.assembly, parts=_others(base)), base.lead_lag)
    return tuple(dict.fromkeys(max(float(kappa), bare) for kappa in compensations))


def varied(base: Setup, kappa: float, phase: float) -> Setup:
    """The same build with its weights scaled to a compensation and turned by a phase (rad)."""
    weights, factor = amount(base, kappa)
    assembly: Assembly = replace(base.assembly, parts=(*_others(base), _weights(weights, factor, phase)))
    return build_setup(base.scenario, base.air, spacing=np.deg2rad(1.0), assembly=assembly)


def _others(base: Setup) -> tuple[PlacedPart, ...]:
    return tuple(part for part in base.assembly.parts if part.group != "counterweight")


def _weights(moments: MassMoments, factor: float, phase: float) -> PlacedPart:
    """All counterweights as one part, `factor` times as heavy, turned so that a turn equals that much pitch."""
    # a point (c, n) at pitch theta lies where the unturned one lies at theta + phase
    turn = np.array([[1.0, 0.0, 0.0], [0.0, cos(phase), -sin(phase)], [0.0, sin(phase), cos(phase)]])
    turned = moments.moved(turn, np.zeros(3)).times(factor)
    return PlacedPart("weights of the sweep", "counterweight", False, turned, "from density")
