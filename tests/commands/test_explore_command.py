"""The explore command: refusals without a screen, and a real window on a virtual one, moved by a real mouse."""

import importlib.util
import json
import os
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from featherbench.exploring import Exploration
from featherbench.scenario import read
from featherbench.window.controls import GRIP
from featherbench.window.layout import SIZE, layout
from forked import forked

ROOT = Path(__file__).parents[2]
WEIGHTED = str(ROOT / "scenarios" / "survey-3kg" / "weighted.toml")
PATIENCE = 300.0
"""s that anything on the virtual screen may take."""
TK = importlib.util.find_spec("_tkinter") is not None
MISSING = [name for name in ("xvfb", "xdotool") if shutil.which(name.replace("xv", "Xv")) is None]
MISSING += [] if TK else ["python3-tk"]


def environment(**changes):
    """This process' environment with changes; None takes a variable out."""
    known = {**os.environ, **{key: value for key, value in changes.items() if value is not None}}
    return {key: value for key, value in known.items() if changes.get(key, "") is not None}


def explore(*words, code="", **changes):
    """Run the command to its end in a process of its own, which opens no window."""
    start = f"import sys\n{code}\nfrom featherbench.cli import main\nmain()"
    return forked(["explore", *words], code=start, env=environment(**changes))


NOWHERE = {"DISPLAY": None, "WAYLAND_DISPLAY": None, "MPLBACKEND": None}


@pytest.mark.skipif(
    not sys.platform.startswith("linux"), reason="the display's name is in the environment on Linux"
)
@pytest.mark.parametrize(
    ("changes", "code", "words"),
    [
        ({}, "", "no display to open a window on"),
        ({"MPLBACKEND": "TkAgg"}, "", "no display to open a window on"),
        ({"DISPLAY": ":7531", "MPLBACKEND": "Agg"}, "", "MPLBACKEND=Agg opens no window here: unset it"),
        (
            {"DISPLAY": ":7531"},
            "for name in ('_tkinter', 'tkinter', 'PySide6', 'PyQt6', 'PyQt5', 'gi', 'wx'): sys.modules[name] = None",
            "apt install python3-tk",
        ),
    ],
)
def test_without_a_screen_it_says_so_in_one_line(changes, code, words):
    if words.startswith("MPL") and not TK:
        pytest.skip("without any window toolkit that is what is said first")
    status, out, err = explore(WEIGHTED, code=code, **{**NOWHERE, **changes})
    assert (status, out) == (2, "")
    assert err.startswith("explore: ")
    assert words in err
    assert err.count("\n") == 1


def test_bad_input_is_refused_before_a_screen_is_looked_for(tmp_path):
    gone = explore(tmp_path / "gone.toml", **NOWHERE)
    assert gone[0] == 2
    assert "no such file" in gone[2]
    page = explore(WEIGHTED, "--report", tmp_path / "none" / "a.html", **NOWHERE)
    assert page[0] == 2
    assert "no folder" in page[2]
    variant = explore(WEIGHTED, "--variant", tmp_path / "none" / "a.toml", **NOWHERE)
    assert variant[0] == 2
    assert "no folder" in variant[2]


# -- on a virtual screen -----------------------------------------------------------------------------------


@pytest.fixture
def screen(request):
    """The name of a virtual display of our own, of a small laptop's size unless another is asked for."""
    size = getattr(request, "param", "1366x768")
    reading, writing = os.pipe()
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(writing), "-screen", "0", f"{size}x24", "-nolisten", "tcp"],
        pass_fds=[writing],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    os.close(writing)
    try:
        with os.fdopen(reading) as stream:
            number = stream.readline().strip()
        if not number:
            pytest.skip("Xvfb does not start here")
        yield f":{number}"
    finally:
        server.terminate()
        server.wait(timeout=PATIENCE)


@pytest.fixture
def opened(screen, tmp_path):
    """The command in a process with a window on the virtual screen; it never outlives the test."""
    running = []

    def start(*words):
        streams = [(tmp_path / name).open("w") for name in ("out.txt", "err.txt")]
        process = subprocess.Popen(
            [sys.executable, "-m", "featherbench", "explore", *map(str, words)],
            stdout=streams[0],
            stderr=streams[1],
            cwd=tmp_path,
            env=environment(DISPLAY=screen, MPLBACKEND="TkAgg", WAYLAND_DISPLAY=None),
        )
        running.append((process, streams))
        return Opened(process, screen)

    yield start
    for process, streams in running:
        if process.poll() is None:
            process.kill()
        process.wait(timeout=PATIENCE)
        for stream in streams:
            stream.close()


