"""Spot readings: values, units, uncertainties, repeats, and what is refused."""

from pathlib import Path

import pytest

from featherbench.bench.logs_text import ReadingsRefused
from featherbench.bench.readings import read_bench_data
from featherbench.scenario import read

ROOT = Path(__file__).parents[2] / "scenarios" / "survey-3kg"


@pytest.fixture(scope="module")
def plain():
    return read(ROOT / "plain.toml")


def readings(tmp_path, plain, text, name="r.toml"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return read_bench_data([path], plain).readings


def test_value_uncertainty_and_repeats(tmp_path, plain):
    found = readings(
        tmp_path,
        plain,
        '[readings]\ngauge_push = ["10 +/- 0.2 N", "11 N", "12 N"]\nmeter_hold = "40 mA"\nrelease = "stays"\n',
    )
    push = found["gauge_push"]
    assert push.value == pytest.approx(11.0)
    assert push.uncertainty == pytest.approx(0.2)
    assert push.scatter == pytest.approx(1.0 / 3.0**0.5)  # sample deviation 1, mean of three
    assert found["meter_hold"].value == pytest.approx(0.04)
    assert found["meter_hold"].uncertainty is None
    assert found["release"].value == "stays"


def test_table_with_semicolons_and_decimal_commas(tmp_path, plain):
    text = (
        "quantity;value;unit;uncertainty\ngauge_push;9,5;N;0,15\ngauge_push;9,7;N;\nrotor_speed;9900;rpm;\n"
    )
    found = readings(tmp_path, plain, text, "r.csv")
    assert found["gauge_push"].value == pytest.approx(9.6)
    assert found["gauge_push"].uncertainty == pytest.approx(0.15)
    assert found["gauge_push"].repeats == 2


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[readings]\ngauge_pusch = "3 N"\n', "did you mean gauge_push"),
        ('[readings]\ngauge_push = "3 mm"\n', "needs a force"),
        ("[readings]\ngauge_push = 3\n", "needs a unit"),
        ('[readings]\ngauge_push = "-3 N"\n', "a magnitude"),
        ('[readings]\nrelease = "falls"\n', "returns to centre, stays put or runs to full pitch"),
        ("[readings]\ngauge_push = []\n", "an empty list"),
        ("[readings\n", "valid TOML"),
        ('title = "x"\n', "no table of readings"),
    ],
)
def test_refusals(tmp_path, plain, text, said):
    with pytest.raises(ReadingsRefused) as error:
        readings(tmp_path, plain, text)
    assert said in str(error.value)


def test_every_wrong_reading_is_named_at_once_with_its_line(tmp_path, plain):
    with pytest.raises(ReadingsRefused) as error:
        readings(tmp_path, plain, '[readings]\ngauge_push = "3 mm"\nmeter_hold = "3 N"\n')
    assert [problem.line for problem in error.value.problems] == [2, 3]


def test_the_same_quantity_in_two_files_is_refused(plain):
    path = ROOT / "bench" / "plain-readings.toml"
    with pytest.raises(ReadingsRefused, match="earlier file"):
        read_bench_data([path, path], plain)


def test_demo_logs_say_that_they_are_invented_and_are_read(plain):
    files = sorted((ROOT / "bench").glob("*.csv"))
    assert files
    for file in files:
        assert "SYNTHETIC" in file.read_text(encoding="utf-8-sig").splitlines()[0]
    data = read_bench_data(files, plain)
    assert {log.test for log in data.logs} == {"gauge", "servo"}


def test_a_scenario_maps_the_columns_of_its_logger(tmp_path):
    variant = tmp_path / "logger.toml"
    base = (ROOT / "plain.toml").as_posix()
    variant.write_text(
        f'title = "with a logger"\nbase = "{base}"\n[log]\ntest = "gauge"\npush = "negative"\n'
        'columns = { time = "ch0", rod_force = "ch1" }\nunits = { time = "ms", rod_force = "ozf" }\n'
    )
    log = tmp_path / "log.csv"
    log.write_text("\n".join(["ch0,ch1", *[f"{10 * k},{k % 7}" for k in range(40)]]))
    data = read_bench_data([log], read(variant))
    assert data.logs[0].time[-1] == pytest.approx(0.39)
    assert data.logs[0].columns["rod_force"][1] == pytest.approx(-0.278013851)
    assert data.logs[0].test == "gauge"
