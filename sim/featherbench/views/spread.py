"""The view of a spread: what tolerances and doubts do to every finding, and which of them matters."""

from __future__ import annotations

import functools
from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from featherbench.guide.findings import FINDINGS_TABLE
from featherbench.numerals import percent, unit_of
from featherbench.sampling.parts import parts_of, remedy
from featherbench.sampling.spread import METHOD
from featherbench.views.bench import about_builds
from featherbench.views.bench_data import run_data
from featherbench.views.cases import Case, title_of
from featherbench.views.first_lines import of_spread
from featherbench.views.pictures import spread_pictures
from featherbench.views.spread_summary import (
    LEADING,
    WORTH_NAMING,
    bounds,
    halves_text,
    interval,
    most,
    parts,
    ranking,
    shown_findings,
    spread_answer,
    spread_notes,
    ways,
)
from featherbench.views.view import POINT, RIGHT, UNIT, Column, Row, Table, View

if TYPE_CHECKING:
    from featherbench.checks import Check
    from featherbench.sampling.parts import Parts
    from featherbench.sampling.spread import FindingSpread, Spread


def spread_view(spread: Spread, checks: Sequence[Check], cautions: Sequence[str], system: str) -> View:
    """The view of a spread. checks: those of the build as written; system: "metric" or "trade"."""
    run = spread.nominal
    first = of_spread(spread, checks)
    about = about_builds([Case("", run)], [checks], cautions, system, first=first)
    tables = (_findings(spread, system), _inputs(spread, system), _remedies(spread))
    return replace(
        about,
        question=f"What do the tolerances do to “{title_of(run)}”?",
        answer=spread_answer(spread, system),
        tables=tuple(table for table in tables if table.rows or table.remarks),
        pictures=spread_pictures(spread, system),
        rests_on=spread_notes(spread),
        data=_data(spread, checks, cautions),
        series=functools.partial(spread.to_frame, "samples"),
    )


def _findings(spread: Spread, system: str) -> Table:
    """Every finding that spreads, with where 95 % of the builds lie; what came of each release in words under it."""
    columns = (
        Column(),
        Column("as written", POINT),
        Column("low", POINT),
        Column("high", POINT),
        Column("", UNIT),
        Column("mostly from"),
    )
    rows = (
        Row(
            (FINDINGS_TABLE[finding.name].label, *interval(finding, system), most(finding)),
            detail=finding.name not in LEADING,
        )
        for finding in shown_findings(spread, everything=True)
    )
    texts = (finding for finding in spread.findings.values() if finding.outcomes)
    remarks = (f"{FINDINGS_TABLE[text.name].label}: {ways(text.outcomes, spread)}" for text in texts)
    return Table("What tolerances and doubts do", columns, tuple(rows), tuple(remarks))


def _inputs(spread: Spread, system: str) -> Table:
    """What was varied in order of rank, with how far each was."""
    own = {varied.key: varied for varied in spread.inputs}
    return Table(
        "What matters (mean share of the spread of forces, currents and compensation)",
        (Column(), Column("share", RIGHT), Column("from", POINT), Column("to", POINT), Column("", UNIT)),
        tuple(
            Row((one.key, percent(one.share, sign=False), *bounds(own[one.key], system)))
            for one in ranking(spread)
        ),
        tuple(filter(None, (halves_text(spread),))),
    )


def _remedies(spread: Spread) -> Table:
    """What would shrink the shares worth naming, each way once, for the key that matters most of those it helps."""
    key_by_remedy = {
        remedy(one.key): one.key for one in reversed(ranking(spread)) if one.share >= WORTH_NAMING
    }
    remarks = (f"{key}: {how}" for how, key in reversed(key_by_remedy.items()))
    return Table("What would shrink it", remarks=tuple(remarks))


def _data(spread: Spread, checks: Sequence[Check], cautions: Sequence[str]) -> dict[str, Any]:
    """The nominal run's, each finding with its spread, and the shares of variance by key."""
    data = run_data(spread.nominal, checks, cautions, seed=spread.seed)
    tolerances, halves = spread.scenario.source.tolerances, parts(spread)
    spreads = {name: _spread_part(finding, tolerances) for name, finding in spread.findings.items()}
    return {
        **data,
        "findings": {name: {**found, **spreads.get(name, {})} for name, found in data["findings"].items()},
        "spread": {
            "runs": spread.done,
            "asked": spread.asked,
            "refused": spread.refused,
            "complete": spread.complete,
            "method": METHOD,
            "inputs": {
                varied.key: {"low": varied.low, "high": varied.high, "unit": unit_of(varied.kind)}
                for varied in spread.inputs
            },
            **({"parts": _halves(halves)} if halves else {}),
        },
        "shares": {one.key: one.share for one in ranking(spread)},
        "notes": [*data["notes"], *spread_notes(spread)],
    }


def _halves(parts: Parts) -> dict[str, float]:
    return {"from_measurements": parts.measured, "from_model": parts.model}


def _spread_part(finding: FindingSpread, tolerances: Collection[str]) -> dict[str, Any]:
    if FINDINGS_TABLE[finding.name].kind == "text":
        return {"outcomes": dict(finding.outcomes)}
    halves = parts_of([finding], tolerances)
    return {
        "low": finding.low,
        "high": finding.high,
        "standard": finding.standard,
        "share_known": finding.share_known,
        "shares": dict(finding.shares),
        "total_shares": dict(finding.total_shares),
        "unexplained": finding.unexplained,
        "parts": _halves(halves) if halves else None,
    }
