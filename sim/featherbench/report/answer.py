"""The answer in words: what the bench run of one build shows, or what a change of build does to it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from featherbench.report.numerals import row_texts
from featherbench.report.summary import cases_of, title_of

if TYPE_CHECKING:
    from featherbench.studies.run import Comparison, Run

LET_GO = {
    "returns": ("run back toward flat pitch", "running back toward flat pitch"),
    "stays": ("stay where they are put", "staying where they are put"),
    "runs out": ("run out toward full pitch", "running out toward full pitch"),
}
"""What the blades do and what they do it instead of, by verdict."""


def run_question(run: Run) -> str:
    """What the page of one build answers."""
    return f"What do gauge, meter and a released rod show on the bench of “{title_of(run)}”?"


def comparison_question(comparison: Comparison) -> str:
    """What the page of a comparison answers."""
    first, *others = (f"“{title_of(run)}”" for run in comparison.runs)
    return f"What changes on the bench from {first} to {' or '.join(others)}?"


def run_answer(run: Run, system: str) -> tuple[str, ...]:
    """Sentences: force and torque; currents; release; and the ends that were not reached."""
    sentences = []
    force, side = max((_number(run, "rod_force_push"), "push"), (_number(run, "rod_force_pull"), "pull"))
    share = run.findings["servo_torque_share"].value
    torque = (
        f"; moving takes at most {100.0 * share:.0f} % of the servo's stall torque"
        if isinstance(share, float)
        else ""
    )
    sentences.append(f"Largest force on the rod: {_one(force, 'force', system)} ({side}){torque}.")
    end = _end_of_most_current([run])
    if end is not None:
        hold, peak = (_number(run, f"current_{what}_{end}") for what in ("hold", "peak"))
        sentences.append(
            f"Holding the {end} end draws {_one(hold, 'current', system)} from the supply, "
            f"moving there {_one(peak, 'current', system)} at most."
        )
    high, low = run.release_high.verdict, run.release_low.verdict
    on_low = f"; on the low side they {LET_GO[low][0]}" if low != high else ""
    sentences.append(f"Let go on the high side, the blades {LET_GO[high][0]}{on_low}.")
    return (*sentences, *_not_reached("", run))


def comparison_answer(comparison: Comparison, system: str) -> tuple[str, ...]:
    """Sentences on each build against the first: force, currents, release; and moves that did not arrive."""
    first, *others = cases_of(comparison.runs)
    sentences = []
    for case in others:
        name = f"{case.name}: " if len(others) > 1 else ""
        sentences.append(f"{name}Largest force on the rod {_force_change(first.run, case.run, system)}.")
        currents = _current_change(first.run, case.run, system)
        if currents:
            sentences.append(f"{name}Supply current {currents}.")
        sentences.append(f"{name}Let go, the blades {_release_change(first.run, case.run)}.")
    for case in (first, *others):
        sentences += _not_reached(f"{case.name}: ", case.run)
    return tuple(sentences)


def _force_change(before: Run, after: Run, system: str) -> str:
    one, two = (
        max(_number(run, "rod_force_push"), _number(run, "rod_force_pull")) for run in (before, after)
    )
    return _change(one, two, "force", system)


def _current_change(before: Run, after: Run, system: str) -> str:
    end = _end_of_most_current([before, after])
    if end is None:
        return ""
    hold, peak = (
        _change(_number(before, name), _number(after, name), "current", system)
        for name in (f"current_hold_{end}", f"current_peak_{end}")
    )
    verb = hold.split(" ", 1)[0]
    return f"{hold} holding the {end} end, and {peak.removeprefix(verb).strip()} moving there"


def _release_change(before: Run, after: Run) -> str:
    first = (before.release_high.verdict, before.release_low.verdict)
    then = (after.release_high.verdict, after.release_low.verdict)
    instead = "" if then[0] == first[0] else f" instead of {LET_GO[first[0]][1]}"
    if then[0] == then[1] and first[0] == first[1]:
        return LET_GO[then[0]][0] + (instead or ", as before")
    low = "" if then[1] == first[1] else f" instead of {LET_GO[first[1]][1]}"
    return f"{LET_GO[then[0]][0]} on the high side{instead}, and {LET_GO[then[1]][0]} on the low side{low}"


def _end_of_most_current(runs: list[Run]) -> str | None:
    """The end where the first run holds with more current, of those that every run has."""
    ends = [
        end
        for end in ("high", "low")
        if all(isinstance(run.findings[f"current_hold_{end}"].value, float) for run in runs)
    ]
    return max(ends, key=lambda end: _number(runs[0], f"current_hold_{end}"), default=None)


def _not_reached(prefix: str, run: Run) -> list[str]:
    short = [leg for leg in run.servo.legs if not leg.reached]
    if not short:
        return []
    return [
        f"{prefix}The servo does not get where it is told in {len(short)} of {len(run.servo.legs)} moves: "
        "see the notes."
    ]


def _change(before: float, after: float, kind: str, system: str) -> str:
    """Such as "falls from 41 to 5 ozf"."""
    (one, two), unit, _ = row_texts([before, after], kind, system, figures=2, least=1)
    if one == two:
        return f"stays at {one} {unit}"
    return f"{'falls' if after < before else 'rises'} from {one} to {two} {unit}"


def _one(value: float, kind: str, system: str) -> str:
    (number,), unit, _ = row_texts([value], kind, system, figures=2)
    return f"{number} {unit}"


def _number(run: Run, name: str) -> float:
    value = run.findings[name].value
    return value if isinstance(value, float) else 0.0
