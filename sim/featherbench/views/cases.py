"""The builds that an answer is about, and the short name that each goes by."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from featherbench.plain_text import plain

if TYPE_CHECKING:
    from featherbench.sampling.sampled import BuildSpread, Sampled
    from featherbench.scenario import Assumed
    from featherbench.studies.run import Run


class Case(NamedTuple):
    """A run and the short name it goes by in a table or picture; spread: what its tolerances do, where it is known."""

    name: str
    run: Run
    spread: BuildSpread | None = None


def cases_of(runs: Sequence[Run], sampled: Sampled | None = None) -> tuple[Case, ...]:
    """Short names: "before" and "after" for two; for more, file names where they tell them apart.

    sampled: of the same runs in the same order.
    """
    spreads = sampled.builds if sampled else [None] * len(runs)
    return tuple(
        Case(name, run, spread) for name, run, spread in zip(_names(runs), runs, spreads, strict=True)
    )


def _names(runs: Sequence[Run]) -> list[str]:
    if len(runs) <= 2:
        return [""] if len(runs) == 1 else ["before", "after"][: len(runs)]
    stems = [_stem(run) for run in runs[1:]]
    distinct = all(stems) and len({*stems, "before"}) == len(runs)
    return ["before", *(stems if distinct else [f"after {number}" for number in range(1, len(runs))])]


def title_of(run: Run) -> str:
    """The scenario's title, safe to show."""
    return plain(run.scenario.title, 200)


def assumed_by_case(cases: Sequence[Case]) -> tuple[tuple[str, tuple[Assumed, ...]], ...]:
    """What was assumed, by the case's name; of several, first what all of them share."""
    if len(cases) == 1:
        return ((cases[0].name, cases[0].run.assumed),)
    common = tuple(
        item for item in cases[0].run.assumed if all(item in case.run.assumed for case in cases[1:])
    )
    rest = tuple(
        (case.name, tuple(item for item in case.run.assumed if item not in common)) for case in cases
    )
    return (("every build", common), *((name, items) for name, items in rest if items))


def _stem(run: Run) -> str:
    files = run.scenario.source.files
    name = plain(str(files[0])).replace("\\", "/").rsplit("/", 1)[-1] if files else ""
    stem = name.removesuffix(".toml")
    return stem if len(stem) <= 12 else ""
