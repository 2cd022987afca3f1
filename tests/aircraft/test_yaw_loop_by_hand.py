"""The linear yaw loop where a sheet of paper has its margins."""

from math import isnan, pi, sqrt

import pytest

from featherbench.aircraft.yaw_loop import HIGHEST, YawLoop, margins, ultimate

BARE = YawLoop(
    steering=2.0,
    inertia=0.02,
    damping=0.1,
    servo_lag=0.0,
    servo_square=0.0,
    filter_lag=0.0,
    late=0.0,
    by_rate=0.0,
    by_heading=0.0,
)
"""A tail that obeys at once."""


def test_a_tail_without_lags_is_taken_to_the_end_of_what_is_looked_at():
    """Inertia alone turns by less than a quarter: nothing hunts below HIGHEST, where |L| = k T / |j J w + D|."""
    gain, frequency = ultimate(BARE)
    assert gain == pytest.approx(sqrt((0.02 * HIGHEST) ** 2 + 0.1**2) / 2.0)
    assert frequency == pytest.approx(HIGHEST / (2.0 * pi))


@pytest.mark.parametrize("late", [1e-3, 0.01, 0.05])
def test_heading_alone_on_an_inertia_is_short_of_phase_by_its_delay(late):
    """L = k T e^(-s late) / (J s^2) crosses 1 at sqrt(k T / J), turned by half a turn and the delay: none is left."""
    loop = BARE._replace(damping=0.0, late=late, by_heading=1.5)
    gain, phase, crossover = margins(loop)
    by_hand = sqrt(1.5 * 2.0 / 0.02)
    assert crossover == pytest.approx(by_hand, rel=3e-3)  # 4,000 frequencies over three and a half decades
    assert phase == pytest.approx(-by_hand * late, rel=5e-3)
    assert not gain > 1.0


def test_a_delay_and_a_filter_share_the_quarter_turn_that_an_inertia_leaves():
    """At 100 rad/s a filter of 10 ms turns by an eighth, a delay of pi/400 s by another: there the loop turns over,
    and |L| = k T / (J w sqrt 2) is 1 at k = sqrt 2.
    """
    gain, frequency = ultimate(BARE._replace(damping=0.0, filter_lag=0.01, late=pi / 400.0))
    assert frequency == pytest.approx(100.0 / (2.0 * pi), rel=1e-6)
    assert gain == pytest.approx(sqrt(2.0), rel=1e-6)


@pytest.mark.parametrize("late", [5e-3, 0.02])
def test_a_rate_gain_on_an_inertia_is_left_a_quarter_turn_that_its_delay_eats(late):
    """L = k T e^(-s late) / (J s): it crosses 1 at k T / J, turned by a quarter and the delay; where the delay alone is
    a quarter, at pi / (2 late), there is k T late / (J pi / 2) of gain.
    """
    loop = BARE._replace(damping=0.0, late=late, by_rate=0.5)
    crossing = 0.5 * 2.0 / 0.02
    gain, phase, crossover = margins(loop)
    assert crossover == pytest.approx(crossing, rel=3e-3)
    assert phase == pytest.approx(0.5 * pi - crossing * late, abs=5e-3)
    assert gain == pytest.approx(0.5 * pi / (late * crossing), rel=3e-3)


def test_what_never_turns_over_has_no_gain_margin_and_what_never_crosses_no_phase_margin():
    assert isnan(margins(BARE._replace(by_rate=0.5))[0])
    weak = margins(BARE._replace(by_rate=1e-6))
    assert all(isnan(one) for one in weak)
    slow = margins(BARE._replace(by_rate=1e-6, late=0.1))
    assert slow[0] > 1.0
    assert isnan(slow[1])
    assert isnan(slow[2])
