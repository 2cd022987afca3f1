"""The time-stepped bodies: parameters, state, friction and contact, energy audit. Pure numba."""
