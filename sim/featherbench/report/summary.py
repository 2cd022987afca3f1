"""What a person looks for first, row by row, for one run or several; the terminal and the page share it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from featherbench.bench.release import told
from featherbench.report.numerals import (
    Value,
    display_factor,
    numeral,
    percent,
    range_text,
    row_texts,
    spread_decimals,
)
from featherbench.report.plain_text import plain
from featherbench.studies.findings import MEANINGS, Finding

if TYPE_CHECKING:
    from featherbench.scenario import Assumed
    from featherbench.studies.run import Comparison, Run
    from featherbench.studies.sampled import BuildSpread, Interval, Sampled


class Case(NamedTuple):
    """A run and the short name it goes by in a table or picture; spread: what its tolerances do, where it is known."""

    name: str
    run: Run
    spread: BuildSpread | None = None


class Row(NamedTuple):
    """One finding: cells per case; of the later cases the change, and the change in size as a share of the first.

    "" where it makes no sense: no number, or a sign that turned. spreads: what the tolerances make of each cell, and
    change_spreads of each change: 95 % intervals, shares of the samples for words; () where none were sampled.
    """

    label: str
    cells: tuple[str, ...]
    changes: tuple[str, ...]
    shares: tuple[str, ...]
    unit: str
    spreads: tuple[str, ...] = ()
    change_spreads: tuple[str, ...] = ()


class Section(NamedTuple):
    """Rows under a heading."""

    title: str
    rows: tuple[Row, ...]


KEY_SECTIONS: tuple[tuple[str, dict[str, str]], ...] = (
    (
        "Force on the rod",
        {
            "rod_force_push": "largest push",
            "rod_force_pull": "largest pull",
            "rod_force_high": "high end, going (+ push)",
            "rod_force_high_back": "high end, coming back",
            "rod_force_low": "low end, going",
            "rod_force_low_back": "low end, coming back",
            "rod_force_breakout": "to start moving from neutral",
            "rod_force_loop": "loop width, twice the friction",
            "servo_force": "servo can push or pull at least",
        },
    ),
    (
        "Supply current above idle",
        {
            "current_peak_high": "moving to the high end",
            "current_peak_low": "moving to the low end",
            "current_hold_high": "holding at the high end",
            "current_hold_low": "holding at the low end",
        },
    ),
    (
        "Instruments show",
        {
            "gauge_push": "gauge, push",
            "gauge_pull": "gauge, pull",
            "meter_peak": "meter, peak",
            "meter_hold": "meter, holding",
        },
    ),
    ("Released at speed", {"release": "blades, high side", "release_low": "blades, low side"}),
    (
        "Blade assembly",
        {"compensation": "compensation (1 is neutral)", "centrifugal_load": "centrifugal load of one"},
    ),
)

SHORT_LABELS = {
    "mass": "mass of one assembly",
    "radial_moment": "first moment about the shaft",
    "inertia_chordwise": "I_c, along the chord",
    "inertia_normal": "I_n, along the normal",
    "inertia_product": "I_cn, product",
    "feathering_frequency": "feathering frequency (1)",
    "swing_angle": "swing on the bolt, tip forward",
    "propeller_moment_low": "propeller moment, low end",
    "propeller_moment_high": "propeller moment, high end",
    "servo_torque_peak": "servo torque, peak",
    "servo_torque_share": "the same, of stall torque",
    "motor_current_hold_high": "winding, holding at high end",
    "motor_current_hold_low": "winding, holding at low end",
    "hold_place_high": "place in friction band, high (2)",
    "hold_place_low": "place in friction band, low (2)",
    "current_raw_peak": "supply, instantaneous peak",
    "arrival_high": "time to the high end",
    "arrival_low": "time to the low end",
    "energy_error": "energy audit, error",
    "step_error": "change at half the step",
}
LABEL_NOTES = (
    "(1) of the free blade; a negative number stands for a divergent one.",
    "(2) 1: as much current as if still pushing; -1: as little as still holds.",
)
IN_PERCENT = frozenset({"servo_torque_share", "energy_error", "step_error"})
BELOW_PERCENT = "< 0.001"
"""How smaller shares are shown, in per cent."""


def cases_of(runs: Sequence[Run], sampled: Sampled | None = None) -> tuple[Case, ...]:
    """Short names: "before" and "after" for two; for more, file names where they tell them apart.

    sampled: of the same runs in the same order.
    """
    spreads = sampled.builds if sampled else [None] * len(runs)
    return tuple(
        Case(name, run, spread) for name, run, spread in zip(_names(runs), runs, spreads, strict=True)
    )


def _names(runs: Sequence[Run]) -> list[str]:
    if len(runs) <= 2:
        return [""] if len(runs) == 1 else ["before", "after"][: len(runs)]
    stems = [_stem(run) for run in runs[1:]]
    distinct = all(stems) and len({*stems, "before"}) == len(runs)
    return ["before", *(stems if distinct else [f"after {number}" for number in range(1, len(runs))])]


def title_of(run: Run) -> str:
    """The scenario's title, safe to show."""
    return plain(run.scenario.title, 200)


