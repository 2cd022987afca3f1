"""What each picture of a bench run shows, in a sentence, for whoever cannot see it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from featherbench.numerals import display_factor, numeral, quantity
from featherbench.views.cases import Case


def causes_told(cases: Sequence[Case], system: str) -> str:
    """What each group of parts puts on the rod where the load is largest."""
    factor, unit = display_factor("force", system)

    def told(case: Case) -> str:
        statics = case.run.statics
        worst = int(np.argmax(np.abs(statics.rod_force)))
        by = factor * float(statics.per_moment[worst])
        shares = {**statics.by_group, "air": statics.air} if np.any(statics.air) else statics.by_group
        said = [f"{group} {numeral(float(own[worst]) * by, 1, True)}" for group, own in shares.items()]
        total = numeral(float(statics.rod_force[worst]) * factor, 1, True)
        pitch = numeral(float(np.rad2deg(statics.pitch[worst])), 0)
        return f"at {pitch} deg {', '.join(said)}, in sum {total} {unit}"

    return _each(cases, told)


def course_told(cases: Sequence[Case], system: str) -> str:
    """What moving to the high end draws, and holding it."""

    def told(case: Case) -> str:
        leg = next((leg for leg in case.run.servo.legs if leg.go > 0.0), None)
        if leg is None:
            return "no move to the high end"
        moving, holding = (quantity(value, "current", system) for value in (leg.peak, leg.drawn))
        return f"moving to the high end draws {moving} at most, holding it {holding}"

    return _each(cases, told)


def release_told(cases: Sequence[Case]) -> str:
    """What released blades do on either side."""

    def told(case: Case) -> str:
        high, low = case.run.release_high.verdict.told, case.run.release_low.verdict.told
        return f"the blades {high} on both sides" if high == low else f"the blades {high} (high), {low} (low)"

    return _each(cases, told)


def play_told(cases: Sequence[Case], system: str) -> str:
    """How much pitch is lost when the servo reverses; "" where no run has it."""
    if any("lost_motion" not in case.run.findings for case in cases):
        return ""
    return _each(
        cases,
        lambda case: f"up to {quantity(case.run.value('lost_motion'), 'angle', system)} of pitch is lost",
    )


def _each(cases: Sequence[Case], told: Callable[[Case], str]) -> str:
    """A sentence, a part for each build."""
    said = "; ".join(f"{case.name}: {told(case)}" if case.name else told(case) for case in cases)
    return f"{said[0].upper()}{said[1:]}."
