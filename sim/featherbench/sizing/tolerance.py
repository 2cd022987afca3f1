"""How exactly to make it: what each dimension does to the target, and how unlike two blades' pieces may be.

Balance: by the grade that is stated, as far as the builder's scale shows it; else by one step of that scale, which is
what can be had in practice: G6.3, which ISO 21940-11 has for fans (MEM), asks milligrams of blades of a few grams.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import NamedTuple

from featherbench.rotor.unbalance import grade_of, grade_speed, permissible_unbalance, turning_force
from featherbench.scenario import Scenario
from featherbench.sizing.design_space import DesignSpace
from featherbench.sizing.machined import NOTHING, Build, Column, MachinedPart, column_of
from featherbench.sizing.sizing_target import SizingTarget
from featherbench.studies.run import Run

GENERAL = (0.1e-3, 0.05e-3, 0.02e-3, 0.01e-3)
"""Half-widths, m, of general tolerances in turning, coarse to fine (the first two as ISO 2768-1 medium and fine up to
6 mm, MEM; the others common practice, no source)."""
ALLOWANCE = 0.02
"""Share of the target that all dimensions together may be worth, root sum square (engineering judgement)."""


class Effect(NamedTuple):
    """dimension in words; slope: change of the target's quantity per metre."""

    dimension: str
    slope: float


UNMATCHED = "matching the sets"
"""How a reason begins that is about balance and not about strength."""


class Mismatch(NamedTuple):
    """allowed: kg by which the complete sets of two blades may differ; step: of the scale, kg; grade: that is stated,
    "" for none; of_step: the grade, m/s, that one step of the scale comes to; force: what it pulls once a turn, N.
    """

    allowed: float
    step: float
    grade: str
    of_step: float
    force: float

    @property
    def shows(self) -> bool:
        """Whether the scale tells it."""
        return self.allowed >= self.step * (1.0 - 1e-9)


@dataclass(frozen=True)
class Tolerances:
    """general: half-width, m, of every turned dimension; effects, the greatest first; mismatch: how unlike the new
    pieces of two blades may be.
    """

    general: float
    effects: tuple[Effect, ...]
    mismatch: Mismatch


def tolerances(
    build: Build, target: SizingTarget, space: DesignSpace, plain: Scenario, run: Run
) -> Tolerances:
    """Tolerances of a build for its target; plain: the scenario; run: its prediction."""
    effects = tuple(sorted(_effects(build, target), key=lambda effect: -abs(effect.slope)))
    spread = sqrt(sum(effect.slope**2 for effect in effects))
    allowed = ALLOWANCE * abs(target.value)
    fine = [half for half in GENERAL if half * spread <= allowed]
    general = max(fine, default=GENERAL[-1])
    unlike = set_mismatch(plain, run.value("mass"), build.made[0].radius)
    return Tolerances(min(general, max(space.step / 2.0, GENERAL[-1])), effects, unlike)


def _total(made: tuple[MachinedPart, ...], shift: dict[str, Column]) -> Column:
    total = NOTHING
    for part in made:
        column = shift.get(part.name, part.column)
        total = total.plus(column.mirrored() if part.count == 2 else column)
    return total


def _effects(build: Build, target: SizingTarget) -> list[Effect]:
    """Central differences of 1 um in each turned dimension; lengths grow away from the grip."""
    turned = [part for part in build.made if not part.standard]
    found = []
    for part in turned:
        for index, piece in enumerate(part.pieces):
            if index in (*part.threaded, *part.plain):
                continue
            for words, key in (("diameter", "diameter"), ("height", "length")):
                values = []
                for step in (1e-6, -1e-6):
                    changed = piece._replace(**{key: getattr(piece, key) + step})
                    if key == "length" and piece.start < 0.0:
                        changed = changed._replace(start=piece.start - step)
                    pieces = (*part.pieces[:index], changed, *part.pieces[index + 1 :])
                    total = build.beside.plus(
                        _total(build.made, {part.name: column_of(pieces, part.density)})
                    )
                    values.append(float(target.measure(total, part.radius, part.chord)[0]))
                found.append(Effect(f"{words} of the {part.name}", (values[0] - values[1]) / 2e-6))
    return found


def set_mismatch(scenario: Scenario, assembly: float, radius: float) -> Mismatch:
    """How far the complete sets of two blades may differ in mass. assembly: kg of one; radius: of the sets, m.

    By the grade that is stated; without one, what the builder's scale can tell apart: one step.
    """
    mass, speed = scenario.rotor.blades * assembly, float(scenario.rotor.speed)
    step, grade = float(scenario.workshop.scale_step), grade_speed(scenario.limits.balance_grade or "")
    allowed = permissible_unbalance(grade, mass, speed) / radius if grade is not None else step
    own = step * radius
    stated = scenario.limits.balance_grade if grade is not None else ""
    return Mismatch(allowed, step, stated or "", grade_of(own, mass, speed), turning_force(own, speed))
