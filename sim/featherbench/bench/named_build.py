"""Of which build a file of readings is, where the file says so.

A line `build = "over.toml"` (in a table `# Build: over.toml`) names the scenario's file as seen from the file of
readings. Blank, or no such line: the build on the command line.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from featherbench.bench.head_line import head_line
from featherbench.bench.logs_text import refused
from featherbench.guide.usual_unknowns import PRIORS
from featherbench.scenario import Scenario, read
from featherbench.standard_input import is_standard_input

MADE_OF = (
    "rotor", "air", "blade", "part", "bearing", "joint", "retention", "linkage", "servo", "supply", "bench", "shaking",
    "gauge", "meter", "scale",
)  # fmt: skip
"""Tables that say what was on the bench and how it was run; the others are about what is made of it."""
FOUND = frozenset(PRIORS) - {"rotor.speed"}
"""Numbers that a fit finds: two files that differ in these alone speak of one build."""


def named_build(path: Path, text: str, scenario: Scenario, *, log: bool) -> tuple[Scenario | None, list[str]]:
    """The build that a file names, None where it is `scenario` or none is named; and what there is to say of it.

    log: a logger's own file, in which such a line may mean something else. Raises ReadingsRefused, ScenarioError.
    """
    stated, line = head_line(text, "build")
    if not stated or (log and not stated.lower().endswith(".toml")):
        return None, []
    file = (Path() if is_standard_input(path) else path.parent) / stated
    if not file.is_file():
        expected = "an existing scenario file, as seen from this file; blank for the one on the command line"
        raise refused(path, line, "build", stated[:80], expected)
    own = Path(scenario.source.files[0]) if scenario.source.files else None
    if own is not None and own.is_file() and own.samefile(file):
        return None, []
    named = read(file)
    apart = differing(named, scenario)
    if any(key not in FOUND and key not in fitted_keys(named, scenario) for key in apart):
        return named, []
    otherwise = [key for key in apart if key not in fitted_keys(named, scenario)]
    if not otherwise:
        return None, []
    return None, [
        f"it names {stated}, which says otherwise: {', '.join(otherwise)}; taken as of {own or 'this build'}"
    ]


def fitted_keys(*builds: Scenario) -> frozenset[str]:
    """Keys that fits have found of these builds."""
    return frozenset(key for build in builds if build.fitted for key in build.fitted.keys)


def differing(one: Scenario, other: Scenario) -> tuple[str, ...]:
    """Key paths in which two builds say otherwise, of what was on the bench; a part that one has not by its name."""
    found = []
    for table in MADE_OF:
        found += list(_apart(table, *(_plain(getattr(build, table)) for build in (one, other))))
    return tuple(found)


def _plain(node: Any) -> Any:
    if isinstance(node, Mapping):
        return {key: _plain(value) for key, value in node.items()}
    return node.model_dump() if hasattr(node, "model_dump") else node


def _apart(path: str, one: Any, other: Any) -> Iterator[str]:
    if not (isinstance(one, Mapping) and isinstance(other, Mapping)):
        if one != other:
            yield path
        return
    for key in dict.fromkeys((*one, *other)):
        yield from _apart(f"{path}.{key}", one.get(key), other.get(key))
