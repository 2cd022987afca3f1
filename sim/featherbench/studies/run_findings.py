"""A bench run's findings, by what they are read from: assembly, gauge, servo, air and hover, play.

Before each function stand the names of what it gives, by which one finding alone can be asked for.
"""

from __future__ import annotations

import contextlib

import numpy as np

from featherbench.aircraft import HoverTrim
from featherbench.assembly import compensation
from featherbench.bench.gauge import GaugeRun
from featherbench.bench.holding import Way, held_after, hold_band, way_at
from featherbench.bench.instruments import peak_shown
from featherbench.bench.legs import Ending
from featherbench.bench.release import Release
from featherbench.bench.servo_run import Leg, ServoRun
from featherbench.bench.setup import Setup, pitch_moments
from featherbench.bench.statics import Curve, StaticCurves
from featherbench.linkage import LinkageReach
from featherbench.rotor.propeller_moment import feathering_frequency, propeller_moment
from featherbench.rotor.stall import stall_pitch
from featherbench.studies.findings import Finding, finding
from featherbench.studies.free_play import HOVER_BAND, FreePlay

OF_ASSEMBLY = (
    *("mass", "radial_moment", "centrifugal_load", "compensation", "feathering_frequency"),
    *("inertia_chordwise", "inertia_normal", "inertia_product", "swing_angle"),
    *("propeller_moment_low", "propeller_moment_high"),
)


def assembly_findings(setup: Setup) -> dict[str, Finding]:
    """Of one blade assembly: masses, second moments, compensation, propeller moment at both ends."""
    spin = float(setup.scenario.rotor.speed)
    coning = float(setup.scenario.rotor.coning)
    body = setup.moments
    of_pitch = pitch_moments(body, coning)
    low, high = setup.scenario.rotor.pitch_range
    values: dict[str, float] = {
        "mass": body.mass,
        "radial_moment": body.radial,
        "centrifugal_load": body.radial * spin**2,
        "inertia_chordwise": body.chordwise,
        "inertia_normal": body.normal,
        "inertia_product": body.product,
        "compensation": compensation(setup.assembly, setup.lead_lag),
        "feathering_frequency": feathering_frequency(spin, of_pitch),
        "swing_angle": setup.lead_lag,
        "propeller_moment_low": propeller_moment(low, spin, 0.0, of_pitch),
        "propeller_moment_high": propeller_moment(high, spin, 0.0, of_pitch),
    }
    return {name: finding(name, float(value)) for name, value in values.items()}


def gauge_findings(gauge: GaugeRun, high: Release, low: Release) -> dict[str, Finding]:
    """Rod force, true and as the gauge displays it, and what released blades do on either side."""
    values = {"release": high.verdict.value, "release_low": low.verdict.value}
    return force_findings(gauge) | {name: finding(name, value) for name, value in values.items()}


OF_FORCE = (
    *("rod_force_push", "rod_force_pull", "rod_force_breakout", "rod_force_loop"),
    *("rod_force_high", "rod_force_high_back", "rod_force_low", "rod_force_low_back"),
    *("rod_force_neutral_up", "rod_force_neutral_down", "gauge_push", "gauge_pull"),
)


def force_findings(gauge: GaugeRun) -> dict[str, Finding]:
    """Rod force, true and as the gauge displays it."""
    values: dict[str, float | str | None] = {
        "rod_force_push": gauge.push,
        "rod_force_pull": gauge.pull,
        **forces_at_ends(gauge),
        "rod_force_breakout": abs(gauge.breakout),
        "rod_force_loop": gauge.width,
        "gauge_push": gauge.shown_push,
        "gauge_pull": gauge.shown_pull,
    }
    return {name: finding(name, value) for name, value in values.items()}


