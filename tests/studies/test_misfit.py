"""What a fit leaves over: planted faults are named, sound data names nothing, and nothing small is made much of."""

import re

import numpy as np
import pytest

from featherbench.bench.gauge import run_gauge
from featherbench.bench.readings import BenchData, Reading
from featherbench.bench.setup import build_setup
from featherbench.fitting.calibrate import calibrate
from featherbench.fitting.misfit import Bench, Point, patterns

BENCH = Bench((np.deg2rad(-17.0), np.deg2rad(19.0)), (np.deg2rad(-25.0), np.deg2rad(27.0)), 1.0, 0.05)
PITCHES = [-24, -22, -20, -18, -14, -10, -6, -2, 2, 6, 10, 14, 18, 20, 22, 24, 26]
NOISE = 0.05


def points(fault=lambda _degrees, _way, _speed: 0.0, seed=1, speeds=(1.0,)):
    noise = np.random.default_rng(seed)
    return [
        Point(np.deg2rad(degrees), way, 9.0 * np.sin(np.deg2rad(2.0 * degrees)) * speed**2,
              fault(degrees, way, speed) + noise.normal(0.0, NOISE), NOISE, speed)
        for degrees in PITCHES for way in (1.0, -1.0) for speed in speeds
    ]  # fmt: skip


def test_chance_names_nothing():
    """Four named shapes, each once in a thousand by chance: 2 of 500 to be expected, 9 once in ten thousand."""
    assert sum(bool(patterns(points(seed=seed), BENCH._replace(gauge=0.0))) for seed in range(500)) < 9


def test_what_a_fit_takes_by_itself_is_no_pattern():
    """An error of zero, friction alike everywhere, a force wrong in proportion."""
    fault = lambda degrees, way, _: 0.4 + 0.3 * way + 0.8 * np.sin(np.deg2rad(2.0 * degrees))  # noqa: E731
    assert patterns(points(fault), BENCH) == []


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (
            lambda degrees, _w, _s: 0.6 * (degrees > 19),
            "predicted force too small past 19 deg in both directions",
        ),
        (
            lambda degrees, _w, _s: -0.6 * (degrees > 19),
            "predicted force too large past 19 deg in both directions",
        ),
        (
            lambda degrees, _w, _s: -0.6 * (degrees < -17),
            "predicted force too small past -17 deg in both directions",
        ),
        (lambda degrees, way, _s: 0.5 * way * abs(degrees) / 26, "loop wider at the ends than in the middle"),
        (
            lambda degrees, way, _s: -0.5 * way * abs(degrees) / 26,
            "loop narrower at the ends than in the middle",
        ),
    ],
)
def test_planted_faults_are_named(fault, words):
    (said,) = patterns(points(fault), BENCH)
    assert said.startswith(words)
    assert ": " in said  # and what to do


def test_a_linkage_that_turns_the_loop_round_has_the_same_names():
    (said,) = patterns(points(lambda d, way, _s: -0.5 * way * abs(d) / 26), BENCH._replace(turned=-1.0))
    assert said.startswith("loop wider")


@pytest.mark.parametrize(("power", "words"), [(1.0, "faster"), (-1.0, "more slowly")])
def test_force_over_speed(power, words):
    fault = lambda degrees, _w, s: power * np.sin(np.deg2rad(2.0 * degrees)) * (s**2 - 0.7)  # noqa: E731
    (said,) = patterns(points(fault, speeds=(0.7, 1.0)), BENCH)
    assert f"grows {words} with rotor speed" in said
    assert patterns(points(speeds=(0.7, 1.0)), BENCH) == []


@pytest.mark.parametrize(("more", "words"), [(0.7, "larger"), (-0.7, "smaller")])
def test_a_second_table_whose_force_is_another_is_named(more, words):
    """Read on two days, the second with the blades stuck elsewhere: and nothing where there is none."""

    def two(more):
        share = lambda degrees, _w, _s: more * np.sin(np.deg2rad(2.0 * degrees))  # noqa: E731
        first = [one._replace(table="monday.csv") for one in points()]
        return first + [one._replace(table="friday.csv") for one in points(share, seed=2)]

    (said,) = patterns(two(more), BENCH)
    assert said.startswith(f"force of friday.csv {words} than that of monday.csv")
    assert "stuck" in said
    assert patterns(two(0.0), BENCH) == []


