"""The model's own doubts as things to vary beside the tolerances, and what would shrink each.

A 95 % half-width is taken as the rectangular distribution of the same standard uncertainty, as an instrument's is;
factors as log-normal; how a blade sticks on its bolt as even within what friction can hold. A doubt is the
same for all builds that are compared: what is wrong with the air law is wrong for both.
"""

from __future__ import annotations

from math import exp, log, sqrt
from typing import NamedTuple

from featherbench.assembly import build_assembly
from featherbench.assembly.blade_pin import blade_pin_diameter
from featherbench.rotor.bearing import bearing_friction
from featherbench.scenario import Scenario
from featherbench.servo.limited_sheet import usual_load_friction
from featherbench.servo.usual_chopping import usual_chopping

PREFIX = "doubt."
EVEN = sqrt(3.0) / 2.0
"""Half-width of the rectangle over a 95 % half-width of the same standard uncertainty."""
BEARING = "doubt.bearing_coefficient"
CHOPPING = "doubt.chopping_rate"
SHAKING = "doubt.shaking"
GEARS = "doubt.gear_load_friction"
OWN_KEYS = {
    "doubt.air_moment": "scale.air_moment",
    BEARING: "bearing.coefficient",
    "doubt.axis_at": "blade.axis_at",
    CHOPPING: "servo.chopping_rate",
    "doubt.proportional_band": "servo.proportional_band",
    "doubt.dead_band": "servo.dead_band",
    "doubt.damping": "servo.damping",
    GEARS: "servo.gear_load_friction",
}
"""Keys of the scenario that say of a law what its doubt leaves open."""
STICK = "doubt.stick"
PASSING = ("doubt.blade_stuck", STICK)
"""Doubts that fall anew each time the rotor runs up: what was found of one run says nothing of the next."""
FACTORS: dict[str, tuple[str, tuple[str, ...]]] = {
    BEARING: ("bearing", ("coefficient",)),
    CHOPPING: ("servo", ("chopping_rate",)),
    SHAKING: ("shaking", ("passing", "unlike", "slider")),
    "doubt.load_friction": ("linkage", ("slider_load_friction", "rod_load_friction")),
    "doubt.proportional_band": ("servo", ("proportional_band",)),
    "doubt.dead_band": ("servo", ("dead_band",)),
    "doubt.damping": ("servo", ("damping",)),
    GEARS: ("servo", ("gear_load_friction",)),
}
"""Doubts that are a factor either way, and the table and keys they multiply."""
OWN_FACTORS = {OWN_KEYS[key]: key for key in FACTORS if key in OWN_KEYS}
"""Keys that a factor of their own says, and its doubt; the others multiply several keys in step."""
AIR_KEYS = ("doubt.air_stall", "doubt.separated_centre", "doubt.profile_drag", "doubt.axis_at")
"""Doubts that change the air loads otherwise than by a factor."""
REMEDIES = {
    "doubt.air_stall": "run the gauge to full pitch once and calibrate scale.air_moment; then state a smaller doubt",
    "doubt.air_moment": "run the gauge to full pitch once; state scale.air_moment as calibrated, with its tolerance",
    "doubt.separated_centre": "run the gauge to full pitch once, and calibrate scale.air_moment",
    "doubt.profile_drag": "measure the power that the rotor takes, or give the section's own curve in blade.polar",
    CHOPPING: "put a scope on the motor's leads, or listen to the motor while it holds, and state servo.chopping_rate",
    SHAKING: "let the rod go at speed and watch it, or note by how much the loop on the gauge narrows with the rotor "
    "turning; then state [shaking] with tolerances",
    "doubt.load_friction": "measure the force loop on the gauge with light and with heavy weights, and state "
    "linkage.slider_load_friction with a tolerance",
    STICK: "move the stick in one way and note which: bench.programme says it with `over`",
    "doubt.proportional_band": "hang a weight on the arm and note by how much it gives way and what it then draws; "
    "state servo.proportional_band with a tolerance",
    "doubt.dead_band": "turn the arm by hand until the servo answers, both ways; state servo.dead_band with a "
    "tolerance",
    "doubt.damping": "film a slam and count the swings before it rests; state servo.damping with a tolerance",
    GEARS: "hang a weight on the arm and note the current holding it up and holding it down; state "
    "servo.gear_load_friction with a tolerance, or servo.current_limit",
    BEARING: "measure the force loop on the gauge at two speeds, and state bearing.coefficient with a tolerance",
    "doubt.axis_at": "measure where the axis crosses the blade, and state blade.axis_at with a tolerance",
    "doubt.blade_stuck": "oil the blade bolt, and let the blades shake into line at low speed",
}
"""What would shrink each doubt."""


