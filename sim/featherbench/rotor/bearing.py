"""Friction of the blade's thrust bearing: M = M_0 + (1/2) mu d F, F the centrifugal load it carries.

Coefficients are for running, well-lubricated, open bearings, from manufacturers' catalogues and design handbooks
(several agree; the values below are the middle ones). A pitch bearing only oscillates by a few degrees under heavy
thrust, so take them as a lower anchor: one to three times the table is plausible (the three is judgement).
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches

from featherbench.scenario import Assumed, Problem, ScenarioError
from featherbench.scenario.built_tables import Bearing

COEFFICIENTS: dict[str, float] = {
    "deep-groove ball": 0.0015,
    "angular contact ball": 0.0020,
    "self-aligning ball": 0.0010,
    "thrust ball": 0.0013,
    "cylindrical roller": 0.0011,
    "needle with cage": 0.0025,
    "needle full complement": 0.0030,
    "needle thrust": 0.0050,
    "cylindrical roller thrust": 0.0050,
    "plain": 0.10,
}
"""Friction coefficient by kind of bearing; plain bearings scatter from 0.01 to 0.2."""


@dataclass(frozen=True)
class BearingFriction:
    """Per blade: starting_moment N m; load_moment N m s^2, friction moment over spin^2."""

    coefficient: float
    starting_moment: float
    load_moment: float
    assumed: tuple[Assumed, ...]


def bearing_friction(bearing: Bearing, radial_moment: float) -> BearingFriction:
    """Friction of one blade's bearing that retains a body of first moment `radial_moment` (S_r, kg m).

    Raises ScenarioError for an unknown kind.
    """
    assumed: list[Assumed] = []
    coefficient = bearing.coefficient
    if coefficient is None:
        kind = bearing.kind or ""
        if kind not in COEFFICIENTS:
            near = get_close_matches(kind, COEFFICIENTS, n=1)
            hint = f'did you mean "{near[0]}"? ' if near else ""
            known = ", ".join(f'"{name}"' for name in COEFFICIENTS)
            raise ScenarioError(
                [
                    Problem(
                        key="bearing.kind",
                        given=f'"{kind}"',
                        expected=f"{hint}one of {known}, or coefficient = 0.0013",
                    )
                ]
            )
        coefficient = COEFFICIENTS[kind]
        assumed.append(
            Assumed(
                "bearing.coefficient",
                f"{coefficient:g}",
                f"handbook value for a running {kind} bearing; one to three times as much is plausible",
            )
        )
    diameter = bearing.mean_diameter or 0.0
    return BearingFriction(
        coefficient=coefficient,
        starting_moment=bearing.starting_moment,
        load_moment=0.5 * coefficient * diameter * radial_moment,
        assumed=tuple(assumed),
    )
