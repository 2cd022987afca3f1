"""The views of a match and of a calibration: what the bench says of a prediction, and of the build."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from featherbench.libraries import needed
from featherbench.numerals import unit_of
from featherbench.studies.findings import Curves
from featherbench.views.bench import about_builds
from featherbench.views.bench_data import scenario_data, seeded
from featherbench.views.cases import Case
from featherbench.views.first_lines import of_calibration
from featherbench.views.fitted.drift import trend_data, trend_sheet, trends_in_words
from featherbench.views.fitted.match_summary import (
    advice_sheet,
    aside_sheet,
    builds_sheet,
    calibration_answer,
    correlation_sheet,
    fitted_sheet,
    improved_sheet,
    matched_sheet,
    series_sheet,
)
from featherbench.views.pictures import calibration_pictures, match_pictures
from featherbench.views.view import View

if TYPE_CHECKING:
    import pandas as pd

    from featherbench.checks import Check
    from featherbench.fitting.calibrate import Calibration
    from featherbench.fitting.match import Match, MatchedSeries
    from featherbench.fitting.next_measurement import Advice
    from featherbench.studies.run import Run


def match_view(match: Match, run: Run, checks: Sequence[Check], cautions: Sequence[str], system: str) -> View:
    """The view of a match. run and checks: of the bench run of the same build; system: "metric" or "trade"."""
    about = about_builds([Case("", run)], [checks], cautions, system)
    tables = (matched_sheet(match, system), series_sheet(match, system), trend_sheet(match.trends, system))
    return replace(
        about,
        question=f"Does the model agree with the bench? {about.title}",
        answer=(
            *(f"{said[0].upper()}{said[1:]}." for said in match.verdict.rstrip(".").split("; ")),
            *trends_in_words(match.trends, system),
        ),
        tables=tuple(table for table in tables if table.rows),
        pictures=match_pictures(match, system),
        notes=(),
        rests_on=match.notes,
        measured=match.data.digests,
        data=_match_data(match),
        series=functools.partial(_logs, match.series),
    )


def calibration_view(
    done: Calibration,
    advice: Advice | None,
    run: Run,
    checks: Sequence[Check],
    cautions: Sequence[str],
    system: str,
) -> View:
    """The view of a calibration. advice: what to measure next, where that was asked for; else as `match_view`."""
    about = about_builds([Case("", run)], [checks], cautions, system, first=of_calibration(done))
    tables = [make(done, system) for make in (fitted_sheet, improved_sheet, aside_sheet)]
    tables.insert(1, builds_sheet(done))
    tables += [trend_sheet(done.trends, system), correlation_sheet(done)]
    if advice is not None:
        tables.append(advice_sheet(advice, system))
    return replace(
        about,
        question=f"What does the bench say about the build? {about.title}",
        answer=(*calibration_answer(done, system), *trends_in_words(done.trends, system)),
        tables=tuple(table for table in tables if table.rows),
        pictures=calibration_pictures(done, system),
        notes=(),
        rests_on=done.notes,
        measured=done.data.digests,
        data=_calibration_data(done, advice),
    )


def _logs(series: Sequence[MatchedSeries]) -> pd.DataFrame:
    """Every logged column beside its prediction, one below the other; the first column says which."""
    pd = needed("pandas")

    parts = []
    for course in series:
        part = course.to_frame().rename(columns=lambda name: name.split(" [")[0])
        part.insert(0, "unit", unit_of(course.kind))
        part.insert(0, "series", course.name)
        parts.append(part.rename(columns={"time": "time [s]"}))
    names = ["series", "unit", "time [s]", "measured", "simulated", "low", "high"]
    return pd.concat(parts) if parts else pd.DataFrame(columns=names)


def _match_data(match: Match) -> dict[str, Any]:
    """Per quantity simulated, measured, u_simulated, u_measured (standard), e_n, low and high; per series bias, scatter
    and curves.
    """
    quantities = ("simulated", "measured", "u_simulated", "u_measured", "u_validation", "e_n", "low", "high")
    sides = ("measured", "simulated", "low", "high")
    return {
        **seeded(match.seed),
        "scenario": scenario_data(match.scenario),
        "data": dict(match.data.digests),
        "verdict": match.verdict,
        "match": {
            quantity.name: {
                **_named(quantity, quantities),
                "unit": unit_of(quantity.kind),
                "verdict": quantity.verdict,
            }
            for quantity in match.quantities
        },
        "series": {
            course.name: {
                **_named(course, ("bias", "scatter", "lag", "inside")),
                "unit": unit_of(course.kind),
            }
            for course in match.series
        },
        "curves": {
            course.name: Curves(
                {"time": course.time, **_named(course, sides)},
                {"time": "time", **dict.fromkeys(sides, course.kind)},
            )
            for course in match.series
        },
        "trends": trend_data(match.trends),
        "runs": match.runs,
        "complete": not match.interrupted,
        "notes": list(match.notes),
    }


def _calibration_data(done: Calibration, advice: Advice | None) -> dict[str, Any]:
    """Per unknown value, low, high (95 %), identified; correlation; what was kept aside; what to measure next."""
    from featherbench.fitting.improved import improved, not_improved

    fitted = done.fitted
    keys = [unknown.key for unknown in fitted.unknowns]
    asides = ("simulated", "measured", "u_simulated", "u_measured", "e_n")
    return {
        "scenario": scenario_data(done.scenario),
        "data": dict(done.data.digests),
        "calibrate": {
            unknown.key: {"value": float(value), "low": float(low), "high": float(high), "identified": good,
                      "start": unknown.start, "prior": unknown.deviation, "unit": unit_of(unknown.kind)}
            for unknown, value, low, high, good in zip(fitted.unknowns, fitted.values, fitted.low, fitted.high,
                                                   fitted.identified, strict=True)
        },
        "correlation": {
            key: dict(zip(keys, map(float, row), strict=True))
            for key, row in zip(keys, fitted.correlation, strict=True)
        },
        "improved": {
            one.key: {**_named(one, ("value", "before", "after")),
                      "unit": "factor" if one.factor else unit_of(one.kind)}
            for one in improved(done)
        },
        "not_improved": list(not_improved(done)),
        "cannot_tell_apart": [list(group) for group in fitted.confounded],
        "mean_squared_residual": {"before": done.before, "after": done.after},
        "kept_aside": {
            held_out.name: {**_named(held_out, asides), "unit": unit_of(held_out.kind)} for held_out in done.aside
        },
        "trends": trend_data(done.trends),
        "builds": {one.name: {"readings": one.readings, "logs": one.logs, "off": one.off} for one in done.builds},
        "complete": not fitted.interrupted,
        "notes": list(done.notes),
        **({"next": _advice_data(advice)} if advice is not None else {}),
    }  # fmt: skip


def _advice_data(advice: Advice) -> dict[str, Any]:
    return {
        "finding": advice.finding,
        "value": advice.value,
        "u_before": advice.before,
        "unit": unit_of(advice.kind),
        "candidates": [
            {
                "name": candidate.name,
                "what": candidate.words,
                "u_after": candidate.after,
                "share": candidate.share,
            }
            for candidate in advice.ranked
        ],
    }


def _named(one: Any, names: Sequence[str]) -> dict[str, Any]:
    """Some attributes, by name."""
    return {name: getattr(one, name) for name in names}
