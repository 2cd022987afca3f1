"""What a dozen draws leave open: shares, ranges, builds that can't be told apart, and a choice that stays.

The reader is a pilot who is told a number of draws: it must not be sold to him for more than it is.
"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, binomtest

from featherbench.aircraft.flight import Flight
from featherbench.hovering.bias_choice import choose, evened
from featherbench.hovering.bias_words import doubt_words
from featherbench.hovering.draw_doubt import draws_tell_apart, likely_share, range_over, smoothed
from featherbench.hovering.known_digits import to_known_digits
from featherbench.hovering.wag_readings import cycle_frequency, winding_range
from featherbench.plant.flight import F_HEADING, F_TIME, FLIGHT_COLUMNS
from featherbench.sampling.inputs import varied_inputs
from featherbench.scenario import read
from made_up_sweeps import LIGHT, chosen, point

WORN = "scenarios/survey-3kg/worn.toml"


# -- shares ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("share", [0.03, 0.1, 0.3, 0.5, 0.8])
def test_the_interval_of_a_count_holds_the_share_about_as_often_as_it_says(share):
    """Over all that twelve draws may show: 95 %, less what twelve draws come in steps of."""
    held = sum(
        binom.pmf(hits, 12, share)
        for hits in range(13)
        if likely_share(hits, 12)[0] <= share <= likely_share(hits, 12)[1]
    )
    assert held > 0.9


@pytest.mark.parametrize("hits", [0, 1, 3, 7, 12])
def test_the_interval_of_a_count_lies_near_another_good_one(hits):
    """Wilson's, of scipy."""
    other = binomtest(hits, 12).proportion_ci(method="wilson")
    assert likely_share(hits, 12) == pytest.approx((other.low, other.high), abs=0.08)


