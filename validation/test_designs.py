"""Builds that must not run are named in the first line, for the right cause; builds that may are not.

An inspector's list of our own, invented: common practice, no source. Each design is a change of a shipped scenario with
one line of why, in `designs/dangerous.toml` and `designs/sound.toml`; the words that the first lines must hold stand
with it.
"""

import re

import pytest

from designed import designs, first_lines
from featherbench.slips import HEAD
from source import About
from table import check

ABOUT = About(
    kind="trade",
    title="builds that must not run, and builds that may",
    mapping="The first lines of an answer: DO NOT RUN with what fails or is not known, a warning of over-balance, or "
    "what is probably a slip; where no scenario comes of it, the refusal",
    uncertainty="What counts as dangerous is an inspector's judgement, one line with each",
    left_out="What no scenario can show: hidden cracks, glue, how a nut is locked",
    quantity="dangerous builds told, sound ones not",
)
DANGEROUS, SOUND = designs("dangerous"), designs("sound")
STOP = re.compile(rf"^(DO NOT RUN: |WARNING: over-balanced|{HEAD}: )", re.MULTILINE)
HUNTS = re.compile(r"^(HUNTING: |MAY HUNT: )", re.MULTILINE)


def _name(design):
    return re.sub(r"\W+", "-", design.name)


@pytest.mark.parametrize("design", DANGEROUS, ids=_name)
def test_a_dangerous_build_is_told_first(design):

    def missing(said):
        return [word for word in design.names if word.casefold() not in said.casefold()]

    def enough(said):
        return STOP.search(said) is not None and not missing(said)

    said = first_lines(design, enough)
    told = said.startswith("refused: ") if design.refused else STOP.search(said) or HUNTS.search(said)
    check(
        ABOUT.title,
        "trade",
        f"must not run: {design.name}",
        1.0,
        float(bool(told) and not missing(said)),
        0.0,
        design.why,
    )


@pytest.mark.parametrize("design", SOUND, ids=_name)
def test_nothing_is_said_against_a_sound_build(design):
    said = first_lines(design)
    check(
        ABOUT.title,
        "trade",
        f"may run: {design.name}",
        0.0,
        float(len(said)),
        0.0,
        design.why,
        relative=False,
    )


def test_the_lists_are_long_varied_and_of_one_change_each():
    """At least 60 and 20, no two alike, on every shipped machine, each with its reason."""
    assert len(DANGEROUS) >= 60
    assert len(SOUND) >= 20
    for rows in (DANGEROUS, SOUND):
        assert len({design.name for design in rows}) == len(rows)
        changes = {(one.base, one.remove, one.without, one.change, str(one.scale)) for one in rows}
        assert len(changes) == len(rows)
        assert {design.base.split("/")[0] for design in rows} >= {
            "scout-1kg",
            "survey-3kg",
            "lifter-6kg",
            "tutorial-2kg",
        }
    assert all(design.names and design.why for design in DANGEROUS)
