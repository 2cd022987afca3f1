"""Kinds of ammeter, what each shows of a peak, and what a min/max hold catches of it: by hand."""

import numpy as np
import pytest

from featherbench.bench.instruments import meter_display, meter_peaks, peak_shown
from featherbench.bench.servo_run import run_servo
from featherbench.scenario.bench_tables import Move
from featherbench.studies import predict

TIME = np.arange(1, 2001) * 1e-3
PULSE = np.where((TIME > 0.5) & (TIME <= 0.6), 1.01, 0.11)
"""0.1 s of 1 A on 0.1 A, and 10 mA of idle beside."""


@pytest.fixture
def meter_of(scenario_of):
    return lambda **keys: scenario_of(meter=keys).meter


def test_a_kind_sets_what_is_left_out_and_no_more(meter_of):
    clamp, logger, plain = meter_of(kind="clamp", rate="5 Hz"), meter_of(kind="shunt logger"), meter_of()
    assert (clamp.resolution, clamp.window, clamp.rate, clamp.uncertainty) == pytest.approx(
        (0.01, 0.4, 5.0, 0.06)
    )
    assert (logger.resolution, logger.window, logger.rate) == pytest.approx((0.001, 0.01, 100.0))
    assert (plain.resolution, plain.window, plain.rate, plain.uncertainty) == (0.01, 0.3, 3.0, None)


def test_a_short_peak_is_caught_by_a_hold_and_missed_by_a_display(meter_of):
    def shown(**keys):
        meter = meter_of(**keys)
        return peak_shown(TIME, PULSE, meter, 0.01, meter_display(TIME, PULSE, meter, 0.01))

    assert shown(min_max="100 ms") == pytest.approx(1.0)
    assert shown(min_max="200 ms") == pytest.approx(0.55)
    assert shown(min_max="100 ms", zero_idle=False) == pytest.approx(1.01)
    assert shown() < 0.45  # a mean over 0.3 s
    assert shown(kind="shunt logger") == pytest.approx(1.0)


def test_of_a_display_the_peak_of_a_move_is_a_mean_over_when_it_reads(meter_of):
    """Window and period T = 0.4 s, pulse of 0.1 s: a reading falls up to T after its start. All of the pulse is in the
    window of the one reading in 3 of 4 cases, else it is split over two, and the larger has 0.75 of it in the mean.
    """
    meter = meter_of(window="0.4 s", rate="2.5 Hz")
    mean, spread = meter_peaks(TIME, PULSE, meter, 0.01, 0.11)
    whole, split = 0.9 * 0.1 / 0.4, 0.75 * 0.9 * 0.1 / 0.4
    assert mean == pytest.approx(0.1 + 0.75 * whole + 0.25 * split, abs=3e-3)
    assert 0.005 < spread < 0.05
    caught, none = meter_peaks(TIME, PULSE, meter_of(min_max="50 ms"), 0.01, 0.11)
    assert (caught, none) == (pytest.approx(1.0), 0.0)


def test_what_stood_before_a_move_is_in_its_first_readings(meter_of):
    """A move that begins with the record: the meter's window still has the hold before in it."""
    meter = meter_of(window="0.5 s", rate="4 Hz", zero_idle=False)
    flat = np.full(500, 0.2)
    assert meter_peaks(TIME[:500], flat, meter, 0.0, 0.2) == pytest.approx((0.2, 0.0))
    high, _ = meter_peaks(TIME[:500], flat, meter, 0.0, 1.0)
    # the first reading falls between 0 and 0.25 s: 0.375 s of 0.5 s are still of the hold, in the mean
    assert high == pytest.approx(0.2 + 0.8 * 0.75, abs=0.02)


def test_a_slam_shows_less_of_its_peak_than_a_hands_move(scenario_of):
    """Slammed, the current's peak is higher, and shorter than a hand-held meter's window."""
    run = predict(scenario_of())
    slam, hand = run.value("meter_peak_slam"), run.value("meter_peak_hand")
    logger = predict(scenario_of(meter={"kind": "shunt logger"}))
    assert logger.value("meter_peak_slam") > logger.value("meter_peak_hand")
    assert logger.value("meter_peak_slam") > 1.2 * slam
    assert logger.value("meter_peak_hand") < 1.6 * hand


def test_each_end_has_its_own(setup_of):
    """Of a slow move a meter misses next to nothing: what moving takes, and no less than the hold."""
    setup = setup_of(meter={"window": "100 ms", "rate": "10 Hz"})
    leg = run_servo(setup, (Move.model_construct(go=1.0, hold=1.0, over=3.0),)).legs[0]
    assert leg.hold < leg.shown
    assert leg.shown == pytest.approx(leg.peak, rel=0.05)
    run = predict(setup.scenario)
    assert run.value("meter_peak_high") == run.servo.legs[0].shown
    assert run.value("meter_peak_low") == run.servo.legs[1].shown
