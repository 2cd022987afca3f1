"""One moving picture of a bench run, and of a flight: where every joint of the linkage stands at each moment, from its
own curves.

Drawn looking along the feathering axis of one blade, its leading edge to the right, thrust up: blade section, horn,
pitch link, slider, bellcrank, rod and servo arm to one scale (the rod cut short), the play beside it ten times larger.
Builds move in step. Lengths m, angles rad, positions (n, 2) with the feathering axis at the origin, x right, y up.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.bench.instruments import moving_mean
from featherbench.bench.release import release_points
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.plant.flight import F_HEADING, F_PITCH, F_ROD_FORCE, F_SERVO, F_SUPPLY, F_TIME
from featherbench.studies.motion_rig import ROD, Rig, rig_of

if TYPE_CHECKING:
    from featherbench.bench.setup import Setup
    from featherbench.studies.run import Run

Array = NDArray[np.float64]
FRAMES = 300
"""Of a scene; more of them where more happens."""
SHOWN = 2
"""Builds side by side; of more, the first two."""
IN_HOVER = 2.0
"""s of a flight that are shown."""
MAGNIFIED = 10.0
"""How much larger the play is drawn than the rest."""


class Track(NamedTuple):
    """One build over a scene's frames (n,): pitch rad; positions (n, 2) of the balls, `rod` at the rod's servo end;
    force N on the rod, push positive; current A above idle, and what the meter shows; seat: -1 on one face of the play,
    1 on the other, between them afloat. heading: rad, of the tail in flight, else zero.
    """

    pitch: Array
    horn: Array
    slider: Array
    pin: Array
    rod: Array
    arm: Array
    force: Array
    current: Array
    meter: Array
    seat: Array
    heading: Array


class Scene(NamedTuple):
    """title: what is seen; time (n,) s, the same for every build; still: the frame that stands for all of it."""

    name: str
    title: str
    time: Array
    tracks: tuple[Track, ...]
    still: int


class Motion(NamedTuple):
    """force, current: the largest of all builds, for the scales; verdicts: what released blades do, by build; said: how
    they were flown, or why not, "" where nobody asked; swings: as in `Flown`, by build, () where none was flown.
    """

    names: tuple[str, ...]
    rigs: tuple[Rig, ...]
    scenes: tuple[Scene, ...]
    force: float
    current: float
    verdicts: tuple[str, ...]
    said: str = ""
    swings: tuple[tuple[float, float], ...] = ()


class Flown(NamedTuple):
    """One build in hover. record: see `plant.flight`; swing: (least, most) that its tail swings in a second, rad."""

    record: Array
    swing: tuple[float, float]


def motion_of(
    runs: Sequence[Run],
    names: Sequence[str],
    flown: Sequence[Flown] = (),
    said: str = "",
    *,
    last: bool = False,
) -> Motion:
    """Of the first two builds: hover where it was flown, the servo moving through its programme, then the rod released
    on the high side. flown: each build in hover; last: that scene after those of the bench.
    """
    shown = runs[:SHOWN]
    rigs = tuple(rig_of(run.setup) for run in shown)
    hover = (_hover(shown, rigs, [one.record for one in flown[:SHOWN]]),) if flown else ()
    bench = (_bench(shown, rigs), _release(shown, rigs))
    scenes = (*bench, *hover) if last else (*hover, *bench)
    tracks = [track for scene in scenes for track in scene.tracks]
    return Motion(
        tuple(names[:SHOWN]),
        rigs,
        scenes,
        max(float(np.abs(track.force).max()) for track in tracks) or 1.0,
        max(float(max(track.meter.max(), np.quantile(track.current, 0.99))) for track in tracks) or 1.0,
        tuple(run.release_high.verdict.told for run in shown),
        said,
        tuple(one.swing for one in flown[:SHOWN]),
    )


def _bench(runs: Sequence[Run], rigs: Sequence[Rig]) -> Scene:
    last = min(float(run.servo.time[-1]) for run in runs)
    columns = [run.curves["run"].columns for run in runs]
    start = max(-0.1, float(columns[0]["time"][0]))
    time = _frames(
        start,
        last,
        [(one["time"], one[name]) for one in columns for name in ("pitch", "rod_force", "supply_current")],
    )
    tracks = []
    for run, one, rig in zip(runs, columns, rigs, strict=True):
        at = {
            name: np.interp(time, one["time"], one[name])
            for name in ("pitch", "servo_angle", "rod_force", "supply_current")
        }
        held = np.clip(np.searchsorted(one["time"], time, side="right") - 1, 0, None)
        current = at["supply_current"] - run.setup.plant.supply.idle
        tracks.append(
            _track(
                run.setup, rig, at["pitch"], at["servo_angle"], at["rod_force"], current, one["meter"][held]
            )
        )
    leg = next((leg for leg in runs[0].servo.legs if leg.go > 0.0), runs[0].servo.legs[0])
    still = int(np.searchsorted(time, leg.end - 0.05))
    return Scene(
        "bench", "The servo moves to each end and holds", time, tuple(tracks), min(still, len(time) - 1)
    )


def _release(runs: Sequence[Run], rigs: Sequence[Rig]) -> Scene:
    """The rod is let go: no servo, no force on the rod, no current."""
    released = [run.release_high for run in runs]
    courses = [
        (np.append(0.0, one.time + 1e-9), np.append(release_points(run.setup)[0], one.pitch))
        for run, one in zip(runs, released, strict=True)
    ]
    time = _frames(-0.3, min(float(one.time[-1]) for one in released), courses)
    none = np.zeros(len(time))
    tracks = [
        _track(run.setup, rig, np.interp(time, *course), None, none, none, none)
        for run, course, rig in zip(runs, courses, rigs, strict=True)
    ]
    return Scene("release", "The rod is released at rotor speed", time, tuple(tracks), len(time) - 1)


def _hover(runs: Sequence[Run], rigs: Sequence[Rig], flown: Sequence[Array]) -> Scene:
    """The end of each flight, when the kick that it starts with has died away."""
    last = min(float(record[-1, F_TIME]) for record in flown)
    start = max(last - IN_HOVER, float(max(record[0, F_TIME] for record in flown)))
    time = np.linspace(start, last, FRAMES)
    tracks = []
    for run, rig, record in zip(runs, rigs, flown, strict=True):
        own = record[:, F_TIME]
        drawn = record[:, F_SUPPLY] - run.setup.plant.supply.idle
        meter = moving_mean(own, drawn, float(run.scenario.meter.window))
        pitch, servo, force, current, shown, heading = (
            np.interp(time, own, values)
            for values in (
                record[:, F_PITCH], record[:, F_SERVO], record[:, F_ROD_FORCE], drawn, meter, record[:, F_HEADING]
            )
        )  # fmt: skip
        track = _track(run.setup, rig, pitch, servo, force, current, shown)
        tracks.append(track._replace(heading=heading - float(np.mean(heading))))
    still = int(np.argmax(np.abs(tracks[0].heading)))
    return Scene("hover", "In hover, under the gyro", time - start, tuple(tracks), still)


def _frames(start: float, end: float, curves: Sequence[tuple[Array, Array]]) -> Array:
    """Times, closer where any of the curves moves: half of them even in time, half even in what changes."""
    fine = np.linspace(start, end, 4000)
    length = np.linspace(0.0, 1.0, len(fine))
    for x, y in curves:
        values = np.interp(fine, x, y)
        moved = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(values)))])
        if moved[-1] > 0.0:
            length = length + moved / moved[-1] / len(curves)
    return np.interp(np.linspace(0.0, length[-1], FRAMES), length, fine)


def _track(
    setup: Setup,
    rig: Rig,
    pitch: Array,
    servo_angle: Array | None,
    force: Array,
    current: Array,
    meter: Array,
) -> Track:
    """servo_angle None: the rod is free and follows the blade."""
    geometry = setup.plant.linkage
    asked = np.array([pitch_rod_travel(float(one), geometry)[:3:2] for one in pitch])
    travel, slide = asked[:, 0], asked[:, 1]
    turned = pitch + geometry.horn_neutral
    horn = geometry.horn_arm * np.column_stack([np.cos(turned), np.sin(turned)])
    if rig.has_lever:
        sine = np.clip(geometry.lever_sine + slide / geometry.lever_out, -1.0, 1.0)
        cosine = np.sqrt(1.0 - sine**2)
        slider = np.array(rig.pivot) + geometry.lever_out * np.column_stack([-cosine, sine])
        pin = np.array(rig.pivot) - geometry.sign * geometry.lever_in * np.column_stack([sine, cosine])
    else:
        slider = np.column_stack([np.full(len(pitch), rig.pivot[0]), rig.pivot[1] + slide])
        pin = slider
    if servo_angle is None:
        rod = pin + np.array([ROD, 0.0] if rig.has_lever else [0.0, -ROD])
        rest = np.array(rig.servo) + geometry.servo_arm * (
            np.array([-geometry.arm_sine, geometry.arm_cosine])
            if rig.has_lever
            else np.array([-geometry.arm_cosine, geometry.arm_sine])
        )
        still = np.tile(rest, (len(pitch), 1))
        none = np.zeros(len(pitch))
        return Track(pitch, horn, slider, pin, rod, still, force, current, meter, none, none)
    angle = servo_angle + geometry.arm_neutral
    if rig.has_lever:
        arm = np.array(rig.servo) + geometry.servo_arm * np.column_stack([-np.sin(angle), np.cos(angle)])
    else:
        arm = np.array(rig.servo) + geometry.servo_arm * np.column_stack([-np.cos(angle), np.sin(angle)])
    pushed = np.array([servo_rod_travel(float(one), geometry)[0] for one in servo_angle])
    seat = _seat(setup, pushed - travel, force)
    return Track(pitch, horn, slider, pin, arm, arm, force, current, meter, seat, np.zeros(len(pitch)))


def _seat(setup: Setup, ahead: Array, force: Array) -> Array:
    """Where in its play the joint stands. ahead: m, rod travel of the servo less that of the blade, the give of the
    linkage under `force` in it.
    """
    half = 0.5 * float(setup.linkage.play)
    if half <= 0.0:
        return np.sign(force)
    inside = (ahead - force / setup.linkage.stiffness) / half
    return np.asarray(np.clip(inside, -1.0, 1.0))
