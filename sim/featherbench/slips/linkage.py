"""The linkage held against the rotor's size: arms, rod, friction, stiffness, play."""

from __future__ import annotations

from collections.abc import Iterator
from math import radians
from typing import TYPE_CHECKING

from featherbench.slips.band import Band, Remark, within

if TYPE_CHECKING:
    from featherbench.bench.setup import Setup

ON = "at this tip radius"
BY_RADIUS = (
    Band("horn_arm", "length", 0.035, 0.35, ON),
    Band("servo_arm", "length", 0.035, 0.4, ON),
    Band("lever_out", "length", 0.035, 0.5, ON),
    Band("lever_in", "length", 0.035, 0.5, ON),
    Band("pitch_link", "length", 0.06, 1.2, ON),
    Band("rod_length", "length", 0.5, 15.0, ON),
    Band("stiffness", "stiffness", 6e4, 1.6e6, ON),
)
"""Times the tip radius, m."""
BY_AREA = (
    Band("slider_friction", "force", 4.0, 110.0, ON),
    Band("rod_friction", "force", 0.0, 80.0, ON),
)
"""Times the square of the tip radius."""
BY_ROD = (
    Band("rod_diameter", "length", 0.0013, 0.025, "at this rod length"),
    Band("rod_support_spacing", "length", 0.035, 1.0, "at this rod length"),
    Band("rod_mass", "mass", 1.5e-3, 0.1, "at this rod length"),
)
"""Times the length of the rod."""
ALONE = (
    Band("rod_modulus", "pressure", 1e9, 450e9),
    Band("arm_neutral", "angle", 0.0, radians(45.0)),
    Band("lever_neutral", "angle", 0.0, radians(45.0)),
    Band("horn_neutral", "angle", 0.0, radians(45.0)),
)
PLAY = Band("play", "length", 0.0, 0.025, "at this horn arm, peak to peak")
SLIDER = Band("slider_mass", "mass", 0.0, 5.0, "beside the mass of one blade with all that pitches with it")


def linkage_remarks(setup: Setup) -> Iterator[Remark]:
    """Every figure of [linkage] beside what it goes with."""
    table, tip = setup.scenario.linkage, setup.scenario.blade.tip
    for bands, reference in (
        (BY_RADIUS, tip),
        (BY_AREA, tip**2),
        (BY_ROD, table.rod_length),
        (ALONE, 1.0),
        ((SLIDER,), setup.moments.mass),
    ):
        for band in bands:
            yield from within(band._replace(key=f"linkage.{band.key}"), getattr(table, band.key), reference)
    for place in ("rod", "slider", "horn"):
        yield from within(
            PLAY._replace(key=f"linkage.play.{place}"), getattr(table.play, place), table.horn_arm
        )
