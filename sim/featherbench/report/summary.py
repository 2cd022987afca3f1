"""What a person looks for first, row by row, for one run or several; the terminal and the page share it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from featherbench.report.numerals import Value, display_factor, numeral, percent, row_texts
from featherbench.report.plain_text import plain
from featherbench.studies.findings import MEANINGS, Finding

if TYPE_CHECKING:
    from featherbench.scenario import Assumed
    from featherbench.studies.run import Comparison, Run


class Case(NamedTuple):
    """A run and the short name it goes by in a table or picture."""

    name: str
    run: Run


class Row(NamedTuple):
    """One finding: cells per case; of the later cases the change, and the change in size as a share of the first.

    "" where it makes no sense: no number, or a sign that turned.
    """

    label: str
    cells: tuple[str, ...]
    changes: tuple[str, ...]
    shares: tuple[str, ...]
    unit: str


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
            "rod_force_breakout": "to start moving from neutral",
            "rod_force_loop": "loop width, twice the friction",
            "servo_force": "the servo has at least",
        },
    ),
    (
        "Supply current, idle taken off",
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
    ("Rod let go", {"release": "blades, high side", "release_low": "blades, low side"}),
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


def cases_of(runs: Sequence[Run]) -> tuple[Case, ...]:
    """Short names: "before" and "after" for two; for more, file names where they tell them apart."""
    if len(runs) <= 1:
        return tuple(Case("", run) for run in runs)
    if len(runs) == 2:
        return Case("before", runs[0]), Case("after", runs[1])
    stems = [_stem(run) for run in runs[1:]]
    distinct = all(stems) and len({*stems, "before"}) == len(runs)
    names = stems if distinct else [f"after {number}" for number in range(1, len(runs))]
    return tuple(Case(name, run) for name, run in zip(["before", *names], runs, strict=True))


def title_of(run: Run) -> str:
    """The scenario's title, safe to show."""
    return plain(run.scenario.title, 200)


def sections(runs: Sequence[Run], system: str, everything: bool = False) -> tuple[Section, ...]:
    """Key findings of the runs side by side, the first as the base; everything: all others, too."""
    findings = [run.findings for run in runs]
    wanted = list(KEY_SECTIONS)
    if everything:
        told = {name for _, rows in KEY_SECTIONS for name in rows}
        wanted.append(("Everything else", {name: _short(name) for name in findings[0] if name not in told}))
    made = [
        Section(
            title,
            tuple(_row(name, label, findings, system) for name, label in rows.items() if name in findings[0]),
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


def _row(name: str, label: str, findings: Sequence[Mapping[str, Finding]], system: str) -> Row:
    values = [found[name].value if name in found else None for found in findings]
    kind = next((found[name].kind for found in findings if name in found), "text")
    if name in IN_PERCENT:
        values = [100.0 * value if isinstance(value, float) else value for value in values]
    cells, unit, places = row_texts(values, kind, system)
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
    return Row(label, tuple(cells), tuple(changes), tuple(shares), "%" if name in IN_PERCENT else unit)


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
