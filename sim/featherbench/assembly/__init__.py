"""Parts -> mass moments about the feathering axis, part by part, and the blade's swing on its bolt."""

from featherbench.assembly.assembled import Assembly, BladeBolt, PlacedPart, Solid
from featherbench.assembly.build import build_assembly
from featherbench.assembly.lead_lag import (
    blade_axis_place,
    compensation,
    lead_lag_angle,
    lead_lag_angles,
    moments_at,
    moments_by_group,
    moments_by_part,
    plain_moments,
    quarter_chord,
)
from featherbench.assembly.mass_moments import MassMoments

__all__ = [
    "Assembly",
    "BladeBolt",
    "MassMoments",
    "PlacedPart",
    "Solid",
    "blade_axis_place",
    "build_assembly",
    "compensation",
    "lead_lag_angle",
    "lead_lag_angles",
    "moments_at",
    "moments_by_group",
    "moments_by_part",
    "plain_moments",
    "quarter_chord",
]
