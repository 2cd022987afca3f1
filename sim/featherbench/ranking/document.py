"""A ranking as a program reads it: SI, the same names for ever."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from featherbench.notebook import unit
from featherbench.ranking.measures import COSTS, MEASURES
from featherbench.ranking.outcome import Ranking, Tried


def ranking_document(found: Ranking, against: Mapping[str, str]) -> dict[str, Any]:
    """What was tried, what must not be made first. against: by words of a change what speaks against it."""
    best = found.praised()
    ordered = [*found.spoiled, *(one for one in found.tried if one not in found.spoiled)]
    return {
        "seed": found.seed,
        "by": found.by,
        "samples": {"asked": found.asked, "done": found.done, "complete": found.complete},
        "most_for_least": best[0].change.words if best else None,
        "tried": [_tried(one, against.get(one.change.words, "")) for one in ordered],
        "left_out": [{"words": one.words, "why": one.refused} for one in found.left_out],
    }


def _unit(kind: str) -> str:
    return unit(kind) or "1"


def _tried(one: Tried, against: str) -> dict[str, Any]:
    """One change: measures and costs, with low and high of the change."""
    figures = {}
    for name, meaning in {**MEASURES, **COSTS}.items():
        low, high = one.ranges.get(name) or (None, None)
        figures[name] = {
            "before": one.before[name],
            "after": one.values[name],
            "change": one.moved(name),
            "low": low,
            "high": high,
            "unit": _unit(meaning.kind),
        }
    return {
        "words": one.change.words,
        "settings": [
            {"key": own.key, "before": own.before, "after": own.after, "unit": _unit(own.kind)}
            for own in one.change.settings
        ],
        "remark": one.change.remark,
        "holds": not against,
        "against": against,
        "figures": figures,
    }
