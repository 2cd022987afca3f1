"""A checked scenario made ready to run: assembly, linkage, servo and the plant they form."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from math import inf

import numpy as np
from numpy.typing import NDArray

from featherbench.assembly import Assembly, build_assembly, lead_lag_angle, lead_lag_angles, moments_at
from featherbench.assembly.mass_moments import C, MassMoments, N, R, Vector
from featherbench.linkage.build import LinkageSetup, build_linkage
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.notebook import OneLine
from featherbench.plant.contact import MESH_FADE, ROD_FADE, contact
from featherbench.plant.parameters import LoadTable, Output, PitchAxis, Plant
from featherbench.plant.shaking import Shaking
from featherbench.rotor.air_table import lead_lag_offsets
from featherbench.rotor.bearing import BearingFriction, bearing_friction
from featherbench.rotor.build import Air, build_air
from featherbench.rotor.propeller_moment import PitchMoments
from featherbench.scenario import Assumed, Scenario, ScenarioError, located
from featherbench.servo import ServoDrive, servo_drive
from featherbench.servo.position_loop import PositionLoop
from featherbench.servo.supply import Supply

GRID_SPACING = np.deg2rad(0.5)
GRID_MARGIN = np.deg2rad(12.0)
"""The load table reaches this far past both ends of the pitch range, for overshoot."""
ARM_MASS = 0.5e-3
"""kg, of an unstated servo arm, as a slender bar (common practice, no source)."""


@dataclass(frozen=True)
class Setup(OneLine):
    """One build, ready to run.

    moments are of one blade as it has swung at zero pitch, by `lead_lag` rad (tip toward the leading edge positive).
    """

    scenario: Scenario
    assembly: Assembly
    moments: MassMoments
    lead_lag: float
    air: Air
    linkage: LinkageSetup
    drive: ServoDrive
    bearing: BearingFriction
    plant: Plant
    assumed: tuple[Assumed, ...]

    def lead_lag_at(self, pitch: float) -> float:
        """Swing of the blade on its bolt at a pitch (rad), rad, tip toward the leading edge positive."""
        return float(self.lead_lags_at(np.array([pitch]))[0])

    def lead_lags_at(self, pitch: Vector) -> Vector:
        """The same at several pitches (n,)."""
        return lead_lag_angles(self.assembly, pitch, _bolt_drags(self.scenario, self.air, pitch))

    @property
    def pitch_grid(self) -> NDArray[np.float64]:
        """Pitch (n,), rad, over the pitch range; both ends, and zero when it lies inside, are included."""
        low, high = self.scenario.rotor.pitch_range
        ends = [low, 0.0, high] if low < 0.0 < high else [low, high]
        pieces = [
            np.linspace(start, stop, max(13, round((stop - start) / GRID_SPACING) + 1))
            for start, stop in itertools.pairwise(ends)
        ]
        return np.unique(np.concatenate(pieces))


def pitch_moments(moments: MassMoments, coning: float) -> PitchMoments:
    """What the propeller moment needs of a body's mass moments (SI) on an axis coned by `coning` (rad)."""
    return PitchMoments(
        float(moments.chordwise),
        float(moments.normal),
        float(moments.product),
        float(moments.radial_chordwise),
        float(moments.radial_normal),
        float(coning),
    )


def build_setup(
    scenario: Scenario,
    air: Air | None = None,
    *,
    spacing: float = GRID_SPACING,
    assembly: Assembly | None = None,
    like: Setup | None = None,
) -> Setup:
    """Everything that follows from the scenario before anything runs.

    air: the air loads, where known already from a scenario with the same rotor, air and blade.
    assembly: parts that take the place of the scenario's own, for studies that vary them.
    spacing: of the load table over pitch, rad.
    like: a build of which is taken over what is written alike (parts, linkage, servo): the result is the same.
    Raises ScenarioError when parts, linkage or servo cannot be as written, naming file and line.
    """
    try:
        own = assembly or build_assembly(scenario, like.assembly if like else None)
        return _built(scenario, air, spacing, own, like)
    except ScenarioError as error:
        raise located(error, scenario) from None


