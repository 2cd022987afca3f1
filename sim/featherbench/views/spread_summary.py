"""What a spread says in a few words: the answer, which findings lead, which tolerances matter."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from featherbench.guide.findings import FINDINGS_TABLE, in_words
from featherbench.judging.judgement import counted
from featherbench.numerals import percent, row_texts
from featherbench.sampling.parts import Parts, parts_of, remedy

if TYPE_CHECKING:
    from featherbench.sampling.inputs import Input
    from featherbench.sampling.spread import FindingSpread, Spread

LEADING = (
    "rod_force_push",
    "rod_force_pull",
    "rod_force_breakout",
    "current_peak_high",
    "current_peak_low",
    "current_hold_high",
    "current_hold_low",
    "gauge_push",
    "gauge_pull",
    "meter_peak",
    "meter_hold",
    "compensation",
    "servo_torque_share",
    "hover_pitch",
    "rod_force_hover",
)
"""Findings shown first; all others on request."""
RANKED = ("rod_force_push", "rod_force_pull", "current_peak_high", "current_hold_high", "compensation")
"""Findings by which the tolerances are ranked and drawn."""
WORTH_NAMING = 0.05
FROM_MEASUREMENTS, FROM_MODEL = "comes from your measurements", "from what the model does not know"


class Ranked(NamedTuple):
    """A key and its mean total share of the ranked findings' variance."""

    key: str
    share: float


def shown_findings(spread: Spread, everything: bool = False) -> tuple[FindingSpread, ...]:
    """Findings that spread, the leading ones first; everything: all others, too."""
    names = [name for name in LEADING if name in spread.findings]
    if everything:
        names += [name for name in spread.findings if name not in LEADING]
    return tuple(one for name in names if (one := spread.findings[name]).low is not None)


def drawn_findings(spread: Spread) -> tuple[FindingSpread, ...]:
    """Those that are ranked and drawn, as far as they have shares."""
    found = [spread.findings[name] for name in RANKED if name in spread.findings]
    return tuple(one for one in found if one.total_shares)


def ranking(spread: Spread) -> tuple[Ranked, ...]:
    """Tolerances by their mean total share of the ranked findings, largest first."""
    found = drawn_findings(spread)
    if not found:
        return ()
    keys = [varied.key for varied in spread.inputs]
    means = [Ranked(key, sum(one.total_shares[key] for one in found) / len(found)) for key in keys]
    return tuple(sorted(means, key=lambda mean: (-mean.share, mean.key)))


def parts(spread: Spread) -> Parts | None:
    """How the ranked findings' spread falls in two, in the mean."""
    return parts_of(drawn_findings(spread), spread.scenario.source.tolerances)


def part_sentences(spread: Spread) -> tuple[str, ...]:
    """Of the largest push, or what else is ranked first: how its range falls in two, and what would shrink it."""
    found = drawn_findings(spread)[:1]
    own = parts_of(found, spread.scenario.source.tolerances)
    if own is None:
        return ()
    said = []
    for words, share, keys in (
        (FROM_MEASUREMENTS, own.measured, own.of_measured),
        (FROM_MODEL, own.model, own.of_model),
    ):
        leading = [f"{key} {percent(one, sign=False)}" for key, one in keys[:2] if one >= WORTH_NAMING]
        said.append(
            f"{percent(share, sign=False)} {words}{f' (mostly {plain_list(leading)})' if leading else ''}"
        )
    shrink = max((*own.of_measured[:1], *own.of_model[:1]), key=lambda item: item[1])[0]
    return (
        f"Of the range of {in_words(found[0].name)}, {' and '.join(said)}.",
        f"What would shrink it most: {remedy(shrink)}.",
    )


def plain_list(words: Sequence[str]) -> str:
    """Words with commas and an "and"."""
    return " and ".join((*[", ".join(words[:-1])] * (len(words) > 1), *words[-1:]))


