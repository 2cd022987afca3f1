"""The moving picture: joints stay together, numbers are those of the run, and it says why things happen."""

from __future__ import annotations

import json
import re

import numpy as np
import pytest

from featherbench.linkage import servo_angle_for
from featherbench.pictures.motion import _reading
from featherbench.plant.flight import F_HEADING, F_PITCH, F_SERVO, F_SUPPLY, F_TIME, FLIGHT_COLUMNS
from featherbench.render.motion import (
    LET_GO,
    STRIP,
    STRIP_HALF,
    Moving,
    arrow,
    fit_of,
    force_text,
    moving,
    numbers_of,
    seat_words,
)
from featherbench.studies.motion import Flown, Motion, motion_of
from featherbench.studies.motion_rig import LINK, ROD
from featherbench.studies.run import Comparison
from featherbench.views.cases import cases_of

MOST_BYTES = 150_000


@pytest.fixture(scope="module")
def motion(builds: Comparison) -> Motion:
    return motion_of(builds.runs, [case.name for case in cases_of(builds.runs)])


@pytest.fixture(scope="module")
def made(motion: Motion) -> Moving:
    return moving(motion, "Force falls.", (1.0, "N"))


def test_link_and_rod_keep_their_length(motion: Motion) -> None:
    for scene in motion.scenes:
        for track in scene.tracks:
            link = np.hypot(*(track.horn - track.slider).T)
            rod = np.hypot(*(track.rod - track.pin).T)
            assert link == pytest.approx(np.full(len(link), LINK), rel=0.04)  # it is drawn shorter than it is
            assert rod == pytest.approx(np.full(len(rod), ROD), rel=0.04)


def test_the_bell_crank_is_rigid(motion: Motion) -> None:
    """Arms of 14 and 18 mm at a right angle: their ends stay as far apart as Pythagoras says."""
    for scene in motion.scenes:
        for track in scene.tracks:
            apart = np.hypot(*(track.slider - track.pin).T)
            assert apart == pytest.approx(np.full(len(apart), np.hypot(14e-3, 18e-3)), rel=1e-9)


def test_what_is_drawn_is_what_was_run(motion: Motion, builds: Comparison) -> None:
    bench, release = motion.scenes
    for run, track, released in zip(builds.runs, bench.tracks, release.tracks, strict=True):
        course = run.curves["run"].columns
        for name, own in (("pitch", track.pitch), ("rod_force", track.force)):
            assert own == pytest.approx(np.interp(bench.time, course["time"], course[name]))
        most = np.abs(course["pitch"]).max()
        assert np.abs(track.pitch).max() == pytest.approx(most, rel=0.02)  # no frame leaves the ends out
        assert released.pitch[-1] == pytest.approx(run.release_high.pitch[-1], abs=1e-6)
        assert not released.force.any()
    assert bench.tracks[0].pitch[bench.still] > 0.9 * bench.tracks[0].pitch.max()


def test_under_load_the_joint_lies_on_the_face_that_carries_it(motion: Motion) -> None:
    for track in motion.scenes[0].tracks:
        assert np.abs(track.seat).max() <= 1.0
        loaded = np.abs(track.force) > 0.5 * np.abs(track.force).max()
        slow = np.abs(np.gradient(track.pitch, motion.scenes[0].time)) < 0.05
        assert (track.seat * np.sign(track.force))[loaded & slow].min() > 0.8  # between two frames


def test_weights_are_drawn_only_where_there_are_some_and_balance_as_they_do(
    motion: Motion, builds: Comparison
) -> None:
    without, rig = motion.rigs
    assert len(without.weights) == 0
    own = [part.moments for part in builds.runs[1].setup.assembly.parts if part.group == "counterweight"]
    assert float(rig.weight_mass.sum()) == pytest.approx(sum(one.mass for one in own))
    normal = float((rig.weight_mass * rig.weights[:, 1] ** 2).sum())
    assert normal == pytest.approx(sum(float(one.second[2, 2]) for one in own))


def test_it_is_small_and_asks_for_nothing(made: Moving) -> None:
    script = "motion.js"
    assert len(made.data) + sum(map(len, made.panels)) < MOST_BYTES, script
    assert "://" not in "".join(made.panels)
    data = json.loads(made.data)
    for scene in data["scenes"]:
        assert all(len(rows) == 16 * len(scene["time"]) for rows in scene["rows"])
        assert 0 <= scene["still"] < len(scene["time"])


