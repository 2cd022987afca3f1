"""Rules that tie several keys together: geometry that cannot be, contradictory or half-given data.

Each rule yields what is broken. A rule is asked only about tables that are right by themselves, so that all
problems of a file come out together.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping
from typing import Any

from featherbench import quantities
from featherbench.scenario.bench_tables import Gauge
from featherbench.scenario.built_tables import Air, Bearing, Blade, Rotor
from featherbench.scenario.doubt import LARGEST_STALL, Doubt
from featherbench.scenario.locate import Path as KeyPath
from featherbench.scenario.schema import Aircraft, Envelope, Linkage, Servo
from featherbench.scenario.tied.fitted_rules import broken_fitted
from featherbench.scenario.tied.own_rules import broken_own
from featherbench.scenario.tied.part_rules import broken_part, broken_stand_ins, in_millimetres
from featherbench.scenario.tied.strength_rules import (
    Broken,
    broken_carriers,
    broken_retention,
)

LARGEST_TIP = 1.0
"""m: beyond it no tail rotor of a model reaches, and nothing larger is to be judged here."""
FILE_KEYS: tuple[KeyPath, ...] = (("blade", "section"), ("blade", "polar"))
"""Keys outside [part] that may name a file."""


LARGEST_PITCH = math.radians(60.0)
"""Beyond this a tail rotor's pitch range is a slip; no source, wider than any linkage reaches."""


FEWEST_READINGS = 5
"""Readings of the gauge between the ends of the pitch range; with fewer it shows nothing of the loop."""


def broken_rules(tables: Mapping[str, Any], files: Mapping[KeyPath, bool]) -> Iterator[Broken]:
    """Every broken rule. tables: name -> checked table or None; files: key path -> whether it exists."""
    for name, rule in _RULES.items():
        table = tables.get(name)
        if table is not None:
            yield from rule(table)
    for name, part in (tables.get("part") or {}).items():
        for broken in broken_part(part):
            yield broken._replace(path=("part", name, *broken.path))
    yield from broken_own(tables.get("own") or ())
    yield from _across(tables)
    yield from _missing_files(files)


def _deg(angle: float) -> str:
    return quantities.text(angle, "angle")


def _rotor(rotor: Rotor) -> Iterator[Broken]:
    low, high = rotor.pitch_range
    if low >= high:
        yield Broken(("rotor", "pitch_range"), 'the low end first, for example ["-26 deg", "26 deg"]')
    for end, angle in enumerate((low, high)):
        if abs(angle) > LARGEST_PITCH:
            yield Broken(
                ("rotor", "pitch_range", end), 'an angle within 60 deg either way, for example "26 deg"'
            )
    if abs(rotor.coning) > math.radians(30.0):
        yield Broken(("rotor", "coning"), 'an angle within 30 deg either way, for example "0 deg"')


def _air(air: Air) -> Iterator[Broken]:
    if air.density is not None and (air.altitude is not None or air.temperature is not None):
        yield Broken(
            ("air", "density"),
            "either the density, or altitude and temperature, from which it follows; leave one of them out",
        )


