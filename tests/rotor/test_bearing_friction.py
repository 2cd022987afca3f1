"""Friction of the blade's bearing: the handbook's coefficients, the law by hand, and a kind that is none."""

import pytest

from featherbench.rotor.bearing import COEFFICIENTS, bearing_friction
from featherbench.scenario import ScenarioError
from featherbench.scenario.built_tables import Bearing

PRINTED = {
    "deep-groove ball": (0.0010, 0.0015),
    "angular contact ball": (0.0012, 0.0020),
    "self-aligning ball": (0.0008, 0.0012),
    "thrust ball": (0.0010, 0.0015),
    "cylindrical roller": (0.0008, 0.0012),
    "needle with cage": (0.0020, 0.0030),
    "needle full complement": (0.0025, 0.0035),
    "needle thrust": (0.0035, 0.0050),
    "cylindrical roller thrust": (0.0035, 0.0050),
    "plain": (0.08, 0.10),
}
"""Between what manufacturers' catalogues and a design handbook print for running, open, lubricated bearings (FOUND)."""


def test_the_coefficients_are_those_of_the_handbooks():
    assert set(COEFFICIENTS) == set(PRINTED)
    for kind, (low, high) in PRINTED.items():
        assert low <= COEFFICIENTS[kind] <= high, kind


def test_the_law_by_hand():
    """A thrust ball bearing (0.0013) under 500 N on a mean diameter of 3 mm: 0.975 N mm (FOUND, worked example).

    At 1000 rad/s that is a first moment of 5e-4 kg m.
    """
    friction = bearing_friction(
        Bearing.model_validate({"kind": "thrust ball", "mean_diameter": "3 mm"}), 5e-4
    )
    assert friction.load_moment * 1000.0**2 == pytest.approx(0.975e-3)
    assert friction.coefficient == pytest.approx(0.0013)
    (said,) = friction.assumed
    assert (said.key, said.value) == ("bearing.coefficient", "0.0013")
    assert "running thrust ball bearing" in said.why
    stated = {"coefficient": 0.004, "mean_diameter": "6 mm", "starting_moment": "0.2 N*mm"}
    friction = bearing_friction(Bearing.model_validate(stated), 5e-4)
    assert friction.load_moment * 1000.0**2 == pytest.approx(6e-3)
    assert friction.starting_moment == pytest.approx(0.2e-3)
    assert friction.assumed == ()


@pytest.mark.parametrize(("kind", "near"), [("thrustball", 'did you mean "thrust ball"? '), ("xyzzy", "")])
def test_an_unknown_kind_is_answered_with_the_nearest_and_the_list(kind, near):
    with pytest.raises(ScenarioError) as refused:
        bearing_friction(Bearing.model_construct(kind=kind, coefficient=None, mean_diameter=0.007), 1e-3)
    (problem,) = refused.value.problems
    assert problem.key == "bearing.kind"
    assert problem.given == f'"{kind}"'
    assert problem.expected.startswith(f'{near}one of "deep-groove ball", ')
