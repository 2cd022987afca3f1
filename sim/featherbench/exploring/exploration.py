"""From where the sliders stand to a build, and to what its bench run comes to: quickly, or exactly."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from featherbench import quantities
from featherbench.assembly import build_assembly
from featherbench.bench.setup import build_setup
from featherbench.exploring.dimensions import volume
from featherbench.exploring.sliders import ADDED, Slider, offered
from featherbench.exploring.snapshot import Snapshot, exact_snapshot, quick_snapshot
from featherbench.exploring.whole_range import RangeWork
from featherbench.rotor.build import Air, build_air
from featherbench.rotor.doubted_air import AirFamily
from featherbench.sampling.inputs import Input, varied
from featherbench.scenario import Problem, Scenario, ScenarioError, located
from featherbench.scenario.problems import dotted
from featherbench.scenario.rules import broken_rules
from featherbench.scenario.schema import ScenarioTables
from featherbench.studies.key_paths import looked_up
from featherbench.studies.prediction import bench_run

TABLE = np.deg2rad(1.0)
"""Spacing of the load table over pitch while a slider moves, rad."""
MOST_AIRS = 64
"""Rotor speeds whose air is kept."""
MOST_FAMILIES = 8
"""Rotor speeds whose air within its doubts is kept."""
DECIMALS = {"metric": {"length": 3}, "trade": {"length": 4}}
OTHER_DECIMALS = {"angle": 2, "rotation": 1, "mass": 4}
"""Of what is typed into a variant: finer than anybody makes or measures, and no finer."""

State = Mapping[str, float]
"""Where sliders stand, SI, by key; those left out stand as in the file."""


class Typed(NamedTuple):
    """A changed quantity: as it stands in a file, and the SI value that this text reads as."""

    text: str
    value: float
    kind: str


class Exploration:
    """A build and its sliders. Air loads are kept by rotor speed, which alone changes them here.

    scenario: as it was read; sliders: what can be moved; added: names of weights that are fitted once they have a
    length. Raises ScenarioError when the build cannot be.
    """

    def __init__(self, scenario: Scenario, system: str = "metric") -> None:
        """Find the sliders of a build; system: "metric" or "trade", in whose steps they move."""
        self.scenario = scenario
        self.system = system
        try:
            assembly = build_assembly(scenario)
        except ScenarioError as error:
            raise located(error, scenario) from None
        self._varied, self.sliders = offered(scenario, assembly, system)
        adds = any(slider.key == "added.length" for slider in self.sliders)
        self.added = ADDED if adds else ()
        self._airs: dict[float, Air] = {}
        self._families: dict[float, Air | AirFamily] = {}

    def slider(self, key: str) -> Slider:
        """The slider of that key; raises KeyError."""
        return {slider.key: slider for slider in self.sliders}[key]

    def moved(self, state: State) -> dict[str, float]:
        """Only what does not stand as in the file; a dimension of weights that are not fitted does not count."""
        known = {slider.key: slider for slider in self.sliders}
        own = {key: value for key, value in state.items() if value != known[key].start}
        if self.added and not own.get("added.length"):
            own = {key: value for key, value in own.items() if not key.startswith(("added.", "phase"))}
        return own

    def fits_added(self, state: State) -> bool:
        """Whether the weights to add have a length."""
        return bool(self.added) and self.moved(state).get("added.length", 0.0) > 0.0

    def changes(self, state: State) -> dict[str, Typed]:
        """Key path of each changed quantity of the scenario, as it would be typed."""
        values: dict[str, float] = {}
        fitted = self.fits_added(state)
        moved = self.moved(state)
        for slider in self.sliders:
            place = state.get(slider.key, slider.start) if fitted else moved.get(slider.key, slider.zero)
            if place == slider.zero:
                continue
            for key, factor in slider.effects:
                base = values.get(key, looked_up(self._varied, key)[0])
                values[key] = base + factor * (place - slider.zero)
        kinds = {key: self._kind(key) for key in values}
        typed = {key: self._typed(value, kinds[key]) for key, value in values.items()}
        return typed | self._masses(typed)

    def build(self, state: State) -> Scenario:
        """The scenario with the sliders there; raises ScenarioError when a rule forbids it."""
        changes = self.changes(state)
        base = self._varied if self.fits_added(state) else self.scenario
        scenario = _changed(base, changes)
        _check(scenario)
        return scenario

    def quick(self, state: State) -> Snapshot:
        """Near enough to follow a hand: see `quick_snapshot`. Raises ScenarioError."""
        scenario = self.build(state)
        return quick_snapshot(build_setup(scenario, self._air(scenario), spacing=TABLE))

    def exact(self, state: State) -> Snapshot:
        """What `predict` finds for the same build. Raises ScenarioError."""
        scenario = self.build(state)
        return exact_snapshot(bench_run(build_setup(scenario, self._air(scenario)), groups=False))

    def range_of(self, snapshot: Snapshot) -> RangeWork:
        """The work that says how sure an exact snapshot is, to be done in steps. Raises ScenarioError."""
        if len(self._families) >= MOST_FAMILIES:
            self._families.clear()
        return RangeWork(snapshot, self._families)

    def _kind(self, key: str) -> str:
        field = looked_up(self._varied, key)[1]
        return field.kind if field else "ratio"

    def _typed(self, value: float, kind: str) -> Typed:
        number, unit = quantities.shown(value, kind, self.system)
        places = DECIMALS[self.system].get(kind, OTHER_DECIMALS.get(kind, 4))
        shown = f"{number:.{places}f}"
        shown = shown.rstrip("0").rstrip(".") if "." in shown else shown
        text = f"{'0' if shown == '-0' else shown} {unit}".rstrip()
        return Typed(text, quantities.parse(text, kind).value, kind)

    def _masses(self, changes: Mapping[str, Typed]) -> dict[str, Typed]:
        """New masses of weighed parts whose size has changed: of the same metal."""
        scenario = _changed(self._varied, changes)
        found: dict[str, Typed] = {}
        for name, part in scenario.part.items():
            before, after = volume(self._varied.part[name]), volume(part)
            if part.mass is None or not before or not after or before == after:
                continue
            found[f"part.{name}.mass"] = self._typed(part.mass * after / before, "mass")
        return found

    def _air(self, scenario: Scenario) -> Air:
        speed = float(scenario.rotor.speed)
        if speed not in self._airs:
            if len(self._airs) >= MOST_AIRS:
                self._airs.pop(next(iter(self._airs)))
            self._airs[speed] = build_air(scenario)
        return self._airs[speed]


def _changed(scenario: Scenario, changes: Mapping[str, Typed]) -> Scenario:
    inputs = tuple(Input(key, typed.value, typed.value, typed.kind) for key, typed in changes.items())
    return varied(scenario, inputs, tuple(typed.value for typed in changes.values()))


def _check(scenario: Scenario) -> None:
    """What reading the same build from a file would refuse."""
    tables: dict[str, Any] = {name: getattr(scenario, name) for name in ScenarioTables.model_fields}
    tables["part"] = {**scenario.part, **scenario.replaced}
    problems = [
        Problem(
            key=dotted(broken.path), given=broken.given or "what the slider says", expected=broken.expected
        )
        for broken in broken_rules(tables, {})
    ]
    if problems:
        raise located(ScenarioError(problems), scenario)
