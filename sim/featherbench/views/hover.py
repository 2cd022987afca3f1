"""The views of what is flown in hover: whether the tail wags, and neutral against a slight bias."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from featherbench.bench.release import told
from featherbench.guide.findings import FINDINGS_TABLE
from featherbench.hovering.bias_words import in_mah, turn_words
from featherbench.hovering.swept_point import FAILS, UNKNOWN
from featherbench.hovering.wag_readings import swing_range
from featherbench.hovering.wording import (
    CHOICE_RULES,
    choice_words,
    ends_of,
    healthy_words,
    over_words,
    pace_words,
    rest_words,
    seen_from,
    told_words,
    wag_rests_on,
)
from featherbench.numerals import quantity, unit_of
from featherbench.studies.motion import Flown, motion_of
from featherbench.views.bench import about_builds
from featherbench.views.bench_data import scenario_data, seeded
from featherbench.views.cases import Case
from featherbench.views.first_lines import of_bias, of_run
from featherbench.views.pictures import bias_pictures, wag_pictures
from featherbench.views.view import POINT, RIGHT, WORDS, Column, Row, Table, View, table_of

if TYPE_CHECKING:
    from featherbench.checks import Check
    from featherbench.hovering.bias import Bias, Point
    from featherbench.hovering.wag import Wag
    from featherbench.studies.run import Run

LEFT_OUT = (
    "flow from the main rotor, the boom's spring and the pilot are not in the flight",
    "the quick estimate (describing function) is for blades that float in the play, without gusts, and may be a third "
    "off in size and in frequency",
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
    about = _about(found, run, checks, cautions, system, wag_rests_on(found), seed)
    heading, travel = (over_words(found, name, system) for name in ("wag_heading", "wag_travel"))
    return replace(
        about,
        question=f"Does the tail wag? {about.title}",
        answer=(
            f"Wag in hover: {found.verdict.told}. "
            f"Play shows in {found.shown} draws of servo, shaking, friction and play (so in {found.shown.likely} of "
            "such tails).",
            f"Over the draws {heading} of heading, {travel} at the tail tip, peak to peak{pace_words(found, system)}; "
            f"{rest_words(found, system)}.",
            f"{found.advice[0].upper()}{found.advice[1:]}.",
            *healthy_words(found),
        ),
        tables=(*_causes(found), *about.tables),
        pictures=wag_pictures(found, system),
        motion=partial(motion_of, [run], [""], [Flown(found.flight.record, swing_range(found.flight))]),
        series=found.to_frame,
        data={
            **about.data,
            "draws": [one._asdict() for one in found.draws],
            "causes": [
                {"without": one.name, "quiet": one.quiet.hits, "of": one.quiet.of, "left": one.left}
                for one in found.causes
            ],
        },
    )


def _causes(found: Wag) -> tuple[Table, ...]:
    """What a visible wag is from, one cause taken away at a time."""
    if not found.causes:
        return ()
    rows = tuple((f"without {one.name}", str(one.quiet), f"{one.left:.2f} x") for one in found.causes)
    wagging = found.causes[0].quiet.of
    some = "draw that wags" if wagging == 1 else "draws that wag"
    title = f"What it is from: the {wagging} {some} visibly, one cause taken away at a time"
    return (table_of(title, (("", WORDS), ("quiet", RIGHT), ("wag left", RIGHT)), rows),)


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
    about = _about(found, run, checks, cautions, system, _bias_rests_on(found, system), seed)
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
    found: Wag | Bias,
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
            told_words(name, one, system),
            over_words(found, name, system) if name in found.ranges else "",
        )
        for name, one in found.findings.items()
    )
    columns = (("", WORDS), ("", RIGHT), ("over the draws", RIGHT))
    return replace(
        about_builds([Case("", run)], [checks], cautions, system),
        tables=(table_of("What was found", columns, rows),) if rows else (),
        notes=(),
        rests_on=rests_on,
        left_out=LEFT_OUT,
        data={
            **seeded(seed),
            "scenario": scenario_data(run.scenario),
            "findings": {
                name: {"value": one.value, "unit": unit_of(one.kind), **ends_of(found.ranges.get(name))}
                for name, one in found.findings.items()
            },
            "notes": rests_on,
            "left_out": LEFT_OUT,
            "cautions": tuple(cautions),
        },
    )


def _bias_answer(found: Bias, system: str) -> tuple[str, ...]:
    """The chosen build, whether that amount of weight may be run, and what it costs to go further."""
    point = found.chosen
    if point is None:
        return found.words
    force = quantity(point.rod_force, "force", system)
    said = [
        f"Aim for a compensation of {point.compensation:.2f}, weights {_turned(point.phase)}: largest rod force "
        f"{force}, {in_mah(point.charge_range)} mAh in five minutes of hover; released, the blades "
        f"{told(point.release)}.",
        *_may_it_run(point),
        f"{found.words[0][0].upper()}{found.words[0][1:]}.",
        *(f"{said}." for said in found.doubts),
        *(f"{said[0].upper()}{said[1:]}." for said in turn_words(point)),
    ]
    return tuple(said)


def _may_it_run(point: Point) -> tuple[str, ...]:
    """What forbids to run an amount of weight, or is not known of it."""
    if point.strength == FAILS:
        return (f"DO NOT RUN at that amount: {point.against}.",)
    if point.strength == UNKNOWN:
        return (f"Do not run that amount yet: {point.against}.",)
    return ()


def _bias_rests_on(found: Bias, system: str) -> tuple[str, ...]:
    """What it costs to go further, and the thresholds."""
    if found.chosen is None:
        return found.words
    asked = f"load over friction asked for in the hover band: {found.margin:g} (--margin)"
    return (
        *found.words[1:],
        *found.costs(system),
        *CHOICE_RULES,
        *choice_words(found),
        *([asked] if found.margin > 0.0 else []),
        seen_from(found.visible),
        f"each build was flown in the same {len(found.draws)} draws of servo loop, shaking, friction and play",
        "the gyro was set once for each draw, without play and without weights",
        "an amount of weight is judged as so many times heavier where it stands, not taller; the servo by its torque "
        "over the stroke, not by what it holds for long",
        "the checks below are of the build as written, not of the one to aim for",
    )


def _sweep(found: Bias, system: str) -> tuple[Table, ...]:
    """The sweep at the chosen phase, a row a compensation, those at other phases as details."""
    if not found.points:
        return ()
    columns = (
        Column("comp.", POINT),
        Column(),
        Column("turned deg", RIGHT, detail=True),
        Column("rod force", RIGHT),
        Column("mAh/5 min", RIGHT),
        Column("play shows", RIGHT),
        Column("in such tails", RIGHT, detail=True),
        Column("load over friction", POINT, gives_way=2),
        Column("wag deg", POINT, detail=True),
        Column("winding degC", POINT, detail=True),
        Column("released"),
        Column("strength", gives_way=1),
    )
    chosen = found.chosen
    kept = _beside(found)
    rows = (
        Row(
            (
                f"{point.compensation:.2f}",
                "<-" if point is chosen else "",
                f"{np.rad2deg(point.phase):+.0f}",
                quantity(point.rod_force, "force", system),
                in_mah(point.charge_range),
                str(point.shown),
                point.shown.likely,
                f"{point.seat_ratio_trim:.2f}",
                f"{np.rad2deg(point.wag_heading):.2f}",
                f"{point.winding_flown - 273.15:.0f}",
                told(point.release),
                "do not run" if point.strength == FAILS else point.strength,
            ),
            detail=chosen is not None and point.phase != chosen.phase,
            stops=point.strength == FAILS,
            stays=any(point is one for one in kept),
            chosen=point is chosen,
        )
        for point in sorted(found.points, key=_by_phase)
    )
    title = "The sweep (<- chosen)" if chosen is not None else "What was flown"
    return (Table(title, columns, tuple(rows)),)


def _beside(found: Bias) -> list[Point]:
    """What decides: the first, the chosen with those beside it, and the one that hover holds least to one side."""
    chosen = found.chosen
    row = sorted((one for one in found.points if chosen and one.phase == chosen.phase), key=_by_phase)
    if chosen is None or not row:
        return []
    place = next(number for number, one in enumerate(row) if one is chosen)
    return [row[0], *row[max(place - 1, 0) : place + 2], min(row, key=lambda one: one.seat_ratio_trim)]


def _by_phase(point: Point) -> tuple[float, float]:
    return point.phase, point.compensation


def _turned(phase: float) -> str:
    degrees = np.rad2deg(phase)
    return "square to the chord" if abs(degrees) < 0.5 else f"turned {degrees:+.0f} deg"