def interval(finding: FindingSpread, system: str) -> tuple[str, str, str, str]:
    """(value, low, high, unit) as they are shown side by side."""
    (value, low, high), unit, _ = row_texts(
        [finding.value, finding.low, finding.high], FINDINGS_TABLE[finding.name].kind, system
    )
    return value, low, high, unit


def most(finding: FindingSpread) -> str:
    """The tolerance that makes most of a finding's variance, with its share; "" where none makes much."""
    key, share = max(finding.total_shares.items(), key=lambda item: item[1], default=("", 0.0))
    return f"{key} {percent(share, sign=False)}" if share >= WORTH_NAMING else ""


def ways(outcomes: Mapping[str, float], spread: Spread) -> str:
    """What came of the samples, most frequent first."""
    return f"{counted(outcomes, spread.done - spread.refused)} samples"


def bounds(varied: Input, system: str) -> tuple[str, str, str]:
    """(low, high, unit) of an input as they are shown."""
    if varied.kind == "ratio":
        return f"{varied.low:.4g}", f"{varied.high:.4g}", ""
    (low, high), unit, _ = row_texts([varied.low, varied.high], varied.kind, system, 4)
    return low, high, unit


def halves_text(spread: Spread) -> str:
    """The two parts in the mean over the ranked findings."""
    own = parts(spread)
    if own is None:
        return ""
    measured, model = (percent(share, sign=False) for share in (own.measured, own.model))
    return f"{measured} {FROM_MEASUREMENTS}, {model} {FROM_MODEL}, in the mean over these findings."


def spread_answer(spread: Spread, system: str) -> tuple[str, ...]:
    """The answer in sentences: the two forces and a current with their intervals, what matters, what is missing."""
    said = []
    for name, words in (
        ("rod_force_push", "The largest push on the rod lies between"),
        ("rod_force_pull", "The largest pull lies between"),
        ("current_hold_high", "The current that holds the high end lies between"),
    ):
        one = spread.findings.get(name)
        if one is not None and one.low is not None:
            value, low, high, unit = interval(one, system)
            said.append(f"{words} {low} and {high} {unit} (95 %; as written: {value}).")
    if spread.nominal.findings["release"].value is not None and "release" in spread.findings:
        outcomes = spread.findings["release"].outcomes
        if len(outcomes) > 1:
            said.append(f"Blades released on the high side {ways(outcomes, spread)}.")
    ranked = [own for own in ranking(spread) if own.share >= WORTH_NAMING]
    if ranked:
        named = ", then ".join(
            f"{candidate.key} ({percent(candidate.share, sign=False)})" for candidate in ranked[:3]
        )
        said.append(f"What matters most: {named}.")
    return (*said, *part_sentences(spread))


def spread_notes(spread: Spread) -> tuple[str, ...]:
    """What the numbers rest on, and what did not go as asked."""
    from featherbench.sampling.spread import METHOD

    notes = [
        f"{spread.done - spread.refused} bench runs, sample set {spread.seed}: {METHOD}. Low and high hold 95 % of "
        "what tolerances and doubts allow."
    ]
    if not spread.complete:
        notes.append(
            f"interrupted after {spread.done} of {spread.asked} runs: the intervals are those of these runs."
        )
    if spread.refused:
        notes.append(
            f"{spread.refused} samples could not be built and are not counted. The first: {spread.refusal}"
        )
    outside = [in_words(finding.name) for finding in spread.findings.values() if finding.aside]
    if outside:
        notes.append(
            "the build as written lies outside the range, because what is varied moves it only one way (a bearing that "
            f"may be worse than the handbook's, not better): {', '.join(outside)}."
        )
    vague = [
        in_words(finding.name) for finding in drawn_findings(spread) if (finding.unexplained or 0.0) > 0.1
    ]
    if vague:
        notes.append(
            "more than a tenth of the variance is jumps that no smooth law explains (sticking, play, a display's "
            f"steps): {', '.join(vague)}."
        )
    notes.append(
        "tolerances and doubts are taken as independent of each other, what a fit found ([fitted]) as it goes "
        "together; what has neither is taken as exact."
    )
    return tuple(notes)
