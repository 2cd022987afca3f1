"""A view: what a study has to say, as plain frozen data that knows nothing of where it goes.

Texts are as they are read, numbers in them already in the reader's units; `data` and `series` are in SI, for programs.
What has to be read first comes first. Every renderer takes any view.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from featherbench.views.first_lines import NOTHING, FirstLines

if TYPE_CHECKING:
    import pandas as pd

    from featherbench.scenario import Assumed, Scenario
    from featherbench.studies.findings import Curves
    from featherbench.studies.motion import Motion


class Side(StrEnum):
    """What a column holds, and so which side it keeps to."""

    WORDS = "words"
    RIGHT = "right"
    POINT = "point"
    """Numbers, decimal points under one another."""
    UNIT = "unit"
    """The unit of the numbers in its row."""


WORDS, RIGHT, POINT, UNIT = Side


@dataclass(frozen=True)
class Column:
    """A column of a table.

    build: 0 stands in every part of a table that is taken apart because it is too wide; n goes with the n-th build.
    alone: only where a single build is beside the first. gives_way: 0 never, else the lowest is left out first where
    room is short, for what can be told from other columns. detail: only with everything.
    """

    heading: str = ""
    side: Side = Side.WORDS
    build: int = 0
    alone: bool = False
    gives_way: int = 0
    detail: bool = False


@dataclass(frozen=True)
class Row:
    """One text for each column. ranges: where 95 % lies, beside or under each of them; () where none are known.

    heads: a heading, of one cell, over the rows that follow. detail: only with everything, or after the rest. stops: it
    forbids to run the build. stays: it is shown even where room is short. chosen: it is the last to go.
    """

    cells: tuple[str, ...]
    ranges: tuple[str, ...] = ()
    heads: bool = False
    detail: bool = False
    stops: bool = False
    stays: bool = False
    chosen: bool = False


@dataclass(frozen=True)
class Table:
    """A titled table with remarks under it, or remarks alone; detail_remarks: on rows that are details.

    picture: what belongs beside it.
    """

    title: str
    columns: tuple[Column, ...] = ()
    rows: tuple[Row, ...] = ()
    remarks: tuple[str, ...] = ()
    detail_remarks: tuple[str, ...] = ()
    picture: Picture | None = None

    def of_columns(self, places: Sequence[int]) -> Table:
        """The table with the columns at these places alone; rows that are headings stay as they are."""
        rows = (
            row
            if row.heads
            else replace(
                row,
                cells=tuple(row.cells[place] for place in places),
                ranges=tuple(row.ranges[place] for place in places) if row.ranges else (),
            )
            for row in self.rows
        )
        return replace(self, columns=tuple(self.columns[place] for place in places), rows=tuple(rows))


@dataclass(frozen=True)
class Picture:
    """What is to be drawn. name: of its files, and on the page; subject: what the painter takes; kind: by which
    `render.gallery` knows the painter, the name where it is ""; paper: it has paper of its own, as a drawing to print;
    result: what it shows, in a sentence, for whoever cannot see it.
    """

    name: str
    title: str
    caption: str
    subject: tuple[Any, ...]
    kind: str = ""
    paper: bool = False
    result: str = ""


@dataclass(frozen=True)
class CheckCell:
    """A check of one build; limit: what is allowed, SI, None where it is not known; stops: it fails or is not known."""

    verdict: str
    demand: str
    allowed: str
    unit: str
    limit: float | None
    stops: bool


@dataclass(frozen=True)
class CheckRow:
    """A check of every build, None where it has none of it."""

    name: str
    source: str
    cells: tuple[CheckCell | None, ...]


@dataclass(frozen=True)
class Checks:
    """The worst first; unknown: what must be stated before the build is run; unchecked: for want of data; note: all of
    it in one sentence.
    """

    rows: tuple[CheckRow, ...] = ()
    unknown: tuple[str, ...] = ()
    unchecked: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class Build:
    """A scenario that the answer is about; name: short, "" for the only one; digest: of its input."""

    name: str
    title: str
    notes: str
    files: tuple[str, ...]
    digest: str


@dataclass(frozen=True)
class Note:
    """Something to look at; build: of which of several."""

    text: str
    build: str = ""


@dataclass(frozen=True)
class View:
    """What a study has to say.

    title: of the build, or of what was asked of several; question and answer: in sentences; first: what has to be read
    before all of it. ranges: what the ranges
    beside figures are. rests_on: thresholds and methods. data: for programs, SI, by name; series: curve sets by build,
    or what makes a frame for a spreadsheet. measured: digest by file of bench data. steps: of what to do; paste: lines
    to copy as they are, and where they go. short: the figures that matter, for the first screen; None: the tables as
    far as there is room. matter: keys of what was assumed that moves a result, None where that was not looked for.
    next_steps: what to do now. motion: makes the moving picture, where there is one,
    in units of `system`. brief: the answer where `short` says the rest of it; () where it does not.
    """

    title: str
    question: str = ""
    answer: tuple[str, ...] = ()
    first: FirstLines = NOTHING
    builds: tuple[Build, ...] = ()
    tables: tuple[Table, ...] = ()
    pictures: tuple[Picture, ...] = ()
    parts: Picture | None = None
    checks: Checks = Checks()
    cautions: tuple[str, ...] = ()
    notes: tuple[Note, ...] = ()
    ranges: str = ""
    rests_on: tuple[str, ...] = ()
    assumed: tuple[tuple[str, tuple[Assumed, ...]], ...] = ()
    left_out: tuple[str, ...] = ()
    short: Table | None = None
    matter: tuple[str, ...] | None = None
    next_steps: tuple[str, ...] = ()
    motion: Callable[[], Motion] | None = None
    system: str = "metric"
    brief: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    paste: str = ""
    paste_into: str = "the scenario"
    data: Mapping[str, Any] = field(default_factory=dict)
    series: Mapping[str, Curves] | Callable[[], pd.DataFrame] | None = None
    measured: Mapping[str, str] = field(default_factory=dict)

    def told_notes(self) -> tuple[Note, ...]:
        """The notes, each once, with the names of all builds that have it."""
        names = [build.name for build in self.builds]
        told: dict[str, list[str]] = {}
        for note in self.notes:
            told.setdefault(note.text, []).append(note.build)
        everyone = " and ".join(names) if len(names) == 2 else "every build"
        return tuple(
            Note(text, everyone if len(names) > 1 and own == names else ", ".join(dict.fromkeys(own)))
            for text, own in told.items()
        )


def table_of(
    title: str,
    headings: tuple[tuple[str, Side], ...],
    rows: tuple[tuple[str, ...], ...],
    remarks: tuple[str, ...] = (),
) -> Table:
    """A table of plain texts under their headings."""
    return Table(
        title, tuple(Column(*heading) for heading in headings), tuple(Row(cells) for cells in rows), remarks
    )


def build_of(scenario: Scenario, name: str = "") -> Build:
    """What a view tells of a scenario."""
    from featherbench.plain_text import plain

    source = scenario.source
    return Build(
        name, plain(scenario.title, 200), scenario.notes, tuple(map(str, source.files)), source.digest
    )
