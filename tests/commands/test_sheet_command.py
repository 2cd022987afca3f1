"""The sheet taken to the bench: printed, filled in, read back by match and calibrate; and what it must not ask for."""

import csv
import html
import io
import json
import re
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from exact import EXACT_WORDS
from featherbench.bench.logs_text import ReadingsRefused
from featherbench.bench.readings import read_bench_data
from featherbench.cli import app
from featherbench.fitting.bench_sheet import bench_sheet, pitches_to_read, what_would_tell
from featherbench.fitting.readings_file import readings_toml
from featherbench.render.files import OutputRefused
from featherbench.scenario import read
from featherbench.studies import predict
from featherbench.views.bench_sheet import STEPS_OF

ROOT = Path(__file__).parents[2] / "scenarios" / "survey-3kg"
PLAIN = str(ROOT / "plain.toml")
QUICK = ("--runs", "0", "--no-ranking")


def run(*words, status=0):
    done = CliRunner().invoke(app, [str(word) for word in words])
    assert done.exit_code == status, (done.output, done.exception)
    return done


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("sheet")


@pytest.fixture(scope="module")
def printed(folder):
    """The whole sheet on the terminal, its document, and both files to type into."""
    done = run("sheet", PLAIN, *QUICK, "--readings", folder / "read.toml", "--json", folder / "sheet.json",
               "--report", folder / "sheet.html", "--verbose")  # fmt: skip
    run("sheet", PLAIN, *QUICK, "--readings", folder / "read.csv", "--quiet")
    return done.stdout, json.loads((folder / "sheet.json").read_text())


def filled(folder, name, factor=1.0):
    """The TOML file as a person would type into it: what is expected, forces times a factor."""
    lines = []
    for line in (folder / "read.toml").read_text().splitlines():
        row = re.search(r"# expected (\S+) and (\S+) N", line)
        one = re.search(r"expected (\S+) ([NA])", line)
        if row:
            rising, falling = (float(text) * factor for text in row.groups())
            line = line.replace('rising = " N"', f'rising = "{rising:.2f} N"')
            line = line.replace('falling = " N"', f'falling = "{falling:.2f} N"')
        elif line.startswith("release"):
            line = line.replace('= ""', '= "return to centre"')
        elif one and "=" in line:
            line = line.replace(f'" {one[2]}"', f'["{one[1]} {one[2]}", "{one[1]} {one[2]}"]')
        lines.append(line)
    path = folder / name
    path.write_text("\n".join(lines), encoding="utf-8")
    return path


def told(page):
    """What a page says, without its tags."""
    return html.unescape(re.sub(r"<(style|script|svg).*?</\1>|<[^>]+>", " ", page, flags=re.DOTALL))


@pytest.mark.parametrize("where", ["terminal", "page"])
def test_steps_stand_in_a_safe_order_with_cautions_before_them(printed, folder, where):
    """Of a page the steps themselves: its front lists their names."""
    said = printed[0] if where == "terminal" else told((folder / "sheet.html").read_text(encoding="utf-8"))
    text = " ".join(said.split())
    assert (
        text.index("maim and kill")
        < text.index("Pull and twist every blade")
        < text.index("Nobody is in the plane")
    )
    text = text[text.rindex("Before anything turns") :]
    order = ["Before anything turns", "maim and kill", "Step 1. Battery out", "Step 2. Rotor turning", "Nobody is in",
             "Step 3. Full speed", "Step 4.", "Step 5. Last"]  # fmt: skip
    places = [text.index(words) for words in order]
    assert places == sorted(places)


def test_the_sheet_says_where_to_stop(printed):
    text = " ".join(printed[0].split())
    assert re.search(r"push expected: 11.\d* N; if the gauge shows over 13.\d* N stop", text)


@pytest.mark.usefixtures("printed")
def test_the_page_has_every_step_and_blanks(folder):
    page = (folder / "sheet.html").read_text()
    assert page.count("________") > 40
    for words in ("Before anything turns", "Step 1.", "Step 5.", "Bench sheet: "):
        assert words in page


def test_where_to_stop_lies_beyond_what_is_expected_at_every_speed(printed):
    _, document = printed
    speeds = document["speeds"]
    assert [one["share"] for one in speeds] == [0.5, 0.8, 1.0]
    assert all(
        one["stop_push"] > 1.1 * one["push"] and one["stop_pull"] > 1.1 * one["pull"] for one in speeds
    )
    # mass and air go with the square of the speed, the grease does not: a little more than a quarter
    assert 0.25 < speeds[0]["push"] / speeds[2]["push"] < 0.35
    for one in document["sheet"].values():
        assert one["stop"] is None or one["stop"] > one["expected"]


