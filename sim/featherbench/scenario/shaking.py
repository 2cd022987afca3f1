"""What a turning rotor shakes its pitch linkage with, as a person may write it."""

from __future__ import annotations

from pydantic import Field

from featherbench.scenario.fields import NonNegativeForce, NonNegativeMoment
from featherbench.scenario.parts import Table


class Shaking(Table):
    """[shaking]: what a turning rotor shakes its pitch linkage with, amplitudes at rotor speed; 0 takes one out.

    Shaking lets friction go: forces to start moving and the width of the force loop sink with it, and what a servo
    holds with sinks toward what the load itself needs. Nobody states it and few have measured it: see
    doubt.shaking.
    """

    passing: NonNegativeMoment = Field(
        default=0.0,
        description="pitch moment of one blade, as often a turn as there are blades: wakes, the boom passed by "
        "(judgement: zero to a few N*mm)",
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
