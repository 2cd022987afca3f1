"""Still air at a field: density, kinematic viscosity and speed of sound.

The ICAO standard atmosphere of the troposphere (ICAO Doc 7488): a linear lapse from 288.15 K and 101 325 Pa
at sea level, with geometric altitude turned into geopotential. A field's own temperature replaces the
standard one at the standard pressure of that altitude. Viscosity is Sutherland's law with the constants of
the same standard.
"""

from __future__ import annotations

import math
from typing import NamedTuple, Protocol

SEA_LEVEL_TEMPERATURE = 288.15
SEA_LEVEL_PRESSURE = 101_325.0
LAPSE = 0.0065
GAS_CONSTANT = 287.05287
GRAVITY = 9.80665
EARTH_RADIUS = 6_356_766.0
HEAT_RATIO = 1.4
LOWEST, HIGHEST = -5000.0, 11_000.0
"""Geometric altitudes between which the linear lapse holds, m."""


class AirTableLike(Protocol):
    """Anything with the three optional keys of a scenario's [air] table, SI."""

    @property
    def density(self) -> float | None: ...  # noqa: D102
    @property
    def altitude(self) -> float | None: ...  # noqa: D102
    @property
    def temperature(self) -> float | None: ...  # noqa: D102


class AirState(NamedTuple):
    """Still air: density kg/m^3, kinematic viscosity m^2/s, speed of sound m/s, temperature K."""

    density: float
    viscosity: float
    sound_speed: float
    temperature: float


def standard_temperature(altitude: float) -> float:
    """ICAO standard temperature (K) at a geometric altitude (m). Raises ValueError outside -5 to 11 km."""
    if not LOWEST <= altitude <= HIGHEST:
        raise ValueError(
            f"an altitude of {altitude:g} m lies outside the standard troposphere, -5000 m to 11000 m"
        )
    geopotential = EARTH_RADIUS * altitude / (EARTH_RADIUS + altitude)
    return SEA_LEVEL_TEMPERATURE - LAPSE * geopotential


def standard_pressure(altitude: float) -> float:
    """ICAO standard pressure (Pa) at a geometric altitude (m). Raises ValueError outside -5 to 11 km."""
    ratio = standard_temperature(altitude) / SEA_LEVEL_TEMPERATURE
    return SEA_LEVEL_PRESSURE * ratio ** (GRAVITY / (GAS_CONSTANT * LAPSE))


def dynamic_viscosity(temperature: float) -> float:
    """Sutherland's law, Pa s, with the constants of ICAO Doc 7488: 1.458e-6 T^1.5/(T + 110.4)."""
    return 1.458e-6 * temperature**1.5 / (temperature + 110.4)


def air_state(density: float | None, altitude: float | None, temperature: float | None) -> AirState:
    """Air from what is known of it; None leaves a value to the standard.

    density: kg/m^3, taken as it is when given (altitude then only sets the standard temperature). altitude:
    geometric, m, sea level when None. temperature: K, standard at that altitude when None. Raises ValueError
    for an altitude outside the troposphere or a density or temperature that is not positive.
    """
    height = 0.0 if altitude is None else float(altitude)
    kelvin = standard_temperature(height) if temperature is None else float(temperature)
    if kelvin <= 0.0:
        raise ValueError(f"a temperature of {kelvin:g} K is impossible")
    rho = standard_pressure(height) / (GAS_CONSTANT * kelvin) if density is None else float(density)
    if rho <= 0.0:
        raise ValueError(f"an air density of {rho:g} kg/m^3 is impossible")
    sound = math.sqrt(HEAT_RATIO * GAS_CONSTANT * kelvin)
    return AirState(rho, dynamic_viscosity(kelvin) / rho, sound, kelvin)


def density(air: AirTableLike) -> tuple[float, float, float]:
    """(density kg/m^3, kinematic viscosity m^2/s, speed of sound m/s) of a scenario's [air] table."""
    state = air_state(air.density, air.altitude, air.temperature)
    return state.density, state.viscosity, state.sound_speed