def forces_at_ends(gauge: GaugeRun) -> dict[str, float | None]:
    """Rod force, N, push positive, where a person reads the gauge: at either end, on the way there and as it leaves,
    and past zero pitch both ways; None at zero where the stroke does not pass it.

    Read between records, so held to the largest that were recorded within the stroke.
    """
    up, down = (np.clip(way, -gauge.pull, gauge.push) for way in (gauge.up, gauge.down))
    passes = gauge.pitch[0] < 0.0 < gauge.pitch[-1]
    at_zero = [float(np.interp(0.0, gauge.pitch, way)) if passes else None for way in (up, down)]
    return {
        "rod_force_high": float(up[-1]),
        "rod_force_high_back": float(down[-1]),
        "rod_force_low": float(down[0]),
        "rod_force_low_back": float(up[0]),
        "rod_force_neutral_up": at_zero[0],
        "rod_force_neutral_down": at_zero[1],
    }


def legs_at_ends(servo: ServoRun) -> tuple[Leg | None, Leg | None]:
    """The first leg that goes furthest to the high end, and to the low end; None when the programme has none."""
    highest = max(servo.legs, key=lambda leg: leg.go)
    lowest = min(servo.legs, key=lambda leg: leg.go)
    return (highest if highest.go > 0.0 else None), (lowest if lowest.go < 0.0 else None)


OF_SERVO = (
    *("servo_force", "servo_torque_peak", "servo_torque_share", "current_raw_peak"),
    *("current_peak_high", "current_peak_low", "current_hold_high", "current_hold_low"),
    *("motor_current_hold_high", "motor_current_hold_low", "hold_place_high", "hold_place_low"),
    *("arrival_high", "arrival_low", "meter_peak", "meter_hold"),
    *("meter_peak_high", "meter_peak_low"),
)


def servo_findings(
    setup: Setup, statics: StaticCurves, servo: ServoRun, ends: tuple[Leg | None, Leg | None]
) -> dict[str, Finding]:
    """Torque, currents and what the meter displays; ends: the legs of `legs_at_ends`."""
    available, meter = setup.drive.available_torque(setup.plant.supply), setup.scenario.meter
    values: dict[str, float | None] = {
        "servo_force": float(statics.servo_force.min()),
        "servo_torque_peak": servo.torque_peak,
        "servo_torque_share": servo.torque_peak / available if available > 0.0 else None,
        "current_raw_peak": servo.raw_peak,
        "meter_peak": peak_shown(
            servo.time, servo.supply_current, meter, setup.plant.supply.idle, servo.meter
        ),
    }
    shown = []
    for side, leg in zip(("high", "low"), ends, strict=True):
        values[f"current_peak_{side}"] = leg.peak if leg else None
        values[f"meter_peak_{side}"] = leg.shown if leg else None
        values[f"current_hold_{side}"] = leg.hold if leg else None
        values[f"motor_current_hold_{side}"] = leg.motor_hold if leg else None
        values[f"hold_place_{side}"] = leg.hold_place if leg else None
        values[f"arrival_{side}"] = leg.arrival if leg else None
        if leg is not None:
            before_end = np.searchsorted(servo.meter.time, leg.end, side="right") - 1
            if before_end >= 0:
                shown.append(float(servo.meter.value[before_end]))
    values["meter_hold"] = max(shown) if shown else None
    return {name: finding(name, value) for name, value in values.items()}


OF_HOLDING = ("holding_high", "holding_low")
OF_HOLDS = (
    *(
        f"hold_{what}_{side}"
        for what in ("least", "most", "slam", "hand", "overshoot")
        for side in ("high", "low")
    ),
    *("meter_peak_slam", "meter_peak_hand"),
)


