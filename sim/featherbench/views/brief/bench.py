"""The figures that matter, in one small table for the first screen, and what to do next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from featherbench.bench.release import told
from featherbench.checks import Verdict
from featherbench.numerals import range_text, row_texts, spread_decimals
from featherbench.plain_text import plain
from featherbench.views.brief.likely import with_likely
from featherbench.views.brief.strength import strength_text
from featherbench.views.findings_table import columns_of, finding_row
from featherbench.views.view import POINT, WORDS, Column, Row, Table

if TYPE_CHECKING:
    from featherbench.checks import Check
    from featherbench.sampling.sampled import Interval, Sampled
    from featherbench.studies.findings import Finding
    from featherbench.studies.run import Comparison, Run
    from featherbench.views.cases import Case
    from featherbench.views.first_lines import FirstLines

LABELS = {
    "release": "released, high side",
    "release_low": "released, low side",
    "rod_force_push": "largest push",
    "rod_force_pull": "largest pull",
    "current_hold_high": "holding high end",
    "current_hold_low": "holding low end",
    "rod_force_high": "force at high end",
    "rod_force_low": "force at low end",
    "current_peak_high": "moving to high end",
    "current_peak_low": "moving to low end",
    "rod_force_hover": "force in hover",
    "current_hold_hover": "holding in hover",
    "lost_motion": "pitch lost in play",
}
RELEASED = "released at speed"
STAYS = frozenset(
    {"rod_force_push", "rod_force_pull", "current_hold_high", "current_hold_low", "release", "release_low"}
)
STRENGTH = "worst check"
LONGEST_FILE = 44
"""Characters of a file's name in a command to copy; a longer one is FILE."""


def short_bench(
    cases: Sequence[Case], checks: Sequence[Sequence[Check]], system: str, sampled: Sampled | None = None
) -> Table:
    """Of one build, or two side by side, a row a figure; of more, a row a build. checks: those of each."""
    if len(cases) > 2:
        return _a_row_a_build(cases, checks, system, sampled)
    findings = [case.run.findings for case in cases]
    rows = []
    strength = [strength_text(own) for own in checks]
    if any(strength):
        cells = [STRENGTH, strength[0]]
        for text in strength[1:]:
            cells += [text, "", ""]
        rows.append(Row((*cells, ""), stops=any(_stops(own) for own in checks), stays=True))
    for own, label in LABELS.items():
        name = _however(own, sampled)
        if all(name in found and found[name].value is not None for found in findings):
            row = finding_row(name, label, findings, system, sampled)
            row = with_likely(row, name, sampled, system) if sampled is not None else row
            rows.append(Row(row.cells, row.ranges, stays=own in STAYS))
    rows = _one_release(rows)
    ranged = any(own for row in rows for own in row.ranges[3::3])
    return Table("", tuple(columns_of([case.name for case in cases], ranged)), tuple(rows))


def _however(name: str, sampled: Sampled | None) -> str:
    """What a hold draws is the range of all ways to get there, where samples tell it: so says the answer's sentence."""
    other = name.replace("current_hold_", "holding_")
    return other if sampled is not None and all(other in one.intervals for one in sampled.builds) else name


def _one_release(rows: list[Row]) -> list[Row]:
    """Both sides in one row where blades do the same on both."""
    low = [row for row in rows if row.cells[0] == LABELS["release_low"]]
    if not low:
        return rows
    same = [row for row in rows if row.cells[0] == LABELS["release"]]
    if same and same[0].cells[1:] == low[0].cells[1:] and same[0].ranges[1:] == low[0].ranges[1:]:
        both = Row((RELEASED, *same[0].cells[1:]), same[0].ranges, stays=True)
        return [both if row is same[0] else row for row in rows if row is not low[0]]
    return rows


COLUMNS = (
    ("force", "force", 0, ("rod_force_push", "rod_force_pull")),
    ("moving", "current", 1, ("current_peak_high", "current_peak_low")),
    ("holding", "current", 2, ("current_hold_high", "current_hold_low")),
)
"""Of a build in a row: heading, kind, when it gives way, and the findings of which the largest stands there."""


def _a_row_a_build(
    cases: Sequence[Case], checks: Sequence[Sequence[Check]], system: str, sampled: Sampled | None
) -> Table:
    """Largest force, moving and holding current of the end that holds with more, release, strength."""
    findings = [case.run.findings for case in cases]
    columns, texts = [Column("")], [[case.name for case in cases]]
    ranges = [[""] * len(cases)]
    for heading, kind, way, names in COLUMNS:
        values = [_largest(found, names) for found in findings]
        between = [_widest(sampled, number, names) for number in range(len(cases))]
        places = spread_decimals([0.5 * (one.high - one.low) for one in between if one], kind, system)
        shown, unit, used = row_texts(values, kind, system, places=places)
        columns.append(Column(f"{heading}, {unit}", POINT, gives_way=way))
        texts.append(shown)
        ranges.append([range_text(one.low, one.high, kind, system, used) if one else "" for one in between])
    columns += [Column("released", WORDS), Column("strength", WORDS)]
    texts.append(
        [
            " or ".join(dict.fromkeys(told(str(found[name].value)) for name in ("release", "release_low")))
            for found in findings
        ]
    )
    texts.append([strength_text(own) or "not checked" for own in checks])
    ranges += [[""] * len(cases)] * 2
    rows = [
        Row(tuple(cells), tuple(where) if any(where) else (), stops=_stops(own), stays=True)
        for cells, where, own in zip(zip(*texts, strict=True), zip(*ranges, strict=True), checks, strict=True)
    ]
    remark = "largest force on the rod; largest supply current above idle"
    return Table("", tuple(columns), tuple(rows), (remark,))


def _largest(found: Mapping[str, Finding], names: Sequence[str]) -> float | None:
    """The largest of some findings in size; None where the run gave none of them."""
    values = (found[name].value for name in names if name in found)
    return max((abs(value) for value in values if isinstance(value, float)), default=None)


def _widest(sampled: Sampled | None, number: int, names: Sequence[str]) -> Interval | None:
    """Of a build's ranges of some findings the one that reaches furthest; None where samples give none."""
    if sampled is None:
        return None
    own = sampled.builds[number].intervals
    found = (own.get(_however(name, sampled)) for name in names)
    return max((one for one in found if one is not None), key=lambda one: one.high, default=None)


def _stops(checks: Sequence[Check]) -> bool:
    return any(check.verdict in (Verdict.FAILS, Verdict.UNKNOWN) for check in checks)


def next_of(first: FirstLines, otherwise: str) -> tuple[str, ...]:
    """What to do next. first: what forbids to run the build comes before anything; otherwise: a sentence."""
    if first.do_not_run:
        return ("Put right or state what stands behind DO NOT RUN, then ask again. Nothing spins before.",)
    return (otherwise,)


def file_named(name: object) -> str:
    """A scenario's file in a command to copy."""
    text = plain(str(name))
    return text if 0 < len(text) <= LONGEST_FILE and " " not in text else "FILE"


def next_of_run(run: Run) -> str:
    """After one bench run."""
    files = run.scenario.source.files
    name = file_named(files[0]) if files else "FILE"
    return f"Next: how sure is it? featherbench spread {name}; or read it on the bench: featherbench sheet {name}"


def next_of_comparison(comparison: Comparison) -> str:
    """After several builds side by side."""
    files = comparison.runs[-1].scenario.source.files
    name = file_named(files[0]) if files else "FILE"
    return f"Next: does the tail wag? featherbench wag {name}; pictures: --report FILE.html"
