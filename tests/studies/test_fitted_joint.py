"""The joint result of a fit in a scenario file: read back, drawn from, left by what is stated otherwise."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from featherbench.bench.setup import build_setup
from featherbench.fitting.nuisances import correlation_before, nuisances
from featherbench.sampling.fitted_joint import Found, found_of, superseded
from featherbench.sampling.inputs import values_at, varied_inputs
from featherbench.sampling.sampled import sampled
from featherbench.sampling.samples import sample_places
from featherbench.scenario import ScenarioError, read
from featherbench.studies import predict

ROOT = Path(__file__).parents[2] / "scenarios" / "survey-3kg"
FITTED = """
title = "fitted"
base = "{base}"
[scale]
inertia = 1.04
[linkage]
slider_friction = "0.43 N"
[part.grip]
mass = "5.21 g"
[bearing]
coefficient = 0.0014
[fitted]
data = ["made up"]
keys = ["scale.inertia", "doubt.air_stall", "linkage.slider_friction", "bearing.coefficient", "part.grip.mass"]
values = ["1.04 +/- 0.06", "0.5 +/- 0.8 deg", "0.43 +/- 0.05 N", "0.0014 +/- 0.0005", "5.21 +/- 0.04 g"]
correlation = [[], [0.8], [-0.6, -0.3], [0.0, 0.0, -0.5], [-0.2, 0.0, 0.0, 0.0]]
"""


@dataclass
class Files:
    folder: Path

    def write(self, name, text):
        (self.folder / name).write_text(text, encoding="utf-8")
        return read(self.folder / name)


@pytest.fixture
def files(tmp_path):
    made = Files(tmp_path)
    made.write("fitted.toml", FITTED.format(base=(ROOT / "plain.toml").as_posix()))
    return made


@pytest.fixture
def fitted(files):
    return read(files.folder / "fitted.toml")


def drawn(scenario, count=4096):
    inputs = varied_inputs(scenario)
    rows = [values_at(inputs, tuple(place)) for place in sample_places(len(inputs), count, 3).tolist()]
    return {own.key: column for own, column in zip(inputs, np.array(rows).T, strict=True)}


def test_samples_have_the_values_deviations_and_correlation_of_the_file(fitted):
    found = drawn(fitted)
    assert found["scale.inertia"].mean() == pytest.approx(1.04, abs=1e-3)
    assert found["scale.inertia"].std() == pytest.approx(0.06 / 1.96, rel=0.03)
    assert np.rad2deg(found["doubt.air_stall"]).mean() == pytest.approx(0.5, abs=0.02)
    assert np.std(np.log(found["bearing.coefficient"])) == pytest.approx(5.0 / 14.0 / 1.96, rel=0.03)
    stall, friction = "doubt.air_stall", "linkage.slider_friction"
    pairs = {
        ("scale.inertia", stall): 0.8,
        ("scale.inertia", friction): -0.6,
        (stall, friction): -0.3,
        (stall, "linkage.stiffness"): 0.0,
    }
    for (one, other), hang in pairs.items():
        assert np.corrcoef(found[one], found[other])[0, 1] == pytest.approx(hang, abs=0.03)


def test_what_was_found_takes_the_place_of_its_doubt(fitted):
    keys = [own.key for own in varied_inputs(fitted)]
    assert len(keys) == len(set(keys))
    assert "doubt.bearing_coefficient" not in keys
    assert keys.count("doubt.air_stall") == 1
    assert "doubt.air_moment" in keys  # nothing was found of it
    assert fitted.departure.air_stall == pytest.approx(np.deg2rad(0.5))


def test_a_key_stated_otherwise_leaves_and_the_others_keep_their_margin(files, fitted):
    other = files.write(
        "v.toml", 'title = "v"\nbase = "fitted.toml"\n[linkage]\nslider_friction = "0.5 +/- 0.1 N"\n'
    )
    assert superseded(other) == ("linkage.slider_friction",)
    found = drawn(other)
    assert found["linkage.slider_friction"].max() <= 0.6 + 1e-9
    assert found["scale.inertia"].std() == pytest.approx(0.06 / 1.96, rel=0.03)
    assert abs(np.corrcoef(found["scale.inertia"], found["linkage.slider_friction"])[0, 1]) < 0.05
    assert np.corrcoef(found["scale.inertia"], found["doubt.air_stall"])[0, 1] == pytest.approx(0.8, abs=0.03)
    # what stands before the key that left is still the very same input, so that both builds share its samples
    assert varied_inputs(other)[:2] == varied_inputs(fitted)[:2]


def test_a_part_that_is_gone_leaves(files):
    gone = files.write("v.toml", 'title = "v"\nbase = "fitted.toml"\nremove = ["grip"]\n')
    assert superseded(gone) == ("part.grip.mass",)
    assert found_of(gone)[0].key == "scale.inertia"


def test_what_was_found_is_laid_over_another_build(files, fitted):
    """The weighted build stays a variant of the plain one; what it says otherwise is its own."""
    plain = (ROOT / "plain.toml").as_posix()
    other = 'title = "v"\nbase = "{}"\n{}[part.grip]\nmass = "5.3 g"\n'
    laid = files.write("v.toml", other.format(plain, 'measured = "fitted.toml"\n'))
    assert laid.scale.inertia == pytest.approx(1.04)
    assert laid.linkage.slider_friction == pytest.approx(0.43)
    assert laid.part["grip"].mass == pytest.approx(5.3e-3)
    assert superseded(laid) == ("part.grip.mass",)
    assert laid.departure == fitted.departure
    asked = files.folder / "w.toml"
    asked.write_text(other.format(plain, ""), encoding="utf-8")
    same = read(asked, {"measured": (files.folder / "fitted.toml").as_posix()})
    assert varied_inputs(same) == varied_inputs(laid)


@pytest.mark.parametrize("name", ["none.toml", "plain.toml", "7"])
def test_what_was_found_must_be_a_fit(files, name):
    (files.folder / "plain.toml").write_text('title = "p"\n', encoding="utf-8")
    with pytest.raises(ScenarioError, match="calibrate wrote"):
        files.write(
            "v.toml", f'title = "v"\nbase = "{(ROOT / "plain.toml").as_posix()}"\nmeasured = "{name}"\n'
        )


def test_a_second_fit_starts_from_the_first(fitted):
    beside = nuisances(fitted, ())
    keys = [one.key for one in beside]
    hang = correlation_before(fitted, beside)
    assert hang[keys.index("scale.inertia"), keys.index("doubt.air_stall")] == pytest.approx(0.8, abs=1e-6)
    (friction,) = (one for one in beside if one.key == "linkage.slider_friction")
    assert friction.start == pytest.approx(0.43)
    assert friction.deviation == pytest.approx(0.05 / 1.96, rel=1e-4)
    # four deviations to each side, and of a factor (0.0014 to 5/14 of it) four of its logarithm
    assert (friction.low, friction.high) == pytest.approx((0.43 - 0.2 / 1.96, 0.43 + 0.2 / 1.96), rel=1e-4)
    (bearing,) = (one for one in beside if one.key == "bearing.coefficient")
    assert bearing.high / bearing.start == pytest.approx(np.exp(20.0 / 14.0 / 1.96), rel=1e-4)
    assert bearing.low * bearing.high == pytest.approx(bearing.start**2)
    assert bearing.factor


def test_prediction_is_made_at_what_was_found(files, fitted):
    """The force of the fitted build is that of its middle, and the range lies about it."""
    (build,) = sampled([predict(fitted)], 8).builds
    middle = predict(fitted).value("rod_force_push")
    low, high = build.intervals["rod_force_push"]
    assert low < middle < high
    later = files.write(
        "v.toml", 'title = "v"\nbase = "fitted.toml"\n[fitted]\nkeys = []\nvalues = []\ncorrelation = []\n'
    )
    assert predict(later).value("rod_force_push") != pytest.approx(middle, rel=1e-4)  # the stall is back


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ('values = ["1.04 +/- 0.06"]', "one for each key"),
        ("correlation = [[], [2.0], [0.0, 0.0], [0.0, 0.0, 0.0], [0.0, 0.0, 0.0, 0.0]]", "hold together"),
        ("correlation = [[0.5]]", "each key before it"),
        ('keys = ["a", "a", "b", "c", "d"]', "each key once"),
        ('keys = ["doubt.moon", "doubt.air_stall", "b", "c", "d"]', "doubt.air_stall"),
    ],
)
def test_a_table_that_cannot_be_is_refused_in_words(files, row, words):
    with pytest.raises(ScenarioError) as error:
        files.write("v.toml", f'title = "v"\nbase = "fitted.toml"\n[fitted]\n{row}\n')
    assert words in str(error.value)


def test_a_factor_that_a_fit_found_of_a_doubt_is_drawn_as_one_and_given_up_for_what_is_stated(files):
    text = f'title = "f"\nbase = "{(ROOT / "plain.toml").as_posix()}"\n[servo]\ndead_band = "0.36 deg"\n[fitted]\n'
    text += 'keys = ["doubt.shaking", "servo.dead_band", "doubt.load_friction"]\n'
    text += 'values = ["1.8 +/- 0.9", "0.36 +/- 0.1 deg", "0.7 +/- 0.2"]\n'
    made = files.write("factors.toml", text)
    found = drawn(made)
    for key, middle, share in (
        ("doubt.shaking", 1.8, 0.5),
        ("servo.dead_band", np.deg2rad(0.36), 10.0 / 36.0),
        ("doubt.load_friction", 0.7, 2.0 / 7.0),
    ):
        assert np.median(found[key]) == pytest.approx(middle, rel=0.01)
        assert np.std(np.log(found[key])) == pytest.approx(share / 1.96, rel=0.03)
    assert "doubt.dead_band" not in found
    plain, plant = build_setup(read(ROOT / "plain.toml")).plant, build_setup(made).plant
    assert plant.shaking.passing == pytest.approx(1.8 * plain.shaking.passing)
    assert plant.pitch.load_share == pytest.approx(0.7 * 0.08)
    assert plant.output.load_share == pytest.approx(0.7 * 0.03)
    later = files.write(
        "later.toml", 'title = "l"\nbase = "factors.toml"\n[shaking]\npassing = "1 +/- 0.2 N*mm"\n'
    )
    assert superseded(later) == ("doubt.shaking",)
    assert later.departure.shaking == 1.0


def test_what_is_known_as_a_factor_is_sought_about_one(files):
    """Its logarithm, not its middle between the bounds; how the stick was moved is no parameter of the build."""
    made = files.write("plainly.toml", f'title = "p"\nbase = "{(ROOT / "plain.toml").as_posix()}"\n')
    known = {one.key: one for one in nuisances(made, ())}
    for key, factor in (("doubt.shaking", 4.0), ("doubt.load_friction", 2.0), ("doubt.dead_band", 1.5)):
        assert known[key].factor
        assert known[key].start == 1.0
        assert np.exp(1.96 * known[key].deviation) == pytest.approx(factor, rel=1e-3)
    assert "doubt.stick" not in known


@pytest.mark.parametrize(
    ("key", "value", "score", "at"),
    [
        ("scale.inertia", 1.04, 2.0, 1.10),  # 1.04 + 2 x 0.03
        ("scale.inertia", 1.04, -1.5, 0.995),
        ("scale.inertia", 0.05, -3.0, 0.001),  # a fiftieth of 0.05, not 0.05 - 0.09
        ("doubt.air_stall", 0.05, -3.0, -0.04),  # what may be of either sign is not held above zero
        ("linkage.slider_friction", 0.0, -1.0, -0.03),
        ("doubt.shaking", 2.0, 2.0, 2.0 * np.exp(0.06)),  # a factor: its logarithm is normal
        ("bearing.coefficient", 1.4e-3, -2.0, 1.4e-3 * np.exp(-0.06)),
    ],
)
def test_a_value_so_many_deviations_off_by_hand(key, value, score, at):
    """Each known to 0.03, in its own unit or of its logarithm."""
    assert Found(key, "ratio", value, 0.03, (1.0,)).at(score) == pytest.approx(at, rel=1e-12)
