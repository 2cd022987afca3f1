"""The push rod as a column: by hand, and only where it is known how it is guided."""

from math import pi

import pytest

from featherbench.checks.check import Verdict
from featherbench.checks.rod import euler_load, rod_checks, rod_second_moment
from featherbench.studies import predict

ROD = {"rod_diameter": "2 mm", "rod_modulus": "100 GPa"}


@pytest.fixture(scope="module")
def guided(scenario_of):
    return predict(scenario_of(linkage={**ROD, "rod_support_spacing": "125 mm"}))


def test_half_of_the_euler_load_is_allowed(guided):
    """2 mm round: I = pi 2^4 / 64 = 0.7854 mm^4; pi^2 x 100,000 N/mm^2 x 0.7854 / 125^2 = 49.61 N; half is 24.8 N."""
    check, _ = rod_checks(guided)
    assert check.allowable == pytest.approx(24.80, rel=1e-3)
    assert check.allowable == pytest.approx(0.5 * euler_load(100e9, pi * 2e-3**4 / 64.0, 0.125))
    assert check.source.endswith("linkage.rod_support_spacing")


def test_the_largest_push_of_gauge_and_servo_counts_not_the_pull(guided):
    check, link = rod_checks(guided)
    assert check.demand == max(guided.gauge.push, guided.servo.rod_force.max())
    assert link.demand == max(
        guided.gauge.push, guided.gauge.pull, guided.servo.rod_force.max(), -guided.servo.rod_force.min()
    )


def test_a_bore_takes_its_own_second_moment_off():
    assert rod_second_moment(3.0, 2.0) == pytest.approx(rod_second_moment(3.0) - rod_second_moment(2.0))


def test_guides_four_times_as_close_allow_sixteen_times_the_push(scenario_of, guided):
    far = predict(scenario_of(linkage={**ROD, "rod_support_spacing": "500 mm"}))
    assert rod_checks(guided)[0].allowable == pytest.approx(16.0 * rod_checks(far)[0].allowable)


@pytest.mark.parametrize("linkage", [ROD, {}], ids=["rod known", "nothing known"])
def test_a_rod_whose_guides_are_not_stated_is_not_checked(scenario_of, linkage):
    """Neither passed as held along its whole length, nor failed as free over it."""
    check, _ = rod_checks(predict(scenario_of(linkage=linkage)))
    assert check.verdict is Verdict.NOT_CHECKED
    assert check.source.startswith("state linkage.rod_support_spacing")
    assert ("linkage.rod_diameter" in check.source) == (not linkage)
