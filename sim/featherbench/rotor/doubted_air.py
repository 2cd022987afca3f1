"""The air loads of builds that lie somewhere within the doubts of the air laws, without solving each rotor anew.

A few tables are solved once: with the stall earlier and later, with more profile drag, and with the feathering axis
further aft. Between the stalls a cubic spline through the tables is read; drag is taken as a straight line (it hardly
changes the inflow), and the axis is one exactly, since the moment of a force is linear in its lever; so is the centre
of pressure of separated flow, whose share of the moment each table holds.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from featherbench.rotor.air_table import recentred
from featherbench.rotor.blade_stations import departed
from featherbench.rotor.build import Air, build_air
from featherbench.scenario import Scenario
from featherbench.scenario.doubt import Departure

if TYPE_CHECKING:
    from scipy.interpolate import CubicSpline

Array = NDArray[np.float64]

NODES = 7
"""Stalls between which the tables are read; with a user's own polar the stall is not moved and there is one."""
DRAG_STEP, AXIS_STEP = 0.3, 0.02


@dataclass(frozen=True)
class AirFamily:
    """base: the air of the build as written; middle, axis_at: its departure and axis. shifts (k,): of the stall, rad,
    the base's among them; stalls (k, n, m, 8): sums of `AirTable` at each. by_drag, by_axis (n, m, 8): what of them
    goes with a share of profile drag, and with the axis's distance behind the leading edge, chords.
    """

    base: Air
    shifts: Array
    stalls: Array
    by_drag: Array
    by_axis: Array
    axis_at: float
    middle: Departure

    @cached_property
    def _between_stalls(self) -> CubicSpline:
        """The sums (n, m, 8) over how far the stall is moved, rad: laid once, read by each build."""
        from scipy.interpolate import CubicSpline

        return CubicSpline(self.shifts, self.stalls)

    def at(self, scenario: Scenario) -> Air:
        """The air of a build that differs from the base by its departure and its feathering axis only."""
        own, behind = scenario.departure, scenario.blade.axis_at - self.axis_at
        alone = len(self.shifts) == 1
        sums = self.stalls[0] if alone else self._between_stalls(own.air_stall)
        sums = sums + (own.profile_drag - self.middle.profile_drag) * self.by_drag + behind * self.by_axis
        sums = recentred(sums, own.separated_centre - self.middle.separated_centre)
        away = own._replace(
            air_stall=own.air_stall - self.middle.air_stall,
            profile_drag=(1.0 + own.profile_drag) / (1.0 + self.middle.profile_drag) - 1.0,
        )
        rotor = departed(self.base.rotor, away)
        stations = rotor.stations
        moved = replace(stations, quarter_chord=stations.quarter_chord + behind * stations.chord)
        rotor = replace(rotor, stations=moved)
        return replace(
            self.base,
            rotor=rotor,
            table=replace(self.base.table, sums=sums, rotor=rotor, aft=own.separated_centre),
        )


def air_family(scenario: Scenario, stall_reach: float) -> AirFamily:
    """The family about a scenario as written; stall_reach: furthest that the stall is moved either way, rad.

    Raises what `build_air` raises.
    """

    def solved(**moved: float) -> Array:
        away = scenario.departure._replace(**moved)
        return build_air(scenario.model_copy(update={"departure": away})).table.sums

    base = build_air(scenario)
    moves = stall_reach > 0.0 and scenario.blade.polar is None
    middle = scenario.departure
    shifts = middle.air_stall + (stall_reach * np.linspace(-1.0, 1.0, NODES) if moves else np.zeros(1))
    sums = base.table.sums
    aft = scenario.blade.model_copy(update={"axis_at": scenario.blade.axis_at + AXIS_STEP})
    moved = build_air(scenario.model_copy(update={"blade": aft})).table.sums
    return AirFamily(
        base=base,
        shifts=shifts,
        stalls=np.array(
            [sums if shift == middle.air_stall else solved(air_stall=float(shift)) for shift in shifts]
        ),
        by_drag=(solved(profile_drag=middle.profile_drag + DRAG_STEP) - sums) / DRAG_STEP,
        by_axis=(moved - sums) / AXIS_STEP,
        axis_at=float(scenario.blade.axis_at),
        middle=middle,
    )
