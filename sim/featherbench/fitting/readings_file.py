"""A file of readings to type into: every field with its unit, blank, and what is expected there beside it.

As TOML, number before the unit that stands there already; as CSV, for a spreadsheet, a row a pitch and the units in the
headings. `read_bench_data` reads both; what is left blank was not read.
"""

from __future__ import annotations

from featherbench import quantities
from featherbench.bench.end_readings import AT_END
from featherbench.bench.release import TYPED, told
from featherbench.fitting.bench_sheet import CURRENTS, VERDICTS, AtPitch, BenchSheet
from featherbench.guide.findings import in_words
from featherbench.scenario.toml_writer import toml_value

SPEED_UNIT = "rpm"
OF_BUILD = "what was on the bench; calibrate takes files of several builds in one go"


def readings_toml(sheet: BenchSheet, system: str, build: str = "") -> str:
    """The file as TOML. system: "metric" or "trade"; build: the scenario's file as seen from this one, "" for none."""
    scenario, unit = sheet.scenario, quantities.unit_shown("force", system)
    speed = quantities.text(float(scenario.rotor.speed), "rotation", digits=5)
    title = scenario.title.replace("\n", " ")
    lines = [
        f"# Readings of: {title}",
        '# Type each number before its unit: "9.2 N", or with how sure it is, "9.2 +/- 0.1 N". Repeats in brackets:',
        '# ["9.2 N", "9.3 N"]. Leave blank what was not read.',
        'date = ""  # the day, such as 2026-11-02: of several days, match and calibrate show what has changed',
        f"build = {toml_value(build)}  # {OF_BUILD}",
        f'gauge.uncertainty = ""  # {_gauge_stated(sheet, system)}',
        "[readings]",
        f"rotor_speed = {toml_value(' ' + SPEED_UNIT)}  # predicted at {speed}",
        f"rod_force_breakout = {toml_value(' ' + unit)}  # {_expected(sheet, 'rod_force_breakout', 'force', system)}",
    ]
    for name in CURRENTS:
        words = _expected(sheet, name, "current", system)
        lines.append(f"{name} = {toml_value(' A')}  # {in_words(name)}; {words}")
    for name, pitch in zip(VERDICTS, sheet.release, strict=True):
        value = sheet.expected[name]
        where = quantities.text(pitch, "angle", digits=3)
        lines.append(f'{name} = ""  # released at {where}: {TYPED}; expected: {told(str(value))}')
    lines.append("forces = [  # on the gauge, push positive, pull negative")
    for force in sheet.forces:
        row = {"pitch": _degrees(force), "rising": f" {unit}", "falling": f" {unit}"}
        lines.append(f"    {toml_value(row)},  # expected {_both(force, system)}")
    return "\n".join([*lines, "]", ""])


def readings_csv(sheet: BenchSheet, system: str, build: str = "") -> str:
    """The file as a table for a spreadsheet, a row a pitch. build: as of the other."""
    unit = quantities.unit_shown("force", system)
    low, high = sheet.scenario.rotor.pitch_range
    heads = [
        "pitch [deg]", f"force rising [{unit}]", f"force falling [{unit}]", f"breakout force [{unit}]",
        "current moving [A]", "current holding [A]", "released", "rotor speed [rpm]",
    ]  # fmt: skip
    lines = [
        "# Push positive, pull negative. Breakout: at 0 deg. Currents: at both ends. Released: "
        f"{TYPED}. A cell marked - has nothing to be read.",
        "# Type the day as 2026-11-02; of several days, match and calibrate show what has changed.",
        "# Date:",
        f"# {OF_BUILD[0].upper()}{OF_BUILD[1:]}.",
        f"# Build: {build}",
        f"# {_gauge_stated(sheet, system)}.",
        "# gauge.uncertainty:",
        ",".join(heads),
    ]
    forces = {round(one.pitch, 6) for one in sheet.forces}
    pitches = sorted(forces | {round(pitch, 6) for pitch in sheet.release})
    for pitch in pitches:
        force = "" if pitch in forces else "-"
        breakout = "" if abs(pitch) < AT_END else "-"
        current = "" if pitch <= low + AT_END or pitch >= high - AT_END else "-"
        let_go = "" if any(abs(pitch - one) < 1e-5 for one in sheet.release) else "-"
        degrees = quantities.text(pitch, "angle", digits=4).removesuffix(" deg")
        lines.append(",".join([degrees, force, force, breakout, current, current, let_go, ""]))
    return "\n".join([*lines, ""])


def _gauge_stated(sheet: BenchSheet, system: str) -> str:
    own = sheet.scenario.gauge.uncertainty
    known = "no figure" if own is None else quantities.text(own, "force", system, digits=2)
    return f"Only of another gauge than the scenario's ({known}): how far it may be off, in 95 of 100"


def _degrees(reading: AtPitch) -> str:
    return quantities.text(reading.pitch, "angle", digits=4)


def _both(reading: AtPitch, system: str) -> str:
    (rising, unit), (falling, _) = (
        quantities.shown(way, "force", system) for way in (reading.rising, reading.falling)
    )
    return f"{round(rising, 2) + 0.0:.2f} and {round(falling, 2) + 0.0:.2f} {unit}"


def _expected(sheet: BenchSheet, name: str, kind: str, system: str) -> str:
    value = sheet.expected[name]
    if not isinstance(value, float):
        return "not predicted"
    text = f"expected {quantities.text(value, kind, system, digits=2)}"
    if name not in sheet.stops:
        return text
    return f"{text}; stop above {quantities.text(sheet.stops[name], kind, system, digits=2)}"
