"""What the usual unit texts are worth in SI, so that reading a scenario need not wait for pint to be loaded.

No second source: each figure is what pint makes of `unit_list`, to the last digit; `tests/test_quantities.py` holds it
to that. A text that is not here is looked up.
"""

from __future__ import annotations

USUAL: dict[str, dict[str, float]] = {
    "length^1": {
        "m": 1.0,
        "mm": 0.001,
        "inch": 0.0254,
        "ft": 0.30479999999999996,
        "cm": 0.01,
        "in": 0.0254,
        "thou": 2.54e-05,
        "um": 1e-06,
    },
    "current^1 time^1": {"C": 1.0, "mAh": 3.6, "Ah": 3600.0},
    "mass^1": {"kg": 1.0, "g": 0.001, "mg": 1e-06, "oz": 0.028349523125, "lb": 0.45359237},
    "length^1 mass^1 time^-2": {
        "N": 1.0,
        "ozf": 0.2780138509537812,
        "mN": 0.001,
        "kN": 1000.0,
        "lbf": 4.4482216152605,
        "gf": 0.00980665,
        "kgf": 9.80665,
    },
    "length^2 mass^1 time^-2": {
        "N*m": 1.0,
        "N*mm": 0.001,
        "ozf*inch": 0.007061551814226043,
        "Nm": 1.0,
        "Nmm": 0.001,
        "Ncm": 0.01,
        "N*cm": 0.01,
        "ozf*in": 0.007061551814226043,
        "kgf*cm": 0.0980665,
    },
    "angle^1": {"rad": 1.0, "deg": 0.017453292519943295},
    "angle^1 time^-1": {
        "rad/s": 1.0,
        "rpm": 0.10471975511965977,
        "deg/s": 0.017453292519943295,
        "rev/s": 6.283185307179586,
    },
    "time^1": {"s": 1.0, "ms": 0.001, "us": 1e-06, "min": 60.0},
    "time^-1": {"Hz": 1.0, "kHz": 1000.0, "1/s": 1.0},
    "current^-1 length^2 mass^1 time^-3": {"V": 1.0, "mV": 0.001},
    "current^1": {"A": 1.0, "mA": 0.001},
    "current^-2 length^2 mass^1 time^-3": {"ohm": 1.0, "mohm": 0.001},
    "current^-2 length^2 mass^1 time^-2": {"H": 1.0, "uH": 1e-06, "mH": 0.001},
    "length^2 mass^1": {"kg*m^2": 1.0, "g*mm^2": 1e-09, "g*cm^2": 1.0000000000000001e-07},
    "length^1 mass^1": {
        "kg*m": 1.0,
        "g*mm": 1e-06,
        "kg*cm": 0.01,
        "kgcm": 0.01,
        "oz*in": 0.000720077887375,
        "ozin": 0.000720077887375,
        "g*cm": 1e-05,
    },
    "mass^1 time^-2": {
        "N/m": 1.0,
        "N/mm": 1000.0,
        "lbf/inch": 175.12683524647636,
        "N/um": 1000000.0,
        "lbf/in": 175.12683524647636,
    },
    "angle^-1 length^2 mass^1 time^-2": {
        "N*m/rad": 1.0,
        "ozf*inch/deg": 0.4045971157681018,
        "ozf*in/deg": 0.4045971157681018,
        "N*mm/deg": 0.057295779513082325,
        "N*mm/rad": 0.001,
    },
    "length^-3 mass^1": {"kg/m^3": 1.0, "g/cm^3": 999.9999999999999},
    "length^-1 mass^1 time^-2": {
        "Pa": 1.0,
        "GPa": 1000000000.0,
        "MPa": 1000000.0,
        "hPa": 100.0,
        "kPa": 1000.0,
        "psi": 6894.757293168362,
        "bar": 100000.0,
    },
    "temperature^1": {"K": 1.0},
    "length^2 mass^1 time^-3": {"W": 1.0, "mW": 0.001, "kW": 1000.0},
    "length^1 time^-1": {"m/s": 1.0, "kn": 0.5144444444444445, "mm/s": 0.001},
    "": {"": 1.0},
    "angle^-1 length^1 mass^1": {"g*mm/rad": 1e-06},
    "length^2 mass^1 time^-1": {"N*m*s": 1.0},
}
"""Dimension in powers of the bases, and the factor to SI of each text."""
OFFSETS = {"degC": (1.0, 273.15), "degF": (0.5555555555555556, 255.3722222222222)}
"""Factor and zero of temperatures, K."""
