"""What is read off a move, its hold and a release, by hand: rows made up, nothing run."""

import numpy as np
import pytest

from featherbench.bench.instruments import moving_mean
from featherbench.bench.legs import Ending, Leg, _ending, _first_stop, _place, hunts
from featherbench.bench.release import ReleaseVerdict, release_points, verdict
from featherbench.plant import integrate as rec
from featherbench.servo.motor import holding_band


def test_hunting_by_hand():
    """Six turns through the middle of a twentieth of a degree or more, that do not die away by half."""
    swing = np.deg2rad(0.05)
    six = np.repeat([0.0, 1.0, 0.0, 1.0, 0.0, 1.0, 0.0], 4) * swing * 1.001
    assert hunts(six)
    assert not hunts(six[:-4])  # five turns
    assert not hunts(0.99 * six)
    assert not hunts(np.concatenate([2.1 * six[:14], six[14:]]))
    assert hunts(np.concatenate([1.9 * six[:14] - 0.4 * six.max(), six[14:]]))
    assert not hunts(np.tile([0.0, 1.0], 5))  # ten rows are too few to tell
    assert hunts(np.tile([0.0, 1.0], 6))


def rest_of(error=0.0, pitch=(0.1, 0.1), current=0.0, force=0.0):
    """Two rows of a hold: error rad of the servo, pitch rad, current A, rod force N."""
    rows = np.zeros((2, rec.COLUMNS))
    rows[:, rec.COMMAND], rows[:, rec.PITCH] = error, pitch
    rows[:, rec.MOTOR_CURRENT], rows[:, rec.ROD_FORCE] = current, force
    return rows


def test_how_a_hold_stands_by_hand(setup_of):
    """Dead band 0.3 deg and 2 deg more ask for full duty: 0.99 x 2.15 deg; settled within 0.1 deg of pitch."""
    setup = setup_of()
    full, slow, fast = np.deg2rad(0.99 * 2.15), (0.1, 0.1 + np.deg2rad(0.09)), (0.1, 0.1 + np.deg2rad(0.11))
    for error, pitch, target, ending in (
        (0.999 * full, slow, 0.2, Ending.HELD), (-0.999 * full, slow, 0.2, Ending.HELD),
        (0.999 * full, fast, 0.2, Ending.DRIFTS), (1.001 * full, slow, 0.2, Ending.STALLED),
        (1.001 * full, fast, 0.2, Ending.UNDER_WAY), (1.001 * full, fast, 0.0, Ending.STALLED),
        (-1.001 * full, fast, 0.2, Ending.UNDER_WAY),
    ):  # fmt: skip
        rest = rest_of(error, pitch)
        assert _ending(setup, rest, rest[:, rec.OUTPUT], target) is ending
    for ending in Ending:
        leg = Leg(*[0.0] * 12, ending)
        assert leg.reached == (ending not in (Ending.STALLED, Ending.UNDER_WAY))
        assert leg.settled == (ending in (Ending.HELD, Ending.STALLED))


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_where_in_the_band_a_hold_sits_by_hand(setup_of, side):
    """At neutral the arm of 12 mm makes 3 N into 36 mN m; the band's edges are +1 and -1, its middle 0."""
    setup = setup_of()
    least, most = sorted(holding_band(side * 0.036, setup.plant.motor), key=abs)
    for share, place in ((0.0, -1.0), (0.5, 0.0), (0.75, 0.5), (1.0, 1.0), (2.0, 1.0), (-1.0, -1.0)):
        rows = rest_of(current=least + share * (most - least), force=side * 3.0)
        assert _place(setup, rows) == pytest.approx(place, abs=1e-6)


def test_a_move_ends_where_it_first_stops_past_half_way():
    """Of 100 ten thousandths: a pause before half way does not count, one past it does, to its second row."""
    assert _first_stop(np.array([0.0, 30, 30, 60, 80, 80, 90]) / 100, 1.0) == 6
    assert _first_stop(np.array([0.0, 30, 60, 90]) / 100, 1.0) == 4
    assert _first_stop(np.array([0.0, 0.6, 0.60009, 0.9]), 1.0) == 3
    assert _first_stop(np.array([0.0, 0.6, 0.60011, 0.9]), 1.0) == 4


def test_a_moving_mean_by_hand():
    """Rows of 1 s of 4, 0, 2, 6: over two seconds 4 (what there is), 2, 1, 4; over half a second each row's own."""
    time, values = np.arange(1.0, 5.0), np.array([4.0, 0.0, 2.0, 6.0])
    assert moving_mean(time, values, 2.0) == pytest.approx([4.0, 2.0, 1.0, 4.0])
    assert moving_mean(time, values, 0.5) == pytest.approx(values)
    assert moving_mean(time, values, 1.5) == pytest.approx([4.0, 4.0 / 3.0, 4.0 / 3.0, 14.0 / 3.0])


def test_release_by_hand(setup_of):
    """A degree of travel or less is staying; nearer to zero than at the start is returning, on either side of it."""
    deg = np.deg2rad
    for start, end, found in (
        (10.0, 9.01, "stays"), (10.0, 8.99, "returns"), (10.0, 11.01, "runs out"), (10.0, -9.9, "returns"),
        (-10.0, -10.99, "stays"), (-10.0, 0.0, "returns"), (-10.0, 12.0, "runs out"),
    ):  # fmt: skip
        assert verdict(deg(start), deg(end)) is ReleaseVerdict(found)
    for given, points in (
        (None, (15.6, -14.4)),
        ("10 deg", (10.0, -10.0)),
        ("-23 deg", (-23.0, 23.0)),
        ("25 deg", (25.0, -24.0)),
    ):
        setup = setup_of(bench={"release_from": given})
        assert np.rad2deg(release_points(setup)) == pytest.approx(points)
