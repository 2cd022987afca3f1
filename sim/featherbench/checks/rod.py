"""Does the rod stay straight, and do its ball links bear the force."""

from __future__ import annotations

from math import pi

from featherbench.assembly.materials import material
from featherbench.assembly.refusal import PartRefused
from featherbench.checks.check import Check, not_checked
from featherbench.scenario import Scenario
from featherbench.studies.run import Run

BUCKLING_FRACTION = 0.5
"""Of the Euler load that the push may use (engineering judgement, no source: rods are never quite straight)."""


def rod_second_moment(diameter: float, bore: float = 0.0) -> float:
    """Second moment of area of a round rod or tube, m^4: pi (d^4 - b^4) / 64."""
    return pi * (diameter**4 - bore**4) / 64.0


def euler_load(modulus: float, second_moment: float, length: float) -> float:
    """Push at which a slender column with pinned ends buckles, N: pi^2 E I / L^2 (Euler). Pa, m^4, m."""
    return pi**2 * modulus * second_moment / length**2


def rod_checks(run: Run) -> tuple[Check, Check]:
    """Buckling under the largest push, and the ball links under the largest force either way."""
    push = max(run.gauge.push, float(run.servo.rod_force.max()))
    pull = max(run.gauge.pull, float(-run.servo.rod_force.min()))
    limit = run.scenario.limits.rod_ball_link
    stated = "limits.rod_ball_link" if limit is not None else "state limits.rod_ball_link"
    link = Check("rod ball link", "force", max(push, pull), limit, stated)
    return _buckling(run.scenario, push), link


def _buckling(scenario: Scenario, push: float) -> Check:
    """Between guides of stated spacing: how a rod is guided decides the load many times over, so none is assumed."""
    name, table = "rod buckling under the largest push", scenario.linkage
    modulus = table.rod_modulus if table.rod_modulus is not None else _modulus(table.rod_material)
    missing = []
    if table.rod_support_spacing is None:
        missing.append("linkage.rod_support_spacing")
    if table.rod_diameter is None:
        missing.append("linkage.rod_diameter")
    if modulus is None:
        missing.append("linkage.rod_modulus (or a rod_material with a known one)")
    if table.rod_support_spacing is None or table.rod_diameter is None or modulus is None:
        return not_checked(name, "force", f"state {' and '.join(missing)}", push)
    load = euler_load(
        modulus, rod_second_moment(table.rod_diameter, table.rod_bore), table.rod_support_spacing
    )
    source = f"{BUCKLING_FRACTION:g} of the Euler load, ends pinned, over linkage.rod_support_spacing"
    return Check(name, "force", push, BUCKLING_FRACTION * load, source)


def _modulus(name: str | None) -> float | None:
    if name is None:
        return None
    try:
        return material(name).modulus
    except PartRefused:
        return None
