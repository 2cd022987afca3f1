"""What was understood of a scenario before anything runs: parts, linkage, servo, and what is missing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from featherbench.assembly import compensation
from featherbench.report.columns import Column
from featherbench.report.numerals import display_factor, numeral, row_texts
from featherbench.report.plain_text import plain

if TYPE_CHECKING:
    from featherbench.assembly import PlacedPart
    from featherbench.bench.setup import Setup

Block = tuple[str, list[Column], list[str]]
"""A heading, a table (may be empty), and remarks in words."""

LIMITS = {
    "rod_ball_link": "the ball link's load",
    "bolt_class": "the blade bolt's strength",
    "regulator_current": "the regulator's current",
    "balance_grade": "residual unbalance",
    "servo_continuous_torque": "the torque that the servo holds for long",
}


def explained(setup: Setup, system: str) -> tuple[Block, ...]:
    """Blocks to print or lay out, in reading order. system: "metric" or "trade"."""
    scenario = setup.scenario
    files = ", ".join(plain(str(name)) for name in scenario.source.files)
    remarks = [f"from {files}"] if files else []
    if scenario.notes.strip():
        remarks.append(plain(scenario.notes))
    return (
        (plain(scenario.title), [], remarks),
        ("Parts of one blade assembly", _parts(setup.assembly.parts, system), []),
        ("One assembly, as it has swung", _facts(_assembly_facts(setup, system)), []),
        ("Linkage", _facts(_linkage_facts(setup, system)), []),
        ("Servo, from its data sheet", _facts(_servo_facts(setup, system)), _servo_remarks(setup)),
        ("Missing", [], _missing(setup)),
    )


def _parts(parts: Sequence[PlacedPart], system: str) -> list[Column]:
    """One line each; the moments of a single part differ too much for one number of decimals."""
    masses, mass_unit, _ = row_texts([part.moments.mass for part in parts], "mass", system)
    factor, unit = display_factor("inertia", system)
    flat = [numeral(factor * (part.moments.chordwise - part.moments.normal), 0) for part in parts]
    return [
        Column("part", tuple(plain(part.name) for part in parts), shrinks=True),
        Column("group", tuple(part.group for part in parts)),
        Column(mass_unit, tuple(masses), "point"),
        Column("mass is", tuple(part.how for part in parts), gives_way=1),
        Column("swings", tuple("yes" if part.swings else "no" for part in parts), gives_way=2),
        Column(f"I_c - I_n, {unit}", tuple(flat), "point"),
    ]


def _facts(facts: Sequence[tuple[str, float, str, str]]) -> list[Column]:
    """Label, value, kind of quantity, unit system."""
    texts = [row_texts([value], kind, system) for _, value, kind, system in facts]
    return [
        Column("", tuple(f"  {label}" for label, _, _, _ in facts), shrinks=True),
        Column("", tuple(cells[0] for cells, _, _ in texts), "point"),
        Column("", tuple(unit for _, unit, _ in texts)),
    ]


def _assembly_facts(setup: Setup, system: str) -> list[tuple[str, float, str, str]]:
    body, spin = setup.moments, float(setup.scenario.rotor.speed)
    return [
        ("mass", body.mass, "mass", system),
        ("rotor speed", spin, "rotation", system),
        ("centrifugal load", body.radial * spin**2, "force", system),
        ("I_c, along the chord", body.chordwise, "inertia", system),
        ("I_n, along the normal", body.normal, "inertia", system),
        ("I_cn, product", body.product, "inertia", system),
        ("compensation (1 is neutral)", float(compensation(setup.assembly, setup.swing)), "ratio", system),
        ("swing on the bolt, tip forward", setup.swing, "angle", system),
        ("bearing friction at speed, one blade", _bearing_moment(setup, spin), "moment", system),
    ]


def _bearing_moment(setup: Setup, spin: float) -> float:
    return setup.bearing.starting_moment + setup.bearing.load_moment * spin**2


def _linkage_facts(setup: Setup, system: str) -> list[tuple[str, float, str, str]]:
    linkage = setup.linkage
    low, high = setup.scenario.rotor.pitch_range
    return [
        ("pitch, low end", low, "angle", system),
        ("pitch, high end", high, "angle", system),
        ("servo angle there, low", linkage.servo_angles[0], "angle", system),
        ("servo angle there, high", linkage.servo_angles[1], "angle", system),
        ("servo can travel, each way", float(setup.scenario.servo.travel), "angle", system),
        ("stiffness at the rod", linkage.stiffness, "stiffness", system),
        ("play at the rod, peak to peak", linkage.play, "length", system),
        ("mass of the rod", linkage.rod_mass, "mass", system),
    ]


def _servo_facts(setup: Setup, system: str) -> list[tuple[str, float, str, str]]:
    drive = setup.drive
    return [
        ("stall torque at supply voltage", drive.stall_torque(setup.plant.supply.voltage), "moment", system),
        ("winding resistance", drive.motor.resistance, "resistance", system),
        ("gear efficiency under load", drive.efficiency, "ratio", system),
        ("running without load, idle off", drive.running_current, "current", system),
        ("gear play at the output", drive.gear_play, "angle", system),
    ]


def _servo_remarks(setup: Setup) -> list[str]:
    if setup.drive.holds_unpowered:
        return ["  With this efficiency the gear train holds any load without current."]
    return []


def _missing(setup: Setup) -> list[str]:
    """What is not stated and what therefore stays unsaid."""
    scenario = setup.scenario
    remarks = [
        f"- limits.{key}: nothing is said about {what}"
        for key, what in LIMITS.items()
        if getattr(scenario.limits, key, None) is None
    ]
    if scenario.bearing.static_rating is None:
        remarks.append("- bearing.static_rating: nothing is said about the thrust bearing's load")
    if scenario.aircraft is None:
        remarks.append("- [aircraft]: no hover trim and no wag")
    if scenario.envelope is None:
        remarks.append("- [envelope]: no weights can be sized")
    return remarks or ["- nothing"]
