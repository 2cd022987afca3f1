"""What compensation counts from: the bolts of the plain build that a family of files goes back to.

Blades, grips and all else count as each file has them; bolts and weights count against the plain bolts, whatever group
they are in, so that a longer blade bolt is a weight like any other. The plain build is the file at the end of the chain
of bases; a file that only borrows figures from its base says `reference = "itself"`, and one whose plain build is
another file names it. What a command line sets is laid over afterwards, and so counts as a change.
"""

from __future__ import annotations

import copy
import functools
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, NamedTuple

from pydantic import TypeAdapter, ValidationError

from featherbench.scenario.parts import Part
from featherbench.scenario.problems import Problem, ScenarioError, shown_value

KEY = "reference"
ITSELF = "itself"
EXAMPLE = f'"{ITSELF}", or the name of the scenario file of the plain build, for example "plain.toml"'


class Reference(NamedTuple):
    """The plain build. file: its name; parts: its bolts as typed, by name."""

    file: str
    parts: dict[str, Any]


def bolts_of(file: str, raw: Mapping[str, Any]) -> Reference:
    """Of a raw tree."""
    return Reference(file, copy.deepcopy(_bolts_in(raw)))


def _bolts_in(raw: Mapping[str, Any]) -> dict[str, Any]:
    parts = raw.get("part")
    known = parts.items() if isinstance(parts, Mapping) else ()
    return {name: part for name, part in known if isinstance(part, Mapping) and part.get("group") == "bolt"}


def stated_reference(
    given: object,
    place: tuple[str, int | None],
    raw: Mapping[str, Any],
    read: Callable[[Path], Mapping[str, Any]],
) -> Reference:
    """What a file says itself; read: the tree of another. Raises ScenarioError for what is no reference."""
    if given == ITSELF:
        return bolts_of(place[0], raw)
    path = Path(place[0]).parent / given if isinstance(given, str) and "\0" not in given else None
    if path is None or not path.is_file():
        raise ScenarioError([Problem(place[0], place[1], KEY, shown_value(given), EXAMPLE)])
    return bolts_of(str(path), read(path))


def counted_from(
    reference: Reference | None, raw: Mapping[str, Any]
) -> tuple[dict[str, Part], frozenset[str]]:
    """Plain bolts that this build has not, or not as they are; and names of its own that are not the plain ones."""
    if reference is None:
        return {}, frozenset()
    own = _bolts_in(raw)
    gone: dict[str, Part] = {}
    adapter = _any_part()
    for name, part in reference.parts.items():
        if own.get(name) != part:
            try:
                gone[name] = adapter.validate_python(part)
            except ValidationError:
                continue  # a base need not be a whole build
    return gone, frozenset(name for name, part in own.items() if reference.parts.get(name) != part)


@functools.cache
def _any_part() -> TypeAdapter[Part]:
    """Making one costs half of what checking a whole scenario does."""
    return TypeAdapter(Part)
