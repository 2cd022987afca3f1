"""The views of what is flown in hover: whether the tail wags, and neutral against a slight bias."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from typing import TYPE_CHECKING

import numpy as np

from featherbench.bench.release import told
from featherbench.studies.bias import FAILS, FLIGHT_SECONDS, PLAY_FLOOR, UNKNOWN
from featherbench.studies.findings import FINDINGS_TABLE
from featherbench.studies.free_play import HOVER_BAND
from featherbench.studies.wag import KICK, PLAY_SHOWS, SECONDS
from featherbench.views.bench import about_builds
from featherbench.views.bench_data import scenario_data, seeded
from featherbench.views.cases import Case
from featherbench.views.first_lines import of_bias, of_run
from featherbench.views.numerals import quantity, unit_of
from featherbench.views.pictures import bias_pictures, wag_pictures
from featherbench.views.view import POINT, RIGHT, WORDS, Column, Row, Table, View, table_of

if TYPE_CHECKING:
    from featherbench.checks import Check
    from featherbench.studies.bias import Bias, Point
    from featherbench.studies.findings import Finding
    from featherbench.studies.run import Run
    from featherbench.studies.wag import Wag

LEFT_OUT = (
    "flow from the main rotor, the boom's spring and the pilot are not in the flight",
    "the estimate by describing function leaves out the servo's dead band and friction; the simulation has them",
)


def wag_view(
    found: Wag,
    run: Run,
    checks: Sequence[Check],
    cautions: Sequence[str],
    system: str,
    *,
    seed: int | None = None,
) -> View:
    """The view of a flight in hover. run and checks: of the bench run of the same build; system: as in `run_view`."""
    about = _about(found.findings, run, checks, cautions, system, _wag_rests_on(found), seed)
    heading, travel = (
        quantity(_number(found.findings[name]), kind, system)
        for name, kind in (("wag_heading", "angle"), ("wag_travel", "length"))
    )
    return replace(
        about,
        question=f"Does the tail wag? {about.title}",
        answer=(
            f"Wag in hover: {found.verdict}, {heading} of heading, {travel} at the tail tip, peak to peak.",
            f"{found.advice[0].upper()}{found.advice[1:]}.",
        ),
        pictures=wag_pictures(found, system),
        series=found.to_frame,
    )


def bias_view(
    found: Bias,
    run: Run,
    checks: Sequence[Check],
    cautions: Sequence[str],
    system: str,
    *,
    seed: int | None = None,
) -> View:
    """The view of the sweep from no weights to too many; otherwise as `wag_view`."""
    about = _about(found.findings, run, checks, cautions, system, _bias_rests_on(found), seed)
    return replace(
        about,
        question=f"Neutral, or a slight bias? {about.title}",
        answer=_bias_answer(found, system),
        first=of_bias(found, of_run(run, checks)),
        tables=(*_sweep(found, system), *about.tables),
        pictures=bias_pictures(found, system),
        data={**about.data, "sweep": [asdict(point) for point in found.points]},
        series=found.to_frame,
    )


def _about(
    findings: Mapping[str, Finding],
    run: Run,
    checks: Sequence[Check],
    cautions: Sequence[str],
    system: str,
    rests_on: tuple[str, ...],
    seed: int | None,
) -> View:
    """What both have in common; rests_on: every threshold with how to change it."""
    rows = tuple(
        (
            FINDINGS_TABLE[name].label,
            one.value if isinstance(one.value, str) else quantity(one.value, one.kind, system),
        )
        for name, one in findings.items()
    )
    return replace(
        about_builds([Case("", run)], [checks], cautions, system),
        tables=(table_of("What was found", (("", WORDS), ("", RIGHT)), rows),) if rows else (),
        notes=(),
        rests_on=rests_on,
        left_out=LEFT_OUT,
        data={
            **seeded(seed),
            "scenario": scenario_data(run.scenario),
            "findings": {
                name: {"value": one.value, "unit": unit_of(one.kind)} for name, one in findings.items()
            },
            "notes": rests_on,
            "left_out": LEFT_OUT,
            "cautions": tuple(cautions),
        },
    )


def _wag_rests_on(found: Wag) -> tuple[str, ...]:
    pitch, low, high = (_number(found.findings[name]) for name in ("hover_pitch", "float_low", "float_high"))
    overlaps = pitch is not None and found.free_play.floats_between(pitch - HOVER_BAND, pitch + HOVER_BAND)
    window = "" if low is None or high is None else f" ({np.rad2deg(low):.1f} to {np.rad2deg(high):.1f} deg)"
    return (
        f"the float window{window} {'overlaps' if overlaps else 'stays clear of'} the hover band, "
        f"{np.rad2deg(HOVER_BAND):g} deg to either side of the hover pitch",
        f"a wag is seen from {np.rad2deg(found.limits.visible_heading):g} deg or "
        f"{1e3 * found.limits.visible_travel:g} mm at the tail tip (--visible-heading, --visible-travel)",
        f"play shows when the calm wag exceeds the play-free one by a factor of {PLAY_SHOWS:g}",
        f"{SECONDS:g} s are flown (--seconds) from {np.rad2deg(KICK):g} deg off heading; the second half is read",
        "a gyro margin of 8 stands for 8 or more",
    )


def _bias_answer(found: Bias, system: str) -> tuple[str, ...]:
    """The chosen build, whether that amount of weight may be run, and what it costs to go further."""
    point = found.chosen
    if point is None:
        return found.words
    force, in_hover = (quantity(value, "force", system) for value in (point.rod_force, point.rod_force_hover))
    said = [
        f"Aim for a compensation of {point.compensation:.2f}, weights {_turned(point.phase)}: largest rod force "
        f"{force}, {in_hover} in hover; released, the blades {told(point.release)}."
    ]
    if point.strength == FAILS:
        said.append(f"DO NOT RUN at that amount: {point.against}.")
    if point.strength == UNKNOWN:
        said.append(f"Do not run that amount yet: {point.against}.")
    return tuple(said)


def _bias_rests_on(found: Bias) -> tuple[str, ...]:
    """What it costs to go further, and the thresholds."""
    cut = (f"interrupted: only {len(found.points)} builds are in this answer",) if found.interrupted else ()
    return (
        *cut,
        *found.words,
        f"seat ratio asked for over the hover band: {found.margin:g} (--margin)",
        f"a wag is seen from {np.rad2deg(found.visible):.3g} deg (--visible-heading, --visible-travel); within "
        f"{PLAY_FLOOR:g} times what seated builds show, {np.rad2deg(found.floor):.2f} deg, play is not blamed for it",
        f"each build was flown for {FLIGHT_SECONDS:g} s",
        "an amount of weight is judged as so many times heavier where it stands, not taller; the servo by its torque "
        "over the stroke, not by what it holds for long",
        "the checks below are of the build as written, not of the one to aim for",
    )


def _sweep(found: Bias, system: str) -> tuple[Table, ...]:
    """The sweep at the chosen phase, a row a compensation, those at other phases as details."""
    chosen = found.chosen
    if chosen is None:
        return ()
    columns = (
        Column("comp.", POINT),
        Column(),
        Column("turned deg", RIGHT, detail=True),
        Column("rod force", RIGHT),
        Column("in hover", RIGHT),
        Column("seat", POINT),
        Column("wag deg", POINT),
        Column("released"),
        Column("strength", gives_way=1),
    )
    rows = (
        Row(
            (
                f"{point.compensation:.2f}",
                "<-" if point is chosen else "",
                f"{np.rad2deg(point.phase):+.0f}",
                quantity(point.rod_force, "force", system),
                quantity(point.rod_force_hover, "force", system),
                f"{point.seat_ratio:.2f}",
                f"{np.rad2deg(point.wag_heading):.2f}",
                told(point.release),
                "do not run" if point.strength == FAILS else point.strength,
            ),
            detail=point.phase != chosen.phase,
            stops=point.strength == FAILS,
            stays=point is chosen,
        )
        for point in sorted(found.points, key=_by_phase)
    )
    return (Table("The sweep (<- chosen)", columns, tuple(rows)),)


def _by_phase(point: Point) -> tuple[float, float]:
    return point.phase, point.compensation


def _turned(phase: float) -> str:
    degrees = np.rad2deg(phase)
    return "square to the chord" if abs(degrees) < 0.5 else f"turned {degrees:+.0f} deg"


def _number(one: Finding) -> float | None:
    return one.value if isinstance(one.value, float) else None
