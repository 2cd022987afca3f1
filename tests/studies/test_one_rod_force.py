"""At rest, in hover and in a target the rod is asked for one force, by one law."""

from pathlib import Path

import numpy as np
import pytest

from featherbench.aircraft import hover_trim
from featherbench.bench.setup import build_setup
from featherbench.bench.statics import static_curves
from featherbench.scenario import read
from featherbench.sizing.machined import Column
from featherbench.sizing.sizing_target import sizing_target_of

PLAIN = Path(__file__).parents[2] / "scenarios" / "survey-3kg" / "plain.toml"


def test_rest_hover_and_target_ask_one_force_of_the_rod():
    setup = build_setup(read(PLAIN, {"envelope.target": '{ rod_force = "8 N" }'}))
    curves, hover = static_curves(setup), hover_trim(setup, held=False)
    assert np.interp(hover.pitch, curves.pitch, curves.rod_force) == pytest.approx(hover.rod_force, rel=2e-3)
    assert np.interp(hover.pitch, curves.pitch, curves.rod_friction) == pytest.approx(
        hover.rod_friction, rel=1e-4
    )
    nothing = Column(*np.zeros((4, 1)))
    most = float(np.max(np.abs(curves.rod_force) + curves.rod_friction))
    assert sizing_target_of(setup, ()).measure(nothing, 0.0, 0.0) == pytest.approx([most], rel=1e-9)
