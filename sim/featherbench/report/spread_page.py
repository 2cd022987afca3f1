"""A spread as one self-contained page."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import featherbench
from featherbench.report.numerals import percent
from featherbench.report.page import _minus, _unit_sign
from featherbench.report.plain_text import plain
from featherbench.report.spread_figure import spread_figure
from featherbench.report.spread_summary import (
    bounds,
    drawn_findings,
    interval,
    most,
    ranking,
    shown_findings,
    spread_answer,
    spread_notes,
    ways,
)
from featherbench.report.summary import title_of
from featherbench.report.svg import colour_rules, inline_svg
from featherbench.studies.findings import MEANINGS

if TYPE_CHECKING:
    from jinja2 import Template

    from featherbench.studies.spread import Spread

CAPTION = (
    "Filled: what the tolerance makes by itself; outlined: with what it makes together with others. The longer the "
    "bar, the more there is to gain by a closer tolerance or a better weighing."
)


def spread_page(spread: Spread, cautions: Sequence[str], system: str, command: str = "") -> str:
    """HTML of a spread. system: "metric" or "trade"; command: how it was asked for."""
    own = {one.key: one for one in spread.inputs}
    inputs = []
    for one in ranking(spread):
        low, high, unit = bounds(own[one.key], system)
        share = percent(one.share, sign=False)
        inputs.append((one.key, share, _minus(low), _minus(high), _unit_sign(unit)))
    picture = ""
    if drawn_findings(spread):
        picture = inline_svg(spread_figure(spread, system), "spread", f"Which tolerance matters. {CAPTION}")
    facts: dict[str, Any] = {
        "question": f"What do the tolerances do? {title_of(spread.nominal)}",
        "answer": [_minus(sentence) for sentence in spread_answer(spread, system)],
        "findings": [_row(one, system) for one in shown_findings(spread, everything=True)],
        "outcomes": [
            (MEANINGS[one.name].label, ways(one.outcomes)) for one in spread.findings.values() if one.outcomes
        ],
        "inputs": inputs,
        "picture": picture,
        "caption": CAPTION,
        "notes": spread_notes(spread),
        "left_out": spread.nominal.left_out,
        "cautions": cautions,
        "files": [str(name) for name in spread.scenario.source.files],
        "digest": spread.scenario.source.digest,
        "command": command,
        "version": featherbench.__version__,
        "light": colour_rules(dark=False),
        "dark": colour_rules(dark=True),
    }
    return _template().render(facts)


def _row(one: Any, system: str) -> tuple[str, str, str, str, str, str]:
    value, low, high, unit = interval(one, system)
    return MEANINGS[one.name].label, _minus(value), _minus(low), _minus(high), _unit_sign(unit), most(one)


@functools.cache
def _template() -> Template:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    loader = FileSystemLoader(Path(__file__).parent / "templates")
    environment = Environment(
        loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    environment.filters["plain"] = plain
    return environment.get_template("spread.html")
