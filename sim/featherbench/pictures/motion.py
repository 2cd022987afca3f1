"""The moving picture as a GIF, for whoever wants to show it outside a page: one scene after the other, each named."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import numpy as np

from featherbench.pictures import style

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.lines import Line2D

    from featherbench.studies.motion import Motion, Track
    from featherbench.studies.motion_rig import Rig

EACH = 24
"""Frames of a scene."""
PER_SECOND = 8
DOTS_PER_INCH = 72
TAIL, SWUNG = 0.022, 20.0
"""m that the tail is drawn long, and how many times its heading is drawn larger."""


def can_move() -> bool:
    """Whether the library that writes a GIF is there; matplotlib brings it."""
    return importlib.util.find_spec("PIL") is not None


def motion_gif(motion: Motion, force_unit: tuple[float, str] = (1.0, "N")) -> bytes:
    """Builds side by side, in step; force_unit: N to what is shown, and its name. Needs Pillow: see `can_move`."""
    from matplotlib.animation import FuncAnimation, PillowWriter
    from matplotlib.figure import Figure

    with style.applied(), TemporaryDirectory() as folder:
        count = len(motion.rigs)
        figure = Figure(figsize=(3.4 * count, 3.6), dpi=DOTS_PER_INCH, facecolor="white")
        figure.subplots_adjust(left=0.02, right=0.98, bottom=0.17, top=0.9, wspace=0.05)
        told = figure.text(0.5, 0.02, "", ha="center")
        axes = figure.subplots(1, count, squeeze=False)[0]
        drawn = [
            (ax, _lines(ax, rig, name)) for ax, rig, name in zip(axes, motion.rigs, motion.names, strict=True)
        ]
        frames = [
            (scene, int(at))
            for scene in motion.scenes
            for at in np.linspace(0, len(scene.time) - 1, EACH).round()
        ]

        def move(number: int) -> list[Line2D]:
            scene, at = frames[number]
            moved: list[Line2D] = []
            told.set_text(scene.title)
            for (ax, lines), rig, track in zip(drawn, motion.rigs, scene.tracks, strict=True):
                _move(lines, rig, track, at, motion.force)
                lines["tail"].set_visible(scene.name == "hover")
                ax.set_xlabel(_reading(track, at, force_unit) + f", {scene.time[at]:.2f} s")
                moved += lines.values()
            return moved

        path = Path(folder) / "motion.gif"
        shown = FuncAnimation(figure, move, frames=len(frames), blit=False)
        shown.save(path, writer=PillowWriter(PER_SECOND), savefig_kwargs={"facecolor": "white"})
        return path.read_bytes()


def _lines(ax: Axes, rig: Rig, name: str) -> dict[str, Line2D]:
    """The lines of one build, to be given their places."""
    ax.set_aspect("equal")
    ax.set_xticks([])
    ax.set_yticks([])
    ax.spines[:].set_visible(False)
    reach = 1.1 * float(np.hypot(*np.concatenate([rig.outline, rig.weights]).T).max())
    ax.set_xlim(-reach, rig.servo[0] + 12e-3)
    ax.set_ylim(rig.servo[1] - 12e-3, reach)
    ax.set_title(name or "this build", loc="left")
    looks = {
        "blade": ("ink", 1.4),
        "horn": ("green", 3.0),
        "link": ("ink", 1.6),
        "crank": ("green", 3.0),
        "rod": ("ink", 1.6),
        "arm": ("plum", 3.0),
        "force": ("blue", 2.4),
        "tail": ("ink", 3.0),
    }
    lines = {
        part: ax.plot([], [], color=style.colour(role), linewidth=wide)[0]
        for part, (role, wide) in looks.items()
    }
    lines["weights"] = ax.plot([], [], color=style.colour("orange"), marker="o", markersize=7)[0]
    lines["tip"] = ax.plot([], [], color=style.colour("blue"), linestyle="", markersize=7)[0]
    return lines


def _reading(track: Track, at: int, force_unit: tuple[float, str]) -> str:
    """Such as "2.1 N pull, meter 0.10 A"."""
    force = float(track.force[at]) * force_unit[0]
    side = "" if abs(force) < 0.05 else " push" if force > 0.0 else " pull"
    return f"{abs(force):.1f} {force_unit[1]}{side}, meter {track.meter[at]:.2f} A"


def _move(lines: dict[str, Line2D], rig: Rig, track: Track, at: int, most: float) -> None:
    """Put every line where it stands in a frame."""
    turn = float(track.pitch[at])
    turned = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    blade, weights = ((turned @ points.T).T for points in (rig.outline, rig.weights))
    lines["blade"].set_data(*np.concatenate([blade, blade[:1]]).T)
    lines["weights"].set_data(*(weights.T if len(weights) else ([], [])))
    ends = {
        "horn": (np.zeros(2), track.horn[at]),
        "link": (track.horn[at], track.slider[at]),
        "crank": (track.slider[at], np.array(rig.pivot), track.pin[at])
        if rig.has_lever
        else (track.pin[at],),
        "rod": (track.pin[at], track.rod[at]),
        "arm": (np.array(rig.servo), track.arm[at]),
    }
    for name, points in ends.items():
        lines[name].set_data(*np.array(points).T)
    middle = 0.5 * (track.pin[at] + track.rod[at]) - np.array([0.0, 4e-3])
    tip = middle - np.array([0.03 * float(track.force[at]) / most, 0.0])
    lines["force"].set_data(*np.array([middle, tip]).T)
    shown = abs(float(track.force[at])) > 0.01 * most
    lines["tip"].set_data(*(([tip[0]], [tip[1]]) if shown else ([], [])))
    lines["tip"].set_marker("<" if track.force[at] > 0.0 else ">")
    # the tail from above, hinged below the blade, its heading drawn larger than it is
    swung = SWUNG * float(track.heading[at])
    hinge = np.array([0.0, rig.servo[1]])
    end = hinge - TAIL * np.array([np.cos(swung), np.sin(swung)])
    lines["tail"].set_data(*np.array([hinge, end]).T)
