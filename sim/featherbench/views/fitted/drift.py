"""Trends over the days, as sentences, a table and data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from featherbench.numerals import percent, row_texts, unit_of
from featherbench.views.view import RIGHT, WORDS, Table, table_of

if TYPE_CHECKING:
    from featherbench.fitting.drift import Trend


def trends_in_words(trends: Sequence[Trend], system: str) -> tuple[str, ...]:
    """What is seen to change with the days, a sentence each; one that nothing is, where days were compared."""
    if not trends:
        return ()
    seen = [one for one in trends if one.seen]
    if not seen:
        days = (trends[0].days[-1] - trends[0].days[0]).days
        return (f"Over {_days(days)} no trend is seen beyond what the readings leave open.",)
    return tuple(_sentence(one, system) for one in seen)


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"


def _sentence(trend: Trend, system: str) -> str:
    """Which way, from what to what, how fast, and what to do."""
    (first, last, by, low, high), unit = _texts(
        [
            trend.values[0],
            trend.values[-1],
            trend.change,
            trend.change - trend.doubt,
            trend.change + trend.doubt,
        ],
        trend,
        system,
    )
    what = f"{trend.what[0].upper()}{trend.what[1:]}"
    by = by.lstrip("+")
    way = "grows" if trend.change > 0.0 else "falls"
    if trend.kind == "force":
        do = (
            "look at grease, dirt and wear of bearing, slider and ball links"
            if trend.change > 0.0
            else "run in, oiled, or something has come loose"
        )
    else:
        do = "look at tachometer, blades, weights and the gauge before you blame the day's air"
    return (
        f"{what}, {way}: {first}{unit} on {trend.days[0]}, {last} on {trend.days[-1]}, by {by}{unit} in 30 days "
        f"({low} to {high}); {do}."
    )


def _texts(values: Sequence[float], trend: Trend, system: str) -> tuple[list[str], str]:
    """Numbers as shown, and their unit with a blank before it; a change is part of the same row of digits."""
    if trend.kind == "ratio":
        first, last, *changes = values
        shown = [percent(one, sign=False) for one in (first, last)]
        return [*shown, *(percent(one, sign=True) for one in changes)], ""
    texts, unit, _ = row_texts(list(values), trend.kind, system)
    return [*texts], f" {unit}"


def trend_sheet(trends: Sequence[Trend], system: str) -> Table:
    """A row a figure and day, with what holds 95 %, and the change in 30 days below."""
    rows: list[tuple[str, ...]] = []
    for trend in trends:
        for day, value, doubt in zip(trend.days, trend.values, trend.doubts, strict=True):
            rows.append((trend.what, str(day), *_with_doubt(value, 2.0 * doubt, trend, system)))
        rows.append((trend.what, "in 30 days", *_with_doubt(trend.change, trend.doubt, trend, system)))
    return table_of(
        "Over the days",
        (("", WORDS), ("", WORDS), ("value", RIGHT), ("+/-", RIGHT), ("", WORDS)),
        tuple(rows),
    )


def _with_doubt(value: float, doubt: float, trend: Trend, system: str) -> tuple[str, str, str]:
    if trend.kind == "ratio":
        return percent(value, sign=False), percent(doubt, sign=False), ""
    texts, unit, _ = row_texts([value, doubt], trend.kind, system)
    return texts[0], texts[1], unit


def trend_data(trends: Sequence[Trend]) -> dict[str, Any]:
    """For programs, SI: by figure the days with value and standard uncertainty, and the change in 30 days."""
    return {
        one.what: {
            "unit": unit_of(one.kind),
            "days": [
                {"date": str(day), "value": value, "u": doubt}
                for day, value, doubt in zip(one.days, one.values, one.doubts, strict=True)
            ],
            "change_in_30_days": one.change,
            "low": one.change - one.doubt,
            "high": one.change + one.doubt,
            "seen": one.seen,
        }
        for one in trends
    }
