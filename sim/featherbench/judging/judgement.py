"""May this build be run: the first thing that anybody reads, from its checks and its release tests."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import degrees
from typing import TYPE_CHECKING

from featherbench.bench import landings
from featherbench.bench.release import ReleaseVerdict, told
from featherbench.checks.check import Check, Verdict
from featherbench.checks.within import AT_THE_END
from featherbench.checks.wording import by_what_to_state, short_name, times_text, told_together, worst_first

if TYPE_CHECKING:
    from featherbench.studies.run import Run

DO_NOT_RUN = "DO NOT RUN"
RUNS_OUT = "released at speed, these blades run to full pitch"
"""Warning of an over-balanced build."""
TOLD = 3
"""Missing facts that the first line spells out."""
NAMED = 6
"""Failing checks that the first line names, the worst of them; more would push what to do about it off the screen."""
CLOSE_CALL = "WARNING: too close to call"
"""Begins what is said of a build whose blades may run to full pitch, or may not."""
SURE = 0.95
"""Share of the samples from which on what they do is not too close to call."""


@dataclass(frozen=True)
class Judgement:
    """failing: checks that fail, least safety first. unknown: load paths whose strength or fixing is not known.

    runs_out: blades released at speed run to full pitch, on at least one side. remarks: what is probably a slip of
    typing, a sentence each. hunts: where the servo never comes to rest, or may not; "" where it always does.
    """

    failing: tuple[Check, ...]
    unknown: tuple[Check, ...]
    runs_out: bool = False
    remarks: tuple[str, ...] = ()
    hunts: str = ""

    @property
    def stop(self) -> bool:
        """Whether the build must not be run as it is written."""
        return bool(self.failing or self.unknown)

    @property
    def reasons(self) -> str:
        """What speaks against running it, such as "2 checks fail (thrust bearing 0.7 x, ...)"; "" when nothing does."""
        return "; ".join(_reasons(self))

    @property
    def lines(self) -> tuple[str, ...]:
        """What has to be read first: "DO NOT RUN: ..." and "WARNING: ..."; empty for a build with nothing amiss."""
        said = []
        if self.stop:
            said.append(f"{DO_NOT_RUN}: {self.reasons}.")
        if self.runs_out:
            said.append(f"WARNING: over-balanced, {RUNS_OUT}.")
        if self.hunts:
            said.append(f"{self.hunts}.")
        return (*said, *self.remarks)


def release_lines(
    high: Mapping[str, float], low: Mapping[str, float], samples: int, who: str = ""
) -> tuple[str, ...]:
    """What has to be read first where released blades do not do the same in almost all sampled builds.

    high, low: shares of the samples by verdict, blades released on either side; {} where none were sampled. who: which
    build, of several.
    """
    told: dict[str, list[str]] = {}
    for side, shares in (("high", high), ("low", low)):
        if shares and max(shares.values()) < SURE:
            told.setdefault(counted(shares, samples), []).append(side)
    if not told:
        return ()
    (words, sides), *other = told.items()
    where = f" on the {sides[0]} side" if len(sides) == 1 and high != low else ""
    also = "".join(f"; on the {own[0]} side they {text.rsplit(' of ', 1)[0]}" for text, own in other)
    warning = (
        CLOSE_CALL if any(ReleaseVerdict.RUNS_OUT.told in text for text in told) else "Too close to call"
    )
    whose = f' of "{who}"' if who else ""
    return (f"{warning}: released at speed{where}, the blades{whose} {words} samples{also}.",)


def counted(shares: Mapping[str, float], samples: int) -> str:
    """What came of each release test, such as "stay put in 75, run to full pitch in 25 of 100".

    shares: of the samples by verdict.
    """
    ordered = sorted(shares.items(), key=lambda item: (-item[1], item[0]))
    said = [f"{told(text)} in {round(share * samples)}" for text, share in ordered]
    return f"{', '.join(said)} of {samples}"


def judge(checks: Sequence[Check], run: Run | None = None) -> Judgement:
    """What the checks of one build, and its release tests, come to; `lines` says it, and `stop` whether to run it.

    >>> import featherbench as fb
    >>> over = fb.predict(fb.read(fb.example("survey-3kg/over")))
    >>> fb.judge(fb.bench_checks(over), over).lines
    ('WARNING: over-balanced, released at speed, these blades run to full pitch.',)
    """
    failing = [check for check in worst_first(checks) if check.verdict is Verdict.FAILS]
    unknown = tuple(check for check in checks if check.verdict is Verdict.UNKNOWN)
    runs_out = run is not None and ReleaseVerdict.RUNS_OUT in (
        run.release_high.verdict,
        run.release_low.verdict,
    )
    return Judgement(tuple(failing), unknown, runs_out, _remarks(run), _hunts(run))


def _hunts(run: Run | None) -> str:
    """From every move that was run to each place of the programme: one move tells only how that one ended."""
    if run is None:
        return ""
    places = landings.together(landings.counted(run.servo.legs), run.landings)
    hunted = [place for place in places if place.hunting]
    if not hunted:
        return ""
    always = [f"{degrees(place.target):.1f} deg" for place in hunted if place.hunting == place.moves]
    some = [
        f"after {place.hunting} of {place.moves} moves to {degrees(place.target):.1f} deg"
        for place in hunted
        if place.hunting < place.moves
    ]
    if not always:
        return f"MAY HUNT: the servo does not come to rest {', '.join(some)}; it depends on how it gets there"
    nor = "".join(f", nor {one}" for one in some)
    return f"HUNTING: the servo never comes to rest at {', '.join(always)}{nor}"


def _remarks(run: Run | None) -> tuple[str, ...]:
    """What is probably a slip of typing; nothing of curves that were not made from anything typed."""
    from featherbench.bench.setup import Setup
    from featherbench.slips import remarks

    return remarks(run.setup) if run is not None and isinstance(run.setup, Setup) else ()


def _lacking(unknown: Sequence[Check]) -> list[str]:
    """What is not known, by the fact that is missing; what to state for the first of them, all the rest by name."""
    said = []
    for number, (source, checks) in enumerate(by_what_to_state(unknown)):
        decides = f": it decides {len(checks)} checks" if len(checks) > 1 else ""
        said.append(told_together(checks) + (f" ({source}{decides})" if number < TOLD else ""))
    return said


def _named(failing: Sequence[Check]) -> str:
    """The worst of checks that fail, and how many more: one left over takes no more room than its number."""
    first = failing if len(failing) <= NAMED + 1 else failing[:NAMED]
    told = [f"{short_name(check)} {times_text(check.safety or 0.0)}" for check in first]
    more = [f"and {len(failing) - len(first)} more"] if len(first) < len(failing) else []
    return ", ".join((*told, *more))


def _reasons(judgement: Judgement) -> list[str]:
    said = []
    for within, where in ((False, ""), (True, f" {AT_THE_END}")):
        failing = [check for check in judgement.failing if check.within == within]
        if failing:
            count = f"{len(failing)} check{'s fail' if len(failing) > 1 else ' fails'}"
            said.append(f"{count}{where} ({_named(failing)})")
    if judgement.unknown:
        said.append(f"not known: {'; '.join(_lacking(judgement.unknown))}")
    return said
