"""The contact law at a play: linear spring with damping that fades in with penetration (ramped Kelvin-Voigt).

Force = max(0, k p + c min(p / fade, 1) p_dot) with penetration p past either edge of the play. It is zero inside the
play, continuous at impact (the damping is zero at zero penetration), and never pulls across the gap.
"""

from __future__ import annotations

from math import sqrt

from featherbench.kernel import kernel
from featherbench.plant.parameters import Contact

ROD_FADE = 2e-6
"""Penetration over which contact damping fades in at the rod, m."""
MESH_FADE = 1e-4
"""The same at the gear mesh, rad."""


def contact(stiffness: float, play: float, damping_ratio: float, reduced_mass: float, fade: float) -> Contact:
    """Contact parameters from a damping ratio: c = 2 zeta sqrt(k m), m the reduced mass of the two bodies.

    play is peak to peak.
    """
    damping = 2.0 * damping_ratio * sqrt(stiffness * reduced_mass)
    return Contact(float(stiffness), 0.5 * float(play), float(damping), float(fade))


@kernel
def contact_force(offset: float, rate: float, law: Contact) -> tuple[float, float]:
    """(force, elastic part of it) for the first body's lead over the second, `offset`, changing at `rate`.

    Positive offset presses the second body forward: force is positive. Units: N, m, m/s or N m, rad, rad/s.
    """
    depth = abs(offset) - law.half_play
    if depth <= 0.0:
        return 0.0, 0.0
    side = 1.0 if offset > 0.0 else -1.0
    elastic = law.stiffness * depth
    grip = min(1.0, depth * (1.0 / law.fade))  # the quotient is the same in every step
    force = max(0.0, elastic + (law.damping * grip) * (rate * side))
    return side * force, side * elastic


@kernel
def contact_energy(offset: float, law: Contact) -> float:
    """Energy stored in the spring, J."""
    depth = max(0.0, abs(offset) - law.half_play)
    return 0.5 * law.stiffness * depth * depth
