"""The collective pitch moves by one law, whatever else hangs on the rod; the tables under it end where they end."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from featherbench.bench.servo_run import start_state
from featherbench.linkage import servo_angle_for
from featherbench.plant import gauge_chain
from featherbench.plant import state as state_index
from featherbench.plant.chain import chain_step
from featherbench.plant.energy_audit import audit_error
from featherbench.plant.loads import blade_moment, tabulated
from featherbench.plant.parameters import Gauge
from featherbench.rotor.even_grid import grid_cell
from featherbench.servo.motor import winding_for

PITCH, STEP = 0.2, 2e-5


def test_blades_in_the_gap_move_alike_under_servo_and_gauge(setup_of):
    """Within a wide play the rod bears nothing, so both steppers have only the blades to move: to the last bit."""
    setup = setup_of(linkage={"play": {"rod": "4 mm"}}, bearing={"starting_moment": "0.02 N*mm"})
    plant, spin = setup.plant, float(setup.scenario.rotor.speed)
    chain = start_state(setup)
    angle = servo_angle_for(PITCH, plant.linkage)
    chain[
        [state_index.OUTPUT_ANGLE, state_index.MOTOR_ANGLE, state_index.COMMAND, state_index.LAST_ANGLE]
    ] = angle
    chain[state_index.PITCH] = PITCH
    chain[state_index.ROTOR_MOMENT] = plant.pitch.blades * blade_moment(PITCH, spin, 0.0, plant.loads)
    free = gauge_chain.start_gauge(PITCH, spin, plant)
    winding = winding_for(plant.motor, STEP)
    for _ in range(60):
        chain_step(STEP, chain, spin, 0.0, plant, winding)
        gauge_chain.gauge_chain_step(
            STEP, free, free[gauge_chain.ROD_PLACE], 0.0, spin, plant, Gauge(0.0, 0.0)
        )
    assert chain[state_index.ROD_FORCE] == 0.0
    assert chain[state_index.PITCH] < PITCH - 1e-3
    assert chain[state_index.PITCH] == free[gauge_chain.PITCH]
    assert chain[state_index.PITCH_RATE] == free[gauge_chain.PITCH_RATE]
    assert chain[state_index.WORK_ROTOR] == free[gauge_chain.WORK_ROTOR]


@settings(deadline=None)
@given(st.floats(-30.0, 30.0), st.integers(2, 9))
def test_a_place_is_found_on_the_grid_and_held_beyond_it(place, rows):
    table = np.cos(np.arange(rows))
    cell, share = grid_cell(place, rows)
    assert 0 <= cell <= rows - 2
    assert table[cell] + share * (table[cell + 1] - table[cell]) == pytest.approx(
        np.interp(place, np.arange(rows), table), abs=1e-12
    )


def test_loads_are_not_carried_on_past_their_table(setup_of):
    loads = setup_of().plant.loads
    last = loads.first + (len(loads.values) - 1) / loads.per_radian
    for end, row, way in ((loads.first, loads.values[0], -1.0), (last, loads.values[-1], 1.0)):
        moments, air = tabulated(end + way * 0.5, loads)
        assert [*moments[:5], air] == pytest.approx(row, rel=1e-12)


def test_the_audit_counts_what_went_in_against_what_came_out():
    assert audit_error((3.0, -1.0), (1.5,), 0.5) == 0.0
    assert audit_error((3.0, -1.0), (1.0,), 0.5) == pytest.approx(0.1)
    assert audit_error((), (), 0.0) == 0.0
