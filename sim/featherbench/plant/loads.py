"""Per-blade load at a pitch: the tabulated mass moments through the propeller moment, plus the air's share."""

from __future__ import annotations

from numba import njit

from featherbench.rotor.propeller_moment import PitchMoments, propeller_moment


@njit(cache=True, nogil=True)
def tabulated(pitch, loads):
    """(PitchMoments, air moment over spin^2 in kg m^2) at a pitch (rad), linear between table rows."""
    place = (pitch - loads.first) * loads.per_radian
    last = loads.values.shape[0] - 2
    row = int(place) if place > 0.0 else 0
    row = min(row, last)
    share = place - row
    low = loads.values[row]
    high = loads.values[row + 1]
    moments = PitchMoments(
        low[0] + share * (high[0] - low[0]),
        low[1] + share * (high[1] - low[1]),
        low[2] + share * (high[2] - low[2]),
        low[3] + share * (high[3] - low[3]),
        low[4] + share * (high[4] - low[4]),
        loads.coning,
    )
    return moments, low[5] + share * (high[5] - low[5])


@njit(cache=True, nogil=True)
def blade_moment(pitch, spin, spin_rate, loads):
    """Moment of one blade about its feathering axis (N m, positive raises pitch): centrifugal plus air."""
    moments, air = tabulated(pitch, loads)
    return propeller_moment(pitch, spin, spin_rate, moments) + air * spin * spin


@njit(cache=True, nogil=True)
def pitch_friction_limit(spin, slider_slope, axis):
    """Greatest sliding friction on the collective pitch (N m, all blades): bearings under load, and the slider.

    slider_slope: slider travel per pitch, m/rad.
    """
    bearings = axis.starting_moment + axis.load_moment * spin * spin
    return axis.blades * bearings + axis.slider_friction * abs(slider_slope)
