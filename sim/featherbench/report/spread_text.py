"""A spread as plain text for a terminal or a pipe."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.console import Console

from featherbench.plain_text import plain
from featherbench.render.columns import Column
from featherbench.render.printing import (
    print_cautions,
    print_first,
    print_heading,
    print_list,
    print_table,
    say,
)
from featherbench.studies.findings import MEANINGS
from featherbench.studies.spread_parts import remedy
from featherbench.views.cases import title_of
from featherbench.views.first_lines import of_spread
from featherbench.views.numerals import percent
from featherbench.views.spread_summary import (
    WORTH_NAMING,
    bounds,
    halves_text,
    interval,
    most,
    ranking,
    shown_findings,
    spread_answer,
    spread_notes,
    ways,
)

if TYPE_CHECKING:
    from featherbench.studies.spread import Spread


def print_spread(
    spread: Spread, cautions: Sequence[str], system: str, console: Console, verbose: bool = False
) -> None:
    """Print what tolerances do. system: "metric" or "trade"; verbose: every finding, not the key ones."""
    print_first(console, of_spread(spread))
    say(console, title_of(spread.nominal), "bold")
    for sentence in spread_answer(spread, system):
        say(console, plain(sentence))
    print_heading(console, "What tolerances and doubts do")
    print_table(console, _finding_columns(spread, system, verbose))
    texts = [one for one in spread.findings.values() if one.outcomes]
    for one in texts:
        say(console, f"{MEANINGS[one.name].label}: {ways(one.outcomes)}")
    print_heading(console, "What matters (mean share of the spread of forces, currents and compensation)")
    print_table(console, _input_columns(spread, system))
    if said := halves_text(spread):
        say(console, said)
    shrink = {remedy(own.key): own.key for own in reversed(ranking(spread)) if own.share >= WORTH_NAMING}
    print_list(console, "What would shrink it", [f"{key}: {how}" for how, key in reversed(shrink.items())])
    print_list(console, "Notes", spread_notes(spread))
    print_cautions(console, cautions if verbose else ())


def _finding_columns(spread: Spread, system: str, verbose: bool) -> list[Column]:
    found = shown_findings(spread, verbose)
    rows = [interval(one, system) for one in found]
    return [
        Column("", tuple(MEANINGS[one.name].label for one in found), shrinks=True),
        Column("as written", tuple(row[0] for row in rows), "point"),
        Column("low", tuple(row[1] for row in rows), "point"),
        Column("high", tuple(row[2] for row in rows), "point"),
        Column("", tuple(row[3] for row in rows)),
        Column("mostly from", tuple(plain(most(one, 1)) for one in found), shrinks=True),
    ]


def _input_columns(spread: Spread, system: str) -> list[Column]:
    own = {one.key: one for one in spread.inputs}
    ranked = ranking(spread)
    rows = [bounds(own[one.key], system) for one in ranked]
    return [
        Column("", tuple(plain(one.key) for one in ranked), shrinks=True),
        Column("share", tuple(percent(one.share, sign=False) for one in ranked), "right"),
        Column("from", tuple(row[0] for row in rows), "point"),
        Column("to", tuple(row[1] for row in rows), "point"),
        Column("", tuple(row[2] for row in rows)),
    ]
