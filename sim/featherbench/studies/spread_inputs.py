"""What a spread varies: every quantity typed with +/-, what instruments state, and what the model itself does not know.

A tolerance is taken as a bound: all values within it are equally likely and none lies beyond it (JCGM 100:2008, 4.3.7:
a rectangular distribution, standard uncertainty half-width / sqrt 3). An instrument's expanded uncertainty (95 %,
coverage factor 2) is taken as the rectangular distribution of the same standard uncertainty. The model's doubts: see
`doubts`.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from typing import Any, NamedTuple, get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from featherbench.rotor.bearing import bearing_friction
from featherbench.scenario import Problem, Scenario, ScenarioError, located
from featherbench.scenario.fields import Quantity
from featherbench.studies.doubts import BEARING as DOUBTED_BEARING
from featherbench.studies.doubts import PREFIX, doubted, log_normal, with_doubt

INSTRUMENTS = {
    "gauge.uncertainty": ("gauge_push", "gauge_pull"),
    "meter.uncertainty": ("meter_peak", "meter_hold"),
}
"""Findings that an instrument's own uncertainty is added to, by the key that states it."""
BEARING = "bearing.coefficient"
BEARING_DOUBT = 3.0
"""A handbook coefficient may be this many times as large in an oscillating, loaded pitch bearing (judgement)."""


class Input(NamedTuple):
    """One thing that varies between low and high, SI; kind: of quantity, "ratio" when not known.

    Evenly; the bearing's doubt by its logarithm, beyond these bounds in 5 of 100 samples.
    """

    key: str
    low: float
    high: float
    kind: str

    @property
    def half_width(self) -> float:
        """Half of high - low."""
        return 0.5 * (self.high - self.low)

    @property
    def of_model(self) -> bool:
        """Whether it is a doubt of the model's own, not what was measured."""
        return self.key.startswith(PREFIX)

    @property
    def log_normal(self) -> bool:
        """Whether its logarithm is normally distributed, not itself evenly."""
        return self.key == DOUBTED_BEARING

    def value(self, place: float) -> float:
        """Its value, SI, at an even place in [-1, 1]."""
        if self.log_normal:
            return log_normal(self.high, place)
        return 0.5 * (self.low + self.high) + self.half_width * place


def spread_inputs(scenario: Scenario, *, bearing_doubt: bool = False) -> tuple[Input, ...]:
    """Everything that varies, by key, as `varied_inputs` has it; raises ScenarioError also when nothing varies."""
    found = varied_inputs(scenario, bearing_doubt=bearing_doubt)
    if not any_tolerance(found):
        expected = 'tolerances, for example part.blade.mass = "6.4 +/- 0.05 g", a doubt, or --bearing'
        problem = Problem(
            key="spread", given="no quantity with +/-, and every doubt taken out", expected=expected
        )
        raise located(ScenarioError([problem]), scenario)
    return found


def any_tolerance(inputs: Sequence[Input]) -> bool:
    """Whether anything of the build itself varies, not the instruments alone."""
    return any(own.key not in INSTRUMENTS for own in inputs)


def varied_inputs(scenario: Scenario, *, bearing_doubt: bool = False) -> tuple[Input, ...]:
    """Everything that varies, by key: tolerances, instruments, then what the model itself does not know.

    bearing_doubt: the bearing coefficient is one to three times what it is, in place of its doubt. Raises ScenarioError
    when a tolerance reaches where no value can be.
    """
    found: list[Input] = []
    problems: list[Problem] = []
    for key, half in scenario.source.tolerances.items():
        if _is_of_a_part_taken_off(scenario, key):
            continue
        nominal, field = looked_up(scenario, key)
        own = Input(key, nominal - half, nominal + half, field.kind if field else "ratio")
        if field and _outside(own.low, field):
            problems.append(
                Problem(key=key, given="a tolerance as large as the value", expected="a smaller one")
            )
        found.append(own)
    for key in INSTRUMENTS:
        table, name = key.split(".")
        stated = getattr(getattr(scenario, table), name)
        if stated:
            half = float(stated) / 2.0 * sqrt(3.0)
            found.append(Input(key, -half, half, "force" if table == "gauge" else "current"))
    found += [Input(*one) for one in doubted(scenario) if not (bearing_doubt and one.key == DOUBTED_BEARING)]
    if bearing_doubt:
        usual = bearing_friction(scenario.bearing, 0.0).coefficient
        found = [own for own in found if own.key != BEARING]
        found.append(Input(BEARING, usual, BEARING_DOUBT * usual, "ratio"))
    if problems:
        raise located(ScenarioError(problems), scenario)
    return tuple(found)


