"""What was understood of a scenario before anything runs: parts, linkage, servo, and what is missing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from featherbench.assembly import compensation
from featherbench.checks import Verdict
from featherbench.checks.load_path import load_path_checks
from featherbench.checks.slips import remarks
from featherbench.plain_text import plain
from featherbench.render.columns import Column
from featherbench.version import __version__
from featherbench.views.first_lines import of_setup
from featherbench.views.numerals import display_factor, numeral, quantity, row_texts, unit_of

if TYPE_CHECKING:
    from featherbench.assembly import PlacedPart
    from featherbench.bench.setup import Setup

Block = tuple[str, list[Column], list[str]]
"""A heading, a table (may be empty), and remarks in words."""

MEANT = "Is this meant?"
"""Heading of what is probably a slip of typing."""

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
    said_first = meant(setup)
    slips: list[Block] = [(MEANT, [], [f"- {said}" for said in said_first])] if said_first else []
    about = [f"from {files}"] if files else []
    if scenario.notes.strip():
        about.append(plain(scenario.notes))
    return (
        *slips,
        (plain(scenario.title), [], about),
        ("Parts of one blade assembly", _parts(setup.assembly.parts, system), []),
        ("One assembly, as it has swung", _facts(_assembly_facts(setup, system)), []),
        ("Linkage", _facts(_linkage_facts(setup, system)), []),
        ("Servo, from its data sheet", _facts(_servo_facts(setup, system)), _servo_remarks(setup)),
        ("Missing", [], _missing(setup)),
    )


def meant(setup: Setup) -> list[str]:
    """What is probably a slip of typing, one sentence each; to be read before anything else."""
    return [plain(said.partition(": ")[2]) for said in remarks(setup)]


def not_known(setup: Setup) -> list[str]:
    """What has to be stated before the build may be run, each once."""
    unknown = (check for check in load_path_checks(setup) if check.verdict is Verdict.UNKNOWN)
    return list(dict.fromkeys(plain(check.source) for check in unknown))


def check_document(setups: Sequence[Setup]) -> dict[str, Any]:
    """What was understood of each scenario, for other programs; SI."""
    return {
        "tool": "featherbench",
        "version": __version__,
        "builds": [_build_document(setup) for setup in setups],
    }


def _build_document(setup: Setup) -> dict[str, Any]:
    source = setup.scenario.source
    facts = [
        *_assembly_facts(setup, "metric"),
        *_linkage_facts(setup, "metric"),
        *_servo_facts(setup, "metric"),
    ]
    return {
        "scenario": {
            "title": setup.scenario.title,
            "files": [str(name) for name in source.files],
            "digest": source.digest,
        },
        **of_setup(setup).document(),
        "remarks": meant(setup),
        "parts": [
            {
                "name": part.name,
                "group": part.group,
                "mass": part.moments.mass,
                "mass_is": part.how,
                "swings": part.swings,
                "inertia_chordwise": part.moments.chordwise,
                "inertia_normal": part.moments.normal,
                "inertia_product": part.moments.product,
            }
            for part in setup.assembly.parts
        ],
        "facts": [
            {"what": label, "value": float(value), "unit": unit_of(kind)} for label, value, kind, _ in facts
        ],
        "assumed": [{"key": item.key, "value": item.value, "why": item.why} for item in setup.assumed],
        "missing": [remark.removeprefix("- ") for remark in _missing(setup) if remark != "- nothing"],
    }


def check_answer(setup: Setup, system: str) -> list[str]:
    """Sentences: what the build is; how much of it was weighed and assumed; what is missing."""
    scenario, parts = setup.scenario, setup.assembly.parts
    speed, mass, load = (
        quantity(value, kind, system)
        for value, kind in (
            (float(scenario.rotor.speed), "rotation"),
            (setup.moments.mass, "mass"),
            (setup.moments.radial * float(scenario.rotor.speed) ** 2, "force"),
        )
    )
    weighed = sum(part.how == "weighed" for part in parts)
    missing = len(_missing(setup)) if _missing(setup) != ["- nothing"] else 0
    return [
        f"{scenario.rotor.blades} blades at {speed}; each, with all that pitches with it, weighs {mass} and pulls "
        f"outward with {load}.",
        f"{weighed} of {len(parts)} parts have a mass that was stated, the others one from their size and density; "
        f"{len(setup.assumed)} figures were assumed.",
        f"{missing} things are not stated, and nothing is said about them."
        if missing
        else "Nothing is missing.",
    ]


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
        ("torque it can give from rest", drive.available_torque(setup.plant.supply), "moment", system),
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
    remarks = [f"- do not run before it is known: {said}" for said in not_known(setup)]
    remarks += [
        f"- limits.{key}: nothing is said about {what}"
        for key, what in LIMITS.items()
        if getattr(scenario.limits, key, None) is None
    ]
    if scenario.aircraft is None:
        remarks.append("- [aircraft]: no hover trim and no wag")
    if scenario.envelope is None:
        remarks.append("- [envelope]: no weights can be sized")
    return remarks or ["- nothing"]