def _built(
    scenario: Scenario, known_air: Air | None, spacing: float, assembly: Assembly, like: Setup | None
) -> Setup:
    known = like if like is not None and like.scenario.servo == scenario.servo else None
    linkage = _linkage_of(scenario, known)
    drive = known.drive if known else servo_drive(scenario.servo)
    air = build_air(scenario) if known_air is None else known_air
    lead_lag = lead_lag_angle(assembly, 0.0, bolt_drag(scenario, air, 0.0))
    moments = moments_at(assembly, lead_lag)
    bearing = bearing_friction(scenario.bearing, moments.radial)
    loads = load_table(scenario, assembly, air, spacing)
    plant, own = _plant(scenario, linkage, drive, bearing, moments, loads)
    plant = _in_air(plant, scenario, air, lead_lag)
    return Setup(
        scenario=scenario,
        assembly=assembly,
        moments=moments,
        lead_lag=lead_lag,
        air=air,
        linkage=linkage,
        drive=drive,
        bearing=bearing,
        plant=plant,
        assumed=(
            *scenario.source.assumed,
            *assembly.assumed,
            *air.assumed,
            *linkage.assumed,
            *bearing.assumed,
            *drive.assumed,
            *own,
        ),
    )


def _linkage_of(scenario: Scenario, known: Setup | None) -> LinkageSetup:
    """The linkage; that of a build with the same servo where the rest that it is built from is the same as well."""
    ask = [(one.linkage, one.rotor.pitch_range) for one in (scenario, known.scenario if known else scenario)]
    return known.linkage if known and ask[0] == ask[1] else build_linkage(scenario)


def with_scenario(setup: Setup, scenario: Scenario) -> Setup:
    """The same parts in the same air under another scenario's servo, linkage, bearing and shaking.

    The load table, which none of these changes, is kept. Raises ScenarioError as `build_setup` does.
    """
    linkage, drive = build_linkage(scenario), servo_drive(scenario.servo)
    bearing = bearing_friction(scenario.bearing, setup.moments.radial)
    plant, _ = _plant(scenario, linkage, drive, bearing, setup.moments, setup.plant.loads)
    plant = _in_air(plant, scenario, setup.air, setup.lead_lag)
    return replace(setup, scenario=scenario, linkage=linkage, drive=drive, bearing=bearing, plant=plant)


def load_table(scenario: Scenario, assembly: Assembly, air: Air, spacing: float = GRID_SPACING) -> LoadTable:
    """Blade moments over pitch, spacing rad apart, the blade swung on its bolt as it settles there, in still air."""
    low, high = scenario.rotor.pitch_range
    first = low - GRID_MARGIN
    grid = first + spacing * np.arange(int(np.ceil((high + GRID_MARGIN - first) / spacing)) + 1)
    values = np.zeros((len(grid), 6))
    drags = _bolt_drags(scenario, air, grid)
    lead_lags = lead_lag_angles(assembly, grid, drags)
    second = moments_at(assembly, lead_lags).second
    for column, (one, other) in enumerate(((C, C), (N, N), (C, N), (R, C), (R, N))):
        values[:, column] = second[..., one, other]
    offset, slope = lead_lag_offsets(lead_lags, assembly.bolt.radius, assembly.bolt.chord)
    values[:, 5] = scenario.scale.air_moment * air.table.moment_over(grid, offset, slope)
    return LoadTable(float(first), float(1.0 / spacing), float(scenario.rotor.coning), values)


def bolt_drag(scenario: Scenario, air: Air, pitch: float) -> float:
    """Drag moment about the blade bolt over spin^2 at a pitch (rad), kg m^2: as given, else of the air."""
    return float(_bolt_drags(scenario, air, np.array([pitch]))[0])


def _bolt_drags(scenario: Scenario, air: Air, pitch: Vector) -> Vector:
    """The same at several pitches (n,)."""
    given = scenario.blade.drag_moment
    if given is not None:
        return np.full(len(pitch), float(given) / float(scenario.rotor.speed) ** 2)
    drag = air.table.drag_moment(scenario.blade.bolt_radius)
    return np.asarray(np.interp(pitch, air.table.pitch, drag))


