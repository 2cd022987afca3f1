"""What a change is judged by, and what it costs, read off a bench run."""

from __future__ import annotations

import numpy as np

from featherbench.guide.findings import Meaning
from featherbench.studies.run import Run

Values = dict[str, float | None]

MEASURES = {
    "force": Meaning("force", "largest force on the rod"),
    "hold": Meaning("current", "supply current, holding an end, at most"),
    "hover": Meaning("current", "supply current, holding the hover pitch"),
    "play": Meaning("ratio", "load over friction in hover (below 1 play shows)"),
    "strength": Meaning("ratio", "least of what is allowed over what is demanded"),
}
"""Less is better of force and currents, more of play and strength."""
MORE_IS_BETTER = ("play", "strength")
COSTS = {
    "range": Meaning("angle", "pitch range, end to end"),
    "swing": Meaning("angle", "servo swing to its further end"),
    "thrust": Meaning("force", "thrust at the end that hover lies toward"),
    "load": Meaning("force", "centrifugal load of one blade"),
    "arrival": Meaning("time", "time to reach the slower end"),
}
"""What is paid with: less of range and thrust, more of swing, load and time."""
LESS_COSTS = ("range", "thrust")


def measured(run: Run) -> Values:
    """All measures and costs but strength, SI; None where the run could not give one.

    A hold counts with the most that friction lets stand, where the servo holds: what it happens to draw depends on how
    the stick got there.
    """
    low, high = run.scenario.rotor.pitch_range
    arrivals = [run.findings[f"arrival_{side}"].value for side in ("high", "low")]
    reached = [value for value in arrivals if isinstance(value, float)]
    return {
        "force": max(run.value("rod_force_push"), run.value("rod_force_pull")),
        "hold": _hold(run),
        "hover": _number(run, "current_hold_hover"),
        "play": _number(run, "seat_ratio_hover"),
        "range": float(high - low),
        "swing": float(np.abs(run.statics.servo_angle).max()),
        "thrust": _thrust(run),
        "load": run.value("centrifugal_load"),
        "arrival": max(reached) if len(reached) == len(arrivals) else None,
    }


def _number(run: Run, name: str) -> float | None:
    found = run.findings.get(name)
    return found.value if found is not None and isinstance(found.value, float) else None


def _hold(run: Run) -> float | None:
    """Of the end that draws more; None where neither end is held."""
    ends = []
    for side in ("high", "low"):
        most = _number(run, f"hold_most_{side}")
        ends.append(_number(run, f"current_hold_{side}") if most is None else most)
    known = [value for value in ends if value is not None]
    return max(known) if known else None


def _thrust(run: Run) -> float:
    """Magnitude at the end that the hover pitch lies toward; of a build without hover at the stronger end."""
    ends = {side: abs(run.value(f"thrust_{side}")) for side in ("low", "high")}
    hover = _number(run, "hover_pitch")
    if hover is None:
        return max(ends.values())
    return ends["high" if hover >= 0.0 else "low"]
