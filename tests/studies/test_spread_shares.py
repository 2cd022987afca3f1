"""Shares of variance of laws whose shares are known, and what cannot be said."""

import numpy as np
import pytest

from featherbench.sampling.shares import basis, terms, variance_shares
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
