"""Hover trim: the tail pitch that balances the main rotor's torque, and what the servo then carries all flight.

The tail rotor's thrust times its arm equals the main rotor's torque. The torque is given, or follows from weight:
P = T sqrt(T / (2 rho A)) / FM with T = m g (momentum theory, figure of merit FM), Q = P / Omega.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

import numpy as np

from featherbench.bench.servo_run import Leg, run_legs
from featherbench.bench.setup import Setup
from featherbench.linkage.force import JointFriction, rod_force, rod_friction
from featherbench.linkage.geometry import pitch_rod_travel
from featherbench.plant.joint_friction import pitch_friction_limit
from featherbench.plant.loads import blade_moment
from featherbench.quantities import GRAVITY
from featherbench.rotor.trim import hover_pitch
from featherbench.scenario import Assumed
from featherbench.scenario.bench_tables import Move
from featherbench.scenario.schema import Aircraft

HOLD = 2.0
"""s for which the hover pitch is held to read the servo's current."""
TEN_MINUTES = 600.0


@dataclass(frozen=True)
class HoverTrim:
    """Hover, steady. found: whether the tail reaches the thrust (advice says what it lacks otherwise).

    pitch rad; main_torque N m; thrust N; power W, of the tail rotor; rod_force N, push positive, without friction;
    rod_friction N, half the band about it; leg: the servo holding there (current A, idle off), None when not found;
    charge C, drawn from the supply in ten minutes of hover, idle included.
    """

    found: bool
    advice: str
    pitch: float
    main_torque: float
    thrust: float
    power: float
    rod_force: float
    rod_friction: float
    leg: Leg | None
    charge: float
    assumed: tuple[Assumed, ...]


def main_torque(aircraft: Aircraft, density: float) -> tuple[float, tuple[Assumed, ...]]:
    """Main-rotor torque in hover (N m), given or from weight, disc and figure of merit; and what was assumed.

    density: kg/m^3. The scenario's rules make sure that one of the two ways is complete.
    """
    if aircraft.main_torque is not None:
        return float(aircraft.main_torque), ()
    stated = (aircraft.mass, aircraft.main_radius, aircraft.main_speed, aircraft.figure_of_merit)
    mass, radius, speed, merit = (float(value or 0.0) for value in stated)
    weight = mass * GRAVITY
    power = weight * sqrt(weight / (2.0 * density * pi * radius**2)) / merit
    torque = power / speed
    why = "from weight, main disc and figure of merit; the tail boom's and fuselage's share is not in it"
    return torque, (Assumed("aircraft.main_torque", f"{torque:.3g} N*m", why),)


def hover_trim(setup: Setup, *, step_share: float = 1.0, held: bool = True) -> HoverTrim | None:
    """Hover trim of a scenario with [aircraft]; None without. held=False leaves the servo's holding run out."""
    aircraft = setup.scenario.aircraft
    if aircraft is None:
        return None
    air, spin = setup.air, float(setup.scenario.rotor.speed)
    torque, assumed = main_torque(aircraft, air.state.density)
    needed = torque / float(aircraft.tail_arm)
    trim = hover_pitch(air.table, needed, air.state.density, spin)
    low, high = setup.scenario.rotor.pitch_range
    found = trim.found and low <= trim.pitch <= high
    advice = trim.advice
    if trim.found and not found:
        advice = (
            f"hover needs {np.rad2deg(trim.pitch):.1f} deg of tail pitch, outside the pitch range "
            f"{np.rad2deg(low):.0f} to {np.rad2deg(high):.0f} deg"
        )
    plant, pitch = setup.plant, float(trim.pitch)
    _, slope, _, slider = pitch_rod_travel(pitch, plant.linkage)
    needed_force = rod_force(-blade_moment(pitch, spin, 0.0, plant.loads), slope, plant.pitch.blades)
    middle = air.table.axial.size // 2
    leg = _held(setup, pitch, step_share) if found and held else None
    drawn = (leg.drawn + plant.supply.idle) * TEN_MINUTES if leg else float("nan")
    return HoverTrim(
        found=found,
        advice=advice,
        pitch=pitch,
        main_torque=torque,
        thrust=needed,
        power=float(np.interp(pitch, air.table.pitch, air.table.torque[:, middle])) * spin**3,
        rod_force=needed_force,
        rod_friction=rod_friction(
            pitch_friction_limit(spin, slider, plant.pitch),
            slope,
            plant.output.rod_friction,
            1.0,
            needed_force,
            JointFriction(plant.pitch.load_share, plant.output.load_share),
        ),
        leg=leg,
        charge=drawn,
        assumed=assumed,
    )


def _held(setup: Setup, pitch: float, step_share: float) -> Leg:
    """The servo moved to a pitch (rad) and holding it."""
    low, high = setup.scenario.rotor.pitch_range
    share = pitch / high if pitch >= 0.0 else -pitch / low
    move = Move.model_construct(go=share, hold=HOLD, over=0.0)
    return run_legs(setup, (move,), step_share=step_share)[0]
