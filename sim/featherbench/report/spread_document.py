"""A spread as one document for other programs: SI, low and high beside every value, shares by key path."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING, Any

from featherbench.render.document import heading, plain_data
from featherbench.studies.findings import MEANINGS
from featherbench.studies.spread import METHOD
from featherbench.studies.spread_parts import parts_of
from featherbench.views.bench_data import run_data
from featherbench.views.first_lines import of_spread
from featherbench.views.numerals import unit_of
from featherbench.views.spread_summary import parts, ranking, spread_notes

if TYPE_CHECKING:
    from featherbench.checks import Check
    from featherbench.studies.spread import FindingSpread, Spread


def spread_document(spread: Spread, checks: Sequence[Check], cautions: Sequence[str]) -> dict[str, Any]:
    """The document of the nominal run, each finding with its spread, and the shares of variance."""
    document = {
        **heading(of_spread(spread, checks)),
        **plain_data(run_data(spread.nominal, checks, cautions, seed=spread.seed)),
    }
    findings = document["findings"]
    for name, one in spread.findings.items():
        findings[name] = {**findings[name], **_spread_part(one, spread.scenario.source.tolerances)}
    document["spread"] = {
        "runs": spread.done,
        "asked": spread.asked,
        "refused": spread.refused,
        "complete": spread.complete,
        "method": METHOD,
        "inputs": {
            own.key: {"low": own.low, "high": own.high, "unit": unit_of(own.kind)} for own in spread.inputs
        },
    }
    halves = parts(spread)
    if halves is not None:
        document["spread"]["parts"] = {"from_measurements": halves.measured, "from_model": halves.model}
    document["shares"] = {own.key: own.share for own in ranking(spread)}
    document["notes"] = [*document["notes"], *spread_notes(spread)]
    return document


def _spread_part(one: FindingSpread, tolerances: Collection[str]) -> dict[str, Any]:
    own = parts_of([one], tolerances)
    if MEANINGS[one.name].kind == "text":
        return {"outcomes": dict(one.outcomes)}
    return {
        "low": one.low,
        "high": one.high,
        "standard": one.standard,
        "share_known": one.share_known,
        "shares": dict(one.shares),
        "total_shares": dict(one.total_shares),
        "unexplained": one.unexplained,
        "parts": {"from_measurements": own.measured, "from_model": own.model} if own else None,
    }
