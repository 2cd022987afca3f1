"""The moving picture as inline SVG, one panel a build, with the numbers that a small script moves it by.

Without the script, and on paper, it is a still: the frame that stands for its scene.
"""

from __future__ import annotations

import html
import json
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from featherbench.plain_text import plain

if TYPE_CHECKING:
    from featherbench.studies.motion import Motion, Scene, Track
    from featherbench.studies.motion_rig import Rig

Array = NDArray[np.float64]
WIDE, TALL = 420.0, 262.0
ROOM = (276.0, 214.0)
"""Of the linkage, in units of the picture; dials and play stand to the right of it."""
CORNER = (10.0, 36.0)
DIAL = 32.0
GAUGE_AT, METER_AT, PLAY_AT = (348.0, 70.0), (348.0, 150.0), (348.0, 216.0)
LONGEST_ARROW = 80.0
TAIL_AT, TAIL, SWUNG = (130.0, 232.0), 90.0, 20.0
"""Where the tail is hinged, how long it is drawn, and how many times its heading is drawn larger than it is."""
STRIP, STRIP_WIDE, STRIP_HALF = (10.0, 292.0), 400.0, 16.0
"""Where the course of the heading begins, how long it is drawn, and how far its largest swing goes up and down."""
STRIP_ROOM = 60.0
LEAST_SWING = 0.1
"""deg from the middle; below it a course looks still."""
COLUMNS = ("turn", "horn", "slider", "pin", "rod", "arm", "force", "current", "meter", "seat", "heading")
MOVING = "Moving: the current pays for work and heat."
HOLDING = "Holding: it pays for heat alone, so the meter falls on arrival."
FLOATING = "Between the faces: the servo moves, the blade does not follow, and the tail swings on."
SEATED = "On a face: the blade follows the servo, and the gyro brings the tail back."
FLOATS, SEATS = "floats in its play, the tail swings on.", "on a face, the gyro brings the tail back."
"""The same in fewer words, for two builds at once."""
AFLOAT = " The linkage floats in its play: no face carries the blade."
LET_GO = {
    "return to centre": "Released: the blades' own pull takes them back toward centre.",
    "stay put": "Released: the weights cancel most of the pull, friction holds the rest.",
    "run to full pitch": "Released: too much weight takes them to full pitch.",
}


class Moving(NamedTuple):
    """panels: an <svg> element a build; data: JSON for the script; titles: of the scenes; last: their last frame; said:
    of how it was flown.
    """

    panels: tuple[str, ...]
    data: str
    titles: tuple[str, ...]
    last: int
    said: str


class Fit(NamedTuple):
    """From metres to the picture: x = left + scale x, y = top - scale y."""

    scale: float
    left: float
    top: float

    def points(self, places: Array) -> Array:
        """Places (n, 2) m as they are drawn."""
        return np.column_stack([self.left + self.scale * places[:, 0], self.top - self.scale * places[:, 1]])


def moving(motion: Motion, said: str, force_unit: tuple[float, str]) -> Moving:
    """The panels and their numbers. said: the result, for the alternative text; force_unit: N to what is shown."""
    fits = [fit_of(motion)] * len(motion.rigs)
    rows = [
        [numbers_of(track, fit) for track, fit in zip(scene.tracks, fits, strict=True)]
        for scene in motion.scenes
    ]
    data = {
        "scenes": [
            {
                "name": scene.name,
                "time": [round(1e3 * float(one)) for one in scene.time],
                "still": scene.still,
                "rows": [own.ravel().tolist() for own in tracks],
            }
            for scene, tracks in zip(motion.scenes, rows, strict=True)
        ],
        "force": [motion.force, *force_unit],
        "current": motion.current,
        "arrow": LONGEST_ARROW,
        "swung": SWUNG,
        "strip": [STRIP[0], STRIP_WIDE],
        "words": {
            "moving": MOVING,
            "holding": HOLDING,
            "afloat": AFLOAT,
            "floating": FLOATING,
            "seated": SEATED,
            "floats": FLOATS,
            "seats": SEATS,
            "released": [LET_GO.get(verdict, "") for verdict in motion.verdicts],
        },
    }
    panels = tuple(
        _panel(motion, number, fits[number], rows[0][number][motion.scenes[0].still], said, force_unit)
        for number in range(len(motion.rigs))
    )
    text = json.dumps(data, allow_nan=False, separators=(",", ":")).replace("<", "\\u003c")
    last = len(motion.scenes[0].time) - 1
    return Moving(panels, text, tuple(scene.title for scene in motion.scenes), last, motion.said)


