"""The frame of every page: question and answer first, then pictures, parts, checks, cautions, and how to repeat it."""

from __future__ import annotations

import base64
import functools
import hashlib
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import featherbench
from featherbench.checks import Verdict, lacking, verdict_text, worst_first
from featherbench.report.first_lines import NOTHING, FirstLines, of_cases
from featherbench.report.numerals import row_texts, unit_in_print
from featherbench.report.pages.readout import readout_json
from featherbench.report.pages.svg import colour_rules, inline_svg
from featherbench.report.pictures import Drawn
from featherbench.report.plain_text import plain
from featherbench.report.summary import Case, assumed_by_case, title_of
from featherbench.report.tabled import POINT, Sheet

if TYPE_CHECKING:
    from jinja2 import Environment

    from featherbench.checks import Check
    from featherbench.scenario import Scenario

FIGURE_SPACE, POINT_SPACE = "\u2007", "\u2008"
"""As wide as a digit, and as a decimal point."""
_TEMPLATES = Path(__file__).parent / "templates"


class Picture(NamedTuple):
    """name: unique on the page; svg: the element, safe to set into the page; curves: JSON of the values behind it, or
    ""; kind: "plot", or "sheet" for one with paper of its own.
    """

    name: str
    svg: str
    title: str
    caption: str
    curves: str
    kind: str


class BuildFacts(NamedTuple):
    """A scenario as the page tells of it; name: short, "" when it is the only one."""

    name: str
    title: str
    notes: str
    files: tuple[str, ...]
    digest: str


class CheckLine(NamedTuple):
    """One check of one case; name and source only on the first line of a check; stops: it fails or is not known."""

    name: str
    source: str
    case: str
    demand: str
    allowable: str
    unit: str
    verdict: str
    stops: bool


class Frame(NamedTuple):
    """What every page has. first: what has to be read before anything else; attention: (case or "", note) to look at
    then; first_said: small print under the answer; assumed: (case or "", items); rests_on: thresholds and data in
    words; parts_first: before the tables, not after the pictures; data: sha256 by file.
    """

    question: str
    answer: Sequence[str]
    cautions: Sequence[str]
    first: FirstLines = NOTHING
    builds: Sequence[BuildFacts] = ()
    pictures: Sequence[Drawn] = ()
    parts: Drawn | None = None
    attention: Sequence[tuple[str, str]] = ()
    first_said: Sequence[str] = ()
    checks: Sequence[CheckLine] = ()
    unknown: Sequence[str] = ()
    unchecked: Sequence[str] = ()
    rests_on: Sequence[str] = ()
    assumed: Sequence[tuple[str, Sequence[Any]]] = ()
    left_out: Sequence[str] = ()
    command: str = ""
    parts_first: bool = False
    data: Mapping[str, str] = {}


def render(template: str, frame: Frame, facts: Mapping[str, Any] | None = None) -> str:
    """The page as HTML: a template of this folder, the frame, and the template's own facts."""
    script = (_TEMPLATES / "readout.js").read_text(encoding="utf-8")
    digest = base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode("ascii")
    shared = {
        **frame._asdict(),
        "first_lines": [_headed(minus(line)) for line in frame.first.lines],
        "answer": [minus(sentence) for sentence in frame.answer],
        "attention": [(name, minus(note)) for name, note in _together(frame)],
        "pictures": [picture(one) for one in frame.pictures],
        "parts": picture(frame.parts) if frame.parts else None,
        "version": featherbench.__version__,
        "light": colour_rules(dark=False),
        "dark": colour_rules(dark=True),
        "style": (_TEMPLATES / "page.css").read_text(encoding="utf-8"),
        "script": script,
        "script_digest": f"sha256-{digest}",
    }
    text = _environment().get_template(template).render({**shared, **(facts or {})})
    return _with_contents(text)


def _headed(line: str) -> tuple[str, str]:
    """A first line, what it shouts apart from the rest."""
    shouted, _, rest = line.partition(": ")
    return shouted, rest


def _together(frame: Frame) -> list[tuple[str, str]]:
    """What to look at first, once where every build has it."""
    names = [build.name for build in frame.builds]
    told: dict[str, list[str]] = {}
    for name, note in frame.attention:
        told.setdefault(note, []).append(name)
    everyone = " and ".join(names) if len(names) == 2 else "every build"
    return [
        (everyone if len(names) > 1 and own == names else ", ".join(dict.fromkeys(own)), note)
        for note, own in told.items()
    ]


def _with_contents(text: str) -> str:
    """The page with links to its sections where the frame left room for them."""
    sections = re.findall(r'<section id="([\w-]+)">\s*<h2>(.*?)</h2>', text)
    links = "\n".join(f'<a href="#{name}">{title}</a>' for name, title in sections)
    start, end = text.split('<nav aria-label="On this page">', 1)
    return f'{start}<nav aria-label="On this page">\n{links}\n{end}'


