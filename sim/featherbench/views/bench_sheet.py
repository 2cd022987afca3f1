"""The view of a bench sheet: steps in a safe order, what is expected, where to stop, and blanks to write into."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from featherbench.bench.release import told
from featherbench.fitting.bench_sheet import AIM, CURRENTS, VERDICTS
from featherbench.guide.findings import FINDINGS_TABLE, in_words
from featherbench.numerals import percent, row_texts, unit_of
from featherbench.views.bench import about_builds
from featherbench.views.brief.bench import next_of
from featherbench.views.cases import cases_of
from featherbench.views.view import RIGHT, UNIT, WORDS, Column, Row, Table, table_of

if TYPE_CHECKING:
    from featherbench.checks import Check
    from featherbench.fitting.bench_sheet import BenchSheet
    from featherbench.fitting.next_measurement import Advice
    from featherbench.studies.run import Run
    from featherbench.views.first_lines import FirstLines
    from featherbench.views.view import View

BLANK = "________"
STEPS_OF = {
    "gauge repeats": "step 3",
    "gauge loop": "step 3",
    "gauge at another speed": "step 2",
    "gauge with the rotor slow": "step 2",
    "servo test": "step 4",
    "release": "step 5",
    "blade swing": "step 1",
    "gear play": "step 1",
}
"""Where on the sheet each candidate measurement is made; others are not on it."""
TURNING = (
    "Everything above holds. Nobody is in the plane of the rotor, the machine is clamped, the guard is up, eyes are "
    "covered. Whoever reads the gauge stands where a thrown weight cannot go. Rotor off before anybody comes near."
)


def sheet_view(
    sheet: BenchSheet,
    run: Run,
    checks: Sequence[Check],
    cautions: Sequence[str],
    system: str,
    first: FirstLines,
) -> View:
    """The sheet of one build. system: "metric" or "trade". Of a build that must not run only what is read standing."""
    cases = cases_of([run])
    about = about_builds(cases, [checks], cautions, system, first=first)
    turning = () if first.do_not_run else _turning(sheet, system)
    before = Table("Before anything turns", remarks=tuple(cautions))
    tables = (before, _standing(sheet, system), *turning, *_what_tells(sheet.advice, system, bool(turning)))
    return replace(
        about,
        question=f"Bench sheet: {about.title}",
        answer=_answer(sheet, system, bool(turning)),
        tables=tables,
        short=_contents(tables),
        next_steps=next_of(
            first, "Next: print it: --report FILE.html; a file for the readings: --readings FILE.toml"
        ),
        steps=(),
        data=sheet_data(sheet),
    )


def _contents(tables: Sequence[Table]) -> Table:
    """What stands on the sheet, a line a step, and how much is to be read there."""
    rows = [(table.title, f"{len(table.rows)} to read" if table.rows else "") for table in tables]
    return table_of("On the sheet", (("", WORDS), ("", RIGHT)), tuple(rows))


def sheet_data(sheet: BenchSheet) -> dict[str, Any]:
    """The sheet for other programs, SI."""
    found: dict[str, Any] = {
        "scenario": {
            "title": sheet.scenario.title,
            "files": [str(name) for name in sheet.scenario.source.files],
        },
        "sheet": {
            name: {
                "expected": value,
                "stop": sheet.stops.get(name),
                "unit": unit_of(FINDINGS_TABLE[name].kind),
            }
            for name, value in sheet.expected.items()
        },
        "forces": [
            {"pitch": force.pitch, "rising": force.rising, "falling": force.falling} for force in sheet.forces
        ],
        "speeds": [speed.__dict__ for speed in sheet.speeds],
        "release_at": list(sheet.release),
    }
    if sheet.advice is not None:
        found["tells"] = {candidate.name: candidate.share for candidate in sheet.advice.ranked}
    return found


def _answer(sheet: BenchSheet, system: str, turning: bool) -> tuple[str, ...]:
    if not turning:
        return (
            "This build must not run as it is: the sheet holds only what is read with the rotor standing. The steps "
            "with the rotor turning are printed once every check holds.",
        )
    push, pull = (_limit(sheet, name, system) for name in ("gauge_push", "gauge_pull"))
    said = [
        f"At full speed, push expected: {push[0]}; if the gauge shows over {push[1]} stop.",
        f"Pull expected: {pull[0]}; if the gauge shows over {pull[1]} stop.",
        "Do the steps in their order: each looks for what would make the next dangerous. Write down what is read, not "
        "what was expected.",
    ]
    best = _best(sheet.advice)
    return (*said, f"If time is short, what tells most of the largest push: {best}.") if best else tuple(said)


def _best(advice: Advice | None) -> str:
    useful = (
        [candidate for candidate in advice.ranked if candidate.share < 0.9 and candidate.name in STEPS_OF]
        if advice
        else []
    )
    return ", then ".join(f"{one.name} ({STEPS_OF[one.name]})" for one in useful[:3])


def _limit(sheet: BenchSheet, name: str, system: str) -> tuple[str, str]:
    value = sheet.expected[name]
    if not isinstance(value, float):
        return "not predicted", "nothing: do not run"
    texts, unit, _ = row_texts([value, sheet.stops[name]], FINDINGS_TABLE[name].kind, system)
    return f"{texts[0]} {unit}", f"{texts[1]} {unit}"


def _fields(sheet: BenchSheet, names: Sequence[str], system: str) -> tuple[Row, ...]:
    rows = []
    for name in names:
        value = sheet.expected[name]
        if isinstance(value, float):
            texts, unit, _ = row_texts([value, sheet.stops[name]], FINDINGS_TABLE[name].kind, system, 2)
        else:
            texts, unit = [told(str(value)) if value else "-", ""], ""
        rows.append(Row((in_words(name), *texts, unit, BLANK)))
    return tuple(rows)


_COLUMNS = (
    Column(),
    Column("expected", RIGHT),
    Column("stop above", RIGHT),
    Column("", UNIT),
    Column("read", WORDS),
)


def _standing(sheet: BenchSheet, system: str) -> Table:
    """What is looked at and read with the battery out."""
    scenario = sheet.scenario
    weighed = [(name, part.mass) for name, part in scenario.part.items() if part.mass is not None]
    rows = []
    for name, mass in weighed:
        texts, unit, _ = row_texts([float(mass)], "mass", system)
        rows.append(Row((f"{name}, each blade's", texts[0], "", unit, f"{BLANK} {BLANK}")))
    play, unit, _ = row_texts([float(scenario.servo.gear_play)], "angle", system)
    rows.append(Row(("servo gear play, at the arm", play[0], "", unit, BLANK)))
    return Table(
        "Step 1. Battery out, rotor still",
        _COLUMNS,
        tuple(rows),
        (
            "Pull and twist every blade, bolt and weight by hand: nothing is loose, nothing rubs, every thread is "
            "fully engaged, every bolt is new and rated.",
            "Move the rod through the whole range by hand, servo off: it goes smoothly, and both ends are reached.",
            "Zero the gauge with the rod off, and the meter with the servo powered and at rest.",
        ),
    )


def _turning(sheet: BenchSheet, system: str) -> tuple[Table, ...]:
    return (
        _way_up(sheet, system),
        _by_pitch(sheet, system),
        _with_servo(sheet, system),
        _let_go(sheet, system),
    )


def _way_up(sheet: BenchSheet, system: str) -> Table:
    rows = []
    for one in sheet.speeds:
        speed, unit, _ = row_texts([one.speed], "rotation", system, 4)
        for side in ("push", "pull"):
            value, stop = getattr(one, side), getattr(one, f"stop_{side}")
            texts, force, _ = row_texts([float(value), float(stop)], "force", system, 2)
            label = f"{percent(one.share, sign=False)} of speed, {speed[0]} {unit}: largest {side}"
            rows.append(Row((label, *texts, force, BLANK)))
    rows.append(Row(("rotor speed at full speed", *_speed(sheet, system), BLANK)))
    return Table(
        "Step 2. Rotor turning, servo off the rod: up in steps",
        _COLUMNS,
        tuple(rows),
        (
            TURNING,
            "At each speed move the rod slowly with the gauge through the range and back. Above the stop, at a new "
            "noise or shake, or where the force does not come back to the same: rotor off, find out why. Do not go up.",
        ),
    )


def _speed(sheet: BenchSheet, system: str) -> tuple[str, str, str]:
    texts, unit, _ = row_texts([float(sheet.scenario.rotor.speed)], "rotation", system, 4)
    return texts[0], "", unit


def _by_pitch(sheet: BenchSheet, system: str) -> Table:
    rows = []
    for force in sheet.forces:
        texts, unit, _ = row_texts([force.rising, force.falling], "force", system, 2)
        angle, degrees, _ = row_texts([force.pitch], "angle", system, 3)
        rows.append(Row((f"{angle[0]} {degrees}", texts[0], BLANK, texts[1], BLANK, unit)))
    push, pull = (_limit(sheet, name, system)[1] for name in ("gauge_push", "gauge_pull"))
    breakout = _limit(sheet, "rod_force_breakout", system)[0]
    return Table(
        "Step 3. Full speed, servo off the rod: force by pitch, push positive",
        (
            Column(),
            Column("rising, expected", RIGHT),
            Column("read", WORDS),
            Column("falling, expected", RIGHT),
            Column("read", WORDS),
            Column("", UNIT),
        ),
        tuple(rows),
        (
            f"Stop above {push} of push, {pull} of pull.",
            "Come to each pitch from below for rising, from above for falling, and do not turn round on the way: half "
            "the difference is friction. Past the stall read twice.",
            f"From rest at zero pitch, force at which the blades start to move, expected {breakout}: {BLANK}",
        ),
    )


def _with_servo(sheet: BenchSheet, system: str) -> Table:
    return Table(
        "Step 4. Full speed, servo on the rod: current",
        _COLUMNS,
        _fields(sheet, CURRENTS, system),
        (
            "Rotor off to put the servo on the rod. Then go to each end and read the meter: the largest that it shows "
            "of the move, and what it shows after a second of holding. Do not hold an end for longer than it takes to "
            "read: a servo that holds gets hot.",
        ),
    )


def _let_go(sheet: BenchSheet, system: str) -> Table:
    angles, unit, _ = row_texts(list(sheet.release), "angle", system, 3)
    return Table(
        "Step 5. Last: blades released",
        (Column(), Column("expected"), Column("read")),
        tuple(
            Row((f"{in_words(name)}, from {angle} {unit}", told(str(sheet.expected[name])), BLANK))
            for name, angle in zip(VERDICTS, angles, strict=True)
        ),
        (
            "Only where all readings so far were as expected, and where full pitch either way harms nothing. Release "
            "the rod from behind the guard: blades return to centre, stay put, or run to full pitch.",
            "Rotor off. Look over every bolt, weight and blade again before the next run.",
        ),
    )


def _what_tells(advice: Advice | None, system: str, turning: bool) -> tuple[Table, ...]:
    if advice is None:
        return ()
    rows = []
    for candidate in advice.ranked:
        texts, unit, _ = row_texts([1.96 * candidate.after], advice.kind, system, 2)
        step = STEPS_OF.get(candidate.name, "not on this sheet")
        shown = step if turning or step == "step 1" else "once every check holds"
        rows.append(
            Row((candidate.words, shown, percent(candidate.share, sign=False), f"+/- {texts[0]}", unit))
        )
    before, unit, _ = row_texts([1.96 * advice.before], advice.kind, system, 2)
    return (
        Table(
            f"Why: what each would tell of the {in_words(AIM)}",
            (Column(), Column("where"), Column("doubt left", RIGHT), Column("then", RIGHT), Column("", UNIT)),
            tuple(rows),
            (
                f"Before any reading it is known to +/- {before[0]} {unit} (95 %), counting what the model does not "
                "know. Each alone, from what is known now; after the first readings calibrate --next ranks anew.",
            ),
        ),
    )
