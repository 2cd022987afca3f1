"""A section polar given by the user: a CSV file of alpha, c_l, c_d, c_m, carried on to a full circle of
angles.
"""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from featherbench.rotor.section_polar import (
    TABLE_ROWS,
    Section,
    section_at,
    section_coefficients,
    tabulated_section,
)

COLUMNS = ("alpha", "c_l", "c_d", "c_m")
LONGEST_LINE = 10_000
FADE = math.radians(10.0)
"""Beyond the table's ends its difference from the default section dies away over this angle."""


class PolarError(ValueError):
    """A polar file that cannot be used; the message is written for the person who wrote it."""


def read_polar(path: Path) -> NDArray[np.float64]:
    """Rows (n, 4) of alpha (rad), c_l, c_d, c_m from a CSV file; alpha stands in degrees in the file.

    The first line names the columns alpha, c_l, c_d and optionally c_m (0 when absent), in any order; lines
    that begin with # are skipped. Raises PolarError with file and line for anything that is not so: fewer
    than 3 rows, angles not rising, a drag that is not positive, no angle on each side of zero.
    """
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise PolarError(f"{path.name}: the polar file cannot be read ({error})") from None
    numbered = [
        (at, line) for at, line in enumerate(lines, 1) if line.strip() and not line.lstrip().startswith("#")
    ]
    if not numbered:
        raise PolarError(f"{path.name}: the polar file is empty")
    for at, line in numbered:
        if len(line) > LONGEST_LINE:
            raise PolarError(f"{path.name}, line {at}: {len(line)} characters; expected a few numbers")
    names = [name.strip() for name in next(csv.reader([numbered[0][1]]))]
    missing = [name for name in COLUMNS[:3] if name not in names]
    if missing:
        raise PolarError(
            f"{path.name}, line {numbered[0][0]}: no column {', '.join(missing)}; expected alpha,c_l,c_d,c_m"
        )
    rows = []
    for at, line in numbered[1:]:
        cells = next(csv.reader([line]))
        try:
            values = dict(zip(names, map(float, cells), strict=True))
        except ValueError:
            raise PolarError(
                f"{path.name}, line {at}: expected {len(names)} numbers, got {line.strip()!r}"
            ) from None
        rows.append([math.radians(values["alpha"]), values["c_l"], values["c_d"], values.get("c_m", 0.0)])
    table = np.array(rows)
    _check(table, path.name)
    return table


def _check(table: NDArray[np.float64], name: str) -> None:
    if len(table) < 3:
        raise PolarError(f"{name}: a polar needs at least 3 rows")
    if not np.all(np.isfinite(table)):
        raise PolarError(f"{name}: every number must be finite")
    if np.any(np.diff(table[:, 0]) <= 0.0):
        raise PolarError(f"{name}: alpha must rise from row to row")
    if table[0, 0] >= 0.0 or table[-1, 0] <= 0.0:
        raise PolarError(
            f"{name}: alpha must reach to both sides of zero, a tail rotor blade works both ways"
        )
    if np.max(np.abs(table[:, 0])) > math.pi + 1e-9:
        raise PolarError(f"{name}: alpha must lie within -180 and 180 degrees")
    if np.any(table[:, 2] <= 0.0):
        raise PolarError(f"{name}: c_d must be positive")


def full_circle(table: NDArray[np.float64], reynolds: float = 2.0e5, thickness: float = 0.12) -> Section:
    """The tabulated section (n, 4: alpha rad, c_l, c_d, c_m), linear between rows, for every angle of attack.

    Outside the table it goes over to the default section, at the given Reynolds number and thickness, as
    exp(-distance/FADE) of the difference at the table's end, so that nothing jumps.
    """
    beyond = section_at(reynolds, 0.0, thickness)
    angles = np.linspace(-math.pi, math.pi, TABLE_ROWS)
    default = np.array([section_coefficients(float(angle), beyond) for angle in angles])
    held = np.clip(angles, table[0, 0], table[-1, 0])
    inside = np.column_stack([np.interp(held, table[:, 0], table[:, column]) for column in (1, 2, 3)])
    at_end = np.array([section_coefficients(float(angle), beyond) for angle in held])
    fade = np.exp(-np.abs(angles - held) / FADE)[:, None]
    outside = default + (inside - at_end) * fade
    circle = np.where((angles == held)[:, None], inside, outside)
    circle[:, 1] = np.maximum(circle[:, 1], np.min(table[:, 2]))
    return tabulated_section(circle)
