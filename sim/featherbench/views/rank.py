"""The view of changes tried one at a time: what must not be made first, then what each does and costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from featherbench.checks.wording import times_text
from featherbench.judging.judgement import RUNS_OUT
from featherbench.numerals import (
    MISSING,
    decimals,
    display_factor,
    numeral,
    percent,
    quantity,
    row_texts,
)
from featherbench.plain_text import plain
from featherbench.ranking.document import ranking_document
from featherbench.ranking.measures import MEASURES
from featherbench.ranking.outcome import NOT_KNOWN
from featherbench.views.bench import about_builds
from featherbench.views.bench_data import scenario_data
from featherbench.views.cases import Case
from featherbench.views.first_lines import FirstLines, of_run
from featherbench.views.pictures import rank_picture
from featherbench.views.view import POINT, RIGHT, Checks, Column, Row, Table, View

if TYPE_CHECKING:
    from featherbench.checks import Check
    from featherbench.ranking.outcome import Ranking, Tried

NOT_AS_IT_STANDS = "DO NOT MAKE THESE CHANGES AS THEY STAND"
MOST_TOLD = 4
"""Changes that the first line spells out."""
SMALL = 0.01
"""Share of a measure below which a change does nothing that anybody would notice."""
PAID = {
    "range": "pitch range",
    "swing": "servo swing",
    "thrust": "thrust",
    "load": "pull on the bearing",
    "arrival": "time to the end",
}
"""What each cost is called."""


def rank_view(
    found: Ranking,
    checks: Sequence[Check],
    cautions: Sequence[str],
    system: str,
    *,
    ends: bool = False,
) -> View:
    """The view of a ranking. checks: of the build as it is; ends: its last sentence at the end, as on a terminal."""
    about = about_builds([Case("", found.base)], [checks], cautions, system)
    last = closing(found, system)
    return replace(
        about,
        question=f"What to change in “{about.title}”?",
        answer=(as_it_is(found, system), *(() if ends else last)),
        first=first_lines(found, of_run(found.base, checks)),
        tables=(
            *_does(found, system),
            *_costs(found),
            *_left_out(found),
            Table("How this was found", remarks=_method(found)),
            *((Table("", remarks=last),) if ends else ()),
        ),
        pictures=rank_picture(found, system),
        notes=(),
        left_out=(),
        data={
            "scenario": scenario_data(found.base.scenario),
            **ranking_document(found, {one.change.words: against(one) for one in found.spoiled}),
            "cautions": list(cautions),
        },
        series=lambda: found.to_frame().reset_index(),
        checks=Checks() if ends else about.checks,
    )


def as_it_is(found: Ranking, system: str) -> str:
    """What the build does without any change."""
    values = next((one.before for one in found.tried), None)
    if values is None:
        return "No change could be tried."
    said = f"As it is: largest force on the rod {quantity(values['force'], 'force', system)}"
    for name, words in (("hold", "holding an end draws up to"), ("hover", "hover")):
        if values[name] is not None:
            said += f", {words} {quantity(values[name], 'current', system)}"
    return f"{said}."


def first_lines(found: Ranking, base: FirstLines) -> FirstLines:
    """Of the build as it is, then what of the changes must not be made as it stands."""
    lines = []
    failing = [one for one in found.spoiled if not one.unknown]
    if failing:
        told = "; ".join(f"{one.change.words}: {against(one)}" for one in failing[:MOST_TOLD])
        more = f"; and {len(failing) - MOST_TOLD} more" if len(failing) > MOST_TOLD else ""
        lines.append(f"{NOT_AS_IT_STANDS}: {told}{more}.")
    if not found.complete:
        lines.insert(
            0, f"INTERRUPTED: only {len(found.tried)} changes, {found.done} samples are in this answer."
        )
    return FirstLines((*base.lines, *map(plain, lines)), base.do_not_run)


def against(one: Tried) -> str:
    """What speaks against a change."""
    said = [RUNS_OUT.removeprefix("released at speed, these ")] if one.runs_out else []
    failing = [f"{name} {words}" for name, words in one.bad.items() if words != NOT_KNOWN]
    unknown = [name for name, words in one.bad.items() if words == NOT_KNOWN]
    if failing:
        said.append(f"fails ({', '.join(failing)})")
    if unknown:
        said.append(f"not known: {', '.join(unknown)}")
    if not one.keeps_up:
        said.append("the servo no longer reaches the pitch it is sent to")
    if not said:
        said.append(f"fails or runs to full pitch in {one.failing} of {one.samples} samples")
    return "; ".join(said)


def closing(found: Ranking, system: str) -> tuple[str, ...]:
    """The last sentence: the most for the least."""
    best = found.praised()
    label = MEASURES[found.by].label
    if not best:
        return (f"Most for least: none of what was tried surely betters this and holds ({label}).",)
    told = f"Most for least: {_told(best[0], found.by, system)}."
    most = max(best, key=lambda one: one.gain(found.by))
    if most is not best[0]:
        told += f" Most of all that hold: {_told(most, found.by, system)}."
    if found.by == "force" and (other := found.praised("hold")) and other[0] is not best[0]:
        told += f" For holding current: {_told(other[0], 'hold', system)}."
    if found.strength.bad:
        told += " None of this mends what speaks against the build as it is."
    return (plain(told),)


def _told(one: Tried, by: str, system: str) -> str:
    kind = MEASURES[by].kind
    (before, after), unit, _ = row_texts([one.before[by], one.values[by]], kind, system)
    span = f", by {_range(one, by, system)} {unit}".rstrip() if by in one.ranges else ""
    paid = paid_words(one)
    return plain(
        f"{one.change.words}: {before} to {after} {unit}".rstrip() + f"{span}; {paid or 'costs nothing here'}"
    )


def paid_words(one: Tried) -> str:
    """What a change costs, and what it saves of the same, in words; "" where nothing moves."""
    said = []
    for name, words in PAID.items():
        share = one.share(name)
        if abs(share) >= SMALL:
            said.append(f"{words} {percent(share)}")
    return ", ".join(said)


def _range(one: Tried, name: str, system: str) -> str:
    """Least and most of a change, the figures that its width deserves."""
    if name not in one.ranges:
        return ""
    kind = MEASURES[name].kind
    factor = display_factor(kind, system)[0]
    low, high = (end * factor for end in one.ranges[name])
    places = (
        decimals([high - low], 2, 1)
        if high - low > 1e-3 * max(abs(low), abs(high))
        else decimals([low, high])
    )
    places = min(places, 3 if kind == "current" else 2)
    texts = [numeral(end, places, True) for end in (low, high)]
    return texts[0] if texts[0] == texts[1] else " to ".join(texts)


def _idle(one: Tried) -> bool:
    """Whether a change does nothing to anything that it is judged by."""
    return one.holds and all(abs(one.share(name)) < SMALL for name in MEASURES)


def _does(found: Ranking, system: str) -> tuple[Table, ...]:
    """What each does, what must not be made under a heading of its own."""
    if not found.tried:
        return ()
    own = {name: [one.values[name] for one in found.tried] for name in ("force", "hold", "hover", "play")}
    texts, units = {}, {}
    for name, values in own.items():
        cells, units[name], _ = row_texts(values, MEASURES[name].kind, system)
        texts[name] = dict(zip(map(id, found.tried), cells, strict=True))
    columns = (
        Column("best first" if found.by == "force" else f"best {found.by} first"),
        Column(f"force {units['force']}", POINT),
        Column("changed by", RIGHT),
        Column(f"hold {units['hold']}", POINT),
        Column(f"hover {units['hover']}", POINT, gives_way=1),
        Column("load over friction", POINT, gives_way=2),
    )

    def row(one: Tried) -> Row:
        cells = [texts[name][id(one)] for name in own]
        return Row(
            (plain(one.change.words), cells[0], _range(one, "force", system), *cells[1:]),
            detail=_idle(one),
            stops=one in found.spoiled,
        )

    rows = _under_headings(found, row)
    unseen = [one.change.words for one in found.tried if _idle(one)]
    remarks = [
        "force: largest on the rod; hold: most that holding an end draws; load over friction: in hover, "
        "below 1 play shows.",
    ]
    if unseen:
        remarks.append(f"Next to no effect: {', '.join(map(plain, unseen))}.")
    return (Table("What each change does by itself", columns, rows, remarks=tuple(remarks)),)


def _under_headings(found: Ranking, row: Any) -> tuple[Row, ...]:
    """What may be made first: what must not is named in the first line already, and best of all by its figures."""
    rows: list[Row] = []
    spoiled = found.spoiled
    for words, some in (
        ("Holds", [one for one in found.tried if one not in spoiled]),
        ("Not to be made as it stands", [one for one in spoiled if not one.unknown]),
        ("Not before it is known what holds it", [one for one in spoiled if one.unknown]),
    ):
        if some:
            rows += [Row((words,), heads=True), *map(row, some)]
    return tuple(rows)


def _costs(found: Ranking) -> tuple[Table, ...]:
    """Strength, and what each costs."""
    if not found.tried:
        return ()
    columns = (Column(), Column("strength"), Column("costs or saves"))

    def row(one: Tried) -> Row:
        value = one.values["strength"]
        least = MISSING if value is None else times_text(value)
        bad = one in found.spoiled
        told = against(one) if bad else f"OK, {least}"
        return Row((plain(one.change.words), told, paid_words(one)), detail=_idle(one), stops=bad)

    return (Table("Whether it holds, and what it costs", columns, _under_headings(found, row)),)


def _left_out(found: Ranking) -> tuple[Table, ...]:
    remarks = tuple(f"{plain(one.words)}: {plain(one.refused)}." for one in found.left_out)
    return (Table("Left out: this build cannot take it", remarks=remarks),) if remarks else ()


def _method(found: Ranking) -> tuple[str, ...]:
    """What the figures rest on."""
    said = [
        "Each change was run alone by the full model; what two of them do together may be less than their sum."
    ]
    if found.done:
        said.append(
            f"changed by: the least and the most of {found.done} samples within tolerances and doubts, the same "
            "ones for every change."
        )
    remarks: dict[str, list[str]] = {}
    for one in found.tried:
        remarks.setdefault(one.change.remark, []).append(one.change.words)
    taken = [f"{', '.join(words)}: {remark}" for remark, words in remarks.items() if remark]
    if taken:
        said.append(f"Taken for granted: {'; '.join(map(plain, taken))}.")
    said.append(
        "Most for least: share of force taken away over the sum of what it costs, each as a share of what the build "
        "has, and 1 % for the work."
    )
    return tuple(said)
