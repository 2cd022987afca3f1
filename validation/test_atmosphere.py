"""Standard air against a general-purpose library and the printed ICAO values.

RAN: ambiance (ICAO Doc 7488, geometric altitude). FOUND-2 digits of the ICAO 1993 and US Standard 1976
tables.
"""

import math

import numpy as np
import pytest
from ambiance import Atmosphere

from featherbench.rotor.atmosphere import air_state
from source import About
from table import check

ABOUT = About(
    kind="standard",
    title="standard atmosphere",
    mapping="Geometric, not geopotential, height",
    uncertainty="Tables print six figures",
)


@pytest.mark.parametrize("altitude", [-400.0, 0.0, 500.0, 1000.0, 2500.0, 4000.0, 9000.0])
def test_against_ambiance(altitude):
    theirs, ours = Atmosphere(altitude), air_state(None, altitude, None)
    for name, expected, got in (
        ("density", theirs.density, ours.density),
        ("kinematic viscosity", theirs.kinematic_viscosity, ours.viscosity),
        ("speed of sound", theirs.speed_of_sound, ours.sound_speed),
    ):
        check(
            "ICAO Doc 7488 (ambiance)", "RAN", f"{name} at {altitude:g} m", expected[0], got, 1e-6, "same law"
        )


@pytest.mark.parametrize(
    ("altitude", "printed"), [(0.0, 1.225), (1000.0, 1.111660), (2000.0, 1.006554), (3000.0, 0.909254)]
)
def test_printed_density(altitude, printed):
    check(
        "ICAO 1993 standard atmosphere",
        "FOUND-2",
        f"density at {altitude:g} m geometric, kg/m^3",
        printed,
        air_state(None, altitude, None).density,
        2e-6,
        "last printed digit",
    )


def test_warm_day():
    """At the standard pressure of 500 m and 30 degC the gas law alone gives the density (ambiance
    pressure).
    """
    pressure = float(Atmosphere(500.0).pressure[0])
    expected = pressure / (287.05287 * 303.15)
    got = air_state(None, 500.0, 303.15).density
    check("gas law", "DER", "density at 500 m, 30 degC", expected, got, 1e-6, "same law")
    assert np.isclose(air_state(None, 500.0, 303.15).sound_speed, math.sqrt(1.4 * 287.05287 * 303.15))
