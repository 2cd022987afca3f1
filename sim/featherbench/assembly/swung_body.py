"""The inertia of a part that was swung, as its scenario states the swing."""

from __future__ import annotations

from featherbench.assembly import pendulum
from featherbench.assembly.refusal import PartRefused
from featherbench.scenario import parts as written


def swung_body_inertia(mass: float, swing: written.PendulumSwing) -> float:
    """Inertia about the centre of mass, kg m^2; the scenario's rules see to it that the lengths are there."""
    if swing.method == "compound":
        if swing.pivot_distance is None:
            raise PartRefused(
                "swings_measured", "no pivot_distance", "the distance from pivot to centre of mass"
            )
        return pendulum.pendulum_inertia(mass, swing.period, swing.pivot_distance)
    if swing.cord_length is None or swing.spacing is None:
        raise PartRefused("swings_measured", "no cord_length or spacing", f"both, of a {swing.method} swing")
    return pendulum.suspended_inertia(mass, swing.period, swing.cord_length, swing.spacing)
