"""What was understood of a scenario, table by table, in the units a person prefers."""

from __future__ import annotations

import types
from collections.abc import Iterable, Iterator
from typing import Annotated, Any, NamedTuple, Union, get_args, get_origin

from pydantic import BaseModel

from featherbench import quantities
from featherbench.scenario.checked import Scenario
from featherbench.scenario.fields import Quantity
from featherbench.scenario.problems import printable


class Line(NamedTuple):
    """One key: its path, its value in words, and a note ("by default", a tolerance)."""

    key: str
    value: str
    note: str


class Section(NamedTuple):
    """One table of the scenario: a heading and its lines."""

    heading: str
    lines: tuple[Line, ...]

    def __str__(self) -> str:
        """The section as plain text, keys and values in columns."""
        width = max((len(line.key) for line in self.lines), default=0)
        rows = (
            f"  {line.key:{width}}  {line.value}{f'  ({line.note})' if line.note else ''}"
            for line in self.lines
        )
        return "\n".join([self.heading, *rows])


def explain(scenario: Scenario, system: str = "metric") -> tuple[Section, ...]:
    """Everything that was understood of a scenario, as sections in the order of the file.

    system: "metric" or "trade". Keys that were left out and have no default are not listed.
    """
    source = scenario.source
    head = [Line("title", printable(scenario.title), "")]
    if scenario.notes:
        head.append(Line("notes", " ".join(printable(scenario.notes.replace("\n", " ")).split()), ""))
    head.append(
        Line("files", ", ".join(printable(file) for file in source.files), "its own first, then its bases")
    )
    sections = [Section("Scenario", tuple(head))]
    for name, field in type(scenario).model_fields.items():
        table = getattr(scenario, name)
        if name == "part":
            for part, keys in scenario.part.items():
                sections.append(_section(f"part.{part}", keys, scenario, system))
        elif isinstance(table, BaseModel) and field.annotation is not None:
            sections.append(_section(name, table, scenario, system))
    return tuple(section for section in sections if section.lines)


def _section(path: str, table: BaseModel, scenario: Scenario, system: str) -> Section:
    return Section(f"[{printable(path)}]", tuple(_lines(path, table, scenario, system, "")))


def _lines(path: str, table: BaseModel, scenario: Scenario, system: str, inside: str) -> Iterator[Line]:
    """Lines of a table; tables inside it are listed with a dotted key."""
    for name, field in type(table).model_fields.items():
        value = getattr(table, name)
        key = field.alias or name
        if value is None or (isinstance(value, list | tuple) and not value):
            continue
        if inside == "at." and name not in table.model_fields_set:
            continue
        if isinstance(value, BaseModel):
            yield from _lines(f"{path}.{key}", value, scenario, system, f"{inside}{key}.")
            continue
        annotation = _whole(field)
        yield Line(
            inside + key,
            _said(annotation, value, system),
            _note(f"{path}.{key}", annotation, name in table.model_fields_set, scenario, system),
        )


def _note(key: str, annotation: Any, stated: bool, scenario: Scenario, system: str) -> str:
    if not stated:
        return "by default"
    half = scenario.source.tolerances.get(key)
    kind = _kind(annotation)
    if half is None or kind is None:
        return ""
    factor = quantities.shown(1.0, kind, system)[0] - quantities.shown(0.0, kind, system)[0]
    return f"+/- {quantities.plain_number(half * factor, 3)} {quantities.unit_shown(kind, system)}"


def _kind(annotation: Any) -> str | None:
    """The kind of quantity an annotation stands for, None for anything else."""
    if get_origin(annotation) is Annotated:
        inner, *marks = get_args(annotation)
        return next((mark.kind for mark in marks if isinstance(mark, Quantity)), None) or _kind(inner)
    if get_origin(annotation) in (Union, types.UnionType):
        return next((kind for choice in get_args(annotation) if (kind := _kind(choice))), None)
    return None


def _said(annotation: Any, value: object, system: str) -> str:
    """A value in words, quantities in the units of `system`."""
    kind = _kind(annotation)
    if kind is not None and isinstance(value, float):
        return quantities.text(value, kind, system)
    if isinstance(value, BaseModel):
        fields = type(value).model_fields
        stated = [name for name in fields if name in value.model_fields_set or getattr(value, name)]
        return ", ".join(
            f"{fields[name].alias or name} {_said(_whole(fields[name]), getattr(value, name), system)}"
            for name in stated
            if getattr(value, name) is not None
        )
    if isinstance(value, list | tuple):
        return "; ".join(_items(annotation, value, system))
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return quantities.plain_number(value, 6)
    return printable(str(value))


def _whole(field: Any) -> Any:
    """A field's annotation with its mark put back."""
    mark = next((item for item in field.metadata if isinstance(item, Quantity)), None)
    return Annotated[field.annotation, mark] if mark else field.annotation


def _items(annotation: Any, values: Iterable[object], system: str) -> Iterator[str]:
    """The elements of a list or of a row in words."""
    while get_origin(annotation) is Annotated:
        annotation = get_args(annotation)[0]
    if get_origin(annotation) in (Union, types.UnionType):
        annotation = next(choice for choice in get_args(annotation) if choice is not type(None))
        yield from _items(annotation, values, system)
        return
    if isinstance(values, list) and len(values) == 1 and isinstance(values[0], tuple) and values[0][0] == 0.0:
        values = [values[0][1]]  # one value along the whole blade
        annotation = tuple[get_args(get_args(annotation)[0])[1]]  # type: ignore[misc]
    kinds = [kind for kind in get_args(annotation) if kind is not Ellipsis]
    for index, value in enumerate(values):
        said = _said(kinds[min(index, len(kinds) - 1)], value, system)
        yield said.replace("; ", ": ") if isinstance(value, tuple) else said