def _in_air(plant: Plant, scenario: Scenario, air: Air, lead_lag: float) -> Plant:
    """The plant with the air's pitch damping and apparent inertia on its blades."""
    offset, slope = lead_lag_offsets(lead_lag, scenario.blade.bolt_radius, scenario.blade.bolt_chord)
    damping, inertia = air.table.rate_terms(float(offset), float(slope))
    axis = plant.pitch
    return plant._replace(
        pitch=axis._replace(
            inertia=axis.inertia + axis.blades * inertia,
            damping=damping,
        )
    )


def _shaking(scenario: Scenario, slider: float) -> Shaking:
    """What shakes the collective pitch; slider: its travel per pitch, m/rad, at zero pitch."""
    speed, blades, own = float(scenario.rotor.speed), float(scenario.rotor.blades), scenario.shaking
    factor = scenario.departure.shaking
    passing = factor * blades * float(own.passing)
    once = factor * (float(own.unlike) + float(own.slider) * abs(slider))
    rate = blades * speed if passing > 0.0 else speed if once > 0.0 else 0.0
    return Shaking(passing / speed**2, once / speed**2, rate)


def _reduced(one: float, other: float) -> float:
    """Reduced mass, or inertia, of two bodies."""
    return one * other / (one + other)


def _loop_and_supply(scenario: Scenario) -> tuple[PositionLoop, Supply]:
    """What drives the motor: the servo's loop, and the lead it draws from."""
    servo = scenario.servo
    loop = PositionLoop(
        float(servo.dead_band),
        float(servo.proportional_band),
        float(servo.damping),
        1.0 / float(servo.drive_rate),
        1.0 / float(servo.frame_rate or servo.drive_rate),
    )
    supply = Supply(
        float(scenario.supply.voltage),
        float(scenario.supply.resistance),
        float(inf if scenario.supply.limit is None else scenario.supply.limit),
        float(servo.idle_current),
    )
    return loop, supply


def _plant(
    scenario: Scenario,
    linkage: LinkageSetup,
    drive: ServoDrive,
    bearing: BearingFriction,
    moments: MassMoments,
    loads: LoadTable,
) -> tuple[Plant, list[Assumed]]:
    """The plant, and what had to be assumed for it."""
    assumed: list[Assumed] = []
    geometry = linkage.geometry
    blades = float(scenario.rotor.blades)
    arm = servo_rod_travel(0.0, geometry)[1]
    _, horn, _, slider = pitch_rod_travel(0.0, geometry)
    arm_inertia = scenario.servo.output_inertia
    if arm_inertia is None:
        arm_inertia = ARM_MASS * scenario.linkage.servo_arm**2 / 3.0
        words = "a servo arm of 0.5 g, as a slender bar"
        assumed.append(Assumed("servo.output_inertia", f"{arm_inertia * 1e9:.3g} g*mm^2", words))
    output_inertia = arm_inertia + linkage.rod_mass * arm**2
    pitch_inertia = blades * moments.feathering + scenario.linkage.slider_mass * slider**2
    ratio = scenario.linkage.damping_ratio
    # the contact couples the two bodies that it lies between: damping follows their reduced mass
    rod_side = output_inertia / arm**2
    blade_side = pitch_inertia / horn**2
    joint = contact(linkage.stiffness, linkage.play, ratio, _reduced(rod_side, blade_side), ROD_FADE)
    mesh_mass = _reduced(drive.motor.inertia, output_inertia)
    mesh = contact(drive.gear_stiffness, drive.gear_play, ratio, mesh_mass, MESH_FADE)
    loop, supply = _loop_and_supply(scenario)
    rubs = scenario.departure.load_friction
    axis = PitchAxis(
        blades,
        float(pitch_inertia),
        float(bearing.starting_moment),
        float(bearing.load_moment),
        float(scenario.linkage.slider_friction),
        float(max(scenario.bearing.breakaway_ratio, scenario.linkage.breakaway_ratio)),
        0.0,
        float(rubs * scenario.linkage.slider_load_friction),
    )
    output = Output(
        float(output_inertia),
        float(scenario.servo.output_friction),
        float(scenario.linkage.rod_friction),
        float(linkage.rod_mass),
        float(rubs * scenario.linkage.rod_load_friction),
    )
    return Plant(
        drive.motor,
        mesh,
        output,
        joint,
        axis,
        loads,
        geometry,
        loop,
        supply,
        drive.chopper,
        _shaking(scenario, slider),
    ), assumed
