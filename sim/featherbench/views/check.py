"""The view of scenarios as they were understood, before anything runs: parts, linkage, servo, and what is missing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import inf
from typing import TYPE_CHECKING, Any

from featherbench.assembly import compensation
from featherbench.checks import Verdict
from featherbench.checks.load_path import load_path_checks
from featherbench.numerals import display_factor, numeral, quantity, row_texts, unit_of
from featherbench.plain_text import plain
from featherbench.slips import remarks
from featherbench.views.bench_data import scenario_data
from featherbench.views.brief.bench import next_of
from featherbench.views.brief.check import next_of_check, parts_first, side_by_side
from featherbench.views.first_lines import of_setups
from featherbench.views.pictures import parts_picture
from featherbench.views.view import (
    POINT,
    UNIT,
    WORDS,
    Column,
    Row,
    Table,
    View,
    build_of,
    table_of,
)

if TYPE_CHECKING:
    from featherbench.assembly import PlacedPart
    from featherbench.bench.setup import Setup

Fact = tuple[str, float, str]
"""Label, value (SI), kind of quantity."""

UNKNOWN = "do not run before it is known"
NAMED = 3
"""Of what is missing, told in the answer."""
LIMITS = {
    "rod_ball_link": "the ball link's load",
    "bolt_class": "the blade bolt's strength",
    "regulator_current": "the regulator's current",
    "balance_grade": "residual unbalance",
    "servo_continuous_torque": "the torque that the servo holds for long",
}


def check_view(setups: Sequence[Setup], cautions: Sequence[str], system: str) -> View:
    """The view of one scenario or more as they were understood. system: "metric" or "trade"."""
    several = len(setups) > 1
    named = {f"build {number}" if several else "": setup for number, setup in enumerate(setups, start=1)}
    builds = tuple(build_of(setup.scenario, name) for name, setup in named.items())
    return View(
        title="What was understood" if several else builds[0].title,
        question=f"What was understood of {' and '.join(f'“{build.title}”' for build in builds)}?",
        answer=(f"{len(setups)} builds read; nothing was run.",)
        if several
        else tuple(_answer(setups[0], system)),
        short=side_by_side(named, [len(_missing(setup)) for setup in setups], system)
        if several
        else parts_first(_parts(setups[0].assembly.parts, system, ()), _missing_told(setups[0])),
        next_steps=next_of(of_setups(named), next_of_check(builds)),
        first=of_setups(named),
        builds=builds,
        tables=tuple(
            replace(table, title=_of_build(name, table.title))
            for name, setup in named.items()
            for table in _tables(setup, system)
        ),
        parts=parts_picture([(name, one.assembly, one.scenario) for name, one in named.items()], system),
        cautions=tuple(cautions),
        assumed=tuple((name, setup.assumed) for name, setup in named.items()),
        data={"builds": [_data(setup) for setup in setups]},
    )


def _missing_told(setup: Setup) -> str:
    return ", ".join(f"{key} ({said})" for key, said in _missing(setup) if key != UNKNOWN)


def _of_build(name: str, text: str) -> str:
    return f"{name}: {text[0].lower()}{text[1:]}" if name else text


def _tables(setup: Setup, system: str) -> tuple[Table, ...]:
    scenario = setup.scenario
    about = [f"From {', '.join(map(str, scenario.source.files))}."] if scenario.source.files else []
    if scenario.notes.strip():
        about.append(scenario.notes)
    servo = _facts("Servo, from its data sheet", _servo_facts(setup), system)
    if setup.drive.holds_unpowered:
        servo = replace(
            servo, remarks=("With this efficiency the gear train holds any load without current.",)
        )
    missing = tuple(Row(cells, stops=cells[0] == UNKNOWN) for cells in _missing(setup))
    return (
        _parts(setup.assembly.parts, system, tuple(map(plain, about))),
        _facts("One assembly, as it has swung", _assembly_facts(setup), system),
        _facts("Linkage", _linkage_facts(setup), system),
        servo,
        Table("Missing", (Column(), Column()), missing, () if missing else ("nothing",)),
    )


def _data(setup: Setup) -> dict[str, Any]:
    """What was understood of a scenario, for other programs; SI."""
    return {
        "scenario": scenario_data(setup.scenario),
        **of_setups({"": setup}).document(),
        "remarks": [plain(said.partition(": ")[2]) for said in remarks(setup)],
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
            {"what": label, "value": float(value), "unit": unit_of(kind)}
            for label, value, kind in (
                *_assembly_facts(setup),
                *_linkage_facts(setup),
                *_servo_facts(setup),
            )
        ],
        "assumed": [{"key": item.key, "value": item.value, "why": item.why} for item in setup.assumed],
        "missing": [f"{key}: {said}" for key, said in _missing(setup)],
    }


def _answer(setup: Setup, system: str) -> list[str]:
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
    missing = [said if key == UNKNOWN else key for key, said in _missing(setup)]
    more = f" and {len(missing) - NAMED} more" if len(missing) > NAMED else ""
    return [
        f"{scenario.rotor.blades} blades at {speed}; each, with all that pitches with it, weighs {mass} and pulls "
        f"outward with {load}.",
        f"{weighed} of {len(parts)} parts have a mass that was stated, the others one from their size and density; "
        f"{len(setup.assumed)} figures were assumed.",
        f"Not stated, so not judged: {', '.join(missing[:NAMED])}{more}."
        if missing
        else "Nothing is missing.",
    ]


def _parts(parts: Sequence[PlacedPart], system: str, about: tuple[str, ...]) -> Table:
    """One line each; the moments of a single part differ too much for one number of decimals."""
    masses, mass_unit, _ = row_texts([part.moments.mass for part in parts], "mass", system)
    factor, unit = display_factor("inertia", system)
    columns = (
        Column("part"),
        Column("group"),
        Column(mass_unit, POINT),
        Column("mass is", gives_way=1),
        Column("swings", gives_way=2),
        Column(f"I_c - I_n, {unit}", POINT),
    )
    rows = (
        Row(
            (
                plain(part.name),
                part.group,
                mass,
                part.how,
                "yes" if part.swings else "no",
                numeral(factor * (part.moments.chordwise - part.moments.normal), 0),
            )
        )
        for part, mass in zip(parts, masses, strict=True)
    )
    return Table("Parts of one blade assembly", columns, tuple(rows), about)


def _facts(title: str, facts: Sequence[Fact], system: str) -> Table:
    rows = []
    for label, value, kind in facts:
        (text,), unit, _ = row_texts([value], kind, system)
        rows.append((label, text, unit))
    return table_of(title, (("", WORDS), ("", POINT), ("", UNIT)), tuple(rows))


def _assembly_facts(setup: Setup) -> list[Fact]:
    body, spin = setup.moments, float(setup.scenario.rotor.speed)
    return [
        ("mass", body.mass, "mass"),
        ("rotor speed", spin, "rotation"),
        ("centrifugal load", body.radial * spin**2, "force"),
        ("I_c, along the chord", body.chordwise, "inertia"),
        ("I_n, along the normal", body.normal, "inertia"),
        ("I_cn, product", body.product, "inertia"),
        (
            "compensation (share of the mass pull cancelled)",
            float(compensation(setup.assembly, setup.lead_lag)),
            "ratio",
        ),
        ("swing on the bolt, tip forward", setup.lead_lag, "angle"),
        ("bearing friction at speed, one blade", _bearing_moment(setup, spin), "moment"),
    ]


def _bearing_moment(setup: Setup, spin: float) -> float:
    return setup.bearing.starting_moment + setup.bearing.load_moment * spin**2


def _linkage_facts(setup: Setup) -> list[Fact]:
    linkage = setup.linkage
    low, high = setup.scenario.rotor.pitch_range
    return [
        ("pitch, low end", low, "angle"),
        ("pitch, high end", high, "angle"),
        ("servo angle there, low", linkage.servo_angles[0], "angle"),
        ("servo angle there, high", linkage.servo_angles[1], "angle"),
        ("servo can travel, each way", float(setup.scenario.servo.travel), "angle"),
        ("stiffness at the rod", linkage.stiffness, "stiffness"),
        ("play at the rod, peak to peak", linkage.play, "length"),
        ("mass of the rod", linkage.rod_mass, "mass"),
    ]


def _servo_facts(setup: Setup) -> list[Fact]:
    drive = setup.drive
    return [
        ("stall torque at supply voltage", drive.stall_torque(setup.plant.supply.voltage), "moment"),
        ("torque it can give from rest", drive.available_torque(setup.plant.supply), "moment"),
        ("winding resistance", drive.motor.resistance, "resistance"),
        *(
            [("most through the winding", drive.chopper.limit, "current")]
            if drive.chopper.limit < inf
            else []
        ),
        ("gear efficiency under load", drive.efficiency, "ratio"),
        ("running without load, idle off", drive.running_current, "current"),
        ("gear play at the output", drive.gear_play, "angle"),
    ]


def _missing(setup: Setup) -> list[tuple[str, str]]:
    """What is not stated, and what therefore stays unsaid; first what forbids to run the build, each once."""
    scenario = setup.scenario
    unknown = (check for check in load_path_checks(setup) if check.verdict is Verdict.UNKNOWN)
    missing = [(UNKNOWN, said) for said in dict.fromkeys(plain(check.source) for check in unknown)]
    missing += [
        (f"limits.{key}", f"nothing is said about {what}")
        for key, what in LIMITS.items()
        if getattr(scenario.limits, key, None) is None
    ]
    if scenario.aircraft is None:
        missing.append(("[aircraft]", "no hover trim and no wag"))
    if scenario.envelope is None:
        missing.append(("[envelope]", "no weights can be sized"))
    return missing
