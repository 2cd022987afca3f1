"""Pictures over pitch and of the release, drawn on axes handed in or on a figure of their own.

Cases are runs with short names, the first is the base. Arrays come in SI and are drawn in the chosen units.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from featherbench.bench.release import release_points
from featherbench.numerals import numeral
from featherbench.pictures import style
from featherbench.pictures.bands import beside_band, draw_band, has_band
from featherbench.pictures.drawing import (
    Label,
    draw,
    figure_of,
    head,
    name_lines,
    panel_or_new,
    panels,
    shown,
    unit_sign,
    zero_line,
)
from featherbench.views.cases import Case

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from featherbench.studies.run import Run

LIMIT_IN_VIEW = 2.5
"""The servo's force is drawn while it is less than this many times the largest force; else it is written."""
PITCH_AXIS = "pitch at the blade, deg"


def force_figure(cases: Sequence[Case], system: str, ax: Axes | None = None) -> Figure:
    """Force on the rod over pitch: gauge loop, static force with its friction band, what the servo has."""
    with style.applied():
        figure, ax = panel_or_new(2.9, ax)
        zero_line(ax)
        labels: list[Label] = []
        for number, case in enumerate(cases):
            stroke = style.case_stroke(number, len(cases))
            labels += _loop(ax, case, stroke, system, alone=len(cases) == 1)
        tallest = max(float(np.abs(line.get_ydata()).max()) for line in ax.lines)
        ax.set_ylim(-1.12 * tallest, 1.12 * tallest)
        labels += _servo_limits(ax, cases, system, tallest)
        pitch_axis(ax, cases)
        head(ax, "force on the rod", unit_sign("force", system), "push up, pull down")
        name_lines(ax, labels)
        return figure


def moments_figure(cases: Sequence[Case], system: str, axes: Sequence[Axes] | None = None) -> Figure:
    """What each part group adds to the force on the rod over pitch, and their sum, with the friction band; a panel a
    case.
    """
    with style.applied():
        if axes is None:
            figure, axes = panels([2.3 if len(cases) > 1 else 2.9] * len(cases))
        else:
            figure = figure_of(axes[0])
        tallest = max(float(np.abs(_moments(case.run, system)).max()) for case in cases)
        for ax, case in zip(axes, cases, strict=True):
            name = f"{case.name}: " if case.name else ""
            head(ax, f"{name}force on the rod by cause", unit_sign("force", system), "push up, pull down")
            ax.set_ylim(-1.1 * tallest, 1.1 * tallest)
            name_lines(ax, _shares(ax, case, system))
        pitch_axis(axes[-1], cases)
        return figure


def release_figure(cases: Sequence[Case], ax: Axes | None = None) -> Figure:
    """Pitch over time after the rod is released on either side."""
    with style.applied():
        figure, ax = panel_or_new(2.3, ax)
        zero_line(ax)
        labels: list[Label] = []
        ends: list[tuple[float, float, str]] = []
        busy = 0.0
        for number, case in enumerate(cases):
            stroke = style.case_stroke(number, len(cases))
            name = f"{case.name}:\n" if case.name else ""
            starts = release_points(case.run.setup)
            for side, start, release in zip(
                ("high side", "low side"), starts, (case.run.release_high, case.run.release_low), strict=True
            ):
                time = np.concatenate([[0.0], release.time])
                pitch = np.rad2deg(np.concatenate([[start], release.pitch]))
                draw(ax, time, pitch, stroke, label=f"{case.name} {side}".strip())
                moving = time[np.abs(pitch - pitch[-1]) > 0.2]
                busy = max(busy, float(moving[-1]) if len(moving) else 0.0)
                told = case.name if len(cases) > 2 else f"{name}{release.verdict.told}"  # no room for more
                labels.append(Label(float(pitch[-1]), told, stroke.role))
                ends.append((float(time[-1]), float(pitch[-1]), stroke.role))
        longest = max(float(case.run.release_high.time[-1]) for case in cases)
        ax.set_xlim(0.0, min(longest, max(3.0 * busy, 0.2)))
        for last, pitch_there, role in ends:  # a record that stops early is led on to its label
            draw(ax, [last, ax.get_xlim()[1]], [pitch_there] * 2, style.Stroke(role, 0.6, (1.0, 2.0)))
        low, high = ax.get_ylim()
        ax.set_ylim(min(low, -2.0), max(high, 2.0))
        ax.locator_params(axis="x", nbins=5)
        ax.set_xlabel("time after release, s")
        head(ax, "pitch at the blade", "deg")
        name_lines(ax, _merged(labels))
        return figure


def pitch_axis(ax: Axes, cases: Sequence[Case]) -> None:
    """The horizontal axis, wide enough for the pitch range of every build."""
    ranges = np.rad2deg([case.run.statics.pitch[[0, -1]] for case in cases])
    ax.set_xlim(float(ranges.min()), float(ranges.max()))
    ax.set_xlabel(PITCH_AXIS)