def _blade(blade: Blade) -> Iterator[Broken]:
    if blade.tip > LARGEST_TIP:
        yield Broken(
            ("blade", "tip"),
            f"a radius below {in_millimetres(LARGEST_TIP)}: tail blades of a model, see the unit",
        )
        return
    if blade.tip <= blade.root:
        yield Broken(
            ("blade", "tip"),
            f'a radius beyond the root at {in_millimetres(blade.root)}, for example "135 mm"',
        )
    if blade.bolt_radius >= blade.tip:
        yield Broken(
            ("blade", "bolt_radius"),
            f"a radius inside the tip at {in_millimetres(blade.tip)}: the bolt goes through the blade",
        )
    widest = max(chord for _, chord in blade.chord)
    if blade.bolt_radius < blade.root - 1.5 * widest:
        yield Broken(
            ("blade", "bolt_radius"),
            f"a radius near the blade: at most one and a half chords inside its root at {in_millimetres(blade.root)}",
        )
    if abs(blade.bolt_chord) > 0.5 * widest:
        yield Broken(
            ("blade", "bolt_chord"),
            f"at most half a chord, {in_millimetres(0.5 * widest)}, before or behind the axis",
        )
    for key in ("chord", "thickness"):
        rows = getattr(blade, key) or []
        for index, (row, after) in enumerate(itertools.pairwise(rows)):
            if after[0] <= row[0]:
                yield Broken(("blade", key, index + 1), "radii that increase from row to row")
    if blade.thickness and max(value for _, value in blade.thickness) >= widest:
        yield Broken(("blade", "thickness"), f"less than the chord of {in_millimetres(widest)}")
    if abs(blade.swing_angle) > math.radians(45.0):
        yield Broken(("blade", "swing_angle"), 'an angle within 45 deg either way, for example "0 deg"')
    if blade.swing == "free" and "swing_angle" in blade.model_fields_set:
        yield Broken(
            ("blade", "swing_angle"), 'swing = "clamped" beside it; a free blade finds its own angle'
        )


def _bearing(bearing: Bearing) -> Iterator[Broken]:
    if bearing.kind is None and bearing.coefficient is None:
        yield Broken(
            ("bearing",),
            'kind = "thrust ball", or coefficient = 0.0013 (0 for none)',
            "neither kind nor coefficient",
        )
    if bearing.mean_diameter is None and (bearing.kind is not None or bearing.coefficient):
        yield Broken(("bearing", "mean_diameter"), 'the diameter the friction acts at, for example "7 mm"')


def _linkage(linkage: Linkage) -> Iterator[Broken]:
    for given, other in (("lever_out", "lever_in"), ("lever_in", "lever_out")):
        if getattr(linkage, given) is not None and getattr(linkage, other) is None:
            yield Broken(
                ("linkage", other),
                f'both lever arms or neither; {given} is given, for example {other} = "14 mm"',
            )
    if linkage.rod_diameter is not None and linkage.rod_bore >= linkage.rod_diameter:
        yield Broken(
            ("linkage", "rod_bore"),
            f"a bore below the rod's diameter of {in_millimetres(linkage.rod_diameter)}",
        )
    if linkage.rod_bore > 0.0 and linkage.rod_diameter is None:
        yield Broken(("linkage", "rod_diameter"), 'the diameter of the bored rod, for example "4 mm"')
    for key in ("arm_neutral", "lever_neutral", "horn_neutral"):
        if abs(getattr(linkage, key)) >= math.radians(80.0):
            yield Broken(("linkage", key), 'an angle within 80 deg of square, for example "0 deg"')


def _servo(servo: Servo) -> Iterator[Broken]:
    for key in ("idle_current", "running_current"):
        current = getattr(servo, key)
        if current is not None and current >= servo.stall_current:
            limit = quantities.text(servo.stall_current, "current")
            yield Broken(("servo", key), f'a current below the stall current of {limit}, for example "12 mA"')
    if servo.running_current is not None and servo.running_current <= servo.idle_current:
        idle = quantities.text(servo.idle_current, "current")
        yield Broken(("servo", "running_current"), f"a current above the idle current of {idle}")
    if servo.travel > math.radians(180.0):
        yield Broken(("servo", "travel"), 'the travel each way, 180 deg at most, for example "60 deg"')
    if servo.dead_band >= servo.proportional_band:
        band = _deg(servo.proportional_band)
        yield Broken(("servo", "dead_band"), f"less than the proportional band of {band}")


def _aircraft(aircraft: Aircraft) -> Iterator[Broken]:
    needed = ("mass", "main_radius", "main_speed", "figure_of_merit")
    missing = [key for key in needed if getattr(aircraft, key) is None]
    if aircraft.main_torque is None and missing:
        yield Broken(
            ("aircraft",),
            f"main_torque, or all of {', '.join(needed)} (missing: {', '.join(missing)})",
            "not enough to know the main rotor's torque",
        )