def fit_of(motion: Motion) -> Fit:
    """One scale for all builds, so that they can be compared."""
    margin = 7e-3
    rights = [one.servo[0] + margin for one in motion.rigs]
    lefts = [float(one.outline[:, 0].min()) - 2e-3 for one in motion.rigs]
    tops = [_reach(one) for one in motion.rigs]
    bottoms = [one.servo[1] - margin for one in motion.rigs]
    scale = min(ROOM[0] / (max(rights) - min(lefts)), ROOM[1] / (max(tops) - min(bottoms)))
    return Fit(scale, CORNER[0] - scale * min(lefts), CORNER[1] + scale * max(tops))


def _reach(rig: Rig) -> float:
    """How far up anything comes."""
    balls = np.concatenate([rig.outline, rig.weights]) if len(rig.weights) else rig.outline
    return 0.75 * float(np.hypot(balls[:, 0], balls[:, 1]).max())


def numbers_of(track: Track, fit: Fit) -> NDArray[np.int64]:
    """A row a frame: pitch in tenths of a degree; x and y of the balls in tenths of a unit; force in 10 mN, currents in
    mA, seat in hundredths, heading in hundredths of a degree.
    """
    balls = [
        10.0 * fit.points(places) for places in (track.horn, track.slider, track.pin, track.rod, track.arm)
    ]
    turn = 10.0 * np.rad2deg(track.pitch)
    rest = (
        1e2 * track.force,
        1e3 * track.current,
        1e3 * track.meter,
        1e2 * track.seat,
        1e2 * np.rad2deg(track.heading),
    )
    return np.column_stack([turn, *balls, *rest]).round().astype(np.int64)


