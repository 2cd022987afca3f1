"""Per-blade load at a pitch: the tabulated mass moments through the propeller moment, plus the air's share."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from featherbench.kernel import kernel
from featherbench.plant.parameters import LoadTable
from featherbench.rotor.even_grid import grid_cell
from featherbench.rotor.propeller_moment import PitchMoments, propeller_moment_at
from featherbench.sine_cosine import sine_cosine


@kernel(forceinline=True)
def tabulated(pitch: float, loads: LoadTable) -> tuple[PitchMoments, float]:
    """(PitchMoments, air moment over spin^2 in kg m^2) at a pitch (rad), linear between table rows, held beyond."""
    row, share = grid_cell((pitch - loads.first) * loads.per_radian, loads.values.shape[0])
    values = loads.values  # indexed element by element: a row view would cost a reference count in every step
    moments = PitchMoments(
        values[row, 0] + share * (values[row + 1, 0] - values[row, 0]),
        values[row, 1] + share * (values[row + 1, 1] - values[row, 1]),
        values[row, 2] + share * (values[row + 1, 2] - values[row, 2]),
        values[row, 3] + share * (values[row + 1, 3] - values[row, 3]),
        values[row, 4] + share * (values[row + 1, 4] - values[row, 4]),
        loads.coning,
    )
    return moments, values[row, 5] + share * (values[row + 1, 5] - values[row, 5])


@kernel(forceinline=True)
def blade_moment(pitch: float, spin: float, spin_rate: float, loads: LoadTable) -> float:
    """Moment of one blade about its feathering axis (N m, positive raises pitch): centrifugal plus air."""
    return blade_moment_at(pitch, sine_cosine(pitch), spin, spin_rate, loads)


@kernel(forceinline=True)
def blade_moment_at(
    pitch: float, facing: tuple[float, float], spin: float, spin_rate: float, loads: LoadTable
) -> float:
    """The same, where sine and cosine of the pitch are known (`facing`)."""
    moments, air = tabulated(pitch, loads)
    return propeller_moment_at(facing[0], facing[1], spin, spin_rate, moments) + air * spin * spin


def blade_moments(pitches: NDArray[np.float64], spin: float, loads: LoadTable) -> NDArray[np.float64]:
    """Rows (n, 2) at pitches (n,), rad, and steady speed `spin` (rad/s): `blade_moment`, N m, and the air's moment over
    spin^2, kg m^2.
    """
    rows = np.empty((len(pitches), 2))
    _fill_moments(pitches, spin, loads, rows)
    return rows


@kernel
def _fill_moments(
    pitches: NDArray[np.float64], spin: float, loads: LoadTable, rows: NDArray[np.float64]
) -> None:
    for index in range(pitches.shape[0]):
        rows[index, 0] = blade_moment(pitches[index], spin, 0.0, loads)
        rows[index, 1] = tabulated(pitches[index], loads)[1]
