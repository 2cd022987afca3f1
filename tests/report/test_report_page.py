"""The page: self-contained, escaped, complete, with the answer in its first lines."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Sequence
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest
from shown import comparison_page, run_page

from featherbench.checks import CAUTIONS, Check
from featherbench.pictures.bench import force_figure
from featherbench.plain_text import plain
from featherbench.render.page import page as page_of
from featherbench.render.readout import readout_json
from featherbench.render.svg import inline_svg
from featherbench.render.typesetting import minus
from featherbench.scenario import Assumed
from featherbench.studies.prediction import compared
from featherbench.studies.run import Comparison
from featherbench.views.answer import comparison_answer
from featherbench.views.cases import cases_of
from featherbench.views.check import check_view

VOID = {"meta", "br", "link", "img", "hr", "input"}


class Reader(HTMLParser):
    """Collects elements, attributes and text; notices what is not closed."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.attributes: list[tuple[str, str, str]] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert len({name for name, _ in attrs}) == len(attrs), (
            tag,
            attrs,
        )  # of two a browser reads the first
        self.attributes += [(tag, name, value or "") for name, value in attrs]
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.attributes += [(tag, name, value or "") for name, value in attrs]

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if data.strip() and self.open[-1:] not in (["style"], ["script"]):
            self.text.append(" ".join(data.split()))


def read(page: str) -> Reader:
    """The page, parsed; every element is closed where it should be."""
    reader = Reader()
    reader.feed(page)
    reader.close()
    assert reader.open == []
    return reader


@pytest.fixture(scope="module")
def pages(builds: Comparison, checks: Sequence[Check]) -> dict[str, str]:
    """Of one run and of a comparison."""
    return {
        "run": run_page(builds.runs[0], checks, CAUTIONS, "metric", "featherbench predict plain.toml"),
        "comparison": comparison_page(
            builds, [checks, checks], CAUTIONS, "trade", "featherbench compare plain.toml weighted.toml"
        ),
    }


@pytest.mark.parametrize("which", ["run", "comparison"])
def test_nothing_comes_from_outside(pages: dict[str, str], which: str) -> None:
    page = pages[which]
    assert "://" not in page
    assert "@import" not in page
    reader = read(page)
    scripts = re.findall(r"<script([^>]*)>(.*?)</script>", page, re.DOTALL)
    assert all("src" not in attributes for attributes, _ in scripts)
    programs = [text for attributes, text in scripts if "application/json" not in attributes]
    assert len(programs) == 1
    digest = base64.b64encode(hashlib.sha256(programs[0].encode()).digest()).decode()
    assert f"script-src 'sha256-{digest}'" in page  # the browser runs this script and no other
    for attributes, text in scripts:
        if "application/json" in attributes:
            assert json.loads(text)
    for tag, name, value in reader.attributes:
        assert name != "src", tag
        assert not name.startswith("on"), name
        if name in ("href", "xlink:href"):
            assert value.startswith("#")
    names = [value for _, name, value in reader.attributes if name == "id"]
    assert len(names) == len(set(names))
    assert set(re.findall(r"url\(#([^)]+)\)", page)) <= set(names)


def test_the_first_lines_are_question_and_answer(pages: dict[str, str], builds: Comparison) -> None:
    text = read(pages["comparison"]).text
    assert text[1] == "DO NOT RUN:"  # after the tab's title, before all that is praised
    assert text[2].startswith("before and after: 1 check fails (supply current against the regulator 0.6 x)")
    text = [text[0], *text[3:]]
    assert text[0] == text[1]  # the tab's title, and the heading
    assert text[0].startswith("What changes on the bench from")
    assert tuple(text[2:5]) == tuple(
        minus(said).replace("\u00a0", " ") for said in comparison_answer(builds, "trade")[:3]
    )
    assert text[2].startswith("Largest force on the rod")


def test_everything_asked_for_is_there(pages: dict[str, str], builds: Comparison) -> None:
    for which, page in pages.items():
        text = " ".join(read(page).text)
        for caution in CAUTIONS:
            assert caution in text
        assert "OK, 1.6 x" in text
        assert "FAILS, 0.6 x" in text
        assert text.index("FAILS, 0.6 x") < text.index("OK, 1.6 x")
        assert "rod ball link (limits.rod_ball_link)" in text
        for item in builds.runs[0].assumed:
            assert item.key in text
        assert plain(builds.runs[0].left_out[0]) in text
        assert builds.runs[0].scenario.source.digest in text
        assert f"featherbench {'compare' if which == 'comparison' else 'predict'} plain.toml" in text
        assert page.count("<svg") >= 5
    text = " ".join(read(pages["comparison"]).text)
    assert "before" in text
    assert builds.runs[1].scenario.title in text