def _panel(
    motion: Motion, number: int, fit: Fit, row: NDArray[np.int64], said: str, force_unit: tuple[float, str]
) -> str:
    """One build, as it stands in the frame of a row."""
    rig = motion.rigs[number]
    name = motion.names[number]
    hx, hy, sx, sy, px, py, rx, ry, ax, ay = (0.1 * float(one) for one in row[1:11])
    force = 0.01 * float(row[11])
    tip = (px + rx) / 2.0, (py + ry) / 2.0
    (ox, oy), (cx, cy), (vx, vy) = (
        fit.points(np.array([place]))[0] for place in ((0.0, 0.0), rig.pivot, rig.servo)
    )
    factor, unit = force_unit
    hover = next((scene for scene in motion.scenes if scene.name == "hover"), None)
    swings = f" {_swing_words(motion.swings[number])}." if hover else ""
    label = plain(f"{name + ': ' if name else ''}linkage in motion. {said}{swings}", 400)
    tall = TALL + STRIP_ROOM * (hover is not None)
    crank = f"{sx:.1f},{sy:.1f} {cx:.1f},{cy:.1f} {px:.1f},{py:.1f}" if rig.has_lever else ""
    return "".join(
        [
            f'<svg viewBox="0 0 {WIDE:g} {tall:g}" role="img" aria-label="{html.escape(label, quote=True)}">',
            f'<text x="10" y="20" class="m-name">{html.escape(plain(name or "this build", 40))}</text>',
            f'<g class="m-blade" transform="rotate({-0.1 * float(row[0]):.1f} {ox:.1f} {oy:.1f})">',
            _section(rig, fit, (hx, hy), (ox, oy)),
            f'</g><circle class="m-axis" cx="{ox:.1f}" cy="{oy:.1f}" r="3"/>',
            f'<line class="m-link" x1="{hx:.1f}" y1="{hy:.1f}" x2="{sx:.1f}" y2="{sy:.1f}"/>',
            f'<polyline class="m-crank" points="{crank}"/>',
            f'<circle class="m-pivot" cx="{cx:.1f}" cy="{cy:.1f}" r="{3 if rig.has_lever else 0}"/>',
            f'<rect class="m-servo" x="{vx - 16:.1f}" y="{vy - 9:.1f}" width="32" height="22" rx="3"/>',
            f'<line class="m-arm" x1="{vx:.1f}" y1="{vy:.1f}" x2="{ax:.1f}" y2="{ay:.1f}"/>',
            f'<line class="m-rod" x1="{px:.1f}" y1="{py:.1f}" x2="{rx:.1f}" y2="{ry:.1f}"/>',
            f'<path class="m-force" d="{arrow(tip, force / motion.force * LONGEST_ARROW)}"/>',
            f'<text class="m-number" x="{tip[0]:.1f}" y="{tip[1] + 24:.1f}">{force_text(force * factor, unit)}</text>',
            _dial(GAUGE_AT, "force on the rod", "m-gauge", force / motion.force * 90.0),
            _dial(METER_AT, "ammeter", "m-meter", -90.0 + 0.18 * float(row[13]) * 1.0 / motion.current),
            _play(rig, fit, 0.01 * float(row[14])),
            _tail(0.01 * float(row[15]), seen=motion.scenes[0] is hover) + _strip(motion, hover, number)
            if hover
            else "",
            "</svg>",
        ]
    )


def _section(rig: Rig, fit: Fit, horn: tuple[float, float], axis: tuple[float, float]) -> str:
    """Blade, weights and horn as they stand at zero pitch."""
    blade = " ".join(f"{x:.1f},{y:.1f}" for x, y in fit.points(rig.outline))
    weights = "".join(
        f'<line class="m-stalk" x1="{axis[0]:.1f}" y1="{axis[1]:.1f}" x2="{x:.1f}" y2="{y:.1f}"/>'
        f'<circle class="m-weight" cx="{x:.1f}" cy="{y:.1f}" r="{max(3.0, 9.0 * np.sqrt(1e3 * mass)):.1f}"/>'
        for (x, y), mass in zip(fit.points(rig.weights), rig.weight_mass, strict=True)
    )
    length = float(np.hypot(horn[0] - axis[0], horn[1] - axis[1]))
    x, y = axis[0] + length * np.cos(rig.horn), axis[1] - length * np.sin(rig.horn)
    arm = f'<line class="m-horn" x1="{axis[0]:.1f}" y1="{axis[1]:.1f}" x2="{x:.1f}" y2="{y:.1f}"/>'
    return f'<polygon class="m-section" points="{blade}"/>{weights}{arm}'


def _dial(at: tuple[float, float], name: str, kind: str, turn: float) -> str:
    """Half a dial with its needle, upright at zero turn."""
    x, y = at
    return (
        f'<path class="m-dial" d="M{x - DIAL:g} {y:g}A{DIAL:g} {DIAL:g} 0 0 1 {x + DIAL:g} {y:g}z"/>'
        f'<line class="{kind}" x1="{x:g}" y1="{y:g}" x2="{x:g}" y2="{y - DIAL + 3:g}" '
        f'transform="rotate({min(90.0, max(-90.0, turn)):.1f} {x:g} {y:g})"/>'
        f'<text class="m-small {kind}-text" x="{x:g}" y="{y + 13:g}">{name}</text>'
    )


