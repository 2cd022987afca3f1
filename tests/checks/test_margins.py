"""Where a check tips over, how unlike blades may be, and what flies: by numbers worked out beside them."""

from math import pi

import pytest

from featherbench.checks.balance import permissible_unbalance
from featherbench.checks.check import Check, Verdict
from featherbench.checks.thrown import thrown_parts
from featherbench.studies import predict


@pytest.mark.parametrize(
    ("demand", "verdict"),
    [(0.5, "holds"), (1.0, "holds"), (1.0 + 1e-9, "fails"), (1.05, "fails"), (1.1, "fails"), (2.0, "fails")],
)
def test_nothing_over_what_is_allowed_holds(demand, verdict):
    assert Check("x", "force", demand, 1.0, "").verdict == verdict
    assert Check("x", "force", demand, 1.0, "", load_path=True).verdict == verdict


def test_what_is_not_known_in_the_load_path_is_never_a_pass():
    for demand, allowable in ((1.0, None), (None, 1.0), (None, None)):
        assert Check("x", "force", demand, allowable, "", load_path=True).verdict is Verdict.UNKNOWN
        assert Check("x", "force", demand, allowable, "").verdict is Verdict.NOT_CHECKED


def test_permissible_unbalance_by_hand():
    """G6.3, 30 g at 1,000 rad/s: 6.3 mm/s x 0.03 kg / 1,000 rad/s = 0.189 g mm."""
    assert permissible_unbalance(6.3e-3, 0.030, 1000.0) == pytest.approx(0.189e-6)


def test_what_flies_is_one_of_a_pair_with_half_its_mass_times_speed_squared(scenario_of):
    """1 g, one of two, 30 mm from the shaft at 9,000 rpm: 28.3 m/s, 0.4 J."""
    weight = {"group": "counterweight", "shape": "point", "mass": "1 g", "mirror": "normal",
              "at": {"radius": "30 mm", "normal": "10 mm"}}  # fmt: skip
    found = {one.name: one for one in thrown_parts(predict(scenario_of(part={"weight": weight})))}
    one = found['the weight "weight"']
    speed = 9000.0 * 2.0 * pi / 60.0 * 30e-3
    assert one.mass == pytest.approx(1e-3)
    assert one.speed == pytest.approx(speed)
    assert one.energy == pytest.approx(0.5 * 1e-3 * speed**2)
