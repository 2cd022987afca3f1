"""A sweep: a grid or a table of builds of one scenario, a few values of each.

Builds go in chunks of some hundred to worker processes or any executor, a few chunks a worker in flight. What comes out
is the same whatever runs it: one build knows nothing of another. With a folder each chunk is kept as it comes, and the
same call goes on where it stopped; without one, results are kept in memory.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from featherbench.notebook import HtmlDisplay, frame
from featherbench.scenario import Scenario, ScenarioError
from featherbench.scenario.checked import tree_of
from featherbench.scenario.files.named import named_files
from featherbench.studies.engines import Here, engine_for
from featherbench.sweeping.folder import Folder, Table, open_folder
from featherbench.sweeping.grid import Grid, Row, grid_of, known, refused
from featherbench.sweeping.runner import Runner
from featherbench.sweeping.study import (
    REFUSED,
    Alike,
    Columns,
    Study,
    function_digest,
    one_build,
    packed,
    program_digest,
)
from featherbench.sweeping.tally import Tally
from featherbench.sweeping.values import USUAL, Asked, checked_names, meaning

if TYPE_CHECKING:
    import pandas as pd

CHUNK = 256
"""Builds of a chunk; fewer where there are few builds, so that a small grid is spread over many workers, too."""
MANY = 64
TRIED = 32
"""Builds looked at before any is run: where all of them are refused, what was typed is wrong, not a corner of the
grid."""


@dataclass(frozen=True)
class Sweep(HtmlDisplay):
    """base: the build as written; grid: what was varied; columns: names of what was kept, with their kinds; tally: what
    it came to. complete: whether every build of this call (of its shard) is done; folder: where they are kept.
    """

    base: Scenario
    grid: Grid
    columns: dict[str, str]
    tally: Tally
    complete: bool
    folder: Path | None
    chunks: Mapping[int, Table] | Folder = field(repr=False)

    @property
    def count(self) -> int:
        """Builds of the whole grid or table."""
        return self.grid.count

    @property
    def done(self) -> int:
        """Builds that were looked at, refused ones among them."""
        return self.tally.done

    def tables(self) -> Iterator[Table]:
        """Chunk by chunk, what was kept: `build` (its place in the grid), keys, values, `refused`; SI. Nothing larger
        than a chunk is read at a time.
        """
        if isinstance(self.chunks, Folder):
            for chunk in sorted(self.chunks.done()):
                yield self.chunks.read(chunk)
        else:
            yield from (self.chunks[chunk] for chunk in sorted(self.chunks))

    def to_frame(self) -> pd.DataFrame:
        """All builds that are done, a row each in the order of the grid, SI, units in the column names."""
        whole: Table = {}
        for table in self.tables():
            for name, column in table.items():
                whole.setdefault(name, []).extend(column)
        order = sorted(range(len(whole.get("build", ()))), key=lambda place: whole["build"][place])
        columns = {name: [column[place] for place in order] for name, column in whole.items()}
        kinds = dict(zip(self.grid.keys, self.grid.kinds, strict=True)) | self.columns
        made = frame(columns, kinds)
        numbers = [
            head for head, name in zip(made, columns, strict=True) if kinds.get(name, "text") != "text"
        ]
        return made.astype(dict.fromkeys(numbers, float)).set_index("build") if columns else made


def sweep(
    base: Scenario,
    grid: Any,
    values: Asked = USUAL,
    *,
    executor: Executor | str | None = None,
    jobs: int | None = None,
    out: str | os.PathLike[str] | None = None,
    shard: tuple[int, int] = (1, 1),
    progress: Callable[[int, int], None] | None = None,
) -> Sweep:
    """Run every build of a grid or a table and keep some values of each.

    grid: key path -> values ("8000..11000 rpm:7", texts with units, floats in SI, pint quantities), every combination a
    build; or a pandas frame or a sequence of mappings, a row a build. values: of findings by name, or a function of a
    `Run`, as in `values`.
    executor: one of `concurrent.futures`, a cluster client's, or "dask://HOST:PORT"; else `jobs` processes, by default
    one a core, 1: this process. out: a folder for a file a chunk; the same call again does what is missing. shard:
    (3, 100) does every hundredth chunk, the third of them. A build that cannot be is refused alone, in words.

    Raises ScenarioError where no build can be, ValueError, in words, for unknown values, an engine that does not answer
    or a folder of something else. A keyboard interrupt gives what was done.

    >>> import featherbench as fb
    >>> weighted = fb.read(fb.example("survey-3kg/weighted"))
    >>> swept = fb.sweep(weighted, {"rotor.speed": "9000..11000 rpm:3"}, ["rod_force_static", "strength"], jobs=1)
    >>> swept.to_frame().round(2)["rod_force_static [N]"].tolist()
    [3.49, 4.08, 4.67]
    """
    study, grid = _planned(base, grid, checked_names(values))
    columns = {name: "text" if text else meaning(name).kind for name, text in study.columns.items()}
    size = min(CHUNK, max(1, -(-grid.count // MANY)))
    mine = _mine(-(-grid.count // size), shard)
    kept: dict[int, Table] | Folder = {}
    if out is not None:
        texts = {name for name, kind in zip(grid.keys, grid.kinds, strict=True) if kind == "text"}
        texts |= {name for name, text in study.columns.items() if text} | {REFUSED}
        kept = open_folder(out, _belongs(base, study, grid, size), texts)
    tally = Tally(columns)
    there = kept.done().intersection(mine) if isinstance(kept, Folder) else set()
    for chunk in there:
        tally.add(kept.read(chunk))  # type: ignore[union-attr]  # there are none without a folder
    total = sum(min(size, grid.count - chunk * size) for chunk in mine)

    def deliver(chunk: int, found: Columns) -> None:
        table = _table(grid, _builds(grid, chunk, size), found)
        if isinstance(kept, Folder):
            kept.write(chunk, table)
        else:
            kept[chunk] = table
        tally.add(table)
        if progress is not None:
            progress(tally.done, total)

    missing = [chunk for chunk in mine if chunk not in there]
    with engine_for(executor, jobs if missing else 1) as engine:
        sent = study if isinstance(engine, Here) else packed(study)
        work = ((chunk, tuple(map(grid.row, _builds(grid, chunk, size)))) for chunk in missing)
        whole = Runner(engine, sent, deliver, tuple(study.columns)).run(work)
    return Sweep(base, grid, columns, tally, whole, Path(out) if out is not None else None, kept)


def _planned(base: Scenario, grid: Any, asked: Asked) -> tuple[Study, Grid]:
    """The study with its columns, and the grid with the kinds of its keys, by builds of it that are tried first."""
    typed = grid_of(grid)
    twice = [key for key in typed.keys if typed.keys.count(key) > 1]
    if twice:
        raise refused(twice[0], "the key, twice", "each key once")
    study = Study(tree_of(base), typed.keys, asked)
    last = typed.count - 1
    places = dict.fromkeys(round(step * last / (TRIED - 1)) for step in range(TRIED))
    first: ScenarioError | None = None
    readable = []
    for place in places:
        try:
            readable.append((place, study.scenario(typed.row(place))))
        except ScenarioError as error:
            first = first or error
    if not readable:
        assert first is not None
        raise first
    told = known(typed, readable[0][1])
    if callable(asked):
        return _shown(study, [told.row(place) for place, _ in readable]), told
    return Study(study.tree, study.keys, asked, {name: meaning(name).kind == "text" for name in asked}), told


def _shown(study: Study, rows: list[Row]) -> Study:
    """The study with the columns that a user's function gives, of the first build that it does not fail on."""
    why = ""
    for row in rows:
        found, why = one_build(study, row, Alike())
        if found:
            return Study(
                study.tree, study.keys, study.asked, {n: isinstance(v, str) for n, v in found.items()}
            )
    raise ValueError(f"values: {why or 'the function gave nothing'}")


