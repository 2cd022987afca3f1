"""The fitted scenario as a variant file: the values found, and the joint result that later predictions draw from."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from featherbench import quantities
from featherbench.fitting.fit import correlation_of
from featherbench.fitting.improved import AS_READ
from featherbench.fitting.unknowns import Unknown
from featherbench.sampling.doubts import FACTORS, OWN_KEYS, PASSING, PREFIX, usual
from featherbench.sampling.fitted_joint import NORMAL_95
from featherbench.scenario.fitted import doubt_kind
from featherbench.scenario.toml_writer import toml_value
from featherbench.studies.key_paths import looked_up
from featherbench.studies.variant_file import differing_tables, own_file, typed_key, variant_file

if TYPE_CHECKING:
    from featherbench.fitting.calibrate import Calibration
    from featherbench.scenario import Scenario

SHRUNK, SHIFTED, TIED = 0.95, 0.1, 0.1
"""A nuisance goes into the joint result where its deviation fell below this share, or its value moved by so many
deviations, or its correlation with another is larger than that."""
DIGITS = 6
OWN_KINDS = {
    "doubt.chopping_rate": "frequency",
    "doubt.proportional_band": "angle",
    "doubt.dead_band": "angle",
    "doubt.damping": "time",
}
"""Kinds of quantity of keys that a factor found is written to; the others are ratios."""


class Entry(NamedTuple):
    """One key of the joint result as it is written. number: of the parameter; half: 95 %, SI."""

    number: int
    key: str
    kind: str
    value: float
    half: float


def variant_text(done: Calibration, path: Path, comments: Sequence[str] = ()) -> str:
    """The fitted scenario as a variant file for `path`: its base, the keys that were found and the joint result.

    Unknowns that the data could not determine are written too, marked as such: the others hold only together with them.
    comments: lines to begin with.
    """
    files = [f"{Path(name).name} (sha256 {digest[:16]})" for name, digest in done.data.digests.items()]
    free = [unknown.key for unknown in done.fitted.unknowns]
    told = [key for key, good in zip(free, done.fitted.identified, strict=True) if good]
    vague = [key for key in free if key not in told]
    note = f"Fitted to {', '.join(files)}: {', '.join(told) or 'nothing'}."
    if vague:
        note += f" Not determined by this data, but part of the fit: {', '.join(vague)}."
    entries = joint_entries(done)
    changes: dict[str, Any] = {"notes": toml_value(note)}
    remarks = {}
    for entry in entries:
        if not entry.key.startswith(PREFIX):
            changes[typed_key(done.scenario, entry.key)] = _typed(entry.value, entry.kind)
            low, high = (
                quantities.text(entry.value + side * entry.half, entry.kind, digits=5) for side in (-1.0, 1.0)
            )
            vaguely = entry.key in vague
            remarks[entry.key] = (
                "not determined by this data: goes with the others" if vaguely else f"95 %: {low} to {high}"
            )
    tables = differing_tables(own_file(done.scenario), changes)
    tables["fitted"] = _joint_table(done, entries, files)
    return variant_file(
        done.scenario,
        path.parent,
        heading="Written by featherbench calibrate: what was fitted to bench data; the rest is as in the base.",
        title=f"{done.scenario.title}, fitted to bench data",
        tables=tables,
        remarks=remarks,
        comments=comments,
    )


def joint_entries(done: Calibration) -> list[Entry]:
    """What is written of the joint result, parts last, so that a build with other parts keeps the rest as it is."""
    fitted = done.fitted
    hang = np.abs(correlation_of(fitted.whole) - np.eye(len(fitted.places)))
    entries = []
    for number, parameter in enumerate(fitted.parameters):
        if number >= len(fitted.unknowns) and not _worth_keeping(done, number, parameter, hang):
            continue
        entries.append(_entry(done.scenario, number, parameter, float(fitted.places[number]), fitted.whole))
    entries.sort(key=lambda entry: entry.key.startswith("part."))
    return entries


def _worth_keeping(done: Calibration, number: int, unknown: Unknown, hang: np.ndarray[Any, Any]) -> bool:
    """Whether the data said something of a nuisance that holds for the next run as well."""
    if unknown.key in PASSING or (unknown.key == "rotor.speed" and unknown.why == AS_READ):
        return False
    fitted = done.fitted
    deviation, place = float(np.sqrt(fitted.whole[number, number])), float(fitted.places[number])
    return deviation < SHRUNK or abs(place) > SHIFTED or float(hang[number].max()) > TIED


def _entry(
    scenario: Scenario, number: int, unknown: Unknown, place: float, whole: np.ndarray[Any, Any]
) -> Entry:
    """One parameter by the key of the file that takes it."""
    share = float(np.sqrt(whole[number, number]))
    value = unknown.at(place)
    half = NORMAL_95 * share * unknown.deviation
    if unknown.key in FACTORS and unknown.key in OWN_KEYS:
        value *= usual(scenario, unknown.key)[0]
        return Entry(number, OWN_KEYS[unknown.key], OWN_KINDS.get(unknown.key, "ratio"), value, half * value)
    if unknown.factor:
        return Entry(number, unknown.key, unknown.kind, value, half * value)
    if unknown.key == "doubt.air_moment":
        base = scenario.scale.air_moment
        return Entry(number, OWN_KEYS[unknown.key], "ratio", base * (1.0 + value), base * half)
    if unknown.key in OWN_KEYS:
        base, _ = looked_up(scenario, OWN_KEYS[unknown.key])
        return Entry(number, OWN_KEYS[unknown.key], "ratio", base + value, half)
    kind = doubt_kind(unknown.key) if unknown.key.startswith(PREFIX) else unknown.kind
    return Entry(number, unknown.key, kind, value, half)


def _joint_table(done: Calibration, entries: list[Entry], files: list[str]) -> dict[str, Any]:
    places = [entry.number for entry in entries]
    hang = correlation_of(done.fitted.whole[np.ix_(places, places)])
    return {
        "data": files,
        "keys": [entry.key for entry in entries],
        "values": [_with_half(entry) for entry in entries],
        "correlation": [[float(f"{value:.4f}") for value in row[:number]] for number, row in enumerate(hang)],
    }


def _with_half(entry: Entry) -> str:
    value, unit = quantities.shown(entry.value, entry.kind, "metric")
    half, _ = quantities.shown(entry.half, entry.kind, "metric")
    numbers = (quantities.plain_number(number, digits) for number, digits in ((value, DIGITS), (half, 4)))
    return f"{' +/- '.join(numbers)} {unit}".rstrip()


def _typed(value: float, kind: str) -> str | float:
    """A value as it is typed into a file."""
    return float(f"{value:.{DIGITS}g}") if kind == "ratio" else quantities.text(value, kind, digits=DIGITS)
