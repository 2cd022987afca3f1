"""How small a step must be: a fixed fraction of the stiffest mode of the chain with both contacts closed."""

from __future__ import annotations

from functools import lru_cache
from math import ceil
from typing import NamedTuple

import numpy as np

from featherbench.linkage.geometry import Linkage, pitch_rod_travel, servo_rod_travel
from featherbench.plant.parameters import Gauge, Plant


class StepLimits(NamedTuple):
    """largest s; phase rad of the stiffest mode per step, the scheme is stable below 2."""

    largest: float
    phase: float


BENCH = StepLimits(126e-6, 0.7)
"""Eight steps to a row of a drive at 333 Hz; forces, holds and 5 ms currents lie well within 0.5 % of a run at a tenth
of it. Half of it gains nothing: what still differs is where by chance a build near balance comes to rest.
"""
FLIGHT = StepLimits(70e-6, 0.5)
"""A cycle of play goes round a hundred times, and whether it dies hangs on little: of twelve draws two were told
otherwise by the longer step.
"""


def highest_mode(plant: Plant) -> float:
    """Highest frequency (rad/s) of motor, output and pitch at neutral, contacts closed, and of what shakes them."""
    inertia = plant.motor.inertia, plant.output.inertia, plant.pitch.inertia
    own = _own_mode(plant.mesh.stiffness, plant.joint.stiffness, inertia, plant.linkage)
    return max(own, plant.shaking.rate)


@lru_cache(maxsize=16)
def _own_mode(
    of_mesh: float, of_joint: float, inertia: tuple[float, float, float], linkage: Linkage
) -> float:
    """That of the chain alone, stiffnesses of mesh and joint; kept, since all marches of a build ask for it."""
    arm = servo_rod_travel(0.0, linkage)[1]
    horn = pitch_rod_travel(0.0, linkage)[1]
    mesh = np.array([1.0, -1.0, 0.0])
    joint = np.array([0.0, arm, -horn])
    stiffness = of_mesh * np.outer(mesh, mesh) + of_joint * np.outer(joint, joint)
    scaled = stiffness / np.sqrt(np.outer(inertia, inertia))
    return float(np.sqrt(np.linalg.eigvalsh(scaled)[-1]))


def highest_mode_with_gauge(plant: Plant, gauge: Gauge) -> float:
    """The same for rod and pitch with a gauge on the rod."""
    inertia = plant.output.rod_mass, plant.pitch.inertia
    own = _mode_with_gauge(plant.joint.stiffness, gauge.stiffness, inertia, plant.linkage)
    return max(own, plant.shaking.rate)


@lru_cache(maxsize=16)
def _mode_with_gauge(
    of_joint: float, of_gauge: float, inertia: tuple[float, float], linkage: Linkage
) -> float:
    """That of rod, gauge and blades alone, stiffnesses of joint and gauge."""
    horn = pitch_rod_travel(0.0, linkage)[1]
    joint = np.array([1.0, -horn])
    stiffness = of_joint * np.outer(joint, joint) + np.diag([of_gauge, 0.0])
    return float(np.sqrt(np.linalg.eigvalsh(stiffness / np.sqrt(np.outer(inertia, inertia)))[-1]))


def step_within(
    period: float, mode: float, share: float = 1.0, limits: StepLimits = BENCH
) -> tuple[float, int]:
    """(step in s, steps per period): the largest step that divides `period` (s) and suits `mode` (rad/s).

    share < 1 takes that fraction of the usual step, for convergence checks.
    """
    most = share * min(limits.largest, limits.phase / mode)
    count = max(1, ceil(period / most - 1e-9))
    return period / count, count
