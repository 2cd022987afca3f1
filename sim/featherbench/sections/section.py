"""A section by its name in a scenario, with its area moments: exact for the 4-digit symmetric family and for a polygon.

NACA 4-digit half thickness, open trailing edge:
y = 5 t (0.2969 sqrt x - 0.1260 x - 0.3516 x^2 + 0.2843 x^3 - 0.1015 x^4), NACA Report 460.
"""

from __future__ import annotations

import functools
import math
from pathlib import Path
from typing import NamedTuple

import numpy as np

from featherbench.sections.designation import symmetric_thickness
from featherbench.sections.outline import (
    FURTHEST_BACK,
    ORDERS,
    Points,
    SectionRefused,
    greatest_thickness,
    read_outline,
)

NACA_COEFFICIENTS = (0.2969, -0.1260, -0.3516, 0.2843, -0.1015)
_QUADRATURE = np.polynomial.legendre.leggauss(16)
LEAST_FILLING = 0.3
"""Least area over thickness times chord of an outline that goes round once; a diamond has 0.5."""


class Section(NamedTuple):
    """Area moments of a section of unit chord, and its outline for drawing.

    thickness: greatest, in chords. area; first moments x, y; second moments xx, xy, yy about the leading
    edge, all in powers of the chord. outline: (m, 2) of x, y from the trailing edge round the nose and back.
    """

    thickness: float
    area: float
    x: float
    y: float
    xx: float
    xy: float
    yy: float
    outline: Points


@functools.lru_cache(maxsize=32)
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
    outline.flags.writeable = False  # whoever asks has the same
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


def naca_half_thickness(x: Points, thickness: float) -> Points:
    """Half thickness in chords at x (any shape, 0..1) of the NACA 4-digit family, open trailing edge."""
    a0, a1, a2, a3, a4 = NACA_COEFFICIENTS
    return 5.0 * thickness * (a0 * np.sqrt(x) + x * (a1 + x * (a2 + x * (a3 + x * a4))))


def polygon(outline: Points) -> Section:
    """The section inside a closed polygon (m, 2) of x, y, in either sense of turning, by Green's theorem.

    It is laid on its chord line, as `outline.on_chord_line` gives it.
    """
    x, y = outline[:, 0], outline[:, 1]
    x2, y2 = np.roll(x, -1), np.roll(y, -1)
    cross = x * y2 - x2 * y
    area = 0.5 * float(np.sum(cross))
    sense = math.copysign(1.0, area)
    return Section(
        thickness=greatest_thickness(outline),
        area=abs(area),
        x=sense * float(np.sum((x + x2) * cross)) / 6.0,
        y=sense * float(np.sum((y + y2) * cross)) / 6.0,
        xx=sense * float(np.sum((x**2 + x * x2 + x2**2) * cross)) / 12.0,
        xy=sense * float(np.sum((x * (2.0 * y + y2) + x2 * (y + 2.0 * y2)) * cross)) / 24.0,
        yy=sense * float(np.sum((y**2 + y * y2 + y2**2) * cross)) / 12.0,
        outline=outline,
    )


def read_section(name: str, folder: Path) -> Section:
    """The section a scenario names: "NACA 00tt", or a coordinate file in `folder` (Selig or Lednicer order).

    Raises SectionRefused for a name that is neither, and for a file that is no section.
    """
    thickness = symmetric_thickness(name)
    if thickness == 0.0:
        raise SectionRefused(name, "a thickness above 0, such as NACA 0012")
    if thickness is not None:
        return naca_symmetric(thickness)
    section = polygon(read_outline(name, folder))
    if section.area <= LEAST_FILLING * section.thickness:
        raise SectionRefused(f"{name} (encloses almost nothing)", ORDERS)
    if section.area > FURTHEST_BACK * section.thickness:  # nowhere thicker than that, and no longer
        raise SectionRefused(f"{name} (its sides cross, double back or go round more than once)", ORDERS)
    return section
