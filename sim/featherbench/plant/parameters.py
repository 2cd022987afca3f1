"""What the stepper needs to know, as nested NamedTuples of floats (and one array of tabulated loads)."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.linkage.geometry import Linkage
from featherbench.plant.joint_friction import Output, PitchAxis
from featherbench.plant.shaking import Shaking
from featherbench.servo.chopping import Chopper
from featherbench.servo.motor import Motor
from featherbench.servo.position_loop import PositionLoop
from featherbench.servo.supply import Supply


class Contact(NamedTuple):
    """A two-sided unilateral contact across a play.

    stiffness N/m (or N m/rad); half_play m (rad), half the peak-to-peak play; damping N s/m (N m s/rad);
    fade m (rad), the penetration over which damping fades in so that the force does not jump at impact.
    """

    stiffness: float
    half_play: float
    damping: float
    fade: float


class LoadTable(NamedTuple):
    """Per-blade loads tabulated over pitch on a uniform grid.

    first rad; per_radian 1/rad (1 / spacing); coning rad; values (n, 6): I_c, I_n, I_cn, S_rc, S_rn in kg m^2 of the
    blade as it has swung at that pitch, and the air's moment over spin^2, kg m^2.
    """

    first: float
    per_radian: float
    coning: float
    values: NDArray[np.float64]


class Plant(NamedTuple):
    """Everything the servo chain is made of."""

    motor: Motor
    mesh: Contact
    output: Output
    joint: Contact
    pitch: PitchAxis
    loads: LoadTable
    linkage: Linkage
    loop: PositionLoop
    supply: Supply
    chopper: Chopper
    shaking: Shaking


class Gauge(NamedTuple):
    """A force gauge on the rod: stiffness N/m (0 when the rod is released), damping N s/m."""

    stiffness: float
    damping: float
