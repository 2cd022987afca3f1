"""What was understood of scenario files, in short: the parts of one, or several side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from featherbench.assembly import compensation
from featherbench.numerals import row_texts
from featherbench.views.brief.bench import file_named
from featherbench.views.view import POINT, RIGHT, Build, Column, Row, Table

if TYPE_CHECKING:
    from featherbench.bench.setup import Setup


def next_of_check(builds: Sequence[Build]) -> str:
    """After files have been understood."""
    names = [file_named(build.files[0] if build.files else "FILE") for build in builds[:2]]
    return f"Next: featherbench {'compare' if len(names) > 1 else 'predict'} {' '.join(names)}"


def parts_first(parts: Table, missing: str) -> Table:
    """The parts, where a slip of typing shows first; and what is missing, in words."""
    return replace(parts, remarks=(f"Not stated: {missing}.",) if missing else ())


def side_by_side(named: Mapping[str, Setup], missing: Sequence[int], system: str) -> Table:
    """A row a build. missing: how much each does not state."""
    setups = list(named.values())
    columns, cells = [Column("")], [list(named)]
    for heading, kind, values in (
        ("mass", "mass", [setup.moments.mass for setup in setups]),
        (
            "pull",
            "force",
            [setup.moments.radial * float(setup.scenario.rotor.speed) ** 2 for setup in setups],
        ),
        ("I_c - I_n", "inertia", [setup.moments.chordwise - setup.moments.normal for setup in setups]),
        ("compensation", "ratio", [float(compensation(one.assembly, one.lead_lag)) for one in setups]),
    ):
        texts, unit, _ = row_texts(values, kind, system)
        columns.append(
            Column(f"{heading}, {unit}" if unit else heading, POINT, gives_way=int(kind == "inertia"))
        )
        cells.append(texts)
    for heading, counts in (
        ("assumed", [len(setup.assumed) for setup in setups]),
        ("missing", missing),
    ):
        columns.append(Column(heading, RIGHT))
        cells.append([str(count) for count in counts])
    rows = tuple(Row(row, stays=True) for row in zip(*cells, strict=True))
    return Table("Side by side", tuple(columns), rows, ("of one blade assembly",))
