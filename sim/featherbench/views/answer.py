"""The answer in words: what the bench run of one build shows, or what a change of build does to it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from featherbench.bench.legs import Ending
from featherbench.numerals import display_factor, range_text, row_texts, spread_decimals
from featherbench.views.brief.doubts import change_in_doubt, in_doubt, largest_side
from featherbench.views.brief.likely import MOST, likely_text
from featherbench.views.brief.released import release_told
from featherbench.views.cases import Case, cases_of, title_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from featherbench.sampling.sampled import Sampled
    from featherbench.studies.run import Comparison, Run


def run_question(run: Run) -> str:
    """What the page of one build answers."""
    return f"What do gauge, meter and a released rod show on the bench of “{title_of(run)}”?"


def comparison_question(comparison: Comparison) -> str:
    """What the page of a comparison answers."""
    first, *others = (f"“{title_of(run)}”" for run in comparison.runs)
    if len(others) > 1:  # which they are stands below
        return f"What changes on the bench from {first} to each of {len(others)} other builds?"
    return f"What changes on the bench from {first} to {others[0]}?"


def run_answer(run: Run, system: str, sampled: Sampled | None = None) -> tuple[str, ...]:
    """Sentences: force and torque; currents; release; and the ends that were not reached.

    sampled: what tolerances and doubts do, for the ranges of the force and of what a hold draws.
    """
    sentences = []
    force, side = largest_side(run)
    share = run.findings["servo_torque_share"].value
    torque = (
        f"; moving takes at most {100.0 * share:.0f} % of the servo's stall torque"
        if isinstance(share, float) and share > 0.005 and _strong_enough(run)
        else ""
    )
    doubts = in_doubt(sampled.builds[0].intervals.get(f"rod_force_{side}"), system) if sampled else ""
    sentences.append(f"Largest force on the rod: {_one(force, 'force', system)} ({side}){doubts}{torque}.")
    end = _end_of_most_current([run])
    if end is not None:
        peak = _number(run, f"current_peak_{end}")
        sentences.append(
            f"Holding the {end} end draws {_held(run, end, system, sampled)}; moving there takes "
            f"{_one(peak, 'current', system)} at most."
        )
    sentences.append(release_told(run, None, sampled.builds[0] if sampled else None))
    return (*sentences, *_not_reached("", run))


def _held(run: Run, end: str, system: str, sampled: Sampled | None) -> str:
    """What a hold draws: a range, since friction holds with the servo; from samples where there are any."""
    found = _held_in_samples(run, 0, end, system, sampled)
    if found:
        return found
    edges = [run.findings.get(f"hold_{edge}_{end}") for edge in ("least", "most")]
    known = [one.value for one in edges if one is not None and isinstance(one.value, float)]
    here = _number(run, f"current_hold_{end}")
    if len(known) < 2:
        return f"{_one(here, 'current', system)} from the supply"
    (low, high, now), unit, _ = row_texts([*known, here], "current", system, figures=2)
    return f"{now} {unit} after this move, {low} to {high} {unit} by friction and how the stick got there"


def _held_in_samples(run: Run, number: int, end: str, system: str, sampled: Sampled | None) -> str:
    """The range that samples of a build find for a hold, and where they lie closest; empty where none tell."""
    own = sampled.builds[number] if sampled is not None and run.scenario.doubt.stick > 0.0 else None
    name = f"holding_{end}"
    if own is None or name not in own.intervals or name not in own.likely:
        return ""
    found, (_, unit) = own.intervals[name], display_factor("current", system)
    places = spread_decimals([0.5 * (found.high - found.low)], "current", system) or MOST
    between = range_text(found.low, found.high, "current", system, places)
    return f"{between} {unit}, most likely about {likely_text(own, name, places, system)} {unit}"


def _strong_enough(run: Run) -> bool:
    """Whether a share of the servo's torque says anything: of one that falls short it does not."""
    has = np.all(run.statics.rod_breakaway + np.abs(run.statics.rod_force) <= run.statics.servo_force)
    return bool(has) and all(leg.reached for leg in run.servo.legs)