def test_ranges_say_where_to_stop(printed):
    found = json.loads(run("sheet", PLAIN, "--runs", 16, "--no-ranking", "--json", "-").stdout)["sheet"][
        "gauge_push"
    ]
    assert (
        found["stop"] > printed[1]["sheet"]["gauge_push"]["stop"]
    )  # what the air leaves open is more than 15 %
    assert found["expected"] == printed[1]["sheet"]["gauge_push"]["expected"]


@pytest.mark.usefixtures("printed")
def test_filled_in_it_is_matched_and_agrees(folder):
    done = run("match", PLAIN, filled(folder, "as-expected.toml"), "--runs", 8, "--json", "-")
    found = json.loads(done.stdout)["match"]
    assert sum(name.startswith("force at ") for name in found) == 24
    assert {"current_hold_high", "rod_force_breakout", "release", "release_low"} <= set(found)
    assert {name: one["verdict"] for name, one in found.items() if one["verdict"] != "agrees"} == {}


@pytest.mark.usefixtures("printed")
def test_forces_that_are_not_as_expected_do_not_agree(folder):
    done = run("match", PLAIN, filled(folder, "twice.toml", 2.0), "--runs", 8, "--json", "-")
    found = json.loads(done.stdout)["match"]
    assert sum(one["verdict"] != "agrees" for one in found.values()) > 6


@pytest.mark.usefixtures("printed")
def test_calibrate_takes_it_too(folder):
    path = filled(folder, "fit.toml", 1.05)
    done = run(
        "calibrate", PLAIN, path, "--free", "scale.inertia", *EXACT_WORDS,
        "--write", folder / "fitted.toml", "--json", "-",
    )  # fmt: skip
    assert json.loads(done.stdout)["complete"] is True


@pytest.mark.parametrize("quote", ["", '"'])
def test_a_table_that_a_spreadsheet_saved_is_read_as_it_was_written(printed, folder, quote):
    """Semicolons behind every line, decimal commas, texts in quotation marks: day, build and gauge stay readable."""
    assert printed
    rows = []
    for line in (folder / "read.csv").read_text().splitlines():
        told = {"# Date:": "# Date: 2026-11-02", "# gauge.uncertainty:": "# gauge.uncertainty: 0,3 N"}.get(
            line, line
        )
        cells = [told] + [""] * 7 if line.startswith("#") else line.split(",")
        if line.startswith(("5,", "10,", "15,")):
            cells[1:3] = ["4,5", "3,5"]
        rows.append(";".join(f"{quote}{cell}{quote}" for cell in cells))
    path = folder / f"saved{len(quote)}.csv"
    path.write_bytes("\r\n".join(rows).encode())
    data = read_bench_data([path], read(PLAIN))
    assert not data.builds
    assert str(data.days[path.name]) == "2026-11-02"
    forces = [one for one in data.readings.values() if one.pitch is not None]
    assert len(forces) == 6
    assert [one.instrument.uncertainty for one in forces] == pytest.approx([0.3] * 6)


@pytest.mark.usefixtures("printed")
def test_the_table_for_a_spreadsheet_is_read_back(folder):
    note, *lines = (folder / "read.csv").read_text().splitlines()
    assert any(line.startswith("# Build: ") and line.endswith("plain.toml") for line in lines)
    lines = [line for line in lines if not line.startswith("#")]
    rows = list(csv.reader(lines))
    assert note.startswith("#")
    assert rows[0][:2] == ["pitch [deg]", "force rising [N]"]
    blanks = [[index for index, cell in enumerate(row) if not cell] for row in rows[1:]]
    by_pitch = dict(zip([float(row[0]) for row in rows[1:]], blanks, strict=True))
    assert by_pitch[0.0] == [1, 2, 3, 7]
    assert by_pitch[28.0] == by_pitch[-26.0] == [1, 2, 4, 5, 7]
    for row in rows[1:]:
        row[:] = ["1.5" if not cell and index != 6 else cell or "stays" for index, cell in enumerate(row)]
    out = io.StringIO()
    csv.writer(out, delimiter=";").writerows([[cell.replace(".", ",") for cell in row] for row in rows])
    (folder / "typed.csv").write_text(out.getvalue().replace("1,5\n", "10000\n"), encoding="utf-8")
    data = read_bench_data([folder / "typed.csv"], read(PLAIN))
    assert {"rod_force_breakout", "current_hold_low", "meter_peak_high", "release", "rotor_speed"} <= set(
        data.readings
    )
    assert data.readings["release_low"].value == "stays"
    assert not any("left out" in said for said in data.said)


