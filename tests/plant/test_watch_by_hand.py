"""How long released blades are watched before they count as at rest, and what of a record is then known."""

from math import ceil, pi

import numpy as np
import pytest

from featherbench.plant import gauge_chain, pieces
from featherbench.plant import state as state_index
from featherbench.plant.gauge_chain import COLUMNS, PITCH, R_PITCH, R_ROD, R_TIME, SIZE
from featherbench.plant.parameters import Gauge
from featherbench.plant.rest import bodies_stand


class Marched:
    """Stands for the march: every row the same from `still` on; stops after `stop` rows; counts its pieces."""

    def __init__(self, still=10**9, stop=10**9, odd=10**9):
        self.still, self.stop, self.odd, self.pieces, self.done = still, stop, odd, [], 0

    def __call__(self, state, _course, _plant, gauge, step, record_steps, _clock, rows):
        self.pieces.append(len(rows))
        assert (gauge.stiffness, gauge.damping) == (0.0, 0.0)
        for row in rows:
            self.done += 1
            row[:] = float(min(self.done, self.still))
            row[R_TIME] = self.done * step * record_steps
            if self.done >= self.odd:
                state[:] = np.nan
            if self.done == self.stop:
                state[PITCH] = 1.5
                return self.done - sum(self.pieces[:-1])
        return len(rows)


def watched(setup, monkeypatch, march, spin=900.0, rate=0.0, rows=2000):
    """Rows filled and the record, at a row each hundredth of a second."""
    monkeypatch.setattr(gauge_chain, "integrate_gauge_rows", march)
    plant = setup.plant._replace(shaking=setup.plant.shaking._replace(rate=rate))
    record = np.zeros((rows, COLUMNS))
    return gauge_chain.integrate_free(np.zeros(SIZE), spin, plant, 1e-3, 10, 1.0, record), record


@pytest.mark.parametrize(
    ("spin", "rate", "seconds"),
    [(900.0, 0.0, 0.3), (900.0, 5.0, 0.3), (2.0, 0.0, 0.3), (2.0, 5.0, pi), (-2.0, 5.0, pi), (0.0, 5.0, 0.3)],
)
def test_blades_are_watched_for_three_tenths_and_a_whole_turn_where_something_shakes(
    setup_of, monkeypatch, spin, rate, seconds
):
    march = Marched()
    filled, _ = watched(setup_of(), monkeypatch, march, spin, rate)
    assert filled == 2000
    assert set(march.pieces[:-1]) == {ceil(seconds / 0.01 - 1e-9) + 1}
    assert sum(march.pieces) == 2000


def test_blades_that_do_not_move_through_a_whole_watch_stay(setup_of, monkeypatch):
    """Rows of 31: still from the 40th on, the third is the first that is still all through; the rest is copied."""
    march = Marched(still=40)
    filled, record = watched(setup_of(), monkeypatch, march)
    assert (filled, march.pieces) == (2000, [31, 31, 31])
    assert (record[93:, [R_ROD, R_PITCH]] == 40.0).all()
    assert record[:, R_TIME] == pytest.approx(0.01 * np.arange(1, 2001))
    # what is left of a record is no watch, however still
    short = Marched(still=1)
    assert watched(setup_of(), monkeypatch, short, rows=30)[0] == 30
    assert short.pieces == [30]


def test_a_march_that_stops_says_after_how_many_rows(setup_of, monkeypatch):
    assert watched(setup_of(), monkeypatch, Marched(stop=70))[0] == 70
    last = Marched(stop=31)  # in the last row of a piece, which is full then
    assert watched(setup_of(), monkeypatch, last)[0] == 31
    assert last.pieces == [31]
    monkeypatch.setattr(pieces, "MOST_STEPS", 310)
    pushed = Marched(stop=62)
    monkeypatch.setattr(gauge_chain, "integrate_gauge_rows", pushed)
    record, still = np.zeros((200, COLUMNS)), np.zeros(1)
    free = Gauge(0.0, 0.0)
    assert gauge_chain.integrate_gauge(
        np.zeros(SIZE), still, still, 900.0, setup_of().plant, free, 1e-3, 10, 1.0, record
    ) == 62  # fmt: skip
    assert pushed.pieces == [31, 31]


def test_what_blows_up_is_not_a_number_from_its_piece_on(setup_of, monkeypatch):
    filled, record = watched(setup_of(), monkeypatch, Marched(odd=40))
    assert filled == 2000
    assert np.isfinite(record[:31]).all()
    assert np.isnan(record[31:]).all()


@pytest.mark.parametrize(
    "moving", [state_index.MOTOR_SPEED, state_index.OUTPUT_SPEED, state_index.PITCH_RATE]
)
def test_a_chain_stands_where_none_of_its_bodies_moves_at_all(moving):
    """Wherever they stand, and however much current flows."""
    state = np.full(state_index.SIZE, 0.3)
    for speed in (state_index.MOTOR_SPEED, state_index.OUTPUT_SPEED, state_index.PITCH_RATE):
        state[speed] = 0.0
    assert bodies_stand(state)
    for least in (1e-300, -1e-300):
        state[moving] = least
        assert not bodies_stand(state)
