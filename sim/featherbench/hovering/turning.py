"""The stick held to one side: from what rate of turning on a tail floats in its play that hover keeps to one side.

In a steady turn thrust still balances the main rotor's torque (the fuselage's own drag is left out), while the tail
rotor moves along its thrust, or against it, by its arm times the rate: turning the way it pushes takes more pitch, the
other way less.
"""

from __future__ import annotations

from math import pi

from featherbench.aircraft.flight import FlightSetup
from featherbench.rotor.air_table import axial_ratio, thrust
from featherbench.studies.free_play import FreePlay

FASTEST = 2.0 * pi
"""rad/s, of the turns that are looked at: one a second (judgement: a brisk pirouette)."""


def floating_turn(ready: FlightSetup, free_play: FreePlay, way: int) -> float:
    """Least rate (rad/s, positive) of a steady turn that takes a pitch at which the blades float; 0 where they do in
    hover, nan where in no turn up to one a second. way: 1, the way tail thrust pushes, or -1.
    """
    from scipy.optimize import brentq

    hover, arm, spin = ready.trim.pitch, ready.frame.tail_arm, float(ready.setup.scenario.rotor.speed)
    if free_play.floats_between(hover, hover):
        return 0.0
    edges = [low if way > 0 else high for low, high in free_play.windows if way * (low - hover) > 0.0]
    if not edges:
        return float("nan")
    pitch = min(edges, key=lambda edge: abs(edge - hover))

    def left(rate: float) -> float:
        """Yaw moment that is left over at that pitch in a turn."""
        moment = arm * thrust(pitch, axial_ratio(arm * way * rate, spin, ready.air), spin, ready.air)
        return float(moment - ready.frame.main_torque)

    if left(0.0) * left(FASTEST) > 0.0:
        return float("nan")
    return float(brentq(left, 0.0, FASTEST))