@pytest.mark.usefixtures("printed")
def test_what_is_left_blank_was_not_read(folder):
    with pytest.raises(ReadingsRefused, match="every field is blank"):
        read_bench_data([folder / "read.toml"], read(PLAIN))
    text = (
        (folder / "read.toml")
        .read_text()
        .replace('rod_force_breakout = " N"', 'rod_force_breakout = "1.2 N"')
    )
    (folder / "one.toml").write_text(text, encoding="utf-8")
    data = read_bench_data([folder / "one.toml"], read(PLAIN))
    assert list(data.readings) == ["rod_force_breakout"]
    assert any("left blank: rotor_speed, meter_peak_high" in said for said in data.said)


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("3", "rows such as"),
        ('[ { pitch = "10 deg", upward = "3 N" } ]', "upward"),
        ('[ { pitch = "10 N", rising = "3 N" } ]', "angle"),
        ('[ { pitch = "10 deg", rising = "3 A" } ]', "force"),
        ('[ { rising = "3 N" } ]', "angle"),
    ],
)
def test_a_row_of_forces_that_cannot_be_is_refused_in_words(tmp_path, rows, words):
    path = tmp_path / "bad.toml"
    path.write_text(f"[readings]\nforces = {rows}\n", encoding="utf-8")
    with pytest.raises(ReadingsRefused) as error:
        read_bench_data([path], read(PLAIN))
    assert words in str(error.value)
    assert "bad.toml" in str(error.value)


def test_a_force_typed_with_its_doubt_and_repeats_and_one_beyond_the_range(tmp_path):
    path = tmp_path / "some.toml"
    path.write_text(
        '[readings]\nforces = [ { pitch = "10 deg", rising = ["3.0 +/- 0.2 N", "3.2 N"] }, '
        '{ pitch = "80 deg", falling = "9 N" } ]\n',
        encoding="utf-8",
    )
    data = read_bench_data([path], read(PLAIN))
    (one,) = data.readings.values()
    assert (one.value, one.uncertainty, one.repeats) == (pytest.approx(3.1), pytest.approx(0.2), 2)
    assert (one.pitch, one.rising) == (pytest.approx(np.deg2rad(10.0)), True)
    assert any("force at 80 deg, falling left out" in said for said in data.said)


def test_the_file_to_type_into_says_first_that_a_build_must_not_run(tmp_path):
    weak = tmp_path / "weak.toml"
    weak.write_text(
        f'title = "weak"\nbase = "{PLAIN}"\n[bearing]\nstatic_rating = "200 N"\n', encoding="utf-8"
    )
    for name in ("weak-read.toml", "weak-read.csv"):
        run("sheet", weak, *QUICK, "--readings", tmp_path / name, "--quiet")
        assert (tmp_path / name).read_text().startswith("# DO NOT RUN")


def test_a_build_that_must_not_run_gets_no_step_with_the_rotor_turning():
    text = run("sheet", PLAIN, *QUICK, "--set", "bearing.static_rating=10 N", "--verbose").stdout
    assert text.startswith("DO NOT RUN")
    assert "Step 1. Battery out" in text
    assert "Step 2" not in text
    assert "must not run as it is" in " ".join(text.split())


@pytest.mark.usefixtures("printed")
def test_files_are_neither_overwritten_nor_of_another_kind(folder):
    done = CliRunner().invoke(
        app, ["sheet", PLAIN, *QUICK, "--readings", str(folder / "read.toml"), "--force"]
    )
    assert isinstance(done.exception, OutputRefused)  # readings that were typed in are never overwritten
    done = run("sheet", PLAIN, *QUICK, "--readings", folder / "read.xlsx", status=2)
    assert "ends in .toml" in " ".join(done.stderr.split())


@pytest.mark.parametrize("ends", [(-26.0, 28.0), (-24.0, 26.0), (0.0, 30.0), (3.0, 11.0)])
def test_pitches_to_read_hold_both_ends_and_crowd_nowhere(ends):
    found = np.rad2deg(pitches_to_read(*np.deg2rad(ends)))
    assert (found[0], found[-1]) == pytest.approx(ends)
    assert np.diff(found).min() >= 2.4
    assert np.diff(found).max() <= 9.9
    assert not ends[0] < -3.0 or np.abs(found).min() < 1e-9


def test_what_would_tell_has_its_place_on_the_sheet(scenario_of):
    rig = scenario_of(gauge={"uncertainty": "0.1 N"}, doubt={"air_moment": 0.2})
    advice = what_would_tell(rig)
    assert {one.name for one in advice.ranked} <= {*STEPS_OF, "servo test with another arm"}
    assert advice.ranked[0].share < 0.5
    told = bench_sheet(predict(rig), None, advice)
    assert told.advice is advice
    assert "ozf" in readings_toml(told, "trade")


def test_a_file_of_readings_is_never_overwritten_and_the_refusal_does_not_send_to_force(tmp_path):
    file = tmp_path / "mine.toml"
    file.write_text("typed by hand", encoding="utf-8")
    done = CliRunner().invoke(app, ["sheet", str(PLAIN), "--readings", str(file), "--force"])
    assert "--force does not overwrite it: give another name" in str(done.exception)
    assert file.read_text(encoding="utf-8") == "typed by hand"
