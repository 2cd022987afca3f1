"""What wag and bias found: in words, on a terminal, as a document and as a page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import numpy as np

from featherbench.bench.release import told
from featherbench.plain_text import plain
from featherbench.render.columns import Column
from featherbench.render.document import heading, plain_data
from featherbench.studies.bias import FAILS, UNKNOWN
from featherbench.studies.findings import MEANINGS
from featherbench.views.bench_data import seeded
from featherbench.views.first_lines import FirstLines
from featherbench.views.numerals import quantity, unit_of
from featherbench.views.view import RIGHT, WORDS, Table, table_of

if TYPE_CHECKING:
    from rich.console import Console

    from featherbench.scenario import Scenario
    from featherbench.studies.bias import Bias, Point
    from featherbench.studies.findings import Finding
    from featherbench.studies.wag import Wag

LEFT_OUT = (
    "flow from the main rotor, the boom's spring and the pilot are not in the flight",
    "the estimate by describing function leaves out the servo's dead band and friction; the simulation has them",
)


def rows(findings: Mapping[str, Finding], system: str) -> list[tuple[str, str]]:
    """(what it is, value with unit) of each finding."""
    found = []
    for name, one in findings.items():
        value = one.value
        text = value if isinstance(value, str) else quantity(value, one.kind, system)
        found.append((MEANINGS[name].label, text))
    return found


def wag_answer(found: Wag, system: str) -> list[str]:
    """Sentences: the verdict with its size, and what to do."""
    heading, travel = (
        quantity(_number(found.findings[name]), kind, system)
        for name, kind in (("wag_heading", "angle"), ("wag_travel", "length"))
    )
    return [
        f"Wag in hover: {found.verdict}, {heading} of heading, {travel} at the tail tip, peak to peak.",
        f"{found.advice[0].upper()}{found.advice[1:]}.",
    ]


def wag_notes(found: Wag) -> list[str]:
    """Every threshold that the verdict rests on, and how to change it."""
    from featherbench.studies.slop import HOVER_BAND
    from featherbench.studies.wag import KICK, PLAY_SHOWS, SECONDS

    pitch, low, high = (_number(found.findings[name]) for name in ("hover_pitch", "float_low", "float_high"))
    overlaps = pitch is not None and found.slop.floats_between(pitch - HOVER_BAND, pitch + HOVER_BAND)
    window = "" if low is None or high is None else f" ({np.rad2deg(low):.1f} to {np.rad2deg(high):.1f} deg)"
    return [
        f"the float window{window} {'overlaps' if overlaps else 'stays clear of'} the hover band, "
        f"{np.rad2deg(HOVER_BAND):g} deg to either side of the hover pitch",
        f"a wag is seen from {np.rad2deg(found.limits.visible_heading):g} deg or "
        f"{1e3 * found.limits.visible_travel:g} mm at the tail tip (--visible-heading, --visible-travel)",
        f"play shows when the calm wag exceeds the play-free one by a factor of {PLAY_SHOWS:g}",
        f"{SECONDS:g} s are flown (--seconds) from {np.rad2deg(KICK):g} deg off heading; the second half is read",
        "a gyro margin of 8 stands for 8 or more",
    ]


def bias_answer(found: Bias, system: str) -> list[str]:
    """Sentences: the chosen build and what it costs to go further."""
    if found.chosen is None:
        return list(found.words)
    point = found.chosen
    first = (
        f"Aim for a compensation of {point.compensation:.2f}, weights {_turned(point.phase)}: "
        f"largest rod force {quantity(point.rod_force, 'force', system)}, "
        f"{quantity(point.rod_force_hover, 'force', system)} in hover; released, the blades {told(point.release)}."
    )
    return [first, *_held(point)]


def _held(point: Point) -> list[str]:
    """Whether that amount of weight may be run, as far as it is known."""
    if point.strength == FAILS:
        return [f"DO NOT RUN at that amount: {point.against}."]
    if point.strength == UNKNOWN:
        return [f"Do not run that amount yet: {point.against}."]
    return []


def _strength(point: Point) -> str:
    return "do not run" if point.strength == FAILS else point.strength


def _turned(phase: float) -> str:
    degrees = np.rad2deg(phase)
    return "square to the chord" if abs(degrees) < 0.5 else f"turned {degrees:+.0f} deg"


def bias_notes(found: Bias) -> list[str]:
    """What it costs to go further, and every threshold with how to change it."""
    from featherbench.studies.bias import FLIGHT_SECONDS, PLAY_FLOOR

    notes = list(found.words)
    notes += [
        f"seat ratio asked for over the hover band: {found.margin:g} (--margin)",
        f"a wag is seen from {np.rad2deg(found.visible):.3g} deg (--visible-heading, --visible-travel); within "
        f"{PLAY_FLOOR:g} times what seated builds show, {np.rad2deg(found.floor):.2f} deg, play is not blamed for it",
        f"each build was flown for {FLIGHT_SECONDS:g} s",
    ]
    if found.interrupted:
        notes.insert(0, f"interrupted: only {len(found.points)} builds are in this answer")
    return notes


def print_hover(
    title: str,
    answer: Sequence[str],
    findings: Mapping[str, Finding],
    notes: Sequence[str],
    first: FirstLines,
    system: str,
    console: Console,
    table: Sequence[Column] = (),
) -> None:
    """Print a study of hover."""
    from featherbench.render.printing import (
        print_cautions,
        print_first,
        print_heading,
        print_list,
        print_table,
        say,
    )

    print_first(console, first)
    say(console, plain(title), "bold")
    for sentence in answer:
        say(console, plain(sentence))
    print_heading(console, "Findings")
    pairs = rows(findings, system)
    columns = [
        Column("", tuple(label for label, _ in pairs), shrinks=True),
        Column("", tuple(value for _, value in pairs), "right"),
    ]
    print_table(console, columns)
    if table:
        print_heading(console, "The sweep (<- chosen)")
        print_table(console, list(table))
    print_list(console, "Notes", [*notes, *LEFT_OUT])
    print_cautions(console)


def bias_columns(found: Bias, system: str, everything: bool = False) -> list[Column]:
    """The sweep at the chosen phase, a row a compensation; everything: at each phase."""
    if found.chosen is None:
        return []
    row = sorted(
        (point for point in found.points if everything or point.phase == found.chosen.phase),
        key=lambda point: (point.phase, point.compensation),
    )
    turned = [Column("turned deg", tuple(f"{np.rad2deg(point.phase):+.0f}" for point in row), "right")]
    return [
        *(turned if everything else []),
        Column("comp.", tuple(f"{point.compensation:.2f}" for point in row), "point"),
        Column("rod force", tuple(quantity(point.rod_force, "force", system) for point in row), "right"),
        Column("in hover", tuple(quantity(point.rod_force_hover, "force", system) for point in row), "right"),
        Column("seat", tuple(f"{point.seat_ratio:.2f}" for point in row), "point"),
        Column("wag deg", tuple(f"{np.rad2deg(point.wag_heading):.2f}" for point in row), "point"),
        Column("released", tuple(told(point.release) for point in row)),
        Column("strength", tuple(_strength(point) for point in row), gives_way=1),
        Column("", tuple("<-" if point is found.chosen else "" for point in row)),
    ]


def hover_document(
    scenario: Scenario,
    findings: Mapping[str, Finding],
    notes: Sequence[str],
    cautions: Sequence[str],
    seed: int,
    first: FirstLines,
) -> dict[str, Any]:
    """The document of a study of hover, SI."""
    return {
        **heading(first),
        **seeded(seed),
        "scenario": {
            "title": scenario.title,
            "files": list(scenario.source.files),
            "digest": scenario.source.digest,
        },
        "findings": {name: {"value": one.value, "unit": unit_of(one.kind)} for name, one in findings.items()},
        "notes": list(notes),
        "left_out": list(LEFT_OUT),
        "cautions": list(cautions),
    }


def sweep_document(found: Bias) -> list[dict[str, Any]]:
    """Every build of the sweep, SI; None for what does not exist."""
    return [plain_data(asdict(point)) for point in found.points]


def findings_sheet(findings: Mapping[str, Finding], system: str) -> Table:
    """Each finding with its unit."""
    return table_of("What was found", (("", WORDS), ("", RIGHT)), tuple(rows(findings, system)))


def _number(one: Finding) -> float | None:
    return one.value if isinstance(one.value, float) else None