def _gauge(gauge: Gauge) -> Iterator[Broken]:
    if gauge.rate * gauge.sweep < FEWEST_READINGS:
        needed = quantities.text(FEWEST_READINGS / gauge.sweep, "frequency")
        yield Broken(
            ("gauge", "rate"),
            f"{needed} or more, so that the gauge reads {FEWEST_READINGS} times in a sweep of "
            f'{quantities.text(gauge.sweep, "time")}, for example "10 Hz"',
        )


def _doubt(doubt: Doubt) -> Iterator[Broken]:
    if doubt.air_stall > LARGEST_STALL:
        yield Broken(("doubt", "air_stall"), f'a doubt of {_deg(LARGEST_STALL)} at most, for example "4 deg"')


def _envelope(envelope: Envelope) -> Iterator[Broken]:
    yield from _room(envelope)
    keys = ("compensation", "seat_ratio", "rod_force")
    stated = [key for key in keys if getattr(envelope.target, key) is not None]
    if len(stated) != 1:
        yield Broken(
            ("envelope", "target"),
            f"exactly one of {', '.join(keys)}, for example {{ compensation = 0.93 }}",
            " and ".join(stated) or "none of them",
        )


def _room(envelope: Envelope) -> Iterator[Broken]:
    for key, limit in (
        ("seat_above", "height_above"),
        ("arm_foot", "height_above"),
        ("seat_below", "height_below"),
    ):
        face, height = getattr(envelope, key), getattr(envelope, limit)
        if face is not None and face >= height:
            yield Broken(("envelope", key), f"a height below {limit} of {in_millimetres(height)}")
    inboard, outboard = envelope.clear_inboard, envelope.clear_outboard
    if inboard is not None and outboard is not None and inboard >= outboard:
        yield Broken(
            ("envelope", "clear_outboard"), f"a radius beyond clear_inboard at {in_millimetres(inboard)}"
        )
    if envelope.lathe_step > envelope.diameter:
        yield Broken(("envelope", "lathe_step"), 'the step you turn to, for example "0.1 mm"')
    for index, bar in enumerate(envelope.stock):
        if envelope.lathe_step > bar:
            yield Broken(("envelope", "stock", index), "a bar thicker than lathe_step")


_RULES: dict[str, Any] = {
    "rotor": _rotor,
    "air": _air,
    "blade": _blade,
    "bearing": _bearing,
    "retention": broken_retention,
    "linkage": _linkage,
    "servo": _servo,
    "aircraft": _aircraft,
    "envelope": _envelope,
    "gauge": _gauge,
    "doubt": _doubt,
    "fitted": broken_fitted,
}


def _across(tables: Mapping[str, Any]) -> Iterator[Broken]:
    """Rules between tables."""
    rotor, bench, blade, parts = (tables.get(name) for name in ("rotor", "bench", "blade", "part"))
    if rotor is not None and bench is not None and bench.release_from is not None:
        low, high = rotor.pitch_range
        if low < high and not low <= bench.release_from <= high:
            yield Broken(
                ("bench", "release_from"), f"a pitch inside the pitch range, {_deg(low)} to {_deg(high)}"
            )
    if parts:
        yield from broken_stand_ins(parts)
        yield from broken_carriers(parts)
    if blade is not None and parts:
        for name, part in parts.items():
            if abs(part.at.radius) > 2.0 * blade.tip:
                yield Broken(
                    ("part", name, "at", "radius"),
                    f"a place on this rotor, whose blade ends at {in_millimetres(blade.tip)}",
                )


def _missing_files(files: Mapping[KeyPath, bool]) -> Iterator[Broken]:
    for path, exists in files.items():
        if exists:
            continue
        if path == ("blade", "section"):
            yield Broken(
                path,
                '"NACA 0012" (symmetric: 00 and the thickness in % of the chord), or an existing coordinate file',
            )
        else:
            yield Broken(path, "an existing file, relative to the scenario file that names it")
