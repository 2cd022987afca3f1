"""Mass moments of a body in the blade frame: what adds up, part by part, to the feathering problem.

Blade frame: radius r outboard along the feathering axis, chord c toward the leading edge, normal n toward the
thrust side. Everything is SI and taken about the frame's origin (where the feathering axis meets the shaft).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]

R, C, N = 0, 1, 2
"""Indices of radius, chord and normal in vectors and tensors."""


@dataclass(frozen=True)
class MassMoments:
    """Mass, first and second moments of a body about the frame's origin.

    mass: kg. first: (3,) sum m p, kg m. second: (3, 3) sum m p p^T, kg m^2 (not the inertia tensor: its
    diagonal holds sum m r^2, sum m c^2, sum m n^2). Order of components: radius, chord, normal. Of a body in several
    places at once both have those before, and only sums and `moved` are meant.
    """

    mass: float
    first: Vector
    second: Vector

    @classmethod
    def zero(cls) -> MassMoments:
        """Of nothing."""
        return cls(0.0, np.zeros(3), np.zeros((3, 3)))

    @classmethod
    def of_body(cls, mass: float, centre: Vector, central: Vector) -> MassMoments:
        """From a mass (kg), its centre (3,) in m, and its second moments (3, 3) about that centre, kg m^2."""
        centre = np.asarray(centre, dtype=float)
        return cls(mass, mass * centre, np.asarray(central, dtype=float) + mass * np.outer(centre, centre))

    def __add__(self, other: MassMoments) -> MassMoments:
        """Of both bodies together."""
        return MassMoments(self.mass + other.mass, self.first + other.first, self.second + other.second)

    def times(self, factor: float) -> MassMoments:
        """Of the same body, so many times as heavy where it stands."""
        return MassMoments(factor * self.mass, factor * self.first, factor * self.second)

    def scaled(self, factor: float) -> MassMoments:
        """The same body with I_c, I_n and I_cn times `factor`."""
        if factor == 1.0:
            return self
        second = self.second.copy()
        second[..., C:, C:] *= factor
        return MassMoments(self.mass, self.first, second)

    def moved(self, rotation: Vector, shift: Vector) -> MassMoments:
        """Of the same body after p -> rotation @ p + shift; rotation (..., 3, 3) orthogonal, shift (..., 3) in m."""
        first = rotation @ self.first
        cross = first[..., :, None] * shift[..., None, :]
        square = shift[..., :, None] * shift[..., None, :]
        turned = rotation @ self.second @ rotation.swapaxes(-1, -2)
        second = turned + cross + cross.swapaxes(-1, -2) + self.mass * square
        return MassMoments(self.mass, first + self.mass * shift, second)

    @property
    def centre(self) -> Vector:
        """Centre of mass (3,), m."""
        return self.first / self.mass

    @property
    def chordwise(self) -> float:
        """I_c = sum m c^2, kg m^2."""
        return float(self.second[C, C])

    @property
    def normal(self) -> float:
        """I_n = sum m n^2, kg m^2."""
        return float(self.second[N, N])

    @property
    def product(self) -> float:
        """I_cn = sum m c n, kg m^2."""
        return float(self.second[C, N])

    @property
    def feathering(self) -> float:
        """J = I_c + I_n, kg m^2."""
        return self.chordwise + self.normal

    @property
    def radial(self) -> float:
        """S_r = sum m r, kg m; times spin^2 it is the centrifugal load."""
        return float(self.first[R])

    @property
    def radial_chordwise(self) -> float:
        """S_rc = sum m r c, kg m^2."""
        return float(self.second[R, C])

    @property
    def radial_normal(self) -> float:
        """S_rn = sum m r n, kg m^2."""
        return float(self.second[R, N])
