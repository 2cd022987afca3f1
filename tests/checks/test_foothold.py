"""Weights drawn where nothing carries them; thread deeper than the metal."""

import re
import tomllib
from math import pi

import pytest

from featherbench.bench.setup import build_setup
from featherbench.checks.bolt_joint import fastest
from featherbench.checks.load_path import load_path_checks
from featherbench.guide.starter import starter_text
from featherbench.scenario import from_tables

NAME = 'what holds the weight "{}"'
PLUG = {
    "group": "counterweight",
    "shape": "cylinder",
    "axis": "normal",
    "diameter": "4 mm",
    "length": "4 mm",
    "at": {"radius": "22 mm", "normal": "6.5 mm"},
    "mirror": "normal",
    "material": "aluminium 6061",
    "held_by": "one piece",
    "held_to": "grip",
}
ARM = {
    "group": "counterweight",
    "shape": "cylinder",
    "axis": "normal",
    "diameter": "2.675 mm",
    "thread": "M3",
    "length": "3 mm",
    "at": {"radius": "22 mm", "normal": "6 mm"},
    "mirror": "normal",
    "material": "steel",
    "held_by": "screwed into the grip",
    "engagement": "4 mm",
}


def held(path_of, part, **changes):
    return path_of(part={"piece": {**part, **changes}})[NAME.format("piece")]


@pytest.mark.parametrize("part", [PLUG, ARM])
def test_what_stands_on_the_grip_holds(path_of, part):
    assert held(path_of, part).verdict == "holds"


@pytest.mark.parametrize("part", [PLUG, ARM])
@pytest.mark.parametrize(
    "at",
    [
        {"radius": "22 mm", "normal": "14 mm"},
        {"radius": "60 mm", "normal": "0.5 mm"},
        {"radius": "22 mm", "normal": "6.5 mm", "chord": "30 mm"},
    ],
)
def test_what_stands_in_the_air_is_not_known_to_hold(path_of, part, at):
    found = held(path_of, part, at=at)
    assert found.verdict == "unknown"
    assert "mm off" in found.source


def test_the_way_to_the_grip_is_said(path_of):
    """The grip's face stands 4.5 mm up, the plug's foot 12 mm."""
    assert (
        "stands 7.50 mm off part.grip"
        in held(path_of, PLUG, at={"radius": "22 mm", "normal": "14 mm"}).source
    )


def test_both_twins_have_to_stand_on_it(path_of):
    high = {"grip": {"at": {"radius": "24 mm", "normal": "2 mm"}}}
    found = path_of(part={**high, "piece": {**PLUG, "at": {"radius": "22 mm", "normal": "8.5 mm"}}})
    assert found[NAME.format("piece")].verdict == "unknown"


def test_thread_is_no_deeper_than_the_metal(path_of):
    """A grip 9 mm high: 4.5 mm for each twin, 9 mm for one alone."""
    assert held(path_of, ARM, engagement="4.5 mm").verdict == "holds"
    assert held(path_of, ARM, engagement="4.53 mm").verdict == "holds"  # a slip of the saw, not of the pen
    deep = held(path_of, ARM, engagement="5 mm")
    assert deep.verdict == "unknown"
    assert "has 4.50 mm there for each twin" in deep.source
    alone = {key: value for key, value in ARM.items() if key != "mirror"}
    assert held(path_of, alone, engagement="9 mm").verdict == "holds"
    assert held(path_of, alone, engagement="9.2 mm").verdict == "unknown"


def test_nothing_is_reckoned_that_stands_on_what_swings(path_of):
    on_root = held(path_of, ARM, held_to="root", at={"radius": "36 mm", "normal": "4 mm"})
    assert on_root.verdict == "unknown"
    assert "swings with the blade" in on_root.source


def test_the_fastest_speed_of_the_programme_counts(path_of, setup_of, sound):
    """The pull goes with the square of it; a slower step changes nothing."""
    name = "thrust bearing"
    plain = path_of()[name].demand
    double = path_of(bench={"spin": [{"to": "18000 rpm", "over": "2 s"}]})[name].demand
    slower = path_of(bench={"spin": [{"to": "4500 rpm", "over": "2 s"}]})[name].demand
    assert double == pytest.approx(4.0 * plain)
    assert slower == plain
    setup = setup_of(**sound(bench={"spin": [{"to": "18000 rpm"}]}))
    assert fastest(setup.scenario) == pytest.approx(18000.0 * 2.0 * pi / 60.0)


def test_the_weight_offered_in_a_new_file_stands_on_its_grip():
    """Its lines without the remark signs: whether it holds is for its checks, but not whether it hangs in the air."""
    text = starter_text("offered")
    offered = re.search(r"^# \[part\.weight\](?:.*\n# )*.*$", text, re.MULTILINE).group()
    tables = tomllib.loads(text + "\n" + re.sub(r"(?m)^# ", "", offered))
    setup = build_setup(from_tables(tables))
    found = next(check for check in load_path_checks(setup) if check.name.startswith(NAME.format("weight")))
    assert found.verdict in ("holds", "fails")
