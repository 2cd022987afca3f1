"""What the model itself may be wrong by: a doubt for each uncertain law, and where a sample lies within them.

Half-widths hold 95 %; each default says where it is from, or that it is judgement. A doubt of 0 (of a factor: 1)
leaves the law as it is.

How sure the air's moment about the feathering axis is goes by incidence, and so do its doubts (sources: SAND80-2114 for
the NACA 0012 and 0021, computed polars of the NACA 0012 and 0015, both in `validation/`; axis at 0.40 of the chord):

* attached, up to 8 degrees: `air_moment`. With printed c_m the moment is within an eighth of ours, with the
  computed polars at most 15 per cent larger;
* near the stall: `air_stall`. At 10 degrees the computed moment is a quarter larger, its stall not being there yet;
* past it: `separated_centre`. Printed c_m lies 0.04 to 0.10 less nose down than ours from 22 to 35 degrees, half of it
  by our larger normal force; the moment is the small difference of two large ones, so it may be half or twice as large.
"""

from __future__ import annotations

from math import radians
from typing import Annotated, NamedTuple

from pydantic import Field

from featherbench.scenario.fields import PLAIN_NUMBER, NonNegativeAngle
from featherbench.scenario.parts import Table

LARGEST_STALL = radians(8.0)
"""Greatest doubt of the angle of stall: a larger one would put the stall near zero lift."""

Share = Annotated[float, Field(ge=0.0, le=0.9), PLAIN_NUMBER]


class Doubt(Table):
    """[doubt]: what the model may be wrong by, 95 % half-widths; every range has them in it beside your tolerances.

    A doubt of 0 (of a factor, such as bearing_coefficient: 1) takes one out.
    """

    air_stall: NonNegativeAngle = Field(
        default=radians(4.0),
        description="angle at which the turning blade stalls, either way (tests and computed curves of one section "
        "differ by one to four degrees, published laws of stall delay by one to three: judgement); "
        '"0 deg" takes it out; with blade.polar the curve there is taken as it stands',
        examples=["4 deg"],
    )
    air_moment: Share = Field(
        default=0.12,
        description="share of the air's moment about the feathering axis (section tests before the stall, about 0.40 "
        "of the chord: within an eighth); not used where scale.air_moment has a tolerance",
    )
    separated_centre: Annotated[float, Field(ge=0.0, le=0.2), PLAIN_NUMBER] = Field(
        default=0.05,
        description="place where the air's force acts on a stalled section, chords either way (section tests from 20 "
        "to 30 degrees: up to so much further forward); with blade.polar the curve there is taken as it stands",
    )
    profile_drag: Share = Field(
        default=0.3,
        description="share of the sections' profile drag (section tests at these Reynolds numbers scatter by so much: "
        "judgement); with blade.polar the curve there is taken as it stands",
    )
    bearing_coefficient: Annotated[float, Field(ge=1.0, le=20.0), PLAIN_NUMBER] = Field(
        default=3.0,
        description="factor, either way, of the bearing's friction coefficient (handbooks: a running bearing; one that "
        "only swings, one to three times: judgement); not used where bearing.coefficient has a tolerance",
    )
    chopping_rate: Annotated[float, Field(ge=1.0, le=100.0), PLAIN_NUMBER] = Field(
        default=6.0,
        description="factor, either way, of the rate at which the servo's drive chops, against the time constant of "
        "its winding (common practice, no source); of a servo that states none",
    )
    shaking: Annotated[float, Field(ge=1.0, le=20.0), PLAIN_NUMBER] = Field(
        default=4.0,
        description="factor, either way, of what shakes the pitch linkage (judgement: nobody states it); not used "
        "where a key of [shaking] has a tolerance",
    )
    load_friction: Annotated[float, Field(ge=1.0, le=5.0), PLAIN_NUMBER] = Field(
        default=2.0,
        description="factor, either way, of friction that grows with load at slider and joints (10 to 25 % of the load "
        "in all: judgement); not used where one of its two keys has a tolerance",
    )
    stick: Annotated[float, Field(ge=0.0, le=1.0), PLAIN_NUMBER] = Field(
        default=1.0,
        description="how the stick is moved to a hold, of which the holding figures have all in them: by hand in half "
        "of the samples, slammed in a third, a little too far and back in a sixth (judgement); 0: by hand",
    )
    proportional_band: Annotated[float, Field(ge=1.0, le=5.0), PLAIN_NUMBER] = Field(
        default=1.6,
        description="factor, either way, of servo.proportional_band (on no data sheet: judgement); not used where that "
        "has a tolerance",
    )
    dead_band: Annotated[float, Field(ge=1.0, le=5.0), PLAIN_NUMBER] = Field(
        default=1.5,
        description="factor, either way, of servo.dead_band (data sheets state the electronics' own: judgement); not "
        "used where that has a tolerance",
    )
    damping: Annotated[float, Field(ge=1.0, le=5.0), PLAIN_NUMBER] = Field(
        default=1.6,
        description="factor, either way, of servo.damping (on no data sheet: judgement); not used where that has a "
        "tolerance",
    )
    gear_load_friction: Annotated[float, Field(ge=1.0, le=5.0), PLAIN_NUMBER] = Field(
        default=1.8,
        description="factor, either way, of what is taken of servo.gear_load_friction where a brushless or "
        "current-limited servo states neither it nor servo.current_limit (gears of 0.65 to 0.86: judgement)",
    )
    axis_at: Annotated[float, Field(ge=0.0, le=0.2), PLAIN_NUMBER] = Field(
        default=0.01,
        description="place of the feathering axis on the blade as built, chords either way (a quarter millimetre on "
        "25 mm: judgement); not used where blade.axis_at has a tolerance",
    )
    blade_stuck: Annotated[float, Field(ge=0.0, le=1.0), PLAIN_NUMBER] = Field(
        default=0.16,
        description="coefficient of friction of the blade's bolt in its hole, by which a free blade sticks beside its "
        "balance, either way (steel, dry to oiled: 0.12 to 0.2, handbooks)",
    )


class Departure(NamedTuple):
    """Where a sampled build lies within the doubts that no key of its own takes; nothing of it for a build as written.

    air_stall: rad, later stall positive. profile_drag: share, more drag positive. separated_centre: chords, further aft
    positive. blade_stuck: coefficient of friction that is used up, positive where it holds the tip toward the leading
    edge. stick: how the stick is moved to a hold, below -2/3 too far and back, above 1/3 with a slam, else by hand; 0
    of a build as written. shaking, load_friction: factors on what is stated of them, keys in step; 1 as written.
    """

    air_stall: float = 0.0
    profile_drag: float = 0.0
    blade_stuck: float = 0.0
    separated_centre: float = 0.0
    stick: float = 0.0
    shaking: float = 1.0
    load_friction: float = 1.0


AS_WRITTEN = Departure()
FACTORED = (
    "bearing_coefficient",
    "chopping_rate",
    "shaking",
    "load_friction",
    "proportional_band",
    "dead_band",
    "damping",
    "gear_load_friction",
)
"""Doubts that are a factor either way."""
TAKEN_OUT: dict[str, float | str] = {
    name: "0 deg" if name == "air_stall" else 1.0 if name in FACTORED else 0.0 for name in Doubt.model_fields
}
"""What to write in [doubt] for a model that is taken as right."""
