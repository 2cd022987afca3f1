"""From a checked scenario to the air of its set-up: the only file of this room's aerodynamics that knows
scenarios.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from featherbench.rotor.air_table import PITCH_MARGIN, STILL, AirTable, recentred, tabulate
from featherbench.rotor.atmosphere import AirState, air_state
from featherbench.rotor.blade_stations import (
    BladeStations,
    RotorAir,
    along,
    blade_stations,
    departed,
    rotor_air,
)
from featherbench.rotor.polar_table import PolarError, full_circle, read_polar
from featherbench.rotor.section_polar import MACH_CEILING, REYNOLDS_RANGE
from featherbench.rotor.thin_aerofoil import camber_properties
from featherbench.scenario import Assumed, Problem, Scenario, ScenarioError
from featherbench.sections.outline import SectionRefused, mean_line
from featherbench.sections.section import read_section

DOUBTFUL_REYNOLDS = 1.0e5
"""Below it the default section is doubtful (see `section_polar`)."""


@dataclass(frozen=True)
class Air:
    """The air of a set-up: its state, the rotor in it, the loads over pitch and axial flow, and what was
    assumed.
    """

    state: AirState
    rotor: RotorAir
    table: AirTable
    assumed: tuple[Assumed, ...]


@dataclass(frozen=True)
class SectionShape:
    """What the air needs to know of a section: greatest thickness in chords, angle of zero lift rad, moment
    at zero lift.
    """

    thickness: float
    zero_lift: float
    moment: float


def build_air(scenario: Scenario, *, axials: int = STILL) -> Air:
    """The air loads of a scenario at its rotor speed, over its pitch range and a margin beyond.

    axials: number of axial flows tabulated, odd; a bench asks for still air only, a flight takes it `over_axial_flow`.

    Raises ScenarioError for an altitude out of range, or a section or polar file that cannot be used.
    """
    state = _state(scenario)
    rotor = _rotor(scenario, state)
    low, high = scenario.rotor.pitch_range
    table = tabulate(rotor, low - PITCH_MARGIN, high + PITCH_MARGIN, axials=axials)
    if aft := scenario.departure.separated_centre:
        table = replace(table, sums=recentred(table.sums, aft), aft=aft)
    return Air(state, rotor, table, tuple(_assumed(scenario, state, rotor)))


def _refuse(scenario: Scenario, key: str, given: str, expected: str) -> ScenarioError:
    files = scenario.source.files
    return ScenarioError([Problem(files[0] if files else "", None, key, given, expected)])


def _state(scenario: Scenario) -> AirState:
    air = scenario.air
    try:
        return air_state(air.density, air.altitude, air.temperature)
    except ValueError as error:
        raise _refuse(scenario, "air.altitude", str(error), 'for example altitude = "450 m"') from None


def _rotor(scenario: Scenario, state: AirState) -> RotorAir:
    blade = scenario.blade
    shape = section_shape(scenario)
    stations = _stations(scenario, shape.thickness)
    polar = None
    if blade.polar is not None:
        middle = int(0.75 * stations.radius.size)
        speed = scenario.rotor.speed * stations.radius[middle]
        reynolds = float(speed * stations.chord[middle] / state.viscosity)
        try:
            polar = full_circle(read_polar(scenario.source.folder / blade.polar), reynolds, shape.thickness)
        except PolarError as error:
            expected = "a CSV file with the columns alpha (degrees), c_l, c_d, c_m"
            raise _refuse(scenario, "blade.polar", str(error), expected) from None
    rotor = rotor_air(
        scenario.rotor.blades,
        stations,
        state,
        scenario.rotor.speed,
        zero_lift=shape.zero_lift,
        moment=shape.moment,
        polar=polar,
    )
    return departed(rotor, scenario.departure)


def _stations(scenario: Scenario, thickness: float) -> BladeStations:
    blade = scenario.blade
    rows = [(0.0, thickness)]
    if blade.thickness is not None:
        radii = np.linspace(blade.root, blade.tip, 21)
        relative = along(blade.thickness, radii) / along(blade.chord, radii)
        rows = list(zip(radii.tolist(), relative.tolist(), strict=True))
    return blade_stations(blade.root, blade.tip, blade.chord, axis_at=blade.axis_at, thickness=rows)


def section_shape(scenario: Scenario) -> SectionShape:
    """Thickness and camber of [blade] section: of the same outline that the blade's mass is worked out from.

    Raises ScenarioError for a name that is no section, or a file that holds none.
    """
    try:
        section = read_section(scenario.blade.section, scenario.source.folder)
    except SectionRefused as refused:
        raise _refuse(scenario, "blade.section", refused.given, refused.expected) from None
    return SectionShape(section.thickness, *camber_properties(*mean_line(section.outline)))


def _assumed(scenario: Scenario, state: AirState, rotor: RotorAir) -> list[Assumed]:
    assumed = []
    if scenario.air.density is None and scenario.air.altitude is None:
        why = "no density or altitude given: ICAO standard atmosphere at sea level"
        assumed.append(Assumed("air.density", f"{state.density:.4g} kg/m^3", why))
    if scenario.blade.polar is None:
        speed = rotor.spin * rotor.stations.radius
        reynolds = float(
            np.interp(0.75 * rotor.tip, rotor.stations.radius, speed * rotor.stations.chord / state.viscosity)
        )
        doubt = "; doubtful this low" if reynolds < DOUBTFUL_REYNOLDS else ""
        if not REYNOLDS_RANGE[0] <= reynolds <= REYNOLDS_RANGE[1]:
            doubt = "; outside the data, the nearest end is used"
        value = f"default section at Re {reynolds:.2g} (three quarters radius){doubt}"
        assumed.append(
            Assumed(
                "blade.polar", value, "no polar file: published section data, extrapolated in Reynolds number"
            )
        )
    if rotor.spin * rotor.tip / state.sound_speed > MACH_CEILING:
        why = "the compressibility correction is held at this Mach number"
        assumed.append(Assumed("rotor.speed", f"tip Mach number taken as {MACH_CEILING:g}", why))
    return assumed
