"""Readings of a plain build and of a weighted one in one fit, and of another gauge: shared numbers are one unknown."""

from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from featherbench.bench.gauge import run_gauge
from featherbench.bench.logs_text import ReadingsRefused
from featherbench.bench.named_build import differing
from featherbench.bench.readings import BenchData, Reading, read_bench_data
from featherbench.bench.setup import build_setup
from featherbench.fitting.calibrate import calibrate, variant_text
from featherbench.fitting.data import channels, scatter_by_hand, spot_count, spot_residuals
from featherbench.fitting.match import match
from featherbench.fitting.model import as_logged, bench_model
from featherbench.fitting.nuisances import nuisances
from featherbench.fitting.of_one_build import each_build
from featherbench.fitting.simulated import with_values
from featherbench.scenario import ScenarioError, read
from featherbench.studies import predict

SHIPPED = Path(__file__).parents[2] / "scenarios" / "survey-3kg"
PITCHES = (-24, -16, -8, 0, 8, 16, 24)
FREE = ("scale.inertia", "linkage.slider_friction")
INERTIA, FRICTION = 1.04, 0.38
"""The truth of the blades and the slider that both builds have; the scenario says 1 and 0.35 N."""


def table_of(build, file, named, *, pitches=PITCHES, more=0.0, head=(), **true):
    """What a person reads of a true build, to a hundredth of a newton; more: the gauge's own error, N."""
    true = {"scale.inertia": INERTIA, "linkage.slider_friction": FRICTION} | true
    run = run_gauge(build_setup(with_values(read(build), tuple(true), tuple(true.values()))))
    rows = [f"# Build: {named}", *head, "pitch [deg];force rising [N];force falling [N]"]
    for pitch in pitches:
        up, down = (float(np.interp(np.deg2rad(pitch), run.pitch, way)) + more for way in (run.up, run.down))
        rows.append(f"{pitch};{up:.2f};{down:.2f}".replace(".", ","))
    file.write_text("\n".join(rows), encoding="utf-8")
    return file


BESIDE = ("linkage.horn_arm", "doubt.air_moment", "doubt.load_friction", "doubt.blade_stuck")
"""What a fit here leaves open beside the unknowns: an arm and the laws; what two dozen such cost is tried elsewhere."""