def _loop(ax: Axes, case: Case, stroke: style.Stroke, system: str, *, alone: bool) -> list[Label]:
    """Friction band, gauge loop, and for a single case the static force; the labels at the right edge."""
    statics, gauge = case.run.statics, case.run.gauge
    pitch = np.rad2deg(statics.pitch)
    force = shown(statics.rod_force, "force", system)
    upper, lower = (shown(edge, "force", system) for edge in statics.loop)
    up, down = (shown(side, "force", system) for side in (gauge.up, gauge.down))
    tint = style.colour(stroke.role)
    ax.fill_between(pitch, lower, upper, color=tint, alpha=0.16, linewidth=0.0)
    labels = draw_band(ax, case, "rod_force_lower", "force", system, stroke.role)
    labels += draw_band(ax, case, "rod_force_upper", "force", system, stroke.role, named=alone)
    thin = beside_band(stroke, case, "rod_force_upper")
    for side, name in ((up, "pitch rising"), (down, "pitch falling")):
        label = f"{case.name} {name.split()[1]}" if case.name else name
        draw(ax, np.rad2deg(gauge.pitch), side, thin, label=label)
    if not alone:
        return [*labels, Label(float(force[-1]), case.name, stroke.role)]
    draw(ax, pitch, force, style.Stroke("ink", 1.0, (4.0, 2.0)), label="static")
    return [
        *labels,
        Label(float(up[-1]), "pitch rising", stroke.role),
        Label(float(down[-1]), "pitch falling", stroke.role),
        Label(float(force[-1]), "static, without\nfriction", "ink"),
    ]


def _servo_limits(ax: Axes, cases: Sequence[Case], system: str, tallest: float) -> list[Label]:
    """What the servo can push and pull with, of several the weakest: lines in view, else one sentence."""
    statics = [case.run.statics for case in cases]
    places = np.unique(np.concatenate([static.pitch for static in statics]))
    forces = [
        np.interp(places, static.pitch, static.servo_force, left=np.inf, right=np.inf) for static in statics
    ]
    force = shown(np.min(forces, axis=0), "force", system)
    if float(force.min()) > LIMIT_IN_VIEW * tallest:
        least = f"{numeral(float(force.min()), 0)} {unit_sign('force', system)}"
        ax.text(
            0.02,
            0.97,
            f"the servo has {least} or more: off this scale",
            transform=ax.transAxes,
            fontsize=style.SMALL,
            color=style.colour("orange"),
            verticalalignment="top",
        )
        return []
    pitch = np.rad2deg(places)
    high = ax.get_ylim()[1]
    edge = max(high, 1.12 * min(float(force.max()), LIMIT_IN_VIEW * tallest))
    ax.set_ylim(-edge, edge)
    for sign in (1.0, -1.0):
        draw(ax, pitch, sign * force, style.LIMIT)
    last = min(float(force[-1]), edge)
    return [Label(last, "servo can push", "orange"), Label(-last, "servo can pull", "orange")]


def _moments(run: Run, system: str) -> np.ndarray:
    """All curves of the moments picture as forces on the rod, one a row."""
    statics = run.statics
    moments = [statics.moment, *statics.by_group.values(), statics.air, statics.friction]
    return shown(np.array(moments) * statics.per_moment, "force", system)


def _shares(ax: Axes, case: Case, system: str) -> list[Label]:
    """Draw the curves of one build; the labels at the right edge."""
    statics = case.run.statics
    pitch = np.rad2deg(statics.pitch)
    friction = np.abs(shown(statics.friction * statics.per_moment, "force", system))
    ax.fill_between(pitch, -friction, friction, color=style.colour("grey"), alpha=0.25, linewidth=0.0)
    zero_line(ax)
    shares = dict(statics.by_group)
    if np.any(statics.air != 0.0):
        shares["air"] = statics.air
    labels = [Label(0.0, "friction band", "faint")]
    for group, share in shares.items():
        stroke = style.GROUPS.get(group, style.GROUPS["other"])
        values = shown(share * statics.per_moment, "force", system)
        draw(ax, pitch, values, stroke, label=_plural(group))
        labels.append(Label(float(values[-1]), _plural(group), stroke.role))
    total = shown(statics.moment * statics.per_moment, "force", system)
    if case.spread is not None:
        by = np.interp(case.spread.pitch, statics.pitch, statics.per_moment)
        draw_band(ax, case, "moment", "force", system, style.SUM.role, by=by)
    draw(ax, pitch, total, beside_band(style.SUM, case, "moment"), label="sum")
    return [
        *labels,
        Label(
            float(total[-1]),
            "sum, with its\n95 % band" if has_band(case, "moment") else "sum",
            style.SUM.role,
        ),
    ]


def _plural(group: str) -> str:
    return {"counterweight": "counterweights", "other": "other parts"}.get(group, group)


def _merged(labels: Sequence[Label]) -> list[Label]:
    """Equal labels of lines that end together, written once."""
    kept: list[Label] = []
    for label in labels:
        if not any(other.text == label.text and abs(other.y - label.y) < 0.5 for other in kept):
            kept.append(label)
    return kept
