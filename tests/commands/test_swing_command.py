"""The swing command: the recipe without readings, an inertia and a part to paste with them, refusals in words."""

import json
import re
import tomllib

import pytest
from typer.testing import CliRunner

from featherbench.assembly import build_assembly
from featherbench.assembly.pendulum_recipe import NEEDED, swung_inertia
from featherbench.cli import app
from featherbench.quantities import Measured
from featherbench.scenario import from_tables

ROD = ["--mass", "100 g", "--period", "1.737601 s", "--cord-length", "1 m", "--spacing", "200 mm"]
"""A slender rod of 0.1 kg and 0.3 m: 7.5e-4 kg m^2."""


def _run(*words):
    return CliRunner().invoke(app, ["swing", *words])


@pytest.mark.parametrize("method", list(NEEDED))
def test_without_readings_it_says_how(method):
    result = _run(method)
    assert result.exit_code == 0
    assert f"A {method} swing, step by step" in result.output
    whole = [line for line in result.output.splitlines() if not line.startswith("featherbench swing")]
    assert max(len(line) for line in whole) <= 100
    for key in NEEDED[method]:
        assert f"--{key.replace('_', '-')}" in result.output


def test_readings_give_the_inertia_of_a_rod():
    result = _run("bifilar", *ROD)
    assert result.exit_code == 0
    said = re.search(r"centre of mass: ([0-9.e+]+) g\*mm\^2", result.output)
    assert float(said.group(1)) == pytest.approx(7.5e5, rel=1e-3)
    assert "Give each reading its +/-" in result.output


def test_what_is_pasted_makes_a_part_of_that_inertia(tables):
    words = ["--mass", "6.4 +/- 0.02 g", "--period", "0.3 s", "--cord-length", "400 mm", "--spacing", "40 mm"]
    result = _run("bifilar", *words, "--name", "blade one")
    assert result.exit_code == 0, result.output
    pasted = tomllib.loads(result.output.split("To paste into the scenario\n")[1].split("\n--verbose")[0])
    rig = tables()
    del rig["part"]["blade"]
    rig["part"] |= pasted["part"]
    part = next(one for one in build_assembly(from_tables(rig)).parts if one.name == "blade one")
    readings = {
        "mass": Measured(6.4e-3, 2e-5),
        "period": Measured(0.3, 0.0),
        "cord_length": Measured(0.4, 0.0),
        "spacing": Measured(0.04, 0.0),
    }
    assert part.moments.feathering == pytest.approx(swung_inertia("bifilar", readings).inertia, rel=1e-9)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["bifilar", "--mass", "6 g"], "--period, --cord-length, --spacing"),
        (["compound", "--mass", "6 g", "--spacing", "3 mm"], "--spacing: a compound swing takes"),
        (["bifilar", *ROD[:2], "--period", "1 mm", *ROD[4:]], "--period 1 mm"),
        (["bifilar", *ROD[:2], "--period", "0.1 +/- 0.2 s", *ROD[4:]], "tolerance smaller"),
        (["compound", "--mass", "6 g", "--period", "0.1 s", "--pivot-distance", "60 mm"], "contradict"),
    ],
)
def test_refusals(words, said):
    result = _run(*words)
    assert result.exit_code == 2
    assert said in result.output


def test_uncertainty_against_finite_differences():
    """Law of propagation: each reading moved by its standard uncertainty, squares added."""
    readings = {
        "mass": Measured(6.4e-3, 2e-5),
        "period": Measured(0.42, 1e-3),
        "pivot_distance": Measured(0.03, 1e-4),
    }
    found = swung_inertia("compound", readings)
    moved = []
    for name, own in readings.items():
        step = own.tolerance / 3.0**0.5
        sides = [
            swung_inertia(
                "compound", {**readings, name: Measured(own.value + way * step, own.tolerance)}
            ).inertia
            for way in (1.0, -1.0)
        ]
        moved.append(0.5 * (sides[0] - sides[1]))
    assert found.standard == pytest.approx(sum(part**2 for part in moved) ** 0.5, rel=1e-3)
    assert sum(found.shares.values()) == pytest.approx(1.0)


def test_half_the_error_of_the_period_counts_twice():
    base = {name: Measured(1.0, 0.0) for name in NEEDED["bifilar"]}
    period = swung_inertia("bifilar", {**base, "period": Measured(1.0, 0.01)})
    mass = swung_inertia("bifilar", {**base, "mass": Measured(1.0, 0.01)})
    assert period.standard == pytest.approx(2.0 * mass.standard)


def test_no_escape_leaves_the_name():
    result = _run("bifilar", *ROD, "--name", "x]\n[servo")
    assert re.search(r'\[part\."x\]\\n\[servo"\]', result.output)


def test_a_document_of_no_build_does_not_say_that_it_may_be_run():
    assert "do_not_run" not in json.loads(_run("bifilar", *ROD, "--json", "-").stdout)