@pytest.fixture(scope="module", autouse=True)
def _few_beside():
    def few(scenario, free):
        return tuple(one for one in nuisances(scenario, free) if one.key in BESIDE)

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("featherbench.fitting.joint_parameters.nuisances", few)
        yield


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Both builds on a quick gauge, doubts of the air left out so that the fits are small, and a table of each."""
    place = tmp_path_factory.mktemp("builds")
    text = (SHIPPED / "plain.toml").read_text(encoding="utf-8")
    assert "[gauge]" in text
    text = text.replace("[gauge]", '[gauge]\nsweep = "1.6 s"')
    quiet = '\n[doubt]\nair_stall = "0 deg"\nseparated_centre = 0\nprofile_drag = 0\naxis_at = 0\nair_moment = 0.1\n'
    (place / "plain.toml").write_text(text + quiet, encoding="utf-8")
    (place / "weighted.toml").write_text(
        (SHIPPED / "weighted.toml").read_text(encoding="utf-8"), encoding="utf-8"
    )
    table_of(place / "plain.toml", place / "plain.csv", "plain.toml")
    table_of(place / "weighted.toml", place / "weighted.csv", "weighted.toml")
    return place


@pytest.fixture(scope="module")
def plain(folder):
    return read(folder / "plain.toml")


def fitted(plain, folder, *names, free=FREE):
    data = read_bench_data([folder / name for name in names], plain)
    return calibrate(plain, data, free, keep_aside=False)


@pytest.fixture(scope="module")
def alone(plain, folder):
    return fitted(plain, folder, "plain.csv")


@pytest.fixture(scope="module")
def both(plain, folder):
    return fitted(plain, folder, "plain.csv", "weighted.csv")


def width_of(done, key):
    place = [one.key for one in done.fitted.unknowns].index(key)
    return float(done.fitted.high[place] - done.fitted.low[place])


# -- which build a file is of -------------------------------------------------------------------------------


def test_a_file_that_names_its_build_stands_with_it(plain, folder):
    data = read_bench_data([folder / "plain.csv", folder / "weighted.csv"], plain)
    (other,) = data.builds
    assert other.name == "weighted.toml"
    assert "head-collar" in other.scenario.part
    assert len(data.readings) == len(other.data.readings) == 2 * len(PITCHES)
    assert {one.file for one in data.readings.values()} == {"plain.csv"}
    assert {Path(name).name for name in data.digests} == {"plain.csv", "weighted.csv"}


def test_a_line_left_blank_or_a_fit_of_the_build_is_the_build_itself(plain, folder, tmp_path):
    blank = tmp_path / "blank.csv"
    blank.write_text((folder / "plain.csv").read_text().replace("# Build: plain.toml", "# Build:"))
    assert not read_bench_data([blank], plain).builds
    (folder / "refit.toml").write_text('title = "refit"\nbase = "plain.toml"\n[scale]\ninertia = 1.03\n')
    data = read_bench_data([folder / "plain.csv"], read(folder / "refit.toml"))
    assert not data.builds
    assert any("names plain.toml, which says otherwise: scale.inertia" in said for said in data.said)


def test_a_build_that_is_not_there_is_refused_with_the_line(plain, folder):
    lost = folder / "lost.csv"
    lost.write_text((folder / "plain.csv").read_text().replace("plain.toml", "gone.toml"))
    with pytest.raises(ReadingsRefused, match=r"(?s)lost\.csv.*line 1.*gone\.toml.*existing scenario file"):
        read_bench_data([lost], plain)


def test_readings_in_toml_name_build_and_gauge_likewise(plain, folder):
    file = folder / "typed.toml"
    file.write_text(
        'build = "weighted.toml"\ngauge.uncertainty = "0,5 N"\n[readings]\ngauge_push = "3.1 N"\n'
    )
    data = read_bench_data([folder / "plain.csv", file], plain)
    (reading,) = data.builds[0].data.readings.values()
    assert reading.instrument.uncertainty == pytest.approx(0.5)
    file.write_text('gauge.error = "0.5 N"\n[readings]\ngauge_push = "3.1 N"\n')
    with pytest.raises(ReadingsRefused, match=r"gauge\.uncertainty"):
        read_bench_data([file], plain)


def test_a_force_that_cannot_be_read_is_named_by_its_row_and_way(plain, tmp_path):
    file = tmp_path / "typed.toml"
    file.write_text(
        '[readings]\nforces = [\n{ pitch = "20 deg", rising = "17 ozf", falling = "- 28 oz" },\n]\n'
    )
    with pytest.raises(ReadingsRefused, match=r"(?s)forces at 20 deg, falling\n\s+given:\s+- 28 oz\n"):
        read_bench_data([file], plain)


def test_what_tells_builds_apart_is_found_by_its_key(plain, folder):
    weighted = read(folder / "weighted.toml")
    assert set(differing(plain, weighted)) == {
        "part.blade-bolt", "part.stud-bolt", "part.head-collar", "part.nut-collar"
    }  # fmt: skip
    assert differing(plain, with_values(plain, ("linkage.horn_arm",), (0.014,))) == ("linkage.horn_arm",)


def test_one_prediction_is_held_against_its_own_build_only(plain, folder):
    data = read_bench_data([folder / "plain.csv", folder / "weighted.csv"], plain)
    found = match(plain, data, runs=2)
    assert len(found.quantities) == 2 * len(PITCHES)
    assert any("weighted.toml left out" in note for note in found.notes)
    with pytest.raises(ReadingsRefused, match=r"match these against weighted\.toml"):
        match(plain, read_bench_data([folder / "weighted.csv"], plain), runs=2)


# -- the fit ------------------------------------------------------------------------------------------------


def test_two_builds_tell_what_one_does_not(alone, both):
    """The weights take the load off and leave the friction: blades, air and bearings come apart."""
    for done in (alone, both):
        (low, high) = done.fitted.low[0], done.fitted.high[0]
        assert low <= INERTIA <= high
    assert width_of(both, "scale.inertia") < 0.75 * width_of(alone, "scale.inertia")
    assert both.after < 1.0
    assert [one.name for one in both.builds] == ["plain.toml", "weighted.toml"]
    assert all(one.off < 1.0 for one in both.builds)


def test_what_falls_anew_is_each_builds_own_and_laws_are_shared(both):
    keys = [one.key for one in both.fitted.parameters]
    assert keys.count("doubt.load_friction") == 1
    assert {"doubt.blade_stuck", "doubt.blade_stuck (weighted.toml)"} <= set(keys)
    assert not any(key.endswith("(weighted.toml)") for key in keys if "blade_stuck" not in key)


@pytest.mark.usefixtures("values_only")
def test_the_answer_does_not_hang_on_the_order(folder, both):
    other = fitted(read(folder / "weighted.toml"), folder, "weighted.csv", "plain.csv")
    assert [one.key for one in other.fitted.unknowns] == [one.key for one in both.fitted.unknowns]
    assert np.abs(other.fitted.values - both.fitted.values) / both.fitted.deviations == pytest.approx(
        0.0, abs=0.1
    )


def test_each_build_takes_the_fit_with_its_own_parts(both, folder):
    own = each_build(both)
    assert list(own) == ["plain.toml", "weighted.toml"]
    for name, done in own.items():
        target = folder / f"fitted-{name}"
        target.write_text(variant_text(done, target), encoding="utf-8")
        again = read(target)
        assert again.scale.inertia == pytest.approx(both.fitted.values[0], rel=1e-4)
        assert ("part.head-collar.length" in again.fitted.keys) <= (name == "weighted.toml")
        assert not any("(" in key for key in again.fitted.keys)
        run = predict(again)
        true = with_values(read(folder / name), FREE, (INERTIA, FRICTION))
        assert run.value("rod_force_push") == pytest.approx(predict(true).value("rod_force_push"), abs=0.15)


def test_a_weights_own_number_is_found_beside_what_is_shared(plain, folder):
    """Collars that nobody has measured, 3.2 mm or half a millimetre more or less: the plain build tells the rest."""
    collars, length = ("part.head-collar.length", "part.nut-collar.length"), 0.0035
    guessed = "".join(f'[part.{name}]\nlength = "3.2 +/- 0.5 mm"\n' for name in ("head-collar", "nut-collar"))
    (folder / "guessed.toml").write_text(f'title = "guessed"\nbase = "weighted.toml"\n{guessed}')
    table_of(
        folder / "guessed.toml", folder / "guessed.csv", "guessed.toml", **dict.fromkeys(collars, length)
    )
    keys = ("scale.inertia", *collars)
    done = fitted(plain, folder, "plain.csv", "guessed.csv", free=keys)
    assert [one.key for one in done.fitted.unknowns] == list(keys)
    own = each_build(done)
    assert [one.key for one in own["plain.toml"].fitted.unknowns] == ["scale.inertia"]
    assert [one.key for one in own["guessed.toml"].fitted.unknowns] == list(keys)
    assert done.fitted.low[0] <= INERTIA <= done.fitted.high[0]
    assert all(
        low <= length <= high for low, high in zip(done.fitted.low[1:], done.fitted.high[1:], strict=True)
    )
    assert done.fitted.values[1:].mean() > 0.0033


def test_a_number_to_be_found_that_the_builds_state_otherwise_is_refused(plain, folder):
    (folder / "greased.toml").write_text(
        'title = "greased"\nbase = "weighted.toml"\n[linkage]\nslider_friction = "0.2 N"\n'
    )
    file = folder / "greased.csv"
    file.write_text((folder / "weighted.csv").read_text().replace("weighted.toml", "greased.toml"))
    data = read_bench_data([folder / "plain.csv", file], plain)
    with pytest.raises(ScenarioError, match=r"(?s)greased\.toml.*linkage\.slider_friction.*same in both"):
        calibrate(plain, data, FREE)
    with pytest.raises(ScenarioError, match="no number of this scenario"):
        calibrate(plain, data, ("part.sail.mass",))


@pytest.mark.usefixtures("values_only")
def test_readings_of_the_wrong_build_are_noticed(plain, folder):
    """The wrong answer that must not pass: a table of the plain build said to be of the weighted one."""
    table_of(folder / "plain.toml", folder / "wrong.csv", "weighted.toml")
    done = fitted(plain, folder, "plain.csv", "wrong.csv", free=("linkage.slider_friction",))
    assert done.after > 4.0
    assert any("wrong.csv fits plain.toml better than weighted.toml" in note for note in done.notes)


def test_a_log_is_held_against_the_build_that_it_is_of(folder):
    """The second build's log, by its number among all: as that build alone would have it."""
    log = folder / "log.csv"
    text = (SHIPPED / "bench" / "plain-gauge.csv").read_text(encoding="utf-8")
    log.write_text(f"# Build: plain.toml\n{text}", encoding="utf-8")
    weighted = read(folder / "weighted.toml")
    data = read_bench_data([folder / "weighted.csv", log], weighted)
    model, _ = bench_model(weighted, data, smooth=True)
    (weights, plain) = model.builds
    there = model.at(("scale.inertia",), (INERTIA,))
    assert model.of_log(0, there)[::2] == (plain.model, 0)
    alone = plain.model.at(("scale.inertia",), (INERTIA,))
    course = as_logged(model, there, 0, "rod_force")
    assert course == pytest.approx(as_logged(plain.model, alone, 0, "rod_force"), nan_ok=True)
    assert np.nanmax(course) > 2.0 * max(
        weights.model.at((), ()).gauge.force
    )  # the plain build's, not the weighted one's
    (channel,) = channels(model, there)
    assert channel.offset == pytest.approx(plain.written.gauge.uncertainty / 2.0)


