"""Where the largest force on the rod comes from, part by part, and what a tenth more of each figure does to it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from featherbench.bench.setup import Setup
from featherbench.numerals import display_factor, numeral, percent, quantity, row_texts
from featherbench.plain_text import plain
from featherbench.ranking.force_by_part import AIR, FRICTION, ForceByPart, Influence, force_by_part
from featherbench.views.view import POINT, RIGHT, Column, Row, Table

if TYPE_CHECKING:
    from featherbench.studies.run import Run

MOST, LEAST = 8, 0.005
"""Causes told one by one; share of the whole below which one is a detail."""
TOLD_INFLUENCES = 12
NOTHING = 1e-6
"""N; what moves the force by less does not move it."""


def causes_of(run: Run) -> ForceByPart | None:
    """Of a run that was made from parts; None of one that was not."""
    if not isinstance(run.setup, Setup):
        return None
    largest = max(run.value("rod_force_push"), run.value("rod_force_pull"))
    return force_by_part(run.setup, run.statics, largest)


def cause_table(found: ForceByPart, system: str) -> Table:
    """Each part, the air and friction, what adds most first; they sum to the largest force."""
    values = [*(one.force for one in found.causes), found.total]
    _, unit, places = row_texts(values, "force", system)
    factor = display_factor("force", system)[0]
    rows = [
        Row(
            (
                plain(one.name, 40),
                one.group if one.group != "counterweight" else "weight",
                numeral(one.force * factor, places, True),
                percent(one.force / found.total),
            ),
            detail=number >= MOST and abs(one.force) < LEAST * found.total,
        )
        for number, one in enumerate(found.causes)
    ]
    rows.append(Row(("sum", "", numeral(found.total * factor, places, True), "")))
    way = "push" if found.push else "pull"
    title = f"Where the largest force comes from ({way}, at {np.rad2deg(found.pitch):.1f} deg)"
    return Table(title, (Column(), Column(), Column(unit, POINT), Column("", RIGHT)), tuple(rows))


def influence_table(found: Sequence[Influence], system: str) -> tuple[Table, ...]:
    """A tenth more of each stated figure, what moves the force most first; none where nothing was asked."""
    moving = [one for one in found if abs(one.force) > NOTHING]
    if not moving:
        return ()
    _, unit, places = row_texts([one.force for one in moving], "force", system)
    factor = display_factor("force", system)[0]
    rows = tuple(
        Row(
            (
                plain(one.key, 60),
                quantity(one.value, one.kind, system),
                numeral(one.force * factor, places, True),
            ),
            detail=number >= TOLD_INFLUENCES,
        )
        for number, one in enumerate(moving)
    )
    still = [plain(one.key, 60) for one in found if abs(one.force) <= NOTHING]
    remarks = (f"It does not matter to this force: {', '.join(still)}.",) if still else ()
    columns = (Column("10 % more of"), Column("as stated", RIGHT), Column(f"changes it by {unit}", POINT))
    return (Table("What 10 % more does to the largest force", columns, rows, detail_remarks=remarks),)


def cause_data(found: ForceByPart | None, influences: Sequence[Influence]) -> dict[str, Any]:
    """For programs, SI."""
    if found is None:
        return {}
    told: dict[str, Any] = {
        "force_by_part": {
            "pitch": found.pitch,
            "push": found.push,
            "total": found.total,
            "unit": "N",
            "causes": [
                {"name": one.name, "kind": one.group or "model", "force": one.force} for one in found.causes
            ],
        }
    }
    if influences:
        told["ten_percent_more"] = [
            {"key": one.key, "value": one.value, "force": one.force, "unit": "N"} for one in influences
        ]
    return told


__all__ = ["AIR", "FRICTION", "cause_data", "cause_table", "causes_of", "influence_table"]
