"""How unlike the blades may be: residual unbalance against a balance quality grade (ISO 21940-11)."""

from __future__ import annotations

from math import pi, sin

from featherbench.assembly import Assembly
from featherbench.checks.bolt_joint import fastest
from featherbench.checks.check import Check, not_checked
from featherbench.rotor.unbalance import grade_speed, permissible_unbalance
from featherbench.scenario import Scenario
from featherbench.studies.run import Run

NAME = "unbalance of unlike blades"


def worst_sum(blades: int) -> float:
    """Largest sum of `blades` unit vectors spread evenly round a circle, each either way."""
    return 2.0 / sin(pi / blades) if blades % 2 == 0 else 1.0 / sin(pi / (2.0 * blades))


def mass_tolerance_moment(scenario: Scenario, assembly: Assembly) -> float | None:
    """How far the first moment of one assembly may be off, kg m: every mass at the end of its tolerance.

    None when no mass carries one.
    """
    found = [
        scenario.source.tolerances[key]
        / part.moments.mass
        * abs(part.moments.radial)
        * _pieces(scenario, part.name)
        for part in assembly.parts
        if (key := f"part.{part.name}.mass") in scenario.source.tolerances
    ]
    return sum(found) if found else None


def _pieces(scenario: Scenario, name: str) -> float:
    return 2.0 if scenario.part[name].mirror else 1.0


def balance_check(run: Run) -> Check:
    """Unbalance of the blades against the grade: of a stated mismatch, else the worst that mass tolerances leave.

    The blades alone count as the rotor's mass, which allows less than with the hub.
    """
    scenario, limits = run.scenario, run.scenario.limits
    off, why = (
        mass_tolerance_moment(scenario, run.setup.assembly),
        "every mass at the unluckier end of its tolerance",
    )
    if limits.blade_mismatch:  # none at all is nobody's measurement
        off, why = 0.5 * limits.blade_mismatch, "limits.blade_mismatch"
    if off is None:
        wanted = 'state limits.blade_mismatch, for example "0.3 g*mm", or weighed masses as "6.4 +/- 0.05 g"'
        return not_checked(NAME, "moment of mass", wanted)
    demand = worst_sum(scenario.rotor.blades) * off
    grade = grade_speed(limits.balance_grade) if limits.balance_grade is not None else None
    if grade is None:
        wanted = 'state limits.balance_grade, for example "G6.3"'
        return not_checked(NAME, "moment of mass", wanted, demand)
    mass = scenario.rotor.blades * run.setup.moments.mass
    allowed = permissible_unbalance(grade, mass, fastest(scenario))
    return Check(
        NAME, "moment of mass", demand, allowed, f"ISO 21940-11 {limits.balance_grade}; demand: {why}"
    )
