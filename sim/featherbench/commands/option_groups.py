"""Groups of options: a command names those it takes as parameters, and typer is shown the options one by one.

A group is a frozen dataclass whose fields are annotated as typer wants options. A command takes one as a parameter,

    def tell(*, build: ScenarioOptions, outputs: Annotated[OutputOptions, words(csv="Write it all, in SI.")]) -> None:

and is handed an instance of it, with methods for what all commands do with these options alike.
"""

from __future__ import annotations

from collections.abc import Callable
from copy import copy
from dataclasses import MISSING, Field, fields, is_dataclass
from functools import cache
from inspect import Parameter, Signature, signature
from typing import Annotated, Any, NamedTuple, get_args, get_origin, get_type_hints


class Words(NamedTuple):
    """How a command takes a group: help of its own for some of the options, and those it does not take."""

    of_its_own: dict[str, str]
    without: tuple[str, ...] = ()


def words(*, without: tuple[str, ...] = (), **of_its_own: str) -> Words:
    """What a command says of a group's options, by the field's name. An option without help in the group is taken only
    where the command has words for it.
    """
    return Words(of_its_own, without)


def composed(command: Callable[..., None]) -> Callable[..., None]:
    """The command as typer reads it: in place of each group its options; called, it hands the groups over."""
    hints = get_type_hints(command, include_extras=True)
    parameters: list[Parameter] = []
    groups: dict[str, tuple[Any, list[str]]] = {}
    for one in signature(command).parameters.values():
        hint = hints[one.name]
        kind, *extras = get_args(hint) if get_origin(hint) is Annotated else (hint,)
        if not is_dataclass(kind):
            parameters.append(one.replace(annotation=hint, kind=Parameter.KEYWORD_ONLY))
            continue
        said = next((extra for extra in extras if isinstance(extra, Words)), Words({}))
        options = _options(kind, said)
        groups[one.name] = (kind, [option.name for option in options])
        parameters += options

    def run(**given: Any) -> None:
        for name, (kind, options) in groups.items():
            given[name] = kind(**{option: given.pop(option) for option in options})
        command(**given)

    run.__name__, run.__doc__, run.__module__ = command.__name__, command.__doc__, command.__module__
    run.__annotations__ = {one.name: one.annotation for one in parameters}
    run.__signature__ = Signature(parameters)  # type: ignore[attr-defined]
    return run


def _options(group: Any, said: Words) -> list[Parameter]:
    """A group's fields as parameters, with the command's own words; raises TypeError for words of no field of it."""
    declared = fields(group)
    if unknown := {*said.of_its_own, *said.without} - {field.name for field in declared}:
        raise TypeError(f"{group.__name__} has no {', '.join(sorted(unknown))}")
    options = []
    for field in declared:
        kind, info = get_args(_hints(group)[field.name])
        if field.name in said.of_its_own:
            info = copy(info)
            info.help = said.of_its_own[field.name]
        if info.help is not None and field.name not in said.without:
            options.append(
                Parameter(
                    field.name,
                    Parameter.KEYWORD_ONLY,
                    default=_default(field),
                    annotation=Annotated[kind, info],
                )
            )
    return options


@cache
def _hints(group: type) -> dict[str, Any]:
    return get_type_hints(group, include_extras=True)


def _default(field: Field[Any]) -> Any:
    if field.default_factory is not MISSING:
        return field.default_factory()
    return Parameter.empty if field.default is MISSING else field.default
