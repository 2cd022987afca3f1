"""Numbers of a scenario by key path: what stands there, and a copy that says otherwise."""

from __future__ import annotations

from typing import Any, get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from featherbench.scenario import Scenario
from featherbench.scenario.fields import Quantity


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


def with_value(scenario: Scenario, key: str, value: float) -> Scenario:
    """A copy of the scenario with a number at a key path."""
    changed: Scenario = _with(scenario, key.split("."), value)
    return changed


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
