"""What did not go as told in a servo test, why, and what to do about it, in words."""

from __future__ import annotations

from math import inf

import numpy as np

from featherbench import quantities
from featherbench.assembly import compensation
from featherbench.bench.landings import Landings
from featherbench.bench.legs import Ending, Leg
from featherbench.bench.servo_run import ServoRun
from featherbench.bench.setup import Setup
from featherbench.bench.statics import StaticCurves
from featherbench.servo.available_torque import current_needed, standing_supply

DROOP = np.deg2rad(1.0)
"""Pitch by which a hold may fall short of its target before a note says so, rad."""


def servo_notes(
    setup: Setup,
    statics: StaticCurves,
    servo: ServoRun,
    ends: tuple[Leg | None, Leg | None],
    landed: tuple[Landings, ...] = (),
) -> tuple[str, ...]:
    """Sentences on every move that did not go as told, on sides never gone to, and on force that is not there.

    ends: the legs of `run_findings.legs_at_ends`. landed: more moves to the same places.
    """
    notes = [note for leg in servo.legs if (note := _move(setup, statics, leg))]
    hunting = {leg.target for leg in servo.legs if leg.ending is Ending.HUNTS}
    for place in landed:
        if place.example is not None and place.target not in hunting:
            times = f"{place.hunting} of {place.moves} more moves there, not in those of the programme"
            notes.append(f"{_move(setup, statics, place.example)} So it went in {times}.")
    for side, end in zip(("high", "low"), ends, strict=True):
        if end is None:
            notes.append(
                f"the bench programme never goes to the {side} end: nothing is said about that side."
            )
    lacking = statics.servo_torque > setup.drive.available_torque(setup.plant.supply)
    if lacking.any():
        where = np.rad2deg(statics.pitch[lacking])
        notes.append(
            f"starting from rest beyond {np.abs(where).min():.1f} deg of pitch, the rod needs more force than the "
            "servo has, friction included; a servo that is moving already swings somewhat further."
        )
    if setup.drive.holds_unpowered:
        notes.append(
            "by its data sheet the servo's gear train holds any load without current "
            f"(efficiency {setup.drive.efficiency:.2f}, 0.5 or less): holding current then depends on how it came to "
            "rest."
        )
    return tuple(notes)


def _move(setup: Setup, statics: StaticCurves, leg: Leg) -> str:
    """The note on one move; "" where there is nothing to say."""
    target, stopped = (f"{np.rad2deg(pitch):.1f} deg" for pitch in (leg.target, leg.final_pitch))
    place = f"the move to {target}"
    lacking = statics.servo_torque.max() > setup.drive.available_torque(setup.plant.supply)
    if leg.ending is Ending.STALLED or (leg.ending is Ending.UNDER_WAY and lacking):
        end = "stopped at" if leg.ending is Ending.STALLED else "had crept to"
        return f"{place} did not arrive: the servo {end} {stopped}. It lacks torque there: {_remedy(setup, statics)}."
    if leg.ending is Ending.HUNTS:
        band = f"{np.rad2deg(setup.plant.loop.proportional_band):.2g} deg"
        return (
            f"at {target} the servo hunts: the blades swing by {np.rad2deg(leg.hunting):.1f} deg, "
            f"{leg.hunting_rate:.0f} times a second, and never come to rest, so that there is no holding current. "
            f"{'' if lacking else 'Torque is not what is missing. '}"
            f"Its proportional band of {band} is too narrow, or its damping does not suit it; try a wider "
            "proportional_band."
        )
    if leg.ending is Ending.UNDER_WAY:
        return (
            f"{place} had come to {stopped} and was still under way when its hold ended: lengthen the hold."
        )
    if leg.ending is Ending.DRIFTS:
        return f"{place} did not settle within its hold: lengthen the hold."
    if abs(leg.target) - abs(leg.final_pitch) > DROOP:
        return (
            f"at {target} the blade ends {np.rad2deg(abs(leg.target - leg.final_pitch)):.1f} deg short: the linkage "
            "flexes, and the servo needs some error to hold the load."
        )
    return ""


def _remedy(setup: Setup, statics: StaticCurves) -> str:
    """What to change: the supply where another supply would do, the weights where they drive the blades, the servo."""
    drive, supply = setup.drive, setup.plant.supply
    needed, given = float(statics.servo_torque.max()), drive.available_torque(supply)
    unlimited = drive.available_torque(supply._replace(limit=inf))
    at_sheet = drive.stall_torque(float(setup.scenario.servo.voltage))
    if given < min(needed, unlimited):
        amperes = current_needed(needed, drive.motor, drive.output_friction)
        if amperes <= drive.chopper.limit < inf:
            amperes = standing_supply(amperes, drive.motor, drive.chopper, supply._replace(limit=inf))
        amperes += supply.idle
        cause = (
            f"the supply's limit of {supply.limit:.3g} A is what stops it (supply.limit), full pitch needs "
            f"{amperes:.2g} A"
        )
        if unlimited >= needed:
            return cause
        return f"{cause}; without that limit it still has too little: {_servo_remedy(setup)}"
    if given < needed <= at_sheet:
        resistance = quantities.text(supply.resistance, "resistance")
        return (
            f"the supply's voltage is what stops it, {supply.voltage:.3g} V over {resistance} (supply.voltage, "
            "supply.resistance); at the voltage of its data sheet the servo has enough"
        )
    return _servo_remedy(setup)


def _servo_remedy(setup: Setup) -> str:
    if compensation(setup.assembly, setup.lead_lag) > 1.0:
        return "the weights are too heavy, the blades drive the servo away from neutral; take weight off"
    return "shorten the servo arm, take load off with weights, or use a stronger servo"
