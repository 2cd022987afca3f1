"""--figures and --report of commands: every picture as SVG and PNG, and nothing there is overwritten unasked."""

import csv
import struct
from pathlib import Path
from xml.etree import ElementTree

import pytest
from typer.testing import CliRunner

from exact import EXACT_WORDS
from featherbench.cli import app

SURVEY = Path(__file__).parents[2] / "scenarios" / "survey-3kg"
PLAIN, WEIGHTED, WORN = (str(SURVEY / f"{name}.toml") for name in ("plain", "weighted", "worn"))
GAUGE = str(SURVEY / "bench" / "plain-gauge.csv")
READINGS = str(SURVEY / "bench" / "plain-readings.toml")
BENCH = {"force", "moments", "course", "release", "play"}

ASKED = {
    "check": (["check", PLAIN], {"parts"}),
    "predict": (["predict", PLAIN, "--runs", "0"], BENCH | {"parts"}),
    "compare": (["compare", PLAIN, WEIGHTED, "--runs", "0"], BENCH | {"parts"}),
    "size": (["size", PLAIN, "--route", "bolt", "--runs", "0"], BENCH | {"drawing", "parts"}),
    "spread": (["spread", PLAIN, "--runs", "16", *EXACT_WORDS[2:]], {"shares", "parts"}),
    "match": (["match", PLAIN, GAUGE, "--runs", "8"], {"log-1-rod-force", "parts"}),
    "wag": (["wag", WORN, "--seconds", "4", "--draws", "1"], {"flight", "parts"}),
    "swing": (["swing", "trifilar"], {"hung"}),
}


MOVING = {"predict", "compare", "size", "wag"}
"""Whose pictures move, too."""
FRAMES = {"compare": 24}
"""Of a scene, as shipped; of the others fewer: which scenes are drawn is a matter of the command, how often is not."""
FEWER = 3


def run(*words):
    return CliRunner().invoke(app, [str(word) for word in words])


@pytest.mark.parametrize("name", ASKED)
def test_every_picture_is_written_as_svg_and_png(name, tmp_path, monkeypatch):
    if name not in FRAMES:
        monkeypatch.setattr("featherbench.pictures.motion.EACH", FEWER)
    words, pictures = ASKED[name]
    folder = tmp_path / "pictures"
    done = run(*words, "--figures", folder, "--quiet")
    assert done.exit_code == 0, done.output
    moving = {"motion.gif"} if name in MOVING else set()
    assert {path.name for path in folder.iterdir()} == moving | {
        f"{picture}.{kind}" for picture in pictures for kind in ("svg", "png")
    }
    for path in folder.iterdir():
        data = path.read_bytes()
        if path.suffix == ".gif":
            assert data[:6] == b"GIF89a"
            assert data.count(b"\x21\xf9\x04") > FRAMES.get(name, FEWER)  # frames, of more than one scene
        elif path.suffix == ".png":
            assert data[:8] == b"\x89PNG\r\n\x1a\n"
            width, height = struct.unpack(">II", data[16:24])
            assert width > 600
            assert height > 200
        else:
            root = ElementTree.fromstring(data)
            assert root.tag.endswith("svg")
            assert any(element.tag.endswith("text") for element in root.iter())


def test_pictures_are_not_overwritten_unasked_and_other_files_stay(tmp_path):
    folder = tmp_path / "pictures"
    assert run("check", PLAIN, "--figures", folder, "--quiet").exit_code == 0
    (folder / "notes.txt").write_text("mine")
    before = (folder / "parts.png").read_bytes()
    refused = run("check", WEIGHTED, "--figures", folder)
    assert refused.exit_code != 0
    assert "holds pictures already" in str(refused.exception or refused.output)
    assert (folder / "parts.png").read_bytes() == before
    assert run("check", WEIGHTED, "--figures", folder, "--force").exit_code == 0
    assert (folder / "parts.png").read_bytes() != before
    assert (folder / "notes.txt").read_text() == "mine"


@pytest.mark.parametrize("place", ["a-file", "missing/pictures"])
def test_a_folder_that_cannot_be_is_refused_before_any_work(place, tmp_path):
    (tmp_path / "a-file").write_text("x")
    refused = run("predict", PLAIN, "--figures", tmp_path / place)
    assert refused.exit_code != 0
    assert "a folder for the pictures" in str(refused.exception) or "no folder" in str(refused.exception)


def test_the_same_run_gives_the_same_pictures(tmp_path):
    for folder in ("one", "two"):
        assert run("check", PLAIN, "--figures", tmp_path / folder, "--quiet").exit_code == 0
    for name in ("parts.png", "parts.svg"):
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()


def test_check_gives_a_page_and_a_document(tmp_path):
    done = run("check", PLAIN, WEIGHTED, "--report", tmp_path / "c.html", "--json", tmp_path / "c.json")
    assert done.exit_code == 0, done.output
    page = (tmp_path / "c.html").read_text(encoding="utf-8")
    drawn = page.index("<figcaption><strong>The parts, to scale.</strong>")
    assert page.rindex("<svg", 0, drawn) < drawn < page.index("arts of one blade assembly</h2>")
    import json

    document = json.loads((tmp_path / "c.json").read_text())
    assert [build["scenario"]["files"][0].endswith(".toml") for build in document["builds"]] == [True, True]
    masses = {part["name"]: part["mass"] for part in document["builds"][0]["parts"]}
    assert masses["blade"] == pytest.approx(5.0e-3)


def test_start_and_swing_give_pages(tmp_path):
    done = run("start", tmp_path / "mine.toml", "--report", tmp_path / "s.html")
    assert done.exit_code == 0, done.output
    assert "What was understood of" in (tmp_path / "s.html").read_text(encoding="utf-8")
    words = [
        "--mass",
        "6.4 +/- 0.02 g",
        "--period",
        "0.71 s",
        "--cord-length",
        "400 mm",
        "--spacing",
        "40 mm",
    ]
    done = run("swing", "bifilar", *words, "--report", tmp_path / "w.html", "--json", tmp_path / "w.json")
    assert done.exit_code == 0, done.output
    page = (tmp_path / "w.html").read_text(encoding="utf-8")
    assert "[part.blade-as-swung]" in page
    assert "Inertia about the radius" in page


@pytest.mark.parametrize(
    ("words", "columns"),
    [
        (["wag", WORN, "--seconds", "4", "--draws", "1"], {"time [s]", "heading [rad]"}),
        (["match", PLAIN, GAUGE, "--runs", "8"], {"series", "time [s]", "measured", "simulated"}),
        (["match", PLAIN, READINGS, "--runs", "8"], {"series", "time [s]", "measured", "simulated"}),
        (["spread", PLAIN, "--runs", "16"], {"mass", "rod_force_push", "release"}),
    ],
)
def test_studies_give_a_table(words, columns, tmp_path):
    done = run(*words, "--csv", tmp_path / "t.csv", "--quiet")
    assert done.exit_code == 0, done.output
    heading, *rows = csv.reader((tmp_path / "t.csv").read_text(encoding="utf-8").splitlines())
    assert columns <= set(heading)
    assert len(rows) > 10 or READINGS in words
    assert all(len(row) == len(heading) for row in rows)
