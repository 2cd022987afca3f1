"""The findings of one run, or of several side by side: what a person looks for first, and after it all others."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from featherbench.bench.release import ReleaseVerdict, told
from featherbench.guide.findings import FINDINGS_TABLE
from featherbench.numerals import (
    Value,
    display_factor,
    numeral,
    percent,
    range_text,
    row_texts,
    spread_decimals,
)
from featherbench.plain_text import plain
from featherbench.studies.findings import Finding
from featherbench.views.view import POINT, RIGHT, UNIT, Column, Row, Table

if TYPE_CHECKING:
    from featherbench.sampling.sampled import Interval, Sampled
    from featherbench.views.cases import Case

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
            "meter_peak_high": "meter, moving to the high end",
            "meter_peak_low": "meter, moving to the low end",
            "meter_peak_slam": "meter, peak, stick slammed",
            "meter_peak_hand": "meter, peak, moved by hand",
            "meter_hold": "meter, holding",
        },
    ),
    ("Released at speed", {"release": "blades, high side", "release_low": "blades, low side"}),
    (
        "Blade assembly",
        {
            "compensation": "compensation (share of the mass pull cancelled)",
            "centrifugal_load": "centrifugal load of one",
        },
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
    "holding_high": "however the stick got there, high",
    "holding_low": "however the stick got there, low",
    "hold_least_high": "least that holds, high end",
    "hold_least_low": "least that holds, low end",
    "hold_most_high": "most that can stand, high end",
    "hold_most_low": "most that can stand, low end",
    "hold_slam_high": "after a stick slam, high end",
    "hold_slam_low": "after a stick slam, low end",
    "hold_hand_high": "after a hand's move, high end",
    "hold_hand_low": "after a hand's move, low end",
    "hold_overshoot_high": "too far and back, high end",
    "hold_overshoot_low": "too far and back, low end",
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


def findings_table(cases: Sequence[Case], system: str, sampled: Sampled | None = None) -> Table:
    """Findings of the cases side by side, the first as the base: key ones under headings, the others as details.

    sampled: what the tolerances of the same runs do, for the range of each figure and change.
    """
    findings = [case.run.findings for case in cases]
    found = dict.fromkeys(name for finding in findings for name in finding)
    rows: list[Row] = []
    for title, labels in KEY_SECTIONS:
        names = [name for name in labels if name in found]
        if names:
            rows.append(Row((title,), heads=True))
        rows += [finding_row(name, labels[name], findings, system, sampled) for name in names]
    shown = {name for _, labels in KEY_SECTIONS for name in labels}
    others = [name for name in found if name not in shown]
    if others:
        rows.append(Row(("All other results",), heads=True, detail=True))
    rows += [finding_row(name, _short(name), findings, system, sampled, detail=True) for name in others]
    ranged = any(own for row in rows for own in row.ranges[3::3])
    title = "Before and after" if len(cases) == 2 else "What was found"
    columns = tuple(columns_of([case.name for case in cases], ranged))
    return Table(title, columns, tuple(rows), detail_remarks=LABEL_NOTES)


def columns_of(names: Sequence[str], ranged: bool) -> Iterator[Column]:
    """Label, base, and for each later case its value, change and share; then the unit. ranged: changes have ranges."""
    yield Column()
    yield Column(names[0], POINT)
    for number, name in enumerate(names[1:], start=1):
        yield Column(name, POINT, number)
        yield Column("change", POINT, number, alone=True, gives_way=1 + ranged)
        yield Column("", RIGHT, number, gives_way=2 - ranged)
    yield Column("", UNIT)


class _Texts(NamedTuple):
    """Of one finding: a cell for each case; of the later cases the change, and the change in size as a share of the
    first, "" where it makes no sense: no number, or a sign that turned.
    """

    cells: list[str]
    changes: list[str]
    shares: list[str]
    unit: str


def finding_row(
    name: str,
    label: str,
    findings: Sequence[Mapping[str, Finding]],
    system: str,
    sampled: Sampled | None,
    *,
    detail: bool = False,
) -> Row:
    """One finding of every case: its value, then of the later ones value, change and share; last the unit."""
    kind = next((finding[name].kind for finding in findings if name in finding), "text")
    scale = 100.0 if name in IN_PERCENT else 1.0
    values = [finding[name].value if name in finding else None for finding in findings]
    words = [value if isinstance(value, str) else "" for value in values]
    values = [
        scale * value if isinstance(value, float) else told(value) if isinstance(value, str) else value
        for value in values
    ]
    of_builds, of_changes = _intervals(name, sampled, scale)
    places, change_places = (_worth(some, kind, system) for some in (of_builds, of_changes))
    texts, places, change_places = _texts(name, values, kind, system, (places, change_places))
    cells = [label, texts.cells[0]]
    for later in zip(texts.cells[1:], texts.changes, texts.shares, strict=True):
        cells += later
    cells.append(texts.unit)
    if sampled is None:
        return Row(tuple(cells), detail=detail)
    builds, changes = _ranges(
        name, kind, words, sampled, (of_builds, of_changes), (system, places, change_places)
    )
    ranges = ["", builds[0]]
    for build, change in zip(builds[1:], changes, strict=True):
        ranges += [build, change, ""]
    return Row(tuple(cells), (*ranges, ""), detail=detail)


def _worth(intervals: Sequence[Interval | None], kind: str, system: str) -> int | None:
    """Decimals that intervals are worth; None where none has any width.

    Figures and their changes have each their own: builds that share their doubts differ by a surer number than either
    has.
    """
    half_widths = [0.5 * (interval.high - interval.low) for interval in intervals if interval is not None]
    return spread_decimals(half_widths, kind, system)


def _texts(
    name: str, values: Sequence[Value], kind: str, system: str, worth: tuple[int | None, int | None]
) -> tuple[_Texts, int, int]:
    """The texts, and the decimals used for figures and for changes. worth: what the intervals of each are worth."""
    cells, unit, places = row_texts(values, kind, system, places=worth[0])
    change_places = places if worth[1] is None else worth[1]
    base = values[0]
    changes, shares = [], []
    for value in values[1:]:
        if not isinstance(base, float) or not isinstance(value, float):
            changes.append("" if value == base else "changes")
            shares.append("")
            continue
        factor, _ = display_factor(kind, system)
        change = numeral((value - base) * factor, change_places, sign=True)
        changes.append(change)
        turned = base * value < 0.0 or float(cells[0]) == 0.0
        share = 0.0 if float(change) == 0.0 else (abs(value) - abs(base)) / max(abs(base), 1e-300)
        shares.append("" if turned else percent(share))
    if name in IN_PERCENT:
        cells = [BELOW_PERCENT if _tiny(value) else cell for value, cell in zip(values, cells, strict=True)]
    return _Texts(cells, changes, shares, "%" if name in IN_PERCENT else unit), places, change_places


def _ranges(
    name: str,
    kind: str,
    words: Sequence[str],
    sampled: Sampled,
    intervals: tuple[list[Interval | None], list[Interval | None]],
    shown: tuple[str, int, int],
) -> tuple[list[str], list[str]]:
    """Of each build, and of each change: where 95 % lies, or for words in how many samples.

    shown: system, decimals of figures and of changes.
    """
    if kind == "text":
        held = [
            _share(build.outcomes.get(name), text, build.done - build.refused)
            for build, text in zip(sampled.builds, words, strict=True)
        ]
        return held, [""] * (len(words) - 1)
    system, *decimals = shown
    of_builds, of_changes = (
        [range_text(one.low, one.high, kind, system, places, sign) if one is not None else "" for one in some]
        for some, sign, places in zip(intervals, (False, True), decimals, strict=True)
    )
    return of_builds, of_changes


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


def _share(outcomes: Mapping[str, float] | None, text: str, samples: int) -> str:
    """Of how many samples the text holds, and in how many of the others blades run to full pitch."""
    if not outcomes:
        return ""
    share, runs_out = outcomes.get(text, 0.0), ReleaseVerdict.RUNS_OUT
    over = round(outcomes.get(runs_out, 0.0) * samples) if text != runs_out else 0
    also = f"; full pitch in {over}" if over else ""
    return "in all" if share == 1.0 else f"in {round(share * samples)} of {samples}{also}"


def _tiny(value: Value) -> bool:
    return isinstance(value, float) and 0.0 < abs(value) < 1e-3


def _short(name: str) -> str:
    if name in SHORT_LABELS:
        return SHORT_LABELS[name]
    return FINDINGS_TABLE[name].label if name in FINDINGS_TABLE else plain(name)