class Opened:
    """A window on the virtual screen, seen and touched only from outside."""

    def __init__(self, process, screen):
        self.process, self.screen = process, screen
        found = self._tool("search", "--sync", "--onlyvisible", "--name", "^featherbench explore$")
        self.window = found.split()[-1]
        before = None
        while before != (before := self.geometry()):  # until it has found its size
            time.sleep(0.5)
        self.left, self.top, self.width, self.height = before

    def _tool(self, *words):
        done = subprocess.run(
            ["xdotool", *map(str, words)],
            capture_output=True,
            text=True,
            check=True,
            timeout=PATIENCE,
            env=environment(DISPLAY=self.screen),
        )
        return done.stdout

    def geometry(self):
        said = self._tool("getwindowgeometry", "--shell", self.window)
        known = dict(re.findall(r"(\w+)=(\d+)", said))
        return tuple(int(known[name]) for name in ("X", "Y", "WIDTH", "HEIGHT"))

    def at(self, x, y):
        """Screen pixels of a place given as shares of the window, up from its foot.

        Where it stands is asked anew: on a busy machine a window finds its size only after it has been drawn once.
        """
        self.left, self.top, self.width, self.height = self.geometry()
        return round(self.left + x * self.width), round(self.top + (1.0 - y) * self.height)

    def drag(self, start, end):
        """Press the mouse at one place, draw it to another in steps, let go."""
        places = np.linspace(start, end, 5)
        self._tool("mousemove", *self.at(*places[0]), "mousedown", 1)
        for place in places[1:]:
            self._tool("mousemove", *self.at(*place), "sleep", 0.05)
        self._tool("mouseup", 1)

    def click(self, place):
        self._tool("mousemove", *self.at(*place), "sleep", 0.1, "click", 1)

    def close(self):
        """As the key for it does."""
        self._tool("windowfocus", self.window, "key", "ctrl+w")
        return self.process.wait(timeout=PATIENCE)

    def picture(self):
        """What is on the screen, (height, width, 3)."""
        from PIL import ImageGrab

        return np.asarray(ImageGrab.grab(xdisplay=self.screen).convert("RGB")).astype(int)


def until(there):
    """Wait for something to come true."""
    end = time.monotonic() + PATIENCE
    while not there():
        assert time.monotonic() < end, "nothing came of it"
        time.sleep(0.1)


def corners(places):
    """Two corners of the first picture's axes."""
    left, bottom, width, height = places.panels[0]
    return (left + 0.02, bottom + 0.02), (left + width - 0.02, bottom + height - 0.02)


def middle(box):
    left, bottom, width, height = box
    return left + 0.5 * width, bottom + 0.5 * height


@pytest.mark.skipif(bool(MISSING), reason=f"needs a screen of its own: apt install {' '.join(MISSING)}")
def test_a_real_mouse_drags_a_slider_and_writes_the_variant(opened, tmp_path):
    exploration = Exploration(read(WEIGHTED))
    exploration.exact({})  # whatever a first use compiles is compiled before the window's process starts
    sliders = exploration.sliders
    length = sliders[0]
    places = layout(*SIZE, len(sliders))
    document = tmp_path / "left.json"
    window = opened(WEIGHTED, "--json", document)
    assert window.width <= 1366
    assert window.height <= 728  # a title and a bar of tasks find room on a small laptop's screen

    def handle(value):
        left, bottom, width, height = places.sliders[0]
        share = (value - length.low) / (length.high - length.low)
        return left + width * (GRIP + share) / (1.0 + 2.0 * GRIP), bottom + 0.5 * height

    drawn = [
        slice(*sorted(ends)) for ends in zip(*(window.at(x, y) for x, y in corners(places)), strict=True)
    ]
    until(lambda: np.ptp(window.picture()[drawn[1], drawn[0]]) > 60)
    before = window.picture()
    window.drag(handle(length.start), handle(5.2e-3))
    until(lambda: np.abs(window.picture() - before).max() > 60)
    window.click(middle(places.buttons[0]))
    variant = tmp_path / "weighted-explored.toml"
    until(variant.exists)
    after = window.picture()
    for left, bottom, width, height in places.panel_cells:
        (x0, y1), (x1, y0) = window.at(left, bottom), window.at(left + width, bottom + height)
        changed = np.abs(after[y0:y1, x0:x1] - before[y0:y1, x0:x1]).max(axis=2) > 60
        assert changed.mean() > 2e-3
    build = read(variant)
    for name in ("head-collar", "nut-collar"):
        assert build.part[name].length == pytest.approx(5.2e-3, abs=1.01 * length.step)
    assert build.part["head-collar"].length > length.start + 10 * length.step
    assert window.close() == 0
    assert (tmp_path / "err.txt").read_text() == f"wrote {variant.name}\nwrote {document}\n"
    assert "argest force on the rod" in (tmp_path / "out.txt").read_text()
    left = json.loads(document.read_text(encoding="utf-8"))
    assert left["runs"][1]["scenario"]["title"] == build.title


@pytest.mark.parametrize("screen", ["1024x640"], indirect=True)
@pytest.mark.skipif(bool(MISSING), reason=f"needs a screen of its own: apt install {' '.join(MISSING)}")
def test_a_small_screen_gets_a_smaller_window(opened):
    window = opened(WEIGHTED, "--quiet", "--units", "trade")
    assert 900 < window.width <= 1024
    assert 500 < window.height <= 0.9 * 640
    assert window.close() == 0
