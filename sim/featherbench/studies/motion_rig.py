"""What does not move of a build as the moving picture draws it: section, weights, where the linkage turns.

Lengths m, angles rad, positions (n, 2) with the feathering axis at the origin, x right toward the leading edge, y up.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from featherbench.bench.setup import Setup

Array = NDArray[np.float64]
LINK, ROD = 24e-3, 46e-3
"""Drawn length of pitch link and rod, m: what they really are would not fit, and changes nothing that is seen."""


class Rig(NamedTuple):
    """What does not move of one build: (x, y) m. outline: (n, 2) of the section at zero pitch; weights: places (k, 2)
    of what balances it and the mass of each, kg; horn: angle at which it stands off the chord.
    """

    outline: Array
    weights: Array
    weight_mass: Array
    horn: float
    pivot: tuple[float, float]
    servo: tuple[float, float]
    has_lever: bool
    play: float


def rig_of(setup: Setup) -> Rig:
    """Of one build; pitch link and rod as long as they are drawn."""
    from featherbench.sections.section import naca_half_thickness

    geometry, blade = setup.plant.linkage, setup.scenario.blade
    chord = float(np.mean([width for _, width in blade.chord]))
    across = 0.5 * (1.0 - np.cos(np.linspace(0.0, np.pi, 20)))
    half = naca_half_thickness(across, 0.13)
    outline = np.concatenate(
        [
            np.column_stack([blade.axis_at - across, half]),
            np.column_stack([blade.axis_at - across[::-1], -half[::-1]]),
        ]
    )
    places, masses = _weights(setup)
    has_lever = geometry.has_lever > 0.0
    out, arm = (geometry.lever_out, geometry.lever_in) if has_lever else (0.0, 0.0)
    horn_x = geometry.horn_arm * geometry.horn_cosine
    pivot = (horn_x + out, geometry.horn_arm * geometry.horn_sine - LINK)
    if has_lever:
        ball = (pivot[0] + ROD, pivot[1] - geometry.sign * arm)
        servo = (
            ball[0] + geometry.servo_arm * geometry.arm_sine,
            ball[1] - geometry.servo_arm * geometry.arm_cosine,
        )
    else:
        servo = (horn_x + geometry.servo_arm, pivot[1] - ROD)
    return Rig(
        chord * outline,
        places,
        masses,
        geometry.horn_neutral,
        pivot,
        servo,
        has_lever,
        float(setup.linkage.play),
    )


def _weights(setup: Setup) -> tuple[Array, Array]:
    """Two masses, or none, that have mass, centre and spread along the normal of all weights together."""
    own = [part.moments for part in setup.assembly.parts if part.group == "counterweight"]
    mass = sum(one.mass for one in own)
    if not mass:
        return np.zeros((0, 2)), np.zeros(0)
    chord, normal = (sum(float(one.first[axis]) for one in own) / mass for axis in (1, 2))
    square = sum(float(one.second[2, 2]) for one in own) / mass
    away = float(np.sqrt(max(square - normal**2, 0.0)))
    return np.array([[chord, normal + away], [chord, normal - away]]), np.full(2, 0.5 * mass)