def hold_findings(
    setup: Setup, ends: tuple[Leg | None, Leg | None], step_share: float = 1.0, *, every_way: bool = True
) -> dict[str, Finding]:
    """The band of currents that hold at each end, and where in it each way of moving the stick comes to rest.

    every_way: all of them, not only the one that `holding` is of: a hand's move, unless a sample lies at another.
    """
    stick = setup.scenario.departure.stick
    ways = tuple(Way) if every_way else (way_at(stick),)
    held = {way: held_after(setup, way, step_share=step_share) for way in ways}
    values: dict[str, float | None] = {}
    for way in (Way.SLAM, Way.HAND):
        shown = [leg.shown for leg in held.get(way, ()) if leg is not None]
        if shown:
            values[f"meter_peak_{way}"] = max(shown)
    for number, side in enumerate(("high", "low")):
        own = ends[number]
        if own is not None and own.ending is Ending.HELD:
            with contextlib.suppress(
                LinkageReach
            ):  # blades that have gone past what the linkage reaches have none
                band = hold_band(setup, own.final_pitch)
                values |= {f"hold_least_{side}": band.least, f"hold_most_{side}": band.most}
        for way, legs in held.items():
            leg = legs[number]
            values[f"hold_{way}_{side}"] = leg.hold if leg is not None else None
        chosen = values[f"hold_{way_at(stick)}_{side}"]
        values[f"holding_{side}"] = chosen
    return {name: finding(name, value) for name, value in values.items()}


OF_AIR = (
    *("thrust_high", "thrust_low", "power", "rod_force_zero_low", "rod_force_zero_high"),
    *("stall_low", "stall_high", "hover_pitch", "hover_thrust", "hover_power", "rod_force_hover"),
)
OF_HOVER_HOLD = ("current_hold_hover", "charge_hover")


def air_findings(setup: Setup, statics: StaticCurves, hover: HoverTrim | None) -> dict[str, Finding]:
    """Thrust, power, where the load crosses zero, where the blade stalls, and hover."""
    table, spin = setup.air.table, float(setup.scenario.rotor.speed)
    low, high = setup.scenario.rotor.pitch_range
    middle = table.axial.size // 2
    thrust = [float(np.interp(end, table.pitch, table.thrust[:, middle])) * spin**2 for end in (low, high)]
    power = [float(np.interp(end, table.pitch, table.torque[:, middle])) * spin**3 for end in (low, high)]
    stalled = stall_pitch(setup.air.rotor, low, high)
    zeros = zero_crossings(statics.pitch, statics.rod_force)
    values: dict[str, float | None] = {
        "thrust_high": thrust[1],
        "thrust_low": thrust[0],
        "power": max(power),
        "rod_force_zero_low": zeros[0] if zeros else None,
        "rod_force_zero_high": zeros[-1] if zeros else None,
        "stall_low": stalled[0] if stalled[0] > low else None,
        "stall_high": stalled[1] if stalled[1] < high else None,
    }
    if hover is not None:
        values |= {
            "hover_pitch": hover.pitch if hover.found else None,
            "hover_thrust": hover.thrust,
            "hover_power": hover.power if hover.found else None,
            "rod_force_hover": hover.rod_force if hover.found else None,
            "current_hold_hover": hover.leg.hold if hover.leg else None,
            "charge_hover": hover.charge,
        }
    return {name: finding(name, value) for name, value in values.items()}


def zero_crossings(pitch: Curve, values: Curve) -> list[float]:
    """Where a curve (n,) over pitch (n,) passes through zero, rising in pitch; linear between points."""
    found = []
    for index in range(len(values) - 1):
        one, two = float(values[index]), float(values[index + 1])
        if one == 0.0:
            found.append(float(pitch[index]))
        elif one * two < 0.0:
            found.append(float(pitch[index] + (pitch[index + 1] - pitch[index]) * one / (one - two)))
    if values[-1] == 0.0:
        found.append(float(pitch[-1]))
    return found


OF_PLAY = ("float_low", "float_high", "lost_motion", "seat_ratio_hover")


def free_play_findings(free_play: FreePlay, hover: HoverTrim | None) -> dict[str, Finding]:
    """The float window nearest the hover pitch (zero without), lost motion, and the seat ratio in hover."""
    pitch = hover.pitch if hover is not None and hover.found else 0.0
    window = free_play.window_near(pitch)
    values: dict[str, float | None] = {
        "float_low": window[0] if window else None,
        "float_high": window[1] if window else None,
        "lost_motion": float(free_play.lost_motion.max()),
    }
    if hover is not None and hover.found:
        values["seat_ratio_hover"] = free_play.least_seat_ratio(pitch - HOVER_BAND, pitch + HOVER_BAND)
    return {name: finding(name, value) for name, value in values.items()}