# -- another gauge ------------------------------------------------------------------------------------------


def test_each_gauge_has_an_error_of_its_own(plain, folder):
    """A fish scale that shows 0.3 N too much, said to be good to 0.4 N, beside the gauge: taken for the gauge's own it
    could not be told from a push."""
    other = table_of(
        folder / "plain.toml",
        folder / "fish.csv",
        "plain.toml",
        more=0.3,
        head=("# gauge.uncertainty: 0,4 N",),
    )
    data = read_bench_data([folder / "plain.csv", other], plain)
    assert not data.builds
    model, _ = bench_model(plain, data, smooth=True)
    names = tuple(data.readings)
    assert spot_count(model, names) == len(names) + 2
    true = model.at(("scale.inertia", "linkage.slider_friction"), (INERTIA, FRICTION))
    *left, gauge, fish = spot_residuals(model, true, names)
    assert abs(gauge) < 0.3
    assert fish == pytest.approx(-0.3 / 0.2, abs=0.3)
    assert np.abs(left).max() < 1.5
    done = calibrate(plain, data, FREE, keep_aside=False)
    assert done.fitted.low[0] <= INERTIA <= done.fitted.high[0]
    assert done.after < 1.5


# -- scatter ------------------------------------------------------------------------------------------------


def test_scatter_of_readings_is_what_the_fit_did_not_take_up():
    """Eight readings of 2 standard uncertainties each, one parameter that took up one of them whole: 32 over 7."""
    readings = {str(n): Reading(str(n), "force", 1.0, None, 0.0, 1, None, pitch=0.1 * n) for n in range(8)}
    model = SimpleNamespace(data=BenchData(readings, (), {}, ()))
    jacobian = np.zeros((9, 1))
    jacobian[0] = 2.0
    residuals = np.append(np.full(8, 2.0), 50.0)  # the last is no reading
    found = scatter_by_hand(model, tuple(readings), residuals, jacobian, np.array([[0.25]]))
    assert found == pytest.approx(np.sqrt(32.0 / 7.0))
    assert scatter_by_hand(model, tuple(readings), 0.1 * residuals, jacobian, np.array([[0.25]])) == 1.0
    assert scatter_by_hand(model, tuple(readings)[:5], residuals, jacobian, np.array([[0.25]])) == 1.0


def test_a_hand_that_shakes_makes_the_fit_less_sure(plain, folder, alone):
    """A fish scale that swings by 0.15 N about what is there, though it shows hundredths."""
    rng = np.random.default_rng(4)
    rows = (folder / "plain.csv").read_text().splitlines()
    for number, row in enumerate(rows[2:], 2):
        pitch, *forces = row.replace(",", ".").split(";")
        rows[number] = ";".join([pitch, *(f"{float(one) + 0.15 * rng.normal():.2f}" for one in forces)])
    (folder / "shaky.csv").write_text("\n".join(rows), encoding="utf-8")
    done = fitted(plain, folder, "shaky.csv")
    assert any("forces by hand lie" in note for note in done.notes)
    assert not any("forces by hand lie" in note for note in alone.notes)
    assert (alone.model.scatter, done.model.scatter > 2.0) == (1.0, True)
    assert width_of(done, "scale.inertia") > 1.1 * width_of(alone, "scale.inertia")
    assert done.fitted.low[0] <= INERTIA <= done.fitted.high[0]