@pytest.mark.parametrize(("more", "words"), [(0.15, "wider"), (-0.15, "narrower")])
def test_friction_that_drifts_between_two_tables_is_named_with_its_size(more, words):
    """0.15 N more each way: a loop 0.3 N wider, known to 2 x 1.96 x 0.05 x sqrt(2/34) N, 0.05 N."""
    first = [one._replace(table="monday.csv") for one in points()]
    second = [one._replace(table="friday.csv", left=one.left + more * one.way) for one in points(seed=2)]
    (said,) = patterns(first + second, BENCH)
    assert said.startswith(f"loop of friday.csv {words} than that of monday.csv by 0.")
    size, doubt = (float(number) for number in re.findall(r"(0\.\d+) N", said))
    assert size == pytest.approx(0.3, abs=0.06)
    assert doubt == pytest.approx(0.05, abs=0.02)


def test_tables_at_two_speeds_tell_speed_and_not_the_table():
    """Two tables at two speeds: between them and over speed is one and the same, and it is told once."""
    slow = [one._replace(table="slow.csv") for one in points(speeds=(0.7,), seed=3)]
    fast = [one._replace(table="fast.csv") for one in points(speeds=(1.0,), seed=4)]
    assert patterns(fast + slow, BENCH) == []
    off = [one._replace(left=one.left + 0.1 * one.load) for one in slow]
    assert len(patterns(fast + off, BENCH)) == 1


def test_what_is_smaller_than_the_gauges_own_error_is_not_named():
    """0.03 N of 0.05 N, however often it was read."""
    many = [one._replace(doubt=1e-4) for one in points(lambda d, way, _s: 0.03 * way * abs(d) / 26)]
    assert (
        patterns([one._replace(left=0.03 * one.way * abs(np.rad2deg(one.pitch)) / 26) for one in many], BENCH)
        == []
    )


@pytest.mark.parametrize("few", [points()[:5], [], [one._replace(load=0.0) for one in points()]])
def test_too_little_names_nothing(few):
    assert patterns(few, BENCH) == []


def test_one_direction_alone_says_nothing_of_the_loop():
    one_way = [one for one in points(lambda d, way, _s: 0.5 * way * abs(d) / 26) if one.way > 0.0]
    assert not any(said.startswith("loop") for said in patterns(one_way, BENCH))


@pytest.fixture(scope="module")
def gauge_run(scenario_of):
    rig = scenario_of(gauge={"uncertainty": "0.1 N", "sweep": "1.5 s", "rate": "200 Hz"})
    return rig, run_gauge(build_setup(rig))


def fitted(gauge_run, fault):
    """Notes of a fit to forces read by hand every 2 deg, to 0.05 N, of a bench with a fault."""
    rig, run = gauge_run
    noise, readings = np.random.default_rng(3), {}
    for degrees in range(-24, 25, 2):
        for rising, course in ((True, run.up), (False, run.down)):
            pitch, name = np.deg2rad(degrees), f"force at {degrees} deg, {rising}"
            force = float(np.interp(pitch, run.pitch, course)) + fault(degrees, 1.0 if rising else -1.0)
            readings[name] = Reading(
                name, "force", force + noise.normal(0.0, 0.05), 0.1, 0.0, 1, 1, pitch, rising
            )
    return calibrate(rig, BenchData(readings, (), {}, ()), ("scale.inertia", "linkage.slider_friction")).notes


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (lambda _d, _w: 0.0, ()),
        (lambda degrees, way: 0.6 * way * abs(degrees) / 24, ("loop wider at the ends",)),
        (lambda degrees, _w: 0.8 * (degrees > 21) - 0.8 * (degrees < -21.5), ("predicted force too",) * 2),
    ],
    ids=["sound", "load friction", "stall"],
)
def test_the_notes_of_a_fit_say_it(gauge_run, fault, words):
    notes = fitted(gauge_run, fault)
    named = [one for one in notes if one.startswith(("loop ", "predicted force ", "force grows"))]
    assert [one[: len(start)] for one, start in zip(named, words, strict=True)] == list(words), named
    assert notes[: len(named)] == tuple(named) or "still" in notes[0]