def sections(
    runs: Sequence[Run], system: str, everything: bool = False, sampled: Sampled | None = None
) -> tuple[Section, ...]:
    """Key findings of the runs side by side, the first as the base; everything: all others, too.

    sampled: what the tolerances of the same runs do, for spreads beside the cells.
    """
    findings = [run.findings for run in runs]
    found = dict.fromkeys(name for one in findings for name in one)
    wanted = list(KEY_SECTIONS)
    if everything:
        told = {name for _, rows in KEY_SECTIONS for name in rows}
        wanted.append(("All other results", {name: _short(name) for name in found if name not in told}))
    made = [
        Section(
            title,
            tuple(
                _row(name, label, findings, system, sampled) for name, label in rows.items() if name in found
            ),
        )
        for title, rows in wanted
    ]
    return tuple(section for section in made if section.rows)


def titles(comparison: Comparison) -> tuple[tuple[str, str], ...]:
    """Short name and title of every run."""
    return tuple((case.name, title_of(case.run)) for case in cases_of(comparison.runs))


def assumed_by_case(cases: Sequence[Case]) -> tuple[tuple[str, tuple[Assumed, ...]], ...]:
    """What was assumed, by the case's name; of several, first what all of them share."""
    if len(cases) == 1:
        return ((cases[0].name, cases[0].run.assumed),)
    common = tuple(
        item for item in cases[0].run.assumed if all(item in case.run.assumed for case in cases[1:])
    )
    rest = tuple(
        (case.name, tuple(item for item in case.run.assumed if item not in common)) for case in cases
    )
    return (("every build", common), *((name, items) for name, items in rest if items))


def _row(
    name: str,
    label: str,
    findings: Sequence[Mapping[str, Finding]],
    system: str,
    sampled: Sampled | None,
) -> Row:
    values = [found[name].value if name in found else None for found in findings]
    kind = next((found[name].kind for found in findings if name in found), "text")
    scale = 100.0 if name in IN_PERCENT else 1.0
    raw = [value if isinstance(value, str) else "" for value in values]
    values = [
        scale * value if isinstance(value, float) else told(value) if isinstance(value, str) else value
        for value in values
    ]
    of_builds, of_changes = _intervals(name, sampled, scale)
    places = spread_decimals(
        [0.5 * (one.high - one.low) for one in (*of_builds, *of_changes) if one is not None], kind, system
    )
    cells, unit, places = row_texts(values, kind, system, places=places)
    base = values[0]
    changes, shares = [], []
    for value in values[1:]:
        if not isinstance(base, float) or not isinstance(value, float):
            changes.append("" if value == base else "changes")
            shares.append("")
            continue
        factor, _ = display_factor(kind, system)
        change = numeral((value - base) * factor, places, sign=True)
        changes.append(change)
        turned = base * value < 0.0 or float(cells[0]) == 0.0
        share = 0.0 if float(change) == 0.0 else (abs(value) - abs(base)) / max(abs(base), 1e-300)
        shares.append("" if turned else percent(share))
    if name in IN_PERCENT:
        cells = [BELOW_PERCENT if _tiny(value) else cell for value, cell in zip(values, cells, strict=True)]
    row = Row(label, tuple(cells), tuple(changes), tuple(shares), "%" if name in IN_PERCENT else unit)
    if sampled is None:
        return row
    if kind == "text":
        spreads = tuple(
            _share(build.outcomes.get(name), text) for build, text in zip(sampled.builds, raw, strict=True)
        )
        return row._replace(spreads=spreads, change_spreads=("",) * len(changes))

    def shown(one: Interval | None, sign: bool) -> str:
        return range_text(one.low, one.high, kind, system, places, sign) if one is not None else ""

    return row._replace(
        spreads=tuple(shown(one, False) for one in of_builds),
        change_spreads=tuple(shown(one, True) for one in of_changes),
    )


def _intervals(
    name: str, sampled: Sampled | None, scale: float
) -> tuple[list[Interval | None], list[Interval | None]]:
    """Of one finding of each build, and of its changes; None where there is none."""
    if sampled is None:
        return [], []
    of_builds = [build.intervals.get(name) for build in sampled.builds]
    of_changes = [changes.get(name) for changes in sampled.changes]
    return tuple(  # type: ignore[return-value]
        [
            one._replace(low=scale * one.low, high=scale * one.high) if one is not None else None
            for one in some
        ]
        for some in (of_builds, of_changes)
    )


def _share(outcomes: Mapping[str, float] | None, text: str) -> str:
    """Of how many samples the text holds."""
    if not outcomes:
        return ""
    share = outcomes.get(text, 0.0)
    return "in all" if share == 1.0 else f"in {percent(share, sign=False)}"


def _tiny(value: Value) -> bool:
    return isinstance(value, float) and 0.0 < abs(value) < 1e-3


def _short(name: str) -> str:
    if name in SHORT_LABELS:
        return SHORT_LABELS[name]
    return MEANINGS[name].label if name in MEANINGS else plain(name)


def _stem(run: Run) -> str:
    files = run.scenario.source.files
    name = plain(str(files[0])).replace("\\", "/").rsplit("/", 1)[-1] if files else ""
    stem = name.removesuffix(".toml")
    return stem if len(stem) <= 12 else ""
