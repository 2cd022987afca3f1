"""What a fit holds beside its unknowns: marginal intervals by closed form, what is felt, what is known beforehand."""

from pathlib import Path

import numpy as np
import pytest

from featherbench.bench.readings import BenchData, Reading
from featherbench.fitting.calibrate import usual_free
from featherbench.fitting.fit import CRITICAL, fit
from featherbench.fitting.nuisances import at_bench_speed, correlation_before, nuisances
from featherbench.fitting.unknowns import Unknown, unknowns
from featherbench.scenario import read

PLAIN = Path(__file__).parents[2] / "scenarios" / "survey-3kg" / "plain.toml"


def known(key, deviation=1.0, start=0.0, *, factor=False):
    return Unknown(key, "ratio", start, deviation, -50.0 if not factor else 1e-3, 50.0, "", factor)


def test_an_interval_is_marginal_over_what_is_not_exact():
    """y = a + n read as 1 to 0.1, n known to 1 beforehand, a to 10: a is 1 to sqrt(1 + 0.01), not to 0.1."""
    law = lambda x: np.array([(x[0] + x[1] - 1.0) / 0.1])  # noqa: E731
    alone = fit(lambda x: law([x[0], 0.0]), (known("a", 10.0),))
    whole = fit(law, (known("a", 10.0),), beside=(known("n"),))
    assert alone.high[0] - alone.values[0] == pytest.approx(CRITICAL * 0.1, rel=0.05)
    # the prior of a pulls a little: 1 / (1 / 1.01 + 1 / 100)
    exact = 1.0 / np.sqrt(1.0 / 1.01 + 0.01)
    assert whole.high[0] - whole.values[0] == pytest.approx(CRITICAL * exact, rel=0.05)
    assert whole.deviations[0] == pytest.approx(exact, rel=1e-3)
    assert [one.key for one in whole.parameters] == ["a", "n"]


def test_a_profile_that_rises_too_soon_is_no_narrow_interval():
    """A ripple of the data beside the best point: the curvature's interval is kept to seven tenths at least."""
    law = lambda x: np.array([x[0] / 0.1, 4.0 * (abs(x[0]) > 0.02)])  # noqa: E731
    done = fit(law, (known("a", 10.0),))
    assert done.high[0] - done.values[0] >= 0.69 * CRITICAL * done.deviations[0]


def test_what_the_data_do_not_feel_is_left_out_and_named():
    law = lambda x: np.array([5.0 * x[0] - 1.0, 3.0 * x[1], 0.05 * x[2]])  # noqa: E731
    done = fit(law, (known("a"),), beside=(known("felt"), known("hardly")))
    assert [one.key for one in done.beside] == ["felt"]
    assert [one.key for one in done.unfelt] == ["hardly"]
    assert done.best.shape == (2,)


def test_what_an_earlier_fit_left_together_counts_beforehand():
    """a and n known to 1 each, their sum to sqrt(2 - 1.8): a reading of n alone moves a against it."""
    before = np.array([[1.0, -0.9], [-0.9, 1.0]])
    law = lambda x: np.array([(x[1] - 1.0) / 0.1])  # noqa: E731
    done = fit(law, (known("a"),), beside=(known("n"),), before=before)
    assert done.values[0] == pytest.approx(-0.9 / 1.01, rel=1e-3)
    assert done.deviations[0] == pytest.approx(np.sqrt(1.0 - 0.81 / 1.01), rel=1e-3)


def test_a_factor_is_sought_by_its_logarithm():
    """Known to a factor of e (one deviation) about 1, read as e^2 to a hundredth of it."""
    law = lambda x: np.array([(np.log(x[1]) - 2.0) / 0.01, x[0]])  # noqa: E731
    done = fit(law, (known("a"),), beside=(known("n", 1.0, 1.0, factor=True),))
    assert done.best[1] == pytest.approx(np.exp(2.0), rel=1e-2)


def test_everything_that_is_not_exact_is_beside_the_unknowns():
    plain = read(PLAIN)
    beside = {
        one.key: one for one in nuisances(plain, unknowns(plain, ("scale.inertia", "linkage.stiffness")))
    }
    assert {"linkage.slider_friction", "part.blade.mass", "rotor.speed", "doubt.air_stall"} <= set(beside)
    assert beside["part.blade.mass"].deviation == pytest.approx(0.05e-3 / np.sqrt(3.0))
    assert beside["doubt.bearing_coefficient"].at(CRITICAL) == pytest.approx(3.0)
    # a data sheet's figure, typed without a tolerance, is not exact; an unknown is not its own nuisance
    assert beside["servo.stall_torque"].deviation == pytest.approx(0.022)
    assert not {"scale.inertia", "linkage.stiffness", "gauge.uncertainty"} & set(beside)
    # and what takes a doubt's place is not there twice
    air = {one.key for one in nuisances(plain, unknowns(plain, ("scale.air_moment",)))}
    assert "doubt.air_moment" not in air


def test_a_speed_that_was_read_is_as_sure_as_the_reading():
    plain = read(PLAIN)
    speed = Reading("rotor_speed", "rotation", plain.rotor.speed, 4.0, 0.0, 1, None)
    data = BenchData({"rotor_speed": speed}, (), {}, ())
    (one,) = (one for one in at_bench_speed(nuisances(plain, ()), plain, data) if one.key == "rotor.speed")
    assert one.deviation == pytest.approx(2.0)
    (own,) = (one for one in nuisances(plain, ()) if one.key == "rotor.speed")
    assert own.deviation == pytest.approx(plain.rotor.speed * 0.01 / np.sqrt(3.0))


def test_without_a_fit_nothing_goes_together_beforehand():
    plain = read(PLAIN)
    beside = nuisances(plain, ())
    np.testing.assert_array_equal(correlation_before(plain, beside), np.eye(len(beside)))


def test_what_was_left_to_its_default_is_not_freed_unasked(scenario_of):
    rig = scenario_of(servo={"gear_friction": None})
    data = BenchData({"meter_hold": Reading("meter_hold", "current", 0.3, None, 0.0, 1, None)}, (), {}, ())
    assert usual_free(data, rig) == ("servo.stall_current",)


def test_how_far_a_nuisance_is_sought_by_hand():
    """A doubt of a factor of 3 (95 %) between a ninth and nine; a mass of 5.6 g to 0.05 g, evenly, four deviations
    to each side; what cannot be below zero not below a twentieth of its middle, but a doubt that may be is.
    """
    beside = {one.key: one for one in nuisances(read(PLAIN), ())}
    bearing = beside["doubt.bearing_coefficient"]
    assert (bearing.start, bearing.low, bearing.high) == pytest.approx((1.0, 1.0 / 9.0, 9.0))
    for key, half in (("part.blade.mass", 0.05e-3), ("doubt.air_stall", None)):
        one = beside[key]
        deviation = half / np.sqrt(3.0) if half else one.deviation
        assert (one.start - one.low, one.high - one.start) == pytest.approx((4.0 * deviation,) * 2)
    wide = {one.key: one for one in nuisances(read(PLAIN, {"linkage.slider_friction": "0.3 +/- 0.25 N"}), ())}
    friction = wide["linkage.slider_friction"]
    assert friction.deviation == pytest.approx(0.25 / np.sqrt(3.0))
    assert (friction.low, friction.high) == pytest.approx((0.015, 0.3 + friction.deviation * 4.0))