def test_more_draws_leave_less_open_and_none_leave_all():
    widths = [np.subtract(*likely_share(count // 6, count)[::-1]) for count in (6, 12, 48, 480)]
    assert widths == sorted(widths, reverse=True)
    assert likely_share(0, 0) == (0.0, 1.0)


@given(st.lists(st.booleans(), max_size=30))
def test_builds_are_told_apart_as_a_sign_test_does(shows):
    other = [not one for one in shows]
    assert not draws_tell_apart(shows, shows)
    seen = sum(shows)
    wanted = bool(shows) and binomtest(seen, len(shows)).pvalue <= 0.05
    assert draws_tell_apart(shows, other) == wanted


def test_five_draws_that_agree_are_too_few_and_six_are_enough():
    assert not draws_tell_apart([1.0] * 5, [2.0] * 5)
    assert draws_tell_apart([1.0] * 6, [2.0] * 6)
    assert not draws_tell_apart([1.0] * 5 + [float("nan")], [2.0] * 6)
    assert not draws_tell_apart((), ())


def test_a_range_over_a_dozen_draws_is_from_the_least_to_the_greatest_and_skips_what_is_unknown():
    values = [3.0, 1.0, 2.0, *[1.5] * 9]
    assert range_over(values) == (1.0, 3.0)
    assert range_over([*values, float("inf"), float("nan")]) == (1.0, 3.0)
    assert np.isnan(range_over([])).all()
    low, high = range_over(np.linspace(0.0, 1.0, 1001))
    assert (low, high) == pytest.approx((0.025, 0.975), abs=2e-3)


def test_the_winding_is_no_surer_than_its_thermal_resistance():
    """One heat in every draw: what is left is the doubt of the resistance, a factor of 1.6 either way."""
    low, high = winding_range([0.2] * 12)
    # 0.2 W on 50 K/W: 10 K; by 1.6 either way 6.25 and 16 K, and some hundredths more as it grows warmer
    assert (low - 293.15, high - 293.15) == pytest.approx((6.25 / 0.9754, 16.0 / 0.9371), rel=1e-3)
    wider = winding_range([0.1] * 6 + [0.4] * 6)
    assert wider[0] < low < high < wider[1]


# -- evening out -------------------------------------------------------------------------------------------


@given(st.lists(st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 8.0)), min_size=1, max_size=20))
def test_evened_shares_fall_with_load_and_keep_their_mean(pairs):
    shares, loads = zip(*pairs, strict=True)
    got = np.array(smoothed(shares, loads))
    assert np.all(np.diff(got[np.argsort(loads, kind="stable")]) <= 1e-9)
    assert got.mean() == pytest.approx(np.mean(shares), abs=1e-9)


def sweep_of(counts):
    """Builds at 0, 0.1, ... whose load over friction falls as their weight grows; counts: draws in which play shows."""
    points = [
        point(0.1 * number, 20.0 - 2.0 * number, count, seat_ratio=1.6 - 0.1 * number)
        for number, count in enumerate(counts)
    ]
    return evened(tuple(points))


def choice(points):
    return chosen(points).chosen.compensation


def test_a_share_in_order_stays_as_it_was_seen():
    assert [round(12 * one.share, 9) for one in sweep_of([0, 0, 1, 3, 10, 12])] == [0, 0, 1, 3, 10, 12]


def test_a_count_that_its_neighbours_belie_does_not_decide():
    """Two draws at 0.2 where less bias shows it in none: chance, as the neighbours tell; the raw counts would stop
    there.
    """
    counts = [0, 0, 2, 0, 1, 9, 12]
    assert choice(sweep_of(counts)) == pytest.approx(0.4)
    # but what is seen at one amount and at all beyond it is no chance
    assert choice(sweep_of([0, 0, 4, 4, 5, 9, 12])) == pytest.approx(0.1)


def three_phases(random, truth):
    """Builds turned three ways, each row a share of a step on: the same law of load, seen in twelve draws of each."""
    points = []
    for way in range(3):
        loads = np.arange(len(truth)) + way / 3.0
        shares = np.interp(loads, np.arange(len(truth)), truth)
        points += [
            point(0.1 * number, 20.0 - load, int(random.binomial(12, share)), 10.0 - load, phase=0.1 * way)
            for number, (load, share) in enumerate(zip(loads, shares, strict=True))
        ]
    return points


def test_a_build_is_not_chosen_for_its_luck():
    """The same tail in a dozen draws again and again. By counts alone the build that luck spared is taken; evened out,
    what is chosen shows play in about as few of all draws as it should.
    """
    truth = np.array([0.01, 0.03, 0.06, 0.1, 0.15, 0.2, 0.3, 0.6, 0.9])
    random = np.random.default_rng(5)
    by_count, by_share = [], []
    for _ in range(200):
        points = three_phases(random, truth)
        by_count.append(chosen(points).chosen.rod_force)
        by_share.append(chosen(evened(tuple(points))).chosen.rod_force)
    real = [
        np.interp(20.0 - np.array(forces), np.arange(len(truth)), truth) for forces in (by_count, by_share)
    ]
    assert np.mean(real[1]) < 0.15 < np.mean(real[0])
    assert np.percentile(real[1], 95) < np.percentile(real[0], 95)


# -- what is said ------------------------------------------------------------------------------------------


def with_charges(one, *charges):
    return replace(one, charges=charges)


def test_amounts_that_the_draws_cannot_tell_apart_are_named_with_the_rule():
    low, high = (
        with_charges(point(0.3, 14.0, 0), *[40.0] * 12),
        with_charges(point(0.4, 12.0, 1), *[40.0] * 12),
    )
    far = with_charges(point(0.5, 10.0, 11), *[40.0] * 12)
    (said,) = doubt_words([low, high, far], high)
    assert said.startswith("0.30 and 0.40 can't be told apart by play or mAh in 12 draws")
    assert "rod force decides" in said
    # one that draws more in every draw is told apart
    thirsty = replace(low, charges=(50.0,) * 12)
    assert doubt_words([thirsty, high, far], high) == ()


def test_an_amount_left_out_on_two_draws_is_said_to_be_so():
    kept, left = point(0.4, 12.0, 1), point(0.5, 10.0, 2)
    (said,) = [text for text in doubt_words([kept, left], kept) if "left out" in text]
    assert said == (
        "0.50, of less rod force, was left out for play alone (2 of 12 draws), which can't be told from the 1 of 12 at "
        "0.40: fly more draws (--draws) to be surer"
    )
    assert not any("left out" in text for text in doubt_words([kept, point(0.5, 10.0, 9)], kept))
    # it shows no more at the amount itself, but the sweep is evened out, and beside it play shows in many
    even, beside = replace(left, shows=kept.shows, evened=0.2), point(0.6, 11.0, 5)
    (said,) = [
        text
        for text in doubt_words([kept, even, replace(beside, shows=(True,) * 12)], kept)
        if "left" in text
    ]
    assert "(1 of 12 there, 12 of 12 beside it at 0.60), which can't be told" in said
    (said,) = [text for text in doubt_words([kept, even, beside], kept) if "left" in text]
    assert said.startswith(
        "0.50 and 0.60, of less rod force, were left out for play alone (1 and 5 of 12 draws, evened"
    )
    # least rod force decides among those only that keep quiet: 0.50 has less of it
    assert not any("can't be told apart" in text for text in doubt_words([kept, even], kept))
    # what must not be run was not left out for play
    assert not any(
        "left out" in text for text in doubt_words([kept, replace(left, release="runs out")], kept)
    )


def test_rod_forces_that_no_gauge_tells_apart_leave_it_to_the_lighter_weight():
    """A last digit of a force does not decide between two amounts."""
    one, two = point(0.4, 12.0, 0), point(0.5, 12.0 * (1.0 - 1e-9), 0)
    assert chosen((LIGHT, one, two)).chosen is one
    assert chosen((LIGHT, replace(one, rod_force=12.0 * (1.0 - 2e-9)), two)).chosen.compensation == 0.4
    clearly = replace(two, rod_force=11.0)
    assert chosen((LIGHT, one, clearly)).chosen is clearly


# -- the last digit ------------------------------------------------------------------------------------------


def with_last_digit(scenario, times):
    """Speed, an arm and a weight a trillionth off: what adding up in another order leaves."""
    part = scenario.part["head-collar"]
    return scenario.model_copy(
        update={
            "rotor": scenario.rotor.model_copy(update={"speed": scenario.rotor.speed * times}),
            "linkage": scenario.linkage.model_copy(update={"horn_arm": scenario.linkage.horn_arm * times}),
            "part": {
                **scenario.part,
                "head-collar": part.model_copy(update={"length": part.length * times}),
            },
        }
    )


def test_nobody_knows_more_than_nine_digits():
    scenario = read(WORN)
    known = to_known_digits(scenario)
    assert to_known_digits(known) == known
    assert known.rotor.speed == pytest.approx(scenario.rotor.speed, rel=5e-9)
    moved = to_known_digits(with_last_digit(scenario, 1.0 + 1e-12))
    assert moved.linkage == known.linkage
    assert moved.part == known.part
    # what was assumed is still not stated, and tolerances stay
    assert known.servo.model_fields_set == scenario.servo.model_fields_set
    assert [one.key for one in varied_inputs(known)] == [one.key for one in varied_inputs(scenario)]
    # but a digit that is known counts
    assert to_known_digits(with_last_digit(scenario, 1.0 + 1e-6)).rotor != known.rotor


def test_a_trillionth_changes_no_word_of_a_sweep_or_of_a_wag():
    from featherbench.hovering.bias import bias
    from featherbench.hovering.wag import wag
    from featherbench.views.hover import _bias_answer

    scenario = read(WORN)
    said = []
    for times in (1.0, 1.0 + 1e-12):
        own = with_last_digit(scenario, times)
        found = bias(own, compensations=np.array([0.2, 0.5]), phases=np.array([0.0]), draws=3)
        flown = wag(own, draws=1, seconds=4.0)
        told = _bias_answer(found, "metric"), found.words, found.doubts, flown.draws, flown.ranges
        said.append(repr(told))
    assert said[0] == said[1]


# -- frequency ---------------------------------------------------------------------------------------------


def flight_of(heading):
    """Ten seconds of a heading (rad), a function of time."""
    record = np.zeros((2000, FLIGHT_COLUMNS))
    record[:, F_TIME] = 5e-3 * np.arange(1, 2001)
    record[:, F_HEADING] = heading(record[:, F_TIME])
    return Flight(record, 0.0)


def test_frequency_is_that_of_a_cycle_and_of_nothing_that_comes_to_rest():
    cycle = flight_of(lambda time: 5e-3 * np.sin(2.0 * np.pi * 1.7 * time))
    assert cycle_frequency(cycle) == pytest.approx(1.7, rel=0.02)
    assert np.isnan(cycle_frequency(flight_of(lambda time: 0.07 * np.exp(-3.0 * time))))


def test_a_sweep_keeps_its_choice_when_it_is_chosen_again():
    points = sweep_of([0, 0, 1, 3, 10, 12])
    found = chosen(points)
    assert choose(replace(found, points=points[::-1])).chosen == found.chosen