class Doubted(NamedTuple):
    """One doubt to be varied between low and high, SI; kind of quantity."""

    key: str
    low: float
    high: float
    kind: str


def doubted(scenario: Scenario) -> tuple[Doubted, ...]:
    """The doubts that this build has: those that are not 0, and whose law or key has nothing better stated for it."""
    own, known = scenario.doubt, scenario.source.tolerances
    found: list[Doubted] = []

    def even(name: str, half: float, kind: str = "ratio") -> None:
        if half > 0.0:
            found.append(Doubted(PREFIX + name, -half, half, kind))

    if scenario.blade.polar is None:
        even("air_stall", EVEN * own.air_stall, "angle")
        even("separated_centre", EVEN * own.separated_centre)
        even("profile_drag", EVEN * own.profile_drag)
    if "scale.air_moment" not in known:
        even("air_moment", EVEN * own.air_moment)
    for key, (table, names) in FACTORS.items():
        factor = getattr(own, key.removeprefix(PREFIX))
        stated = any(f"{table}.{name}" in known for name in names)
        if factor > 1.0 and not stated and any(value > 0.0 for value in usual(scenario, key)):
            found.append(Doubted(key, 1.0 / factor, factor, "ratio"))
    if "blade.axis_at" not in known:
        even("axis_at", EVEN * own.axis_at)
    even("stick", own.stick)
    if scenario.blade.swing == "free" and own.blade_stuck > 0.0 and _has_pin(scenario):
        even("blade_stuck", own.blade_stuck)
    return tuple(found)


def usual(scenario: Scenario, key: str) -> tuple[float, ...]:
    """What a factor multiplies, SI, key by key: as stated, or as is usual; 0 where there is nothing to doubt."""
    if key == CHOPPING:
        return (usual_chopping(scenario.servo) if scenario.servo.chopping_rate is None else 0.0,)
    if key == GEARS:
        return (usual_load_friction(scenario.servo) or 0.0,)
    if key == BEARING:
        bearing = scenario.bearing
        return (bearing_friction(bearing, 0.0).coefficient if bearing.mean_diameter else 0.0,)
    table, names = FACTORS[key]
    return tuple(float(getattr(getattr(scenario, table), name)) for name in names)


def _has_pin(scenario: Scenario) -> bool:
    blade = scenario.blade
    return blade_pin_diameter(build_assembly(scenario).parts, blade.bolt_radius, blade.bolt_chord) is not None


def log_normal(high: float, place: float) -> float:
    """Factor at an even place in [-1, 1] of a log-normal distribution: median 1, 95 % within 1/high and high."""
    from scipy.special import ndtri

    quantile = min(max(0.5 * (1.0 + place), 1e-6), 1.0 - 1e-6)
    return exp(log(high) * float(ndtri(quantile)) / float(ndtri(0.975)))


def with_doubt(scenario: Scenario, key: str, value: float) -> Scenario:
    """The scenario with one doubt at a value: of FACTORS a factor, the others an amount added or a share.

    What no one key says goes into the departure.
    """
    if key in OWN_KEYS and key in FACTORS:
        table, (name,) = FACTORS[key]
        return _changed(scenario, table, **{name: value * usual(scenario, key)[0]})
    if key == "doubt.air_moment":
        return _changed(scenario, "scale", air_moment=scenario.scale.air_moment * (1.0 + value))
    if key == "doubt.axis_at":
        return _changed(scenario, "blade", axis_at=scenario.blade.axis_at + value)
    away = scenario.departure._replace(**{key.removeprefix(PREFIX): value})
    return scenario.model_copy(update={"departure": away})


def _changed(scenario: Scenario, table: str, **values: float) -> Scenario:
    return scenario.model_copy(update={table: getattr(scenario, table).model_copy(update=values)})
