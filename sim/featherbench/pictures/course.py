"""The bench run over time: command and pitch, rod force, currents, and when they are read."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from featherbench.bench.instruments import moving_mean
from featherbench.bench.servo_run import HOLD_SHARE, Leg
from featherbench.pictures import style
from featherbench.pictures.drawing import (
    Label,
    Sample,
    draw,
    figure_of,
    head,
    key,
    name_lines,
    not_flatter,
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

COMMAND = style.Stroke("faint", 1.0, (3.0, 1.5))
WINDING = style.Stroke("green", 0.8)
SUPPLY = style.Stroke("ink", 1.9)
METER = style.Stroke("orange", 1.3, (4.0, 1.2))
PEAK, HOLD = "^", "s"
FIRST = 0.3
"""s after the command to the high end that are shown on their own, or longer where the move takes longer."""
LEAST_PITCH, LEAST_FORCE, LEAST_CURRENT = 1.0, 0.1, 0.01
"""Least height of a panel in its unit (deg; N or ozf; A): what stands still is drawn flat, not as noise."""


def course_figure(cases: Sequence[Case], system: str, axes: Sequence[Axes] | None = None) -> Figure:
    """Panels over time: pitch, rod force, and the currents of each case; shaded where a hold is read."""
    with style.applied():
        if axes is None:
            heights = [1.35, 1.35, *[1.7 if len(cases) == 1 else 1.45] * len(cases), 1.6]
            figure, (*axes, first_moments) = panels(heights, own=True)
            _first_moments(first_moments, cases)
        else:
            figure = figure_of(axes[0])
        _pitch_panel(axes[0], cases)
        _force_panel(axes[1], cases, system)
        _current_panels(axes[2:], cases)
        read = [[reading(leg) for leg in case.run.servo.legs] for case in cases]
        together = read[0] if all(own == read[0] for own in read) else []
        for ax, spans in zip(axes, (together, together, *read), strict=True):
            for span in spans:
                ax.axvspan(*span, color=style.colour("grey"), alpha=0.13, linewidth=0.0)
        first = min(float(case.run.servo.time[0]) for case in cases)
        last = max(float(case.run.servo.time[-1]) for case in cases)
        for ax, least in zip(axes, (LEAST_PITCH, LEAST_FORCE, *[LEAST_CURRENT] * len(cases)), strict=True):
            not_flatter(ax, least)
        axes[-1].set_xlim(max(first, -0.2), last)
        axes[-1].set_xlabel("time, s (shaded: where the hold current is read)")
        return figure


def _first_moments(ax: Axes, cases: Sequence[Case]) -> None:
    """The supply current just after the command to the high end, a line a build, and at its right edge what holding
    then draws.
    """
    legs = [next((leg for leg in case.run.servo.legs if leg.go > 0.0), None) for case in cases]
    span = max([FIRST, *(1.2 * leg.arrival for leg in legs if leg is not None and leg.reached)])
    zero_line(ax)
    labels = []
    for number, (case, leg) in enumerate(zip(cases, legs, strict=True)):
        if leg is None:
            continue
        run, stroke = case.run, style.case_stroke(number, len(cases))
        own = (run.servo.time >= leg.start - 0.1 * span) & (run.servo.time <= min(leg.start + span, leg.end))
        drawn = run.servo.supply_current[own] - run.setup.plant.supply.idle
        name = case.name or "supply"
        draw(ax, run.servo.time[own] - leg.start, drawn, stroke, label=name)
        time, peak = peak_place(run, leg)
        _mark(ax, time - leg.start, peak, PEAK, stroke.role)
        draw(ax, [0.8 * span, span], [leg.drawn] * 2, stroke._replace(width=2.6))
        said = f"{case.name} " if case.name else ""
        labels.append(Label(leg.drawn, f"{said}holds\n{leg.drawn:.2f} A", stroke.role))
    ax.set_xlim(-0.1 * span, span)
    not_flatter(ax, LEAST_CURRENT)
    ax.set_xlabel("time after the command, s")
    head(ax, "supply current going to the high end", "A", "above idle, peak marked")
    name_lines(ax, labels)


def _mark(ax: Axes, x: float, y: float, mark: str, role: str) -> None:
    """A mark that is read, on paper."""
    ax.plot(
        x,
        y,
        marker=mark,
        markersize=6.0,
        markerfacecolor=style.colour("paper"),
        markeredgecolor=style.colour(role),
        linestyle="none",
        zorder=5.0,
    )


def reading(leg: Leg) -> tuple[float, float]:
    """From when to when a hold is read, s."""
    return leg.end - HOLD_SHARE * (leg.end - leg.start), leg.end


def peak_place(run: Run, leg: Leg) -> tuple[float, float]:
    """Time (s) and height (A, idle off) of the peak that counts for a move."""
    idle = run.setup.plant.supply.idle
    servo = run.servo
    drawn = moving_mean(servo.time, servo.supply_current, run.scenario.bench.current_window) - idle
    last = leg.start + leg.arrival if leg.reached else leg.end
    inside = np.flatnonzero((servo.time > leg.start) & (servo.time <= last + 1e-9))
    nearest = inside[np.argmin(np.abs(drawn[inside] - leg.peak))]
    return float(servo.time[nearest]), leg.peak


def _pitch_panel(ax: Axes, cases: Sequence[Case]) -> None:
    servo = cases[0].run.servo
    zero_line(ax)
    draw(ax, servo.time, np.rad2deg(servo.command_pitch), COMMAND, label="command")
    samples = [Sample("command", COMMAND)]
    for number, case in enumerate(cases):
        stroke = style.case_stroke(number, len(cases))
        draw(ax, case.run.servo.time, np.rad2deg(case.run.servo.pitch), stroke, label=case.name or "pitch")
        samples.append(Sample(case.name or "pitch", stroke))
    head(ax, "pitch at the blade", "deg")
    key(ax, samples)


def _force_panel(ax: Axes, cases: Sequence[Case], system: str) -> None:
    zero_line(ax)
    samples = []
    for number, case in enumerate(cases):
        stroke = style.case_stroke(number, len(cases))
        force = shown(case.run.servo.rod_force, "force", system)
        draw(ax, case.run.servo.time, force, stroke, label=case.name or "rod force")
        samples.append(Sample(case.name or "rod force", stroke))
    head(ax, "force on the rod", unit_sign("force", system), "push up, pull down")
    key(ax, samples)


def _current_panels(axes: Sequence[Axes], cases: Sequence[Case]) -> None:
    """Winding, supply and meter of each case, all to one scale."""
    low, high = 0.0, 0.0
    for ax, case in zip(axes, cases, strict=True):
        _currents(ax, case)
        low, high = min(low, ax.get_ylim()[0]), max(high, ax.get_ylim()[1])
    for ax in axes:
        ax.set_ylim(low, high)


def _currents(ax: Axes, case: Case) -> None:
    servo, idle = case.run.servo, case.run.setup.plant.supply.idle
    zero_line(ax)
    draw(ax, servo.time, servo.motor_current, WINDING, label="winding")
    draw(ax, servo.time, servo.supply_current - idle, SUPPLY, label="supply")
    if len(servo.meter.time):
        times = np.append(servo.meter.time, servo.time[-1])
        values = np.append(servo.meter.value, servo.meter.value[-1])
        draw(ax, times, values, METER, drawstyle="steps-post", label="meter")
    for leg in servo.legs:
        middle = 0.5 * sum(reading(leg))
        for mark, (x, y) in ((PEAK, peak_place(case.run, leg)), (HOLD, (middle, leg.drawn))):
            _mark(ax, x, y, mark, "ink")
    name = f"{case.name}: " if case.name else ""
    head(ax, f"{name}current", "A", "supply, above idle")
    marks = style.Stroke("ink", 1.0)
    key(
        ax,
        [
            Sample("winding", WINDING),
            Sample("supply", SUPPLY),
            Sample("meter", METER),
            Sample("peak", marks, PEAK),
            Sample("hold", marks, HOLD),
        ],
    )
