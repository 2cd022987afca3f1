"""The worst of all checks, in a word and in a sentence."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from featherbench.checks import Verdict, short_name, verdict_text, worst_first
from featherbench.plain_text import plain

if TYPE_CHECKING:
    from featherbench.checks import Check


def worst_of(checks: Sequence[Check]) -> Check | None:
    """The check with the least safety; what fails or is not known before all others; None where none was made."""
    made = [check for check in worst_first(checks) if check.verdict is not Verdict.NOT_CHECKED]
    if made and made[0].verdict is Verdict.HOLDS:
        rated = [check for check in made if check.safety is not None and not check.holding]
        return min(rated, key=lambda check: check.safety or 0.0, default=made[0])
    return made[0] if made else None


def strength_text(checks: Sequence[Check]) -> str:
    """The worst verdict, such as "OK, 1.2 x"; "" where nothing was checked."""
    worst = worst_of(checks)
    return verdict_text(worst) if worst is not None else ""


def strength_note(checks: Sequence[Sequence[Check]]) -> str:
    """Which check is the worst of all builds, how many were made, and what could not be; "" where none was made."""
    every = [check for own in checks for check in own]
    worst = worst_of(every)
    if worst is None:
        return ""
    names = {check.name for check in every if check.verdict is not Verdict.NOT_CHECKED}
    lacking = {check.name for check in every if check.verdict is Verdict.NOT_CHECKED}
    missing = f"; not checked, data missing: {', '.join(sorted(lacking))}" if lacking else ""
    return plain(
        f"Checks: the worst of {len(names)} is {short_name(worst)} ({verdict_text(worst)}){missing}.", 400
    )
