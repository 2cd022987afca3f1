"""The view of a sweep: what must not be run and what was refused first, then least and most of each value and where."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from featherbench.bench.release import told
from featherbench.numerals import row_texts, unit_of
from featherbench.plain_text import plain
from featherbench.sweeping.values import meaning
from featherbench.views.bench_data import scenario_data
from featherbench.views.first_lines import FirstLines
from featherbench.views.pictures import sweep_pictures
from featherbench.views.view import POINT, UNIT, Column, Row, Table, View, build_of

if TYPE_CHECKING:
    from featherbench.sweeping.sweep import Sweep
    from featherbench.sweeping.tally import Reached


def sweep_view(found: Sweep, cautions: Sequence[str], system: str) -> View:
    """The view of a sweep."""
    return View(
        plain(found.base.title, 200),
        question=plain(f"{found.count:,} builds: {'; '.join(varied(found))}", 300),
        answer=answer(found),
        first=first_lines(found),
        builds=(build_of(found.base),),
        tables=(ends_table(found, system),),
        pictures=sweep_pictures(found, system),
        cautions=tuple(cautions),
        rests_on=(
            "Each build is worked out by itself, as featherbench predict would; only the tests that the kept values "
            "need are run.",
        ),
        system=system,
        data={"scenario": scenario_data(found.base), **document(found)},
        series=lambda: found.to_frame().reset_index(),
    )


def varied(found: Sweep) -> list[str]:
    """What was varied, from where to where, in words."""
    if found.grid.rows:
        return [f"a table of {', '.join(found.grid.keys)}"]
    said = []
    for key, axis in zip(found.grid.keys, found.grid.axes, strict=True):
        few = len(axis) <= 3 or not isinstance(axis[0], str | float)
        values = ", ".join(map(str, axis[:3])) if few else f"{axis[0]} to {axis[-1]}"
        said.append(f"{key} {values}" + (f" in {len(axis)} values" if len(axis) > 3 else ""))
    return said


def first_lines(found: Sweep) -> FirstLines:
    """Builds that must not be run, that run to full pitch, that cannot be; and what was not looked at."""
    tally, lines = found.tally, []
    ran = tally.done - tally.refused
    if not found.complete:
        lines.append(f"INTERRUPTED: only {tally.done:,} builds are in this answer.")
    path = tally.counts.get("load_path")
    bad = [] if path is None else [(path[word], words) for word, words in HELD.items() if path[word]]
    if bad:
        count = sum(number for number, _ in bad)
        which = "" if count == ran else f" {count:,} of {ran:,} builds"
        lines.append(f"DO NOT RUN{which}: {', '.join(f'{words} in {number:,}' for number, words in bad)}.")
    elif path is None and ran:
        lines.append("NOT CHECKED: whether these builds hold together (values strength and load_path).")
    over = max((tally.counts[side]["runs out"] for side in RELEASES if side in tally.counts), default=0)
    if over:
        lines.append(
            f"WARNING: over-balanced, released blades run to full pitch in {over:,} of {ran:,} builds."
        )
    if tally.refused and tally.refusal is not None:
        build, why = tally.refusal
        lines.append(
            f"CANNOT BE: {tally.refused:,} of {tally.done:,} builds; first build {build}: {plain(why, 160)}"
        )
    return FirstLines(tuple(lines), bool(bad) and sum(number for number, _ in bad) == ran)


HELD = {
    "fails": "what holds blades or weights on fails",
    "unknown": "it is not known whether blades and weights hold",
}
RELEASES = ("release", "release_low")


def answer(found: Sweep) -> tuple[str, ...]:
    """How many builds were run, and what texts were found how often."""
    tally = found.tally
    ran = tally.done - tally.refused
    said = [f"{ran:,} builds run" + (f", {tally.refused:,} refused" if tally.refused else "") + "."]
    for name, counts in tally.counts.items():
        if counts and len(counts) <= 8:
            words = ", ".join(
                f"{told(text) or 'none'} in {number:,}" for text, number in sorted(counts.items())
            )
            said.append(f"{_label(name)}: {words} of {ran:,}.")
    return tuple(plain(one, 300) for one in said)


def _label(name: str) -> str:
    words = meaning(name).label
    return words[:1].upper() + words[1:]


def ends_table(found: Sweep, system: str) -> Table:
    """Least and most of each number, and the build that has it."""
    rows = []
    for name, kind in found.columns.items():
        if kind == "text":
            continue
        if name not in found.tally.least:
            rows.append((_label(name), "-", "", "", "-", ""))
            continue
        ends = found.tally.least[name], found.tally.most[name]
        texts, unit, _ = row_texts([one.value for one in ends], kind, system)
        rows.append((_label(name), texts[0], unit, _where(found, ends[0]), texts[1], _where(found, ends[1])))
    # where all is too wide the least with its place comes before the most with its own
    columns = (
        Column(),
        Column("least", POINT, build=1),
        Column("", UNIT),
        Column("at", build=1),
        Column("most", POINT, build=2),
        Column("at", build=2),
    )
    return Table("From the least to the most", columns, tuple(map(Row, rows)))


def _where(found: Sweep, reached: Reached) -> str:
    """The build that has a value, by what it varies, in short."""
    return plain(", ".join(map(_shortly, found.grid.row(reached.build))), 60)


def _shortly(value: object) -> str:
    """A value as it was typed, of a step between two that were typed no more digits than tell it from the next."""
    number, _, unit = str(value).partition(" ")
    try:
        return f"{float(f'{float(number):.5g}'):.10g} {unit}".rstrip()
    except ValueError:
        return str(value)


def document(found: Sweep) -> dict[str, Any]:
    """For programs, SI; the builds themselves are in the table and the files."""
    tally = found.tally
    return {
        "sweep": {
            "varied": [
                {"key": key, "kind": kind, "values": list(axis)}
                for key, kind, axis in zip(
                    found.grid.keys,
                    found.grid.kinds,
                    found.grid.axes or [()] * len(found.grid.keys),
                    strict=True,
                )
            ],
            "builds": found.count,
            "done": tally.done,
            "refused": tally.refused,
            "complete": found.complete,
            "folder": None if found.folder is None else str(found.folder),
            "values": {
                name: {
                    "unit": unit_of(kind),
                    "least": _end(tally.least, name),
                    "most": _end(tally.most, name),
                }
                for name, kind in found.columns.items()
                if kind != "text"
            },
            "counts": {name: dict(sorted(counts.items())) for name, counts in tally.counts.items()},
        }
    }


def _end(ends: dict[str, Reached], name: str) -> dict[str, Any] | None:
    return {"value": ends[name].value, "build": ends[name].build} if name in ends else None
