"""A march is done in pieces: to the same figures as in one, ended by what is no longer finite, and interruptible."""

import itertools
import signal

import numpy as np
import pytest

from featherbench.aircraft.flight import flight_setup, hover_flight
from featherbench.bench.gauge import run_gauge
from featherbench.bench.servo_run import run_servo, start_state
from featherbench.bench.setup import build_setup
from featherbench.plant import gauge_chain, pieces
from featherbench.plant import state as state_index
from featherbench.plant.flight import fly_rows
from featherbench.plant.integrate import COLUMNS, CommandSchedule, StepCounts, integrate
from featherbench.plant.parameters import Gauge
from featherbench.rotor.even_grid import grid_cell
from featherbench.scenario import read
from featherbench.servo.motor import winding_for

SHAKEN = {"passing": "3 N*mm", "unlike": "2 N*mm"}
COURSE = [{"to": "8000 rpm", "over": "0.4 s", "hold": "0.2 s"}]
STEP = 2e-5


def test_pieces_of_any_length_give_the_same_figures(setup_of, monkeypatch):
    """To the last digit, on a shaking rotor that slows down; a prime number of steps falls between all periods."""
    setup = setup_of(shaking=SHAKEN, bench={"spin": COURSE})
    whole = run_servo(setup), run_gauge(setup)
    monkeypatch.setattr(pieces, "MOST_STEPS", 977)
    cut = run_servo(setup), run_gauge(setup)
    for name in ("time", "rod_force", "supply_current", "pitch", "spin"):
        assert np.array_equal(getattr(cut[0], name), getattr(whole[0], name)), name
    assert (cut[0].raw_peak, cut[0].energy_error) == (whole[0].raw_peak, whole[0].energy_error)
    for name in ("time", "force", "pitch_series"):
        assert np.array_equal(getattr(cut[1], name), getattr(whole[1], name)), name


def test_a_flight_in_pieces_is_the_same_flight(monkeypatch):
    """Gusts, noise, a late gyro, shaking and play: all of it goes on where it stood."""
    setup = build_setup(read("scenarios/survey-3kg/worn.toml"))
    ready = flight_setup(setup, (0.05, 0.3))
    whole = hover_flight(ready, 0.5, seed=3)
    monkeypatch.setattr(pieces, "MOST_STEPS", 977)
    cut = hover_flight(ready, 0.5, seed=3)
    assert np.array_equal(cut.record, whole.record)
    assert cut.reversals == whole.reversals


def marching(setup, rows, state):
    """A programme that stands at one place, so many rows of 1 ms."""
    still = np.array([0.0]), np.array([float(state[state_index.COMMAND])])
    programme = CommandSchedule(*still, np.array([0.0]), np.array([900.0]))
    record = np.zeros((rows, COLUMNS))
    integrate(
        0.0,
        state,
        programme,
        setup.plant,
        winding_for(setup.plant.motor, STEP),
        StepCounts(STEP, 150, 150, 50),
        record,
    )
    return record


def test_what_is_no_longer_finite_ends_a_march(setup_of, monkeypatch):
    monkeypatch.setattr(pieces, "MOST_STEPS", 500)
    setup = setup_of()
    state = start_state(setup)
    state[state_index.PITCH_RATE] = np.inf
    assert np.isnan(marching(setup, 1000, state)).all()
    state = gauge_chain.start_gauge(0.1, 900.0, setup.plant)
    state[gauge_chain.ROD_SPEED] = np.nan
    record = np.zeros((100, gauge_chain.COLUMNS))
    still = np.zeros(1)
    filled = gauge_chain.integrate_gauge(
        state, still, still, 900.0, setup.plant, Gauge(0.0, 0.0), STEP, 50, 1.0, record
    )
    assert filled == 100
    assert np.isnan(record).all()


def test_an_interrupt_is_seen_between_pieces(setup_of):
    """Of half an hour, which a march needs some minutes for, a tenth of a second is done when it comes."""

    setup = setup_of()
    state, rows = start_state(setup), []
    marching(setup, 1, state.copy())  # compiled
    before = signal.signal(signal.SIGALRM, signal.default_int_handler)
    signal.setitimer(signal.ITIMER_REAL, 0.1)
    try:
        with pytest.raises(KeyboardInterrupt):
            rows = marching(setup, 1_800_000, state)
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        signal.signal(signal.SIGALRM, before)
    assert len(rows) == 0


@pytest.mark.parametrize("rows", [1, 7, 5_000])
@pytest.mark.parametrize("steps", [1, 15, 499_999, 3_000_000])
def test_pieces_hold_every_row_once_and_are_short(rows, steps):
    cut = list(pieces.pieces(rows, steps))
    assert all(one.stop == two.start for one, two in itertools.pairwise(cut))
    assert (cut[0].start, cut[-1].stop) == (0, rows)
    assert all((one.stop - one.start) * steps <= max(pieces.MOST_STEPS, steps) for one in cut)


@pytest.mark.parametrize("place", [4.0, 1e19, np.inf])
def test_beyond_a_table_its_end_holds_however_far(place):
    """A place that is too large for an integer pointed outside the table."""
    assert grid_cell(place, 5) == (3, 1.0)
    assert grid_cell(-place, 5) == (0, 0.0)


def test_a_flight_hands_back_nothing_that_is_made_in_python():
    """A tuple of tuples is, and an interrupt at that moment ended the process where it stood: three of fourteen."""
    hover_flight(flight_setup(build_setup(read("scenarios/survey-3kg/worn.toml")), (0.3, 1.0)), 0.1)
    assert fly_rows.nopython_signatures
    assert {str(one.return_type) for one in fly_rows.nopython_signatures} == {"none"}