def comparison_answer(
    comparison: Comparison, system: str, sampled: Sampled | None = None, *, each: bool = True
) -> tuple[str, ...]:
    """Sentences on what changes: force, currents, release; of several builds one each, after the one with the least
    force; and moves that did not arrive.

    sampled: what tolerances and doubts do, by which the least force may be too close to call. each: a sentence
    on each of several builds.
    """
    first, *others = cases_of(comparison.runs)
    if len(others) == 1:
        after = others[0].run
        doubts = change_in_doubt(first.run, after, sampled, system) if sampled else ""
        sentences = [f"Largest force on the rod {_force_change(first.run, after, system)}{doubts}."]
        sentences += _current_change(first.run, after, system, sampled)
        sentences.append(release_told(after, first.run, sampled.builds[1] if sampled else None))
    else:
        least = min(others, key=lambda case: _largest_force(case.run))
        sentences = [
            _least(first.run, least, _as_good(comparison.runs, others, least, sampled, system), system)
        ]
        sentences += [_in_short(case, first.run, system) for case in others if each]
    for case in (first, *others):
        sentences += _not_reached(f"{case.name}: ", case.run)
    return tuple(sentences)


def _as_good(
    runs: Sequence[Run], others: Sequence[Case], least: Case, sampled: Sampled | None, system: str
) -> list[str]:
    """Names of the builds whose largest force cannot be told from the least one: it prints the same, or the range of
    their difference holds zero.
    """
    shown = _one(_largest_force(least.run), "force", system)
    number = {id(run): index for index, run in enumerate(runs)}
    ties = sampled.ties if sampled is not None else frozenset()
    found = []
    for case in others:
        pair = frozenset((number[id(case.run)], number[id(least.run)]))
        if case is not least and (_one(_largest_force(case.run), "force", system) == shown or pair in ties):
            found.append(case.name)
    return found


def _least(before: Run, least: Case, as_good: Sequence[str], system: str) -> str:
    change = _force_change(before, least.run, system)
    if not as_good:
        return f"Least force on the rod: {least.name}. It {change}."
    named = f"{', '.join((least.name, *as_good[:-1]))} and {as_good[-1]}"
    return f"Least force on the rod: too close to call between {named}. With {least.name} it {change}."


def _in_short(case: Case, before: Run, system: str) -> str:
    """One build of several in a sentence."""
    said = [f"{case.name}: largest force on the rod {_one(_largest_force(case.run), 'force', system)}"]
    end = _end_of_most_current([before, case.run])
    if end is not None:
        said.append(
            f"holding the {end} end {_one(_number(case.run, f'current_hold_{end}'), 'current', system)}"
        )
    verdicts = dict.fromkeys((case.run.release_high.verdict, case.run.release_low.verdict))
    said.append(f"released, the blades {' or '.join(one.told for one in verdicts)}")
    return f"{'; '.join(said)}."


def _largest_force(run: Run) -> float:
    return largest_side(run)[0]


def _force_change(before: Run, after: Run, system: str) -> str:
    return _change(_largest_force(before), _largest_force(after), "force", system)


def _current_change(before: Run, after: Run, system: str, sampled: Sampled | None) -> list[str]:
    """What holding the end of most current draws, from samples a range each, and moving there."""
    end = _end_of_most_current([before, after])
    if end is None:
        return []
    hold, peak = (
        _change(_number(before, name), _number(after, name), "current", system)
        for name in (f"current_hold_{end}", f"current_peak_{end}")
    )
    ranges = [
        _held_in_samples(run, number, end, system, sampled) for number, run in enumerate((before, after))
    ]
    if all(ranges):
        return [f"Holding the {end} end drew {ranges[0]}; now {ranges[1]}. The peak on the way there {peak}."]
    verb = hold.split(" ", 1)[0]
    return [
        f"Supply current {hold} holding the {end} end, and {peak.removeprefix(verb).strip()} moving there."
    ]


def _end_of_most_current(runs: list[Run]) -> str | None:
    """The end where the first run holds with more current, of those that every run has."""
    ends = [
        end
        for end in ("high", "low")
        if all(isinstance(run.findings[f"current_hold_{end}"].value, float) for run in runs)
    ]
    return max(ends, key=lambda end: _number(runs[0], f"current_hold_{end}"), default=None)


def _not_reached(prefix: str, run: Run) -> list[str]:
    """Sentences on moves that fall short and on holds that are none."""
    legs, said = run.servo.legs, []
    short = [leg for leg in legs if not leg.reached]
    hunting = [leg for leg in legs if leg.ending is Ending.HUNTS]
    if short:
        said.append(f"{prefix}The servo stalls short in {len(short)} of {len(legs)} moves: see the notes.")
    if hunting:
        said.append(
            f"{prefix}The servo hunts in {len(hunting)} of {len(legs)} holds and never comes to rest: no current "
            "is held there, see the notes."
        )
    return said


def _change(before: float, after: float, kind: str, system: str) -> str:
    """Such as "falls from 9.4 to 3.4 N"."""
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
