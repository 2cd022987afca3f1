"""Tolerances through whole bench runs against what the law of propagation gives in closed form.

JCGM 100:2008 (GUM): 4.3.7, a bound within which every value is equally likely is a rectangular distribution; 5.1.2,
uncorrelated inputs; 5.2.2 note 1, with full correlation the parts of a difference subtract (all from memory). What is
expected is derived: 95 % of a rectangle of half-width a is +/- 0.95 a; of the sum of two of half-widths a and b, of
trapezoidal density, +/- (a + b - sqrt(8 a b p)) with p = 0.025 in each tail, as long as that lies past |a - b|.
"""

from math import sqrt
from pathlib import Path

import pytest

from featherbench.sampling.sampled import sampled
from featherbench.scenario import read
from featherbench.scenario.doubt import TAKEN_OUT
from featherbench.studies import predict
from source import About
from table import check

ABOUT = About(
    kind="closed form",
    title="GUM, law of propagation in closed form",
    citation="JCGM 100:2008, 4.3.7, 5.1.2, 5.2.2",
    mapping="Blade mass and rotor speed of a shipped build vary; every other tolerance in it is taken away",
    uncertainty="None in the expected values; 32 samples give a half-width within 2 %",
)
SOURCE = "GUM, JCGM 100:2008, law of propagation"
FOLDER = Path(__file__).parents[1] / "scenarios" / "survey-3kg"
EXACT = {
    "rotor.speed": "10000 rpm",
    "part.blade.mass": "5.0 g",
    "part.grip.mass": "5.2 g",
    "linkage.horn_arm": "13 mm",
    "linkage.servo_arm": "14 mm",
    "linkage.slider_friction": "0.35 N",
    "linkage.stiffness": "35 N/mm",
    "linkage.play.rod": "0.05 mm",
    "gauge.sweep": "0.5 s",  # what is looked at here is settled before anything moves
    "bench.programme": '[{ go = 1.0, hold = "0.3 s" }, { go = -1.0, hold = "0.3 s" }]',
    **{f"doubt.{name}": off for name, off in TAKEN_OUT.items()},
}
MASS, SPEED = {"part.blade.mass": "5.0 +/- 0.1 g"}, {"rotor.speed": "10000 +/- 100 rpm"}
NAME = "propeller_moment_high"
SAMPLES = 32
REASON = "32 samples: 2 %"


@pytest.fixture(scope="module")
def nominal():
    return predict(read(FOLDER / "plain.toml", EXACT))


@pytest.fixture(scope="module")
def slope():
    """Half-width of the moment that the mass's half-width makes: the moment is a straight line in the mass."""
    ends = [
        predict(read(FOLDER / "plain.toml", {**EXACT, "part.blade.mass": f"{mass} g"})).value(NAME)
        for mass in (4.9, 5.1)
    ]
    return 0.5 * abs(ends[1] - ends[0])


def half_width(settings, name=NAME):
    one = (
        sampled([predict(read(FOLDER / "plain.toml", {**EXACT, **settings}))], SAMPLES)
        .builds[0]
        .intervals[name]
    )
    return 0.5 * (one.high - one.low)


def test_one_rectangle(slope):
    check(
        SOURCE, "M", "propeller moment by blade mass, 95 %, N m", 0.95 * slope, half_width(MASS), 0.02, REASON
    )


def test_the_square_of_the_speed(nominal):
    moment = abs(nominal.value(NAME))
    expected = 0.5 * moment * ((1.0 + 0.0095) ** 2 - (1.0 - 0.0095) ** 2)
    check(
        SOURCE, "M", "propeller moment by rotor speed, 95 %, N m", expected, half_width(SPEED), 0.02, REASON
    )


def test_two_rectangles(nominal, slope):
    one, two = slope, 0.02 * abs(nominal.value(NAME))
    expected = one + two - sqrt(8.0 * one * two * 0.025)
    assert expected > abs(one - two)
    got = half_width({**MASS, **SPEED})
    check(SOURCE, "M", "propeller moment by both, 95 %, N m", expected, got, 0.02, REASON)


def test_what_two_builds_share_subtracts():
    settings = {**EXACT, **MASS, **SPEED}
    collars = {"part.head-collar.length": "3.9 mm", "part.nut-collar.length": "3.9 mm"}
    builds = [
        predict(read(FOLDER / "plain.toml", settings)),
        predict(read(FOLDER / "weighted.toml", {**settings, **collars})),
    ]
    one = sampled(builds, SAMPLES).changes[0]["centrifugal_load"]
    added = builds[1].value("centrifugal_load") - builds[0].value("centrifugal_load")
    expected = 0.5 * added * ((1.0 + 0.0095) ** 2 - (1.0 - 0.0095) ** 2)
    got = 0.5 * (one.high - one.low)
    check(SOURCE, "M", "added centrifugal load by rotor speed alone, 95 %, N", expected, got, 0.02, REASON)
