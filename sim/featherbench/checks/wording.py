"""How a check is told, everywhere: "OK, 1.9 x", "FAILS, 0.6 x", and in which order checks are read."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from math import floor, isfinite, log10

from featherbench.checks.check import Check, Verdict

MANY = 10.0
"""Safety above which nobody asks for the figure."""
AT_LIMIT = "nothing to spare"
RANK = {Verdict.FAILS: 0, Verdict.UNKNOWN: 1, Verdict.HOLDS: 2, Verdict.NOT_CHECKED: 3}
_AT_SPEED = re.compile(r" at [\d.]+ x speed$")


def times_text(safety: float) -> str:
    """Allowed over demanded, such as "1.9 x"; what lies below 1 never reads as 1, nor what lies above 0 as 0."""
    if not isfinite(safety):
        return "no figure"
    if safety > MANY:
        return f"more than {MANY:g} x"
    if safety <= 0.0:
        return "0 x"
    if safety >= 1.0 or 0.1 <= safety < 0.95:
        return f"{safety:.1f} x"
    if safety < 0.001:
        return "less than 0.001 x"
    if safety < 0.1:
        places = -floor(log10(safety))
        return f"{safety:.{places}f} x"
    for places in (2, 3, 4):
        shown = (
            floor(safety * 10**places) / 10**places
        )  # rounded down: what fails must not look as if it held
        if shown < 1.0 and 1.0 - safety >= 10.0 ** -(places + 1):
            return f"{shown:.{places}f} x"
    return "just below 1 x"


def verdict_text(check: Check) -> str:
    """What a check came to, in the words of every table, page, window and drawing; not what to state (`source`)."""
    verdict, safety = check.verdict, check.safety
    if verdict is Verdict.FAILS:
        return f"FAILS, {times_text(0.0 if safety is None else safety)}"
    if verdict is Verdict.UNKNOWN:
        return "unknown: do not run"
    if verdict is Verdict.NOT_CHECKED:
        return "not checked"
    if safety is None:
        return "OK, no load"
    if check.holding:
        return f"OK, {check.holding}"
    return f"OK, {AT_LIMIT if times_text(safety) == '1.0 x' else times_text(safety)}"


def short_name(check: Check) -> str:
    """Its name without the speed that many checks have in common."""
    return _AT_SPEED.sub("", check.name)


def by_what_to_state(checks: Iterable[Check]) -> tuple[tuple[str, tuple[Check, ...]], ...]:
    """Checks that could not be made, together with what to state for them: one missing fact is told once, and a check
    of several builds that lack it as well.
    """
    found: dict[str, dict[str, Check]] = {}
    for check in checks:
        found.setdefault(check.source, {}).setdefault(check.name, check)
    return tuple((source, tuple(each.values())) for source, each in found.items())


def told_together(checks: Sequence[Check]) -> str:
    """Names of checks in as few words as tell them apart, such as "blade bolt, bolt pressure in the grip"."""
    if len(checks) == 1:
        return short_name(checks[0])
    return ", ".join(dict.fromkeys(short_name(check).partition(", ")[0] for check in checks))


def lacking(checks: Iterable[Check]) -> list[str]:
    """Sentences without an end, one for each fact that is missing: what to state, and which checks it decides."""
    return [
        f"{short_name(each[0])} ({source})"
        if len(each) == 1
        else f"{source} (it decides {len(each)} checks: {told_together(each)})"
        for source, each in by_what_to_state(checks)
    ]


def worst_first(checks: Sequence[Check]) -> tuple[Check, ...]:
    """Checks that fail, least safety first; then unknown load paths; then what holds; last what could not be made."""
    return tuple(
        sorted(
            checks,
            key=lambda check: (
                RANK[check.verdict],
                (check.safety or 0.0) if check.verdict is Verdict.FAILS else 0.0,
            ),
        )
    )