def _builds(grid: Grid, chunk: int, size: int) -> list[int]:
    """The builds of a chunk, in the order in which they are run."""
    return [grid.run_at(turn) for turn in range(chunk * size, min((chunk + 1) * size, grid.count))]


def _mine(chunks: int, shard: tuple[int, int]) -> range:
    number, of = shard
    if not 1 <= number <= of:
        raise ValueError(f"shard {number}/{of}: from 1/{of} to {of}/{of}")
    return range(number - 1, chunks, of)


def _table(grid: Grid, builds: list[int], found: Columns) -> Table:
    """A chunk as it is kept."""
    rows = [grid.row(build) for build in builds]
    keys = {name: [grid.value(row[place], place) for row in rows] for place, name in enumerate(grid.keys)}
    return {"build": list(builds), **keys, **found.values, REFUSED: found.refused}


def _belongs(base: Scenario, study: Study, grid: Grid, size: int) -> dict[str, Any]:
    """What a folder's shards were worked out from, by what to call it."""
    files = {name: hashlib.sha256(path.read_bytes()).hexdigest() for _, name, path in named_files(study.tree)}
    said = study.asked
    return {
        "base": {"title": base.title, "digest": base.source.digest, "files it names": files},
        "grid": {
            "keys": dict(zip(grid.keys, grid.kinds, strict=True)),
            "builds": grid.count,
            "builds a file": size,
            "digest": hashlib.sha256(json.dumps([grid.axes, grid.rows]).encode()).hexdigest(),
        },
        "set of values": {
            "of": function_digest(said) if callable(said) else "names",
            "columns": {name: "text" if text else meaning(name).kind for name, text in study.columns.items()},
        },
        "version of the program": program_digest(),
    }


__all__ = ["USUAL", "Sweep", "sweep"]
