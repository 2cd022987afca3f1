"""Shared by the validation files of rotor aerodynamics: standard air, coefficients, bias and scatter; and the folder
of outside data, for every file that needs it."""

from __future__ import annotations

import math
import os
from pathlib import Path

import numpy as np
import pytest

from featherbench.rotor.atmosphere import AirState, air_state
from featherbench.rotor.blade_stations import RotorAir
from featherbench.rotor.rotor_loads import rotor_loads


def sea_level() -> AirState:
    return air_state(None, None, None)


def coefficients(rotor: RotorAir, degrees: float) -> tuple[float, float]:
    """(C_T, C_Q) over rho pi R^2 (Omega R)^2 and R, hover."""
    loads = rotor_loads(rotor, math.radians(degrees))
    scale = rotor.air.density * math.pi * rotor.tip**2 * (rotor.spin * rotor.tip) ** 2
    return loads.thrust / scale, loads.torque / (scale * rotor.tip)


def bias_and_scatter(ratios: list[float]) -> tuple[float, float]:
    """Mean and standard deviation of predicted over measured, less one."""
    values = np.asarray(ratios) - 1.0
    return float(values.mean()), float(values.std(ddof=1))


def hold(ratios: list[float], bias: float, scatter: float) -> float:
    """Assert that mean and standard deviation of ratios less one stay within what is allowed; returns the mean."""
    mean, deviation = bias_and_scatter(ratios)
    assert abs(mean) <= bias, f"bias {mean:+.3f}, allowed {bias:g}"
    assert deviation <= scatter, f"scatter {deviation:.3f}, allowed {scatter:g}"
    return mean


def data_folder(name: str) -> Path:
    """A folder of outside data: $FEATHERBENCH_DATA/name, or shared/data/name beside the repository; skips if
    neither.
    """
    given = os.environ.get("FEATHERBENCH_DATA")
    repository = Path(__file__).resolve().parents[1]
    places = ([Path(given)] if given else []) + [repository.parent / "shared" / "data"]
    for place in places:
        if (place / name).is_dir():
            return place / name
    pytest.skip(f"needs the data folder {name}: set FEATHERBENCH_DATA to the folder that holds it")
