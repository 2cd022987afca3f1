"""The blade proper: planform, mass moments, and where its quarter chord runs once it has swung.

The feathering axis is the straight line c = 0. Blade straight out, it lies `axis_at` chords behind the
leading edge at every station, so on a tapered blade the leading edge is at c = axis_at * chord(r).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from featherbench.assembly.mass_moments import MassMoments, Vector
from featherbench.sections.section import Section

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(4)
FAR = 1.0
"""How far past root and tip the quarter-chord line is carried on, in blade lengths."""


@dataclass(frozen=True)
class Planform:
    """One blade straight out: root and tip radius (m), chord and thickness rows (m, 2) of radius and value
    (m).

    Values are linear between rows and constant beyond them. axis_at: feathering axis behind the leading edge,
    chords.
    """

    root: float
    tip: float
    chord_rows: Vector
    thickness_rows: Vector | None
    axis_at: float
    section: Section

    @classmethod
    def of(
        cls,
        span: tuple[float, float],
        chord: Sequence[tuple[float, float]],
        thickness: Sequence[tuple[float, float]] | None,
        axis_at: float,
        section: Section,
    ) -> Planform:
        """From (root, tip) and rows in any order."""
        chords = np.array(sorted(chord), dtype=float)
        thicknesses = np.array(sorted(thickness), dtype=float) if thickness else None
        return cls(span[0], span[1], chords, thicknesses, axis_at, section)

    def same_as(self, other: Planform) -> bool:
        """Whether both are the same outline with the same section; two readings of a file never count as that."""
        mine, its = (
            (one.root, one.tip, one.axis_at, one.chord_rows.tolist(), one._thicknesses)
            for one in (self, other)
        )
        return mine == its and self.section is other.section

    @property
    def _thicknesses(self) -> list[list[float]] | None:
        return None if self.thickness_rows is None else self.thickness_rows.tolist()

    def chord(self, radius: Vector | float) -> Vector:
        """Chord at a radius, m; any shape."""
        return np.asarray(np.interp(radius, self.chord_rows[:, 0], self.chord_rows[:, 1]))

    def thickness(self, radius: Vector | float) -> Vector:
        """Greatest section thickness at a radius, m; any shape."""
        if self.thickness_rows is None:
            return self.section.thickness * self.chord(radius)
        return np.asarray(np.interp(radius, self.thickness_rows[:, 0], self.thickness_rows[:, 1]))

    @property
    def stations(self) -> Vector:
        """Root, tip and every row between them, m: between two of these all is linear."""
        inner = self.chord_rows[:, 0]
        if self.thickness_rows is not None:
            inner = np.concatenate([inner, self.thickness_rows[:, 0]])
        inner = inner[(inner > self.root) & (inner < self.tip)]
        return np.unique(np.concatenate([[self.root, self.tip], inner]))


def blade_moments(planform: Planform, density: float) -> MassMoments:
    """Moments of the solid blade about the blade frame's origin; density in kg/m^3.

    Between stations every integrand is a polynomial in radius of degree 4 at most, so four Gauss-Legendre
    points integrate it exactly.
    """
    ends = planform.stations
    middle, half = 0.5 * (ends[1:] + ends[:-1]), 0.5 * (ends[1:] - ends[:-1])
    radius = (middle[:, None] + half[:, None] * _NODES).ravel()
    weight = density * (half[:, None] * _WEIGHTS).ravel()
    chord, section = planform.chord(radius), planform.section
    stretch = planform.thickness(radius) / section.thickness  # metres per chord of section ordinate
    area = weight * chord * stretch
    # leading edge to axis: c = chord (axis_at - x), n = stretch y
    a = planform.axis_at
    first_c = chord * (a * section.area - section.x)
    first_n = stretch * section.y
    cc = chord**2 * (a**2 * section.area - 2.0 * a * section.x + section.xx)
    cn = chord * stretch * (a * section.y - section.xy)
    nn = stretch**2 * section.yy
    second = np.empty((3, 3))
    second[0, 0] = np.sum(area * radius**2) * section.area
    second[0, 1] = second[1, 0] = np.sum(area * radius * first_c)
    second[0, 2] = second[2, 0] = np.sum(area * radius * first_n)
    second[1, 1] = np.sum(area * cc)
    second[1, 2] = second[2, 1] = np.sum(area * cn)
    second[2, 2] = np.sum(area * nn)
    first = np.array([np.sum(area * radius) * section.area, np.sum(area * first_c), np.sum(area * first_n)])
    return MassMoments(float(np.sum(area)) * section.area, first, second)


def quarter_chord_line(planform: Planform) -> Vector:
    """Points (m, 2) of radius and chord coordinate (m) along the quarter chord, straight out, carried on past
    the ends.
    """
    stations = planform.stations
    reach = FAR * (planform.tip - planform.root)
    line = np.column_stack([stations, (planform.axis_at - 0.25) * planform.chord(stations)])
    before = [line[0, 0] - reach, line[0, 1]]
    after = [line[-1, 0] + reach, line[-1, 1]]
    return np.vstack([before, line, after])