@functools.cache
def _environment() -> Environment:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        loader=FileSystemLoader(_TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["plain"] = plain
    return environment


def picture(one: Drawn) -> Picture:
    """Draw it, for the page."""
    figure = one.figure()
    svg = inline_svg(figure, one.name, f"{one.title}. {one.caption}")
    return Picture(one.name, svg, one.title, one.caption, readout_json(figure), one.kind)


def build_facts(scenario: Scenario, name: str = "") -> BuildFacts:
    """What the page tells of a scenario."""
    source = scenario.source
    files = tuple(str(file) for file in source.files)
    return BuildFacts(name, plain(scenario.title, 200), scenario.notes, files, source.digest)


def frame_of(
    question: str,
    answer: Sequence[str],
    cases: Sequence[Case],
    checks: Sequence[Sequence[Check]],
    cautions: Sequence[str],
    system: str,
    command: str,
) -> Frame:
    """The frame of what was found of these runs; checks: those of each run, in order."""
    from featherbench.report.pictures import parts_picture

    runs = [case.run for case in cases]
    return Frame(
        question=question,
        answer=answer,
        cautions=cautions,
        builds=[build_facts(case.run.scenario, case.name) for case in cases],
        parts=parts_picture(
            [(case.name, case.run.setup.assembly, case.run.scenario) for case in cases], system
        ),
        attention=[(case.name, note) for case in cases for note in case.run.notes],
        first=of_cases(cases, checks),
        checks=check_lines(cases, checks, system),
        unknown=_lacking(checks, Verdict.UNKNOWN),
        unchecked=_lacking(checks, Verdict.NOT_CHECKED),
        assumed=assumed_by_case(cases),
        left_out=list(dict.fromkeys(item for run in runs for item in run.left_out)),
        command=command,
    )


def scenario_frame(
    question: str,
    answer: Sequence[str],
    scenario: Scenario,
    cautions: Sequence[str],
    system: str,
    command: str,
) -> Frame:
    """The frame of a study of one scenario: with the strength checks of its bench run."""
    from featherbench.checks import bench_checks
    from featherbench.studies import predict

    run = predict(scenario)
    case = Case("", run)
    named = f"{question} {title_of(run)}"
    frame = frame_of(named, answer, [case], [bench_checks(run)], cautions, system, command)
    return frame._replace(attention=[])


def typeset(sheet: Sheet) -> dict[str, Any]:
    """A sheet for print: true minus signs, units as signs, points under one another."""
    cells = [[unit_in_print(minus(cell)) for cell in row] for row in sheet.rows]
    for place, (_, side) in enumerate(sheet.headings):
        if side == POINT:
            deepest = max((depth(row[place]) for row in cells), default=0)
            for row in cells:
                row[place] = numeral_at(row[place], deepest)
    sides = {POINT: "number", "right": "number", "left": "words"}
    return {
        "title": sheet.title,
        "headed": any(heading for heading, _ in sheet.headings),
        "headings": [(unit_in_print(heading), sides[side]) for heading, side in sheet.headings],
        "rows": cells,
        "remarks": [minus(remark) for remark in sheet.remarks],
    }


def depth(cell: str) -> int:
    """Characters from the decimal point on."""
    return len(cell) - cell.index(".") if "." in cell else 0


def numeral_at(cell: str, deepest: int) -> str:
    """Padded behind the point with spaces as wide as what is not there; words stay as they are."""
    if not cell.lstrip("+-\u2212")[:1].isdigit():
        return cell
    lacking = deepest - depth(cell)
    if "." not in cell and lacking > 0:
        return minus(cell) + POINT_SPACE + FIGURE_SPACE * (lacking - 1)
    return minus(cell) + FIGURE_SPACE * lacking


def minus(text: str) -> str:
    """With true minus signs, and per cent signs that stay with their number."""
    return re.sub(r"(?<!\w)-(?=\d)", "\u2212", text).replace(" %", "\u00a0%")


def check_lines(cases: Sequence[Case], checks: Sequence[Sequence[Check]], system: str) -> list[CheckLine]:
    """All that was checked or is not known, the worst first, the same check of every case together."""
    every = worst_first([check for row in checks for check in row])
    names = dict.fromkeys(check.name for check in every if check.verdict is not Verdict.NOT_CHECKED)
    made = []
    for name in names:
        first = True
        for case, row in zip(cases, checks, strict=True):
            for check in row:
                if check.name == name and check.verdict is not Verdict.NOT_CHECKED:
                    made.append(_check_line(check, case.name, system, first))
                    first = False
    return made


def _check_line(check: Check, case: str, system: str, first: bool) -> CheckLine:
    (demand, allowable), unit, _ = row_texts([check.demand, check.allowable], check.kind, system)
    source = f"{check.source}; at {check.section}" if check.section else check.source
    return CheckLine(
        name=check.name if first else "",
        source=source if first else "",
        case=case,
        demand=minus(demand),
        allowable=minus(allowable),
        unit=unit_in_print(unit),
        verdict=verdict_text(check),
        stops=check.verdict in (Verdict.FAILS, Verdict.UNKNOWN),
    )


def _lacking(checks: Sequence[Sequence[Check]], verdict: Verdict) -> list[str]:
    """Checks that lack something, each once, with what to state."""
    return lacking(check for row in checks for check in row if check.verdict is verdict)