def _play(rig: Rig, fit: Fit, seat: float) -> str:
    """The play between its two faces, ten times the scale of the rest; the pin stands where the joint does."""
    from featherbench.studies.motion import MAGNIFIED

    x, y = PLAY_AT
    half = 0.5 * rig.play * fit.scale * MAGNIFIED
    pin = 7.0
    return (
        f'<path class="m-face" d="M{x - pin - half:.1f} {y - 12:g}v24M{x + pin + half:.1f} {y - 12:g}v24"/>'
        f'<circle class="m-pin" cx="{x:g}" cy="{y:g}" r="{pin:g}" transform="translate({half * seat:.1f} 0)" '
        f'data-half="{half:.2f}"/>'
        f'<text class="m-small m-seat" x="{x:g}" y="{y + 26:g}">{seat_words(seat)}</text>'
        f'<text class="m-small" x="{x:g}" y="{y + 39:g}">play, 10 x larger</text>'
    )


def _tail(heading: float, *, seen: bool) -> str:
    """The tail from above, its heading (deg) drawn larger than it is; seen in flight only."""
    x, y = TAIL_AT
    hidden = "" if seen else ' visibility="hidden"'
    return (
        f'<g class="m-flight"{hidden}><line class="m-tail" x1="{x:g}" y1="{y:g}" x2="{x - TAIL:g}" y2="{y:g}" '
        f'transform="rotate({SWUNG * heading:.1f} {x:g} {y:g})"/>'
        f'<circle class="m-pivot-tail" cx="{x:g}" cy="{y:g}" r="3"/>'
        f'<text class="m-small" x="{x - 0.5 * TAIL:g}" y="{y + 27:g}">tail from above, {SWUNG:g} x larger</text></g>'
    )


def _strip(motion: Motion, hover: Scene, number: int) -> str:
    """The course of the heading, every build to one scale, and a mark that runs along it."""
    headings = [np.rad2deg(track.heading) for track in hover.tracks]
    most = max(LEAST_SWING, *(float(np.abs(one).max()) for one in headings))
    (x, y), count = STRIP, len(hover.time)
    places = np.column_stack(
        [x + STRIP_WIDE * np.arange(count) / (count - 1), y - STRIP_HALF * headings[number] / most]
    )
    points = " ".join(f"{across:.1f},{up:.1f}" for across, up in places)
    return (
        f'<path class="m-dial" d="M{x:g} {y:g}h{STRIP_WIDE:g}"/><polyline class="m-course" points="{points}"/>'
        f'<g class="m-flight" visibility="hidden"><path class="m-now" d="M0 {y - STRIP_HALF - 3:g}'
        f'v{2 * STRIP_HALF + 6:g}"/></g>'
        f'<text class="m-strip" x="{x:g}" y="{y + STRIP_HALF + 12:g}">{_swing_words(motion.swings[number])}</text>'
    )


def _swing_words(swing: tuple[float, float]) -> str:
    """How far the tail moves within a second of its flight, such as "0.1 to 0.4 deg"."""
    low, high = (f"{one:.1f}" for one in np.rad2deg(swing))
    amount = "less than 0.05" if high == "0.0" else high if low == high else f"{low} to {high}"
    return f"In hover the tail swings {amount} deg within a second"


def seat_words(seat: float) -> str:
    """Where the joint stands in its play."""
    return "on the left face" if seat <= -0.995 else "on the right face" if seat >= 0.995 else "floats"


def force_text(force: float, unit: str) -> str:
    """Such as "8.7 N push"."""
    side = "" if abs(force) < 0.05 else " push" if force > 0.0 else " pull"
    return f"{abs(force):.1f} {unit}{side}"


def arrow(at: tuple[float, float], length: float) -> str:
    """Path of an arrow beside the rod: to the left it pushes, to the right it pulls; length: units, signed."""
    x, y = at[0], at[1] + 9.0
    if abs(length) < 1.0:
        return f"M{x:.1f} {y:.1f}"
    end, back = x - length, x - length + (6.0 if length > 0.0 else -6.0)
    return f"M{x:.1f} {y:.1f}H{end:.1f}M{back:.1f} {y - 4:.1f}L{end:.1f} {y:.1f}L{back:.1f} {y + 4:.1f}"
