"""What is taken away of a build to find a cause, and how ranges over the draws are worked out and said."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.bench.setup import build_setup
from featherbench.hovering import play_verdict, wording
from featherbench.hovering.bias_robust import with_choices
from featherbench.hovering.bias_words import play_words
from featherbench.hovering.play_verdict import CAUSES, DrawnWag
from featherbench.hovering.wag import _over_draws
from featherbench.scenario import read
from featherbench.studies.findings import Finding
from made_up_sweeps import LIGHT, LOOSE, SLIGHT, SWEEP, chosen


def test_what_is_without_friction_has_none_of_any_kind():
    plant = build_setup(read("scenarios/survey-3kg/plain.toml")).plant
    bare = play_verdict._without_friction(plant)
    assert plant.pitch.slider_friction > 0.0
    assert plant.output.rod_friction + plant.output.load_share + plant.pitch.load_moment > 0.0
    assert {
        bare.pitch.starting_moment, bare.pitch.load_moment, bare.pitch.slider_friction, bare.pitch.load_share,
        bare.output.rod_friction, bare.output.load_share,
    } == {0.0}  # fmt: skip
    assert bare.motor == plant.motor
    smooth = play_verdict._without_servo_friction(plant)
    assert (smooth.motor.coulomb, smooth.motor.load_friction, smooth.output.friction) == (0.0, 0.0, 0.0)
    assert smooth.pitch == plant.pitch
    assert plant.motor.coulomb > 0.0


def test_a_gain_is_made_as_much_larger_as_the_name_of_the_cause_says(monkeypatch):
    monkeypatch.setattr(play_verdict, "with_gain", lambda ready, factor: (ready, factor))
    gains = {name: take_away("as it is") for name, take_away in CAUSES.items() if "gain" in name}
    assert gains == {
        "half of the gyro's gain": ("as it is", 0.5),
        "so low a gyro gain (1.4 times it)": ("as it is", 1.4),
    }


def test_ranges_over_the_draws_by_hand():
    """Two draws: the least and the greatest of each; travel at the tip of a boom of 0.6 m; charge in five minutes."""
    flown = (DrawnWag(0.01, 0.004, 2.0, 0.02, 0.05, 0.5), DrawnWag(0.03, 0.01, 3.0, 0.04, 0.25, 1.5))
    found = _over_draws(flown, play_verdict.Count(1, 2), play_verdict.Count(0, 2), 0.6)
    assert found["wag_heading"] == pytest.approx((0.01, 0.03))
    assert found["wag_travel"] == pytest.approx((0.006, 0.018))
    assert found["wag_frequency"] == pytest.approx((2.0, 3.0))
    assert found["wag_settling"] == pytest.approx((0.5, 1.5))
    assert found["current_flown"] == pytest.approx((0.02, 0.04))
    assert found["charge_flown"] == pytest.approx((6.0, 12.0))
    low, high = found["winding_flown"]
    assert 293.15 < low < high
    assert found["share_visible"] > found["share_healthy"]


@pytest.mark.parametrize(
    ("kind", "value", "range_", "said"),
    [
        ("force", 3.66, (2.31, 7.14), "2.3 to 7.1 N"),
        ("force", 3.66, (2.31, 2.31), "2.3 N"),
        ("force", 3.66, (2.31, float("nan")), "3.66 N"),
        ("temperature", 300.15, (295.15, 310.15), "22 to 37 degC"),
        ("temperature", 300.15, (float("nan"), 310.15), "27 degC"),
        ("ratio", 0.25, (0.1, 0.4), "0.10 to 0.40"),
        ("text", "as it was", (float("nan"), float("nan")), "as it was"),
    ],
)
def test_a_range_is_said_as_people_say_it_and_the_figure_where_there_is_none(kind, value, range_, said):
    one = Finding(value, kind)
    found = SimpleNamespace(findings={"it": one}, ranges={"it": range_})
    assert wording.over_words(found, "it", "metric") == said
    assert wording.over_words(SimpleNamespace(findings={"it": one}, ranges={}), "it", "metric") == (
        wording.told_words("it", one, "metric")
    )


def test_the_least_weight_is_said_once_where_hover_loads_it_least():
    assert play_words(SLIGHT, LOOSE, SWEEP).endswith("in 0 of 12 without weights")
    assert play_words(SLIGHT, LIGHT, SWEEP).count("0 of 12") == 1
    assert "without weights" not in play_words(LIGHT, LOOSE, SWEEP)


def test_nothing_is_drawn_again_where_nothing_was_chosen():
    drawn = replace(chosen(SWEEP), chosen=None, draws=(1, 2))
    assert with_choices(drawn) is drawn
    assert with_choices(replace(drawn, chosen=SLIGHT, draws=())).choices == ()
    assert np.isnan(SLIGHT.turn_with)