def test_links_on_the_page_lead_somewhere(pages: dict[str, str]) -> None:
    for page in pages.values():
        targets = [value[1:] for tag, name, value in read(page).attributes if (tag, name) == ("a", "href")]
        assert len(targets) >= 6
        assert {f'<section id="{target}">' in page for target in targets} == {True}


def test_values_under_the_pointer_are_those_drawn(builds: Comparison) -> None:
    figure = force_figure(cases_of(builds.runs), "trade")
    (panel,) = json.loads(readout_json(figure))
    assert panel["unit"] == "ozf"
    assert (panel["x"], panel["xunit"]) == ("pitch at the blade", "deg")
    for line in panel["lines"]:
        drawn = next(own for own in figure.axes[0].lines if own.get_label() == line["name"])
        x, y = drawn.get_data()
        assert np.interp(line["x"], x, y) == pytest.approx(line["y"], rel=2e-4, abs=2e-4)
    left, top, width, height = panel["box"]
    svg = inline_svg(figure, "force", "")
    box = [float(word) for word in re.search(r'viewBox="([^"]*)"', svg)[1].split()]  # type: ignore[index]
    assert 0.0 <= left < left + width <= box[2]
    assert 0.0 <= top < top + height <= box[3]


def test_free_text_is_escaped(builds: Comparison, checks: Sequence[Check]) -> None:
    hostile = "<script>alert(1)</script> </style> <img src=x onerror=y> & \x1b[31m \u202e"
    run = builds.runs[0]
    source = replace(run.scenario.source, files=(hostile,))
    named = {hostile: next(iter(run.scenario.part.values()))}
    changed = {"title": hostile, "notes": hostile, "source": source, "part": named}
    scenario = run.scenario.model_copy(update=changed)
    parts = tuple(replace(part, name=hostile) for part in run.setup.assembly.parts)
    setup = replace(
        run.setup,
        scenario=scenario,
        assembly=replace(run.setup.assembly, parts=parts),
        assumed=(Assumed(hostile, hostile, hostile),),
    )
    run = replace(run, setup=setup, notes=(hostile,), left_out=(hostile,))
    for text in (
        run_page(run, checks, [hostile], "metric", hostile),
        page_of(check_view([setup], [hostile], "metric"), hostile),
    ):
        for tag in ("<script>alert", "<img", "</style> <"):
            assert tag not in text
        assert not any(letter in text for letter in "\x1b\u202e")
        read(text)
        assert text.count("&lt;script&gt;") >= 7


def test_of_several_builds_the_answer_names_the_one_with_the_least_force(builds: Comparison) -> None:
    three = compared([builds.runs[0], builds.runs[0], builds.runs[1]])
    first, *each = comparison_answer(three, "metric")
    assert first.startswith("Least force on the rod: after 2. It falls from")
    assert len(each) >= 2
    assert each[0].startswith("after 1: largest force on the rod")
    assert "released, the blades " in each[1]


def test_text_made_safe_keeps_the_spaces_that_hold_numbers() -> None:
    """A per cent sign stays with its number, points stand under one another; other blanks become one."""
    assert plain(" 12\u00a0% of\t\n 3.0\u2007") == "12\u00a0% of 3.0\u2007"
    assert plain("one\u2028two\u202ethree") == "one twothree"


def test_points_stand_under_one_another_on_the_first_screen(pages: dict[str, str]) -> None:
    """Digits that are not there are spaces as wide as one."""
    short = pages["comparison"].split('<div class="short', 1)[1].split("</table>", 1)[0]
    assert "\u2007" in short


def test_no_line_of_a_page_ends_between_a_number_and_its_unit() -> None:
    said = minus("falls from 12 to 4 N, at -3 deg, by 65 % of 0.2 A; 1.2 x in 2 seconds")
    assert (
        said
        == "falls from 12 to 4\u00a0N, at \u22123\u00a0deg, by 65\u00a0% of 0.2\u00a0A; 1.2\u00a0x in 2 seconds"
    )
