"""A view as one self-contained page: question and answer first, then tables, pictures, checks, and how to repeat it."""

from __future__ import annotations

import base64
import functools
import hashlib
import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from featherbench.checks import SHORT_CAUTIONS
from featherbench.libraries import need
from featherbench.numerals import display_factor, unit_in_print
from featherbench.plain_text import plain
from featherbench.render.front import front_checks, front_table, steps_on_page
from featherbench.render.gallery import figure_of
from featherbench.render.motion import Moving, moving
from featherbench.render.readout import readout_json
from featherbench.render.svg import colour_rules, inline_svg
from featherbench.render.typesetting import minus, typeset
from featherbench.version import __version__

if TYPE_CHECKING:
    from jinja2 import Environment

    from featherbench.views.view import Build, CheckCell, Checks, Picture, View

TEMPLATES = Path(__file__).parent / "templates"
SCRIPTS = ("readout.js", "folds.js", "motion.js")
SAID = 3
"""Sentences of the answer on the first screen."""
LONGEST_GIST = 110
"""Characters of the one line that says what a fold holds."""


class Drawn(NamedTuple):
    """name: unique on the page; svg: the element, safe to set into the page; curves: JSON of the values behind it, or
    ""; kind: "plot", or "sheet" for one with paper of its own.
    """

    name: str
    svg: str
    title: str
    caption: str
    curves: str
    kind: str


class CheckLine(NamedTuple):
    """One check of one build; name and source only on the first line of a check, with how many lines they span."""

    name: str
    source: str
    build: str
    cell: CheckCell
    span: int


def page(view: View, command: str = "") -> str:
    """HTML of a view. command: how it was asked for."""
    script = "".join((TEMPLATES / name).read_text(encoding="utf-8") for name in SCRIPTS)
    digest = base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode("ascii")
    told = [typeset(table, number) for number, table in enumerate(view.tables, start=1)]
    pictures = [
        table | {"gist": _gist_of(table)} | {"picture": drawn(own.picture) if own.picture else None}
        for table, own in zip(told, view.tables, strict=True)
    ]
    details = [
        typeset(table, 0, detail=True) for table in view.tables if any(row.detail for row in table.rows)
    ]
    hero, rest = _hero(view)
    text = _environment().get_template("page.html").render(
        view=view,
        first_lines=[_headed(minus(line)) for line in view.first.lines],
        several=len(view.builds) > 1,
        notes=view.told_notes(),
        tables=[table for table in pictures if table["rows"] or table["remarks"] or table["picture"]],
        details=details,
        said=view.answer[:SAID],
        more_said=view.answer[SAID:],
        short=front_table(view),
        short_sure=_sure(view),
        short_checks=front_checks(view),
        hero=drawn(hero, view.answer[:1]) if hero else None,
        motion=_motion(view),
        next_steps=steps_on_page(view),
        short_cautions=SHORT_CAUTIONS,
        gists=_gists(view, rest),
        pictures=[drawn(picture) for picture in rest],
        parts=drawn(view.parts) if view.parts and view.parts is not hero else None,
        checks=_check_lines(view.checks, [build.name for build in view.builds]),
        command=command,
        version=__version__,
        builds="\n".join(_named(build) for build in view.builds),
        light=colour_rules(dark=False),
        dark=colour_rules(dark=True),
        style=(TEMPLATES / "page.css").read_text(encoding="utf-8"),
        script=script,
        script_digest=f"sha256-{digest}",
    )  # fmt: skip
    return _with_contents(text.lstrip())


def _named(build: Build) -> str:
    """What a build goes by on the page, and its title."""
    return plain(f"{build.name}: {build.title}" if build.name else build.title, 200)


def drawn(picture: Picture, said: Sequence[str] = ()) -> Drawn:
    """Draw it, for the page; said: the result, where the picture does not say it itself, which whoever cannot see it is
    told first.
    """
    figure = figure_of(picture)
    told = [picture.result] if picture.result else said
    svg = inline_svg(figure, picture.name, " ".join([*told, f"{picture.title}.", picture.caption]))
    kind = "sheet" if picture.paper else "plot"
    return Drawn(picture.name, svg, picture.title, picture.caption, readout_json(figure), kind)


def _hero(view: View) -> tuple[Picture | None, tuple[Picture, ...]]:
    """The picture of the first screen, and those below it; of a page without any, the parts."""
    if view.pictures:
        return view.pictures[0], view.pictures[1:]
    return view.parts, ()


def _motion(view: View) -> Moving | None:
    """The moving picture, forces in the unit of the first picture's."""
    if view.motion is None:
        return None
    return moving(view.motion(), " ".join(view.answer[:SAID]), display_factor("force", view.system))


def _sure(view: View) -> str:
    """How sure the figures are, as far as one sentence can say it."""
    if view.short is not None and any(any(row.ranges) for row in view.short.rows):
        return "Under each figure the range that holds 95 % of what tolerances and the model's doubts allow."
    return ""


def _gists(view: View, pictures: Sequence[Picture]) -> dict[str, str]:
    """One line on what each fold holds."""
    notes = view.told_notes()
    keys = {one for _, assumed in view.assumed for one in assumed}
    details = sum(row.detail for table in view.tables for row in table.rows)
    return {
        "notes": plain(f"{len(notes)} of them: {notes[0].text}", LONGEST_GIST) if notes else "",
        "cautions": view.cautions[-1] if view.cautions else "",
        "pictures": "; ".join(picture.title for picture in pictures),
        "assumed": f"{len(keys)} figures that the file does not state.",
        "details": f"{details} more rows.",
    }


def _gist_of(table: dict[str, Any]) -> str:
    """Of a table: how many rows, from which to which; of remarks alone the first."""
    labels = [row["label"] for row in table["rows"] if not row["heads"]]
    if not labels:
        return plain(table["remarks"][0], LONGEST_GIST) if table["remarks"] else ""
    many = f"{len(labels)} rows, {labels[0]} to {labels[-1]}" if len(labels) > 1 else labels[0]
    return plain(many, LONGEST_GIST)


def _headed(line: str) -> tuple[str, str]:
    """A first line, what it shouts apart from the rest."""
    shouted, _, rest = line.partition(": ")
    return shouted, rest


def _check_lines(checks: Checks, names: Sequence[str]) -> list[CheckLine]:
    """A line a check and build, the worst first, the same check of every build together."""
    made = []
    for row in checks.rows:
        told = [(name, cell) for name, cell in zip(names, row.cells, strict=True) if cell is not None]
        for number, (name, cell) in enumerate(told):
            words = ("", "") if number else (row.name, row.source)
            made.append(CheckLine(*words, name, cell, 0 if number else len(told)))
    return made


def _with_contents(text: str) -> str:
    """The page with links to its sections where the header left room for them."""
    sections = re.findall(r'<section id="([\w-]+)"><details>\s*<summary><h2>(.*?)</h2>', text)
    links = "\n".join(f'<a href="#{name}">{title}</a>' for name, title in sections)
    start, end = text.split('<nav aria-label="On this page">', 1)
    return f'{start}<nav aria-label="On this page">\n{links}\n{end}'


@functools.cache
def _environment() -> Environment:
    need("jinja2")
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters: dict[str, Any] = environment.filters | {  # type: ignore[misc]
        "plain": plain,
        "minus": minus,
        "unit": unit_in_print,
    }
    return environment
