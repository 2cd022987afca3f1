"""What a fit usually has to find, with what is known of it beforehand."""

from __future__ import annotations

PRIORS: dict[str, tuple[float, float, float, str]] = {
    "scale.inertia": (0.05, 0.5, 2.0, "second moments of blade and grip as built against as written"),
    "scale.air_moment": (0.25, 0.2, 3.0, "the air's pitching moment"),
    "linkage.slider_friction": (0.5, 0.02, 8.0, "friction of the pitch slider"),
    "linkage.rod_friction": (0.5, 0.02, 8.0, "friction of the rod in its guides"),
    "linkage.stiffness": (0.3, 0.2, 5.0, "stiffness of the linkage"),
    "bearing.starting_moment": (0.5, 0.02, 8.0, "bearing friction without load"),
    "servo.gear_friction": (0.4, 0.1, 5.0, "friction of the servo's gear train"),
    "servo.gear_play": (0.5, 0.05, 5.0, "play of the servo's gear train"),
    "servo.stall_torque": (0.1, 0.5, 2.0, "stall torque"),
    "servo.stall_current": (0.1, 0.5, 2.0, "stall current"),
    "servo.transit_60": (0.1, 0.5, 2.0, "transit time"),
    "servo.idle_current": (0.3, 0.1, 5.0, "idle current"),
    "rotor.speed": (0.01, 0.9, 1.1, "rotor speed"),
}
"""Relative standard deviation beforehand, bounds as factors, and what it is (engineering judgement, no source)."""
