"""What a turning rotor shakes its pitch linkage with, as a person may write it."""

from __future__ import annotations

from pydantic import Field

from featherbench.scenario.fields import NonNegativeForce, NonNegativeMoment
from featherbench.scenario.parts import Table


class Shaking(Table):
    """[shaking]: what a turning rotor shakes its pitch linkage with, amplitudes at rotor speed; 0 takes one out.

    Shaking lets friction go: forces to start moving and the width of the force loop sink with it, and what a servo
    holds with sinks toward what the load itself needs. Nobody states it and few have measured it: see
    doubt.shaking. What shakes once a turn is 0 unless stated: unbalance within a common grade shakes a tail's end at
    under 0.1 g, which makes some hundredths of a newton of a rod's or slider's few grams, a tenth of `passing`.
    """

    passing: NonNegativeMoment = Field(
        default=0.5e-3,
        description="pitch moment of one blade, as often a turn as there are blades: wakes, the boom passed by; on the "
        "bench and in hover alike, where aircraft.buffet may add to it (judgement: zero to a few N*mm; half of one is "
        "some hundredths of the air's own moment at full pitch)",
        examples=["0.5 N*mm"],
    )
    unlike: NonNegativeMoment = Field(
        default=0.0,
        description="pitch moment of all blades together, once a turn, from blades that are not alike (judgement)",
        examples=["0.2 N*mm"],
    )
    slider: NonNegativeForce = Field(
        default=0.0,
        description="force at the pitch slider, once a turn, of rod and boom that shake with what balancing has left "
        "(judgement)",
        examples=["0.03 N"],
    )