def test_the_still_shows_the_numbers_of_its_frame(made: Moving, motion: Motion) -> None:
    scene = motion.scenes[0]
    for panel, track in zip(made.panels, scene.tracks, strict=True):
        said = re.search(r'class="m-number"[^>]*>([^<]*)<', panel)
        assert said is not None
        assert said[1] == force_text(float(track.force[scene.still]), "N")
        assert "Force falls." in panel
        row = numbers_of(track, fit_of(motion))[scene.still]
        assert float(row[0]) / 10.0 == pytest.approx(np.rad2deg(track.pitch[scene.still]), abs=0.051)


def test_a_flight_is_a_scene_of_its_own_curves(builds: Comparison) -> None:
    time = np.arange(0.0, 4.0, 5e-3)
    swing = 0.01 * np.sin(2.0 * np.pi * 2.0 * time)
    flown = []
    for run in builds.runs:
        record = np.zeros((len(time), FLIGHT_COLUMNS))
        record[:, F_TIME], record[:, F_HEADING], record[:, F_PITCH] = time, 0.2 + swing, 0.1 + 0.5 * swing
        record[:, F_SERVO] = [servo_angle_for(0.1, run.setup.plant.linkage)] * len(time)
        record[:, F_SUPPLY] = run.setup.plant.supply.idle + 0.02
        flown.append(Flown(record, (0.002, 0.008)))
    after = motion_of(builds.runs, ["before", "after"], flown, last=True)
    assert [scene.name for scene in after.scenes] == ["bench", "release", "hover"]
    seen = motion_of(builds.runs, ["before", "after"], flown)
    assert [scene.name for scene in seen.scenes] == ["hover", "bench", "release"]
    hover = seen.scenes[0]
    assert hover.time[[0, -1]] == pytest.approx([0.0, 2.0], abs=0.01)
    for track in hover.tracks:
        assert track.heading.mean() == pytest.approx(0.0, abs=1e-12)
        assert track.heading.max() == pytest.approx(0.01, rel=0.02)
        assert np.abs(np.corrcoef(track.pitch, track.heading)[0, 1]) > 0.999
        assert track.current == pytest.approx(0.02)
        assert track.meter == pytest.approx(0.02)
    shown = moving(seen, "It hunts.", (1.0, "N"))
    assert len(shown.data) + sum(map(len, shown.panels)) < MOST_BYTES
    assert all('class="m-tail"' in panel for panel in shown.panels)
    assert all("the tail swings 0.1 to 0.5 deg within a second" in panel for panel in shown.panels)
    drawn = [re.search(r'class="m-course" points="([^"]*)"', panel) for panel in shown.panels]
    ups = [
        np.array([point.split(",") for point in one[1].split()], dtype=float)[:, 1] for one in drawn if one
    ]
    for up, track in zip(ups, hover.tracks, strict=True):  # one scale for both, the larger fills the strip
        assert (STRIP[1] - up) / STRIP_HALF == pytest.approx(
            track.heading / np.abs(track.heading).max(), abs=0.01
        )
    assert 'class="m-tail"' not in "".join(moving(motion_of(builds.runs, ["a", "b"]), "", (1.0, "N")).panels)


def test_words_and_arrow() -> None:
    assert force_text(-2.04, "N") == "2.0 N pull"
    assert force_text(0.01, "ozf") == "0.0 ozf"
    assert (seat_words(-1.0), seat_words(0.3), seat_words(1.0)) == (
        "on the left face",
        "floats",
        "on the right face",
    )
    left, right = (re.findall(r"H(-?[\d.]+)", arrow((100.0, 50.0), length))[0] for length in (40.0, -40.0))
    assert float(left) < 100.0 < float(right)  # a push goes toward the blade, which stands on the left
    assert "too much weight" in LET_GO["run to full pitch"]


def test_the_gif_reads_in_the_readers_unit_and_says_which_way_it_goes(motion: Motion) -> None:
    track = motion.scenes[0].tracks[0]
    at = int(np.argmin(track.force))
    pull = abs(float(track.force[at]))
    assert _reading(track, at, (1.0, "N")).startswith(f"{pull:.1f} N pull, meter ")
    assert _reading(track, at, (3.6, "ozf")).startswith(f"{3.6 * pull:.1f} ozf pull, meter ")
