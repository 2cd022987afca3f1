"""Shares of variance of laws whose shares are known, and what cannot be said."""

import numpy as np
import pytest

from featherbench.sampling.shares import MOST_TERMS, _within, basis, shares_of_each, terms, variance_shares
from featherbench.sampling.spread import sample_places


def test_a_sum_of_straight_lines_shares_by_squares():
    places = sample_places(3, 256, 1)
    shares = variance_shares(places, 7.0 + places @ [3.0, -4.0, 0.0])
    assert shares.first == pytest.approx([9 / 25, 16 / 25, 0.0], abs=1e-9)
    assert shares.total == pytest.approx(shares.first, abs=1e-9)
    assert shares.unexplained < 1e-12
    # a uniform variable on [-1, 1] has a standard deviation of 1 / sqrt 3
    assert shares.linear == pytest.approx(np.array([3.0, 4.0, 0.0]) / np.sqrt(3.0), rel=2e-2)


def test_a_product_belongs_to_both_and_to_neither_alone():
    places = sample_places(2, 256, 2)
    shares = variance_shares(places, places[:, 0] * places[:, 1])
    assert shares.first == pytest.approx([0.0, 0.0], abs=1e-9)
    assert shares.total == pytest.approx([1.0, 1.0], abs=1e-9)


def test_noise_is_left_unexplained():
    places = sample_places(2, 512, 3)
    noise = np.random.default_rng(0).normal(size=512)
    shares = variance_shares(places, places[:, 0] + noise / np.sqrt(3.0))  # as much noise as signal
    assert shares.unexplained == pytest.approx(0.5, abs=0.1)
    assert shares.first.sum() + shares.unexplained <= 1.0 + 1e-9


def test_nothing_is_said_of_what_does_not_vary_or_of_too_few():
    places = sample_places(3, 64, 0)
    assert variance_shares(places, np.full(64, 2.5)) is None
    assert variance_shares(places[:8], places[:8, 0]) is None


def test_terms_are_orthonormal_over_the_inputs():
    exponents = terms(2, 3)
    assert len(exponents) == 10
    columns = basis(sample_places(2, 4096, 5), exponents)
    assert columns.T @ columns / 4096 == pytest.approx(np.eye(10), abs=0.02)


def test_another_seed_another_sequence_and_more_runs_continue_it():
    short, long = sample_places(4, 64, 9), sample_places(4, 200, 9)
    assert np.array_equal(short, long[:64])
    assert not np.array_equal(short, sample_places(4, 64, 10))
    assert np.abs(long).max() <= 1.0
    assert long.mean(axis=0) == pytest.approx(np.zeros(4), abs=0.03)


def test_columns_are_worked_out_together_as_each_by_itself():
    places = sample_places(3, 512, 6)
    columns = np.stack(
        [places @ [1.0, 2.0, 0.0], np.full(512, 2.0), np.sin(3.0 * places[:, 0]) * places[:, 2]], axis=1
    )
    together = shares_of_each(places, columns)
    assert together[1] is None
    for column, shares in zip(columns.T, together, strict=True):
        alone = variance_shares(places, column)
        assert (alone is None) == (shares is None)
        if alone is not None:
            assert shares.total == pytest.approx(alone.total, abs=1e-12)
            assert shares.unexplained == pytest.approx(alone.unexplained, abs=1e-12)


def test_shares_are_those_of_an_orthogonal_fit_of_all_samples_at_once(monkeypatch):
    """Blocks and normal equations, held against numpy's least squares with the leverage of its own Q."""
    monkeypatch.setattr("featherbench.sampling.shares.BLOCK", 100)
    places = sample_places(2, 256, 4)
    values = np.exp(places[:, 0]) + places[:, 0] * places[:, 1]
    shares = variance_shares(places, values)
    columns = basis(places, terms(2, shares.degree))
    scaled = (values - values.mean()) / values.std()
    coefficients = np.linalg.lstsq(columns, scaled, rcond=None)[0]
    leverage = (np.linalg.qr(columns)[0] ** 2).sum(axis=1)
    left = np.mean(((scaled - columns @ coefficients) / (1.0 - leverage)) ** 2)
    # a fit as good as this one leaves rounding, which is not the same in both ways of working it out
    assert shares.unexplained == pytest.approx(left, rel=1e-4, abs=1e-15)
    alone = (terms(2, shares.degree)[:, 1] > 0) & (terms(2, shares.degree)[:, 0] == 0)
    parts = coefficients**2
    assert shares.first[1] == pytest.approx((1.0 - left) * parts[alone].sum() / parts[1:].sum(), abs=1e-9)


def test_a_sample_that_alone_tells_a_term_says_nothing_against_the_fit():
    """Its leverage is 1: left out, there is nothing to predict it with, and 0 / 0 must be neither nan nor an error."""
    places = sample_places(2, 64, 8)
    places[:, 1] = 0.0
    places[17, 1] = 0.5
    shares = variance_shares(places, 2.0 * places[:, 0] + 3.0 * places[:, 1])
    assert shares.unexplained < 1e-9
    assert shares.first == pytest.approx([4.0 / 13.0, 9.0 / 13.0])  # by the squares of the slopes


def test_many_samples_ask_for_no_more_terms_than_some_do():
    """The cost goes with samples times terms squared: without a bound, with the cube of the samples."""
    for inputs in (1, 3, 10, 40):
        for degree in range(2, 11):
            found = _within(inputs, degree, 65536)
            assert found is None or len(found) <= MOST_TERMS
    assert _within(10, 4, 4096) is not None
    assert _within(10, 5, 65536) is None
    assert len(_within(2000, 1, 100)) == 2001  # a straight line in every input is always tried
