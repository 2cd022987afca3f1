"""Which ends of the pitch range are gone to and held, by which moves; and which forces were read at one speed."""

from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.bench import gauge, holding
from featherbench.bench.believed import BenchTest, BenchTestRefused
from featherbench.bench.holding import BACK, BEYOND, HAND, HOLD, PAUSE, Way, held_after
from featherbench.bench.sessions import ALIKE, by_speed
from featherbench.plant import gauge_chain


def build(low, high):
    scenario = SimpleNamespace(
        rotor=SimpleNamespace(pitch_range=(np.deg2rad(low), np.deg2rad(high))),
        servo=SimpleNamespace(travel=np.deg2rad(60.0)),
    )
    return SimpleNamespace(scenario=scenario, plant=SimpleNamespace(linkage=None))


@pytest.fixture
def moved(monkeypatch):
    """Moves as (where, hold, over), and which of them are read; a leg is told by the place of its move."""
    seen = []

    def run_legs(_setup, moves, asked, *, step_share):
        seen.append(([(move.go, move.hold, move.over) for move in moves], list(asked), step_share))
        return [f"leg {place}" for place in asked]

    monkeypatch.setattr(holding, "run_legs", run_legs)
    monkeypatch.setattr(holding, "servo_angle_for", lambda pitch, _linkage: 2.0 * pitch)
    return seen


def test_both_ends_are_held_with_a_rest_at_zero_between(moved):
    assert held_after(build(-20, 25), Way.SLAM, step_share=0.5) == ("leg 0", "leg 2")
    assert moved == [([(1.0, HOLD, 0.0), (0.0, PAUSE, 0.0), (-1.0, HOLD, 0.0)], [0, 2], 0.5)]
    held_after(build(-20, 25), Way.HAND)
    assert [over for _, _, over in moved[1][0]] == [HAND, 0.0, HAND]


@pytest.mark.parametrize(
    ("low", "high", "held", "moves"),
    [
        (5, 25, ("leg 0", None), [(1.0, HOLD, 0.0)]),
        (0, 25, ("leg 0", None), [(1.0, HOLD, 0.0)]),
        (-20, -5, (None, "leg 0"), [(-1.0, HOLD, 0.0)]),
        (-20, 0, (None, "leg 0"), [(-1.0, HOLD, 0.0)]),
    ],
)
def test_an_end_that_the_range_has_not_is_not_held(moved, low, high, held, moves):
    assert held_after(build(low, high), Way.SLAM) == held
    assert moved[0][0] == moves


def test_a_stick_goes_too_far_and_comes_back_only_where_the_servo_can(moved):
    """The arm turns twice as far as the blade, and 60 deg at most: 1.04 times 29 deg of pitch is too far, 28 is not."""
    too_far = (1.0 + BEYOND) * 1.0
    assert held_after(build(-29, 28), Way.OVERSHOOT) == ("leg 1", None)
    assert moved[0][0] == [(too_far, PAUSE, HAND), (1.0, HOLD, BACK)]
    assert held_after(build(-28, 29), Way.OVERSHOOT) == (None, "leg 1")
    assert moved[1][0] == [(-too_far, PAUSE, HAND), (-1.0, HOLD, BACK)]
    assert held_after(build(-29, 29), Way.OVERSHOOT) == (None, None)
    assert len(moved) == 2  # nothing is run for nothing


def test_forces_read_at_one_speed_stand_together():
    """Alike are speeds that differ by no more than is allowed of a ratio; at the speed of the rest none is."""
    speeds = {
        "a": None, "b": 1000.0 * (1.0 + 0.9 * ALIKE), "c": 500.0, "d": 900.0, "e": 500.0 * (1.0 + 0.9 * ALIKE),
        "f": 900.0 * (1.0 - 0.9 * ALIKE), "g": 1000.0 * (1.0 + 1.1 * ALIKE),
    }  # fmt: skip
    data = SimpleNamespace(readings={name: SimpleNamespace(speed=speed) for name, speed in speeds.items()})
    found = by_speed(data, 1000.0)
    assert list(found.values()) == [("c", "e"), ("d", "f"), ("g",)]
    assert list(found) == pytest.approx([0.5, 0.9, 1.0 + 1.1 * ALIKE])


@pytest.mark.parametrize(
    ("reached", "said"),
    [((-5, 12), "-5.0 to 12.0"), ((-24, 12), "-24.0 to 12.0"), ((-5, 26), "-5.0 to 26.0"), ((-24, 26), None)],
)
def test_a_gauge_that_leaves_an_end_out_is_no_test_of_the_range(setup_of, reached, said):
    """Blades that range from -24 to 26 deg, drawn to and fro between these pitches in 4 s."""
    setup = setup_of()
    record = np.zeros((4001, gauge_chain.COLUMNS))
    record[:, gauge_chain.R_TIME] = time = np.linspace(0.0, 4.0, 4001)
    middle, half = np.deg2rad(sum(reached) / 2.0), np.deg2rad(reached[1] - reached[0]) / 2.0
    record[:, gauge_chain.R_PITCH] = middle - half * np.cos(np.pi * time)
    test = BenchTest("gauge test", "gauge.sweep", setup.scenario)
    with pytest.raises((BenchTestRefused, AttributeError)) as stopped:
        gauge._read(test, setup, record, None, 0.0)  # without a course it does not come to an end
    told = str(stopped.value)
    assert (f"from {said} deg only" in told) if said else ("deg only" not in told)