def varied(scenario: Scenario, inputs: tuple[Input, ...], values: tuple[float, ...]) -> Scenario:
    """The scenario with each input at its value, SI; instruments' inputs leave it as it is."""
    for own, value in zip(inputs, values, strict=True):
        if own.of_model:
            scenario = with_doubt(scenario, own.key, value)
        elif own.key not in INSTRUMENTS:
            scenario = _with(scenario, own.key.split("."), value)
    return scenario


def _is_of_a_part_taken_off(scenario: Scenario, key: str) -> bool:
    """Whether a key is of a part that is not there any more, as where a study puts another bolt in its place."""
    return key.startswith("part.") and not any(key.startswith(f"part.{name}.") for name in scenario.part)


def _outside(low: float, field: Quantity) -> bool:
    return (field.above is not None and low <= field.above) or (
        field.at_least is not None and low < field.at_least
    )


def looked_up(scenario: Scenario, key: str) -> tuple[float, Quantity | None]:
    """Value at a key path, and what its field says of it."""
    node: Any = scenario
    field: Quantity | None = None
    steps = key.split(".")
    while steps:
        if isinstance(node, BaseModel):
            name = _field_name(node, steps[0])
            field = _quantity(type(node).model_fields[name])
            node, steps = getattr(node, name), steps[1:]
        elif isinstance(node, dict):
            own = _longest(node, steps)
            node, steps = node[own], steps[own.count(".") + 1 :]
        else:
            node, steps = node[int(steps[0])], steps[1:]
    if isinstance(node, list):  # one value along the radius
        node = node[0][1]
        field = Quantity("length", above=0.0)
    return float(node), field


def _quantity(field: FieldInfo) -> Quantity | None:
    """The mark of a quantity on a field, which may be optional."""
    choices = get_args(field.annotation)
    marks = [*field.metadata, *(mark for choice in choices for mark in getattr(choice, "__metadata__", ()))]
    return next((mark for mark in marks if isinstance(mark, Quantity)), None)


def _with(node: Any, steps: list[str], value: float) -> Any:
    """A copy of the tables with the value at that place."""
    if not steps:
        return [(node[0][0], value)] if isinstance(node, list) else value
    if isinstance(node, BaseModel):
        name = _field_name(node, steps[0])
        return node.model_copy(update={name: _with(getattr(node, name), steps[1:], value)})
    if isinstance(node, dict):
        own = _longest(node, steps)
        return {**node, own: _with(node[own], steps[own.count(".") + 1 :], value)}
    place = int(steps[0])
    items = [_with(item, steps[1:], value) if index == place else item for index, item in enumerate(node)]
    return type(node)(items)


def _field_name(node: BaseModel, step: str) -> str:
    """The attribute a key is kept under: "from" is kept as from_."""
    fields = type(node).model_fields
    return step if step in fields else next(name for name, field in fields.items() if field.alias == step)


def _longest(node: dict[str, Any], steps: list[str]) -> str:
    """The key of a table that the next steps spell; part names may contain points."""
    return next(name for count in range(len(steps), 0, -1) if (name := ".".join(steps[:count])) in node)
