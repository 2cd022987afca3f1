"""Pages of the studies: check, swing, spread, match, calibrate, wag and bias, all from one template."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from featherbench.report.pages.frame import Frame, build_facts, frame_of, render, scenario_frame, typeset
from featherbench.report.pictures import (
    bias_pictures,
    calibration_pictures,
    match_pictures,
    parts_picture,
    spread_pictures,
    swing_pictures,
    wag_pictures,
)
from featherbench.report.summary import Case, title_of
from featherbench.report.tabled import Sheet, sheet_of

if TYPE_CHECKING:
    from featherbench.bench.setup import Setup
    from featherbench.scenario import Scenario
    from featherbench.studies.bias import Bias
    from featherbench.studies.calibrate import Calibration
    from featherbench.studies.match import Match
    from featherbench.studies.next_measurement import Advice
    from featherbench.studies.spread import Spread
    from featherbench.studies.wag import Wag


def check_page(setups: Sequence[Setup], cautions: Sequence[str], system: str, command: str = "") -> str:
    """HTML of what was understood of scenarios, before anything runs."""
    from featherbench.checks import judge
    from featherbench.checks.load_path import load_path_checks
    from featherbench.report.explained import MEANT, check_answer, explained, meant
    from featherbench.report.first_lines import of_judged

    names = [f"build {number}" if len(setups) > 1 else "" for number in range(1, len(setups) + 1)]
    sheets: list[Sheet] = []
    answer: list[str] = []
    for name, setup in zip(names, setups, strict=True):
        before = f"{name}: " if name else ""
        answer += [f"{MEANT} {before}{said}" for said in meant(setup)]
        answer += [f"{before}{sentence}" for sentence in check_answer(setup, system)]
        sheets += [
            sheet_of(
                f"{before}{_low(title) if before else title}", columns, [_bare(said) for said in remarks]
            )
            for title, columns, remarks in explained(setup, system)
            if columns or title == "Missing"
        ]
    titles = " and ".join(f"“{setup.scenario.title}”" for setup in setups)
    frame = Frame(
        question=f"What was understood of {titles}?",
        answer=answer,
        cautions=cautions,
        builds=[build_facts(setup.scenario, name) for name, setup in zip(names, setups, strict=True)],
        parts=parts_picture(
            [(name, setup.assembly, setup.scenario) for name, setup in zip(names, setups, strict=True)],
            system,
        ),
        first=of_judged(
            {name: judge(load_path_checks(setup)) for name, setup in zip(names, setups, strict=True)}
        ),
        parts_first=True,
        assumed=[(name, setup.assumed) for name, setup in zip(names, setups, strict=True)],
        command=command,
    )
    return study_page(frame, sheets)


def spread_page(spread: Spread, cautions: Sequence[str], system: str, command: str = "") -> str:
    """HTML of a spread. system: "metric" or "trade"; command: how it was asked for."""
    from featherbench.checks import bench_checks
    from featherbench.report.first_lines import of_spread
    from featherbench.report.spread_summary import inputs_sheet, spread_answer, spread_notes, spread_sheet

    run = spread.nominal
    question = f"What do the tolerances do to “{title_of(run)}”?"
    checks = [bench_checks(run)]
    frame = frame_of(
        question, spread_answer(spread, system), [Case("", run)], checks, cautions, system, command
    )
    frame = frame._replace(first=of_spread(spread, checks[0]))
    frame = frame._replace(pictures=spread_pictures(spread, system), rests_on=spread_notes(spread))
    return study_page(frame, [spread_sheet(spread, system), inputs_sheet(spread, system)])


def match_page(found: Match, cautions: Sequence[str], system: str, command: str = "") -> str:
    """HTML of a match. system: "metric" or "trade"; command: how it was asked for."""
    from featherbench.report.match_summary import matched_sheet, series_sheet

    answer = [f"{said[0].upper()}{said[1:]}." for said in found.verdict.rstrip(".").split("; ")]
    frame = scenario_frame(
        "Does the model agree with the bench?", answer, found.scenario, cautions, system, command
    )
    frame = frame._replace(
        pictures=match_pictures(found, system), rests_on=found.notes, data=found.data.digests
    )
    return study_page(frame, [matched_sheet(found, system), series_sheet(found, system)])


def calibration_page(
    done: Calibration, advice: Advice | None, cautions: Sequence[str], system: str, command: str = ""
) -> str:
    """HTML of a calibration, with what to measure next when that was asked for."""
    from featherbench.report.first_lines import of_calibration
    from featherbench.report.match_summary import (
        advice_sheet,
        aside_sheet,
        calibration_answer,
        correlation_sheet,
        fitted_sheet,
        improved_sheet,
    )

    frame = scenario_frame(
        "What does the bench say about the build?",
        calibration_answer(done, system),
        done.scenario,
        cautions,
        system,
        command,
    )
    frame = frame._replace(first=of_calibration(done))
    frame = frame._replace(
        pictures=calibration_pictures(done, system), rests_on=done.notes, data=done.data.digests
    )
    sheets = [make(done, system) for make in (fitted_sheet, improved_sheet, aside_sheet)]
    sheets.append(correlation_sheet(done))
    if advice is not None:
        sheets.append(advice_sheet(advice, system))
    return study_page(frame, sheets)


def wag_page(found: Wag, scenario: Scenario, cautions: Sequence[str], system: str, command: str = "") -> str:
    """HTML of a flight in hover."""
    from featherbench.report.hover_study import LEFT_OUT, findings_sheet, wag_answer, wag_notes

    frame = scenario_frame(
        "Does the tail wag?", wag_answer(found, system), scenario, cautions, system, command
    )
    frame = frame._replace(pictures=wag_pictures(found, system), rests_on=wag_notes(found), left_out=LEFT_OUT)
    return study_page(frame, [findings_sheet(found.findings, system)])


def bias_page(
    found: Bias, scenario: Scenario, cautions: Sequence[str], system: str, command: str = ""
) -> str:
    """HTML of the sweep from no weights to too many; checks are those of the build as written."""
    from featherbench.report.first_lines import of_bias
    from featherbench.report.hover_study import (
        LEFT_OUT,
        bias_answer,
        bias_columns,
        bias_notes,
        findings_sheet,
    )

    frame = scenario_frame(
        "Neutral, or a slight bias?", bias_answer(found, system), scenario, cautions, system, command
    )
    frame = frame._replace(
        first=of_bias(found, scenario),
        pictures=bias_pictures(found, system),
        rests_on=bias_notes(found),
        left_out=LEFT_OUT,
    )
    sheets = [findings_sheet(found.findings, system)]
    if found.chosen is not None:
        sheets.append(sheet_of("The sweep at the chosen phase", bias_columns(found, system)))
    return study_page(frame, sheets)


def swing_page(
    method: str,
    answer: Sequence[str],
    steps: Sequence[str],
    paste: str,
    cautions: Sequence[str],
    command: str = "",
) -> str:
    """HTML of how to hang a part and time its swing, and of what the readings come to."""
    question = f"How to measure an inertia: the {method} swing"
    frame = Frame(
        question=question, answer=answer, cautions=cautions, pictures=swing_pictures(method), command=command
    )
    return study_page(frame, [], steps, paste)


def study_page(frame: Frame, sheets: Sequence[Sheet], steps: Sequence[str] = (), paste: str = "") -> str:
    """Tables that say something, in the frame."""
    shown = [typeset(sheet) for sheet in sheets if sheet.rows or sheet.remarks]
    return render("study.html", frame, {"sheets": shown, "steps": steps, "paste": paste})


def _low(title: str) -> str:
    return title[0].lower() + title[1:]


def _bare(remark: str) -> str:
    """A line of a list for the terminal without what makes it one."""
    return remark.strip().removeprefix("- ")
