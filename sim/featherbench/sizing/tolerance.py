"""How exactly to make it: what each dimension does to the target, and how unlike two blades' pieces may be.

Balance: ISO 21940-11, permissible residual unbalance U = G m / omega of a rotor of mass m (kg) at omega (rad/s).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import sqrt
from typing import NamedTuple

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


@dataclass(frozen=True)
class Tolerances:
    """general: half-width, m, of every turned dimension; effects, the greatest first; mismatch: what all new pieces of
    a blade together may differ from another blade's, kg, None when no balance grade is stated.
    """

    general: float
    effects: tuple[Effect, ...]
    mismatch: float | None
    grade: str


def tolerances(
    build: Build, target: SizingTarget, space: DesignSpace, plain: Scenario, run: Run
) -> Tolerances:
    """Tolerances of a build for its target; plain: the scenario; run: its prediction."""
    effects = tuple(sorted(_effects(build, target), key=lambda effect: -abs(effect.slope)))
    spread = sqrt(sum(effect.slope**2 for effect in effects))
    allowed = ALLOWANCE * abs(target.value)
    fine = [half for half in GENERAL if half * spread <= allowed]
    general = max(fine, default=GENERAL[-1])
    return Tolerances(
        min(general, max(space.step / 2.0, GENERAL[-1])), effects, _mismatch(build, plain, run), _grade(plain)
    )


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
                    total = _total(build.made, {part.name: column_of(pieces, part.density)})
                    values.append(float(target.measure(total, part.radius, part.chord)[0]))
                found.append(Effect(f"{words} of the {part.name}", (values[0] - values[1]) / 2e-6))
    return found


def _grade(plain: Scenario) -> str:
    return plain.limits.balance_grade or ""


def _mismatch(build: Build, plain: Scenario, run: Run) -> float | None:
    """kg by which all new pieces of a blade together may differ from another blade's: U / r."""
    number = re.search(r"[0-9]+(\.[0-9]+)?", _grade(plain))
    if number is None:
        return None
    mass = plain.rotor.blades * run.value("mass")
    unbalance = float(number[0]) * 1e-3 * mass / float(plain.rotor.speed)
    return unbalance / build.made[0].radius
