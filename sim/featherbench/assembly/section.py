"""Area moments of an aerofoil section: exact for the 4-digit symmetric family and for a coordinate polygon.

Section coordinates: x behind the leading edge and y toward the thrust side, in chords.
NACA 4-digit half thickness, open trailing edge:
y = 5 t (0.2969 sqrt x - 0.1260 x - 0.3516 x^2 + 0.2843 x^3 - 0.1015 x^4), NACA Report 460.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import NamedTuple

import numpy as np

from featherbench.assembly.mass_moments import Vector
from featherbench.assembly.refusal import PartRefused
from featherbench.scenario.rules import is_coordinate_file

NACA_COEFFICIENTS = (0.2969, -0.1260, -0.3516, 0.2843, -0.1015)
_QUADRATURE = np.polynomial.legendre.leggauss(16)
LEAST_FILLING = 0.3
"""Least area over thickness times chord of an outline that goes round once; a diamond has 0.5."""
EXAMPLE = 'a 4-digit symmetric section such as "NACA 0012", or a coordinate file such as "section.dat"'


class Section(NamedTuple):
    """Area moments of a section of unit chord, and its outline for drawing.

    thickness: greatest, in chords. area; first moments x, y; second moments xx, xy, yy about the leading
    edge, all in powers of the chord. outline: (m, 2) of x, y round the section.
    """

    thickness: float
    area: float
    x: float
    y: float
    xx: float
    xy: float
    yy: float
    outline: Vector


def naca_symmetric(thickness: float, points: int = 40) -> Section:
    """The NACA 4-digit symmetric section of a thickness in chords; integrals exact to rounding.

    With x = s^2 the half thickness is a polynomial in s of degree 8, so 16 Gauss-Legendre points integrate
    y^3 dx = y^3 2 s ds (degree 25) exactly.
    """
    nodes, weights = _QUADRATURE
    s = 0.5 * (nodes + 1.0)
    ds = 0.5 * weights * 2.0 * s
    x = s**2
    half = naca_half_thickness(x, thickness)
    edge = 0.5 * (1.0 - np.cos(np.linspace(0.0, math.pi, points)))
    upper = np.column_stack([edge, naca_half_thickness(edge, thickness)])
    outline = np.vstack([upper[::-1], upper[1:] * [1.0, -1.0]])
    return Section(
        thickness=thickness,
        area=float(2.0 * np.sum(half * ds)),
        x=float(2.0 * np.sum(x * half * ds)),
        y=0.0,
        xx=float(2.0 * np.sum(x**2 * half * ds)),
        xy=0.0,
        yy=float(2.0 / 3.0 * np.sum(half**3 * ds)),
        outline=outline,
    )


def naca_half_thickness(x: Vector, thickness: float) -> Vector:
    """Half thickness in chords at x (any shape, 0..1) of the NACA 4-digit family, open trailing edge."""
    a0, a1, a2, a3, a4 = NACA_COEFFICIENTS
    return 5.0 * thickness * (a0 * np.sqrt(x) + x * (a1 + x * (a2 + x * (a3 + x * a4))))


def polygon(outline: Vector) -> Section:
    """The section inside a closed polygon (m, 2) of x, y, in either sense of turning, by Green's theorem."""
    x, y = outline[:, 0], outline[:, 1]
    x2, y2 = np.roll(x, -1), np.roll(y, -1)
    cross = x * y2 - x2 * y
    area = 0.5 * float(np.sum(cross))
    sense = math.copysign(1.0, area)
    return Section(
        thickness=_greatest_thickness(outline),
        area=abs(area),
        x=sense * float(np.sum((x + x2) * cross)) / 6.0,
        y=sense * float(np.sum((y + y2) * cross)) / 6.0,
        xx=sense * float(np.sum((x**2 + x * x2 + x2**2) * cross)) / 12.0,
        xy=sense * float(np.sum((x * (2.0 * y + y2) + x2 * (y + 2.0 * y2)) * cross)) / 24.0,
        yy=sense * float(np.sum((y**2 + y * y2 + y2**2) * cross)) / 12.0,
        outline=outline,
    )


def _greatest_thickness(outline: Vector) -> float:
    """Greatest width across the chord of a polygon that runs from the trailing edge round the leading
    edge.
    """
    nose = int(np.argmin(outline[:, 0]))
    one, other = outline[: nose + 1], outline[nose:]
    stations = np.unique(outline[:, 0])
    one_side = np.interp(stations, *one[np.argsort(one[:, 0], kind="stable")].T)
    other_side = np.interp(stations, *other[np.argsort(other[:, 0], kind="stable")].T)
    return float(np.max(np.abs(one_side - other_side)))


def read_section(name: str, folder: Path) -> Section:
    """The section a scenario names: "NACA 00tt", or a coordinate file in `folder` (Selig or Lednicer order).

    Raises PartRefused("blade.section", ...) for a name that is neither, and for a file that is no section.
    """
    if not is_coordinate_file(name):
        thickness = int(name.strip()[-2:]) / 100.0
        if not thickness:
            raise PartRefused("blade.section", name, "a thickness above 0, such as NACA 0012")
        return naca_symmetric(thickness)
    try:
        text = (folder / name).read_text(encoding="utf-8", errors="replace")
    except (OSError, ValueError) as error:  # ValueError: a name no file can have
        reason = getattr(error, "strerror", None) or "cannot be read"
        raise PartRefused("blade.section", f"{name} ({reason})", EXAMPLE) from None
    section = polygon(_coordinates(text, name))
    if section.area <= LEAST_FILLING * section.thickness:
        raise PartRefused(
            "blade.section",
            f"{name} (encloses almost nothing)",
            "points from the trailing edge round the nose and back, or both sides after their counts",
        )
    return section


def _coordinates(text: str, name: str) -> Vector:
    """The outline (m, 2) in a coordinate file, trailing edge round the nose, scaled to unit chord."""
    rows = np.array(_number_pairs(text))
    if (
        len(rows) > 2 and rows[0].min() >= 2.0 and int(rows[0].sum()) == len(rows) - 1
    ):  # Lednicer: counts first
        upper = int(rows[0, 0])
        rows = np.vstack([rows[1 : upper + 1][::-1], rows[upper + 2 :]])
    if len(rows) < 6:
        raise PartRefused(
            "blade.section", f"{name} ({len(rows)} points)", "a coordinate file with a pair x y on each line"
        )
    start, length = rows[:, 0].min(), np.ptp(rows[:, 0])
    if not length > 0.0 or not np.ptp(rows[:, 1]) > 0.0:
        raise PartRefused("blade.section", f"{name} (encloses nothing)", "a closed section outline")
    if np.ptp(rows[:, 1]) > length:
        raise PartRefused("blade.section", f"{name} (thicker than long)", "x along the chord, y across it")
    outline = (rows - [start, 0.0]) / length
    return outline[:-1] if np.allclose(outline[0], outline[-1], atol=1e-9) else outline


def _number_pairs(text: str) -> list[tuple[float, float]]:
    """The lines that hold exactly two numbers, in order; titles and blank lines are passed over."""
    pairs = []
    for line in text.splitlines():
        words = line.replace(",", " ").split()
        if len(words) != 2:
            continue
        try:
            pair = (float(words[0]), float(words[1]))
        except ValueError:
            continue
        if math.isfinite(pair[0]) and math.isfinite(pair[1]):
            pairs.append(pair)
    return pairs
