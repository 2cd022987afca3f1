"""Which builds a sweep is of: every combination of some keys' values, or a table with a row each.

Values are what settings are: texts as in a file, floats in SI, pint quantities. A range is "A..B:N", with a unit:
"8000..11000 rpm:7".
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from featherbench import quantities
from featherbench.handed import handed, typed
from featherbench.number_text import NotOneNumber, split_number
from featherbench.scenario import Scenario, ScenarioError
from featherbench.scenario.problems import Problem, dotted, shown_value
from featherbench.scenario.settings import setting_path
from featherbench.studies.key_paths import looked_up

Row = tuple[Any, ...]
MOST_IN_RANGE = 1_000_000
EXAMPLE = '"8000..11000 rpm:7", or texts with units'
MOVES_AIR = ("rotor.", "blade.", "air.")


@dataclass(frozen=True)
class Grid:
    """keys: what varies; axes: the values of each, every combination a build, the last key fastest; or rows: a build
    each. kinds: of each key's values, "text" for what is no number.
    """

    keys: tuple[str, ...]
    axes: tuple[Row, ...] = ()
    rows: tuple[Row, ...] = ()
    kinds: tuple[str, ...] = ()

    @property
    def count(self) -> int:
        """Number of builds."""
        return len(self.rows) if self.rows else math.prod(len(axis) for axis in self.axes)

    @property
    def shape(self) -> tuple[int, ...]:
        """Builds along each key, or of the table."""
        return (len(self.rows),) if self.rows else tuple(len(axis) for axis in self.axes)

    def row(self, build: int) -> Row:
        """The values of a build, by key."""
        if self.rows:
            return self.rows[build]
        return tuple(axis[place] for axis, place in zip(self.axes, self.places(build), strict=True))

    def places(self, build: int) -> tuple[int, ...]:
        """Where in each axis a build lies."""
        found = []
        for axis in reversed(self.axes):
            build, place = divmod(build, len(axis))
            found.append(place)
        return tuple(reversed(found))

    def run_at(self, turn: int) -> int:
        """The build whose turn it is: keys that move the air change slowest, so that one air serves many builds."""
        if self.rows:
            return turn
        order = sorted(range(len(self.keys)), key=lambda axis: not self.keys[axis].startswith(MOVES_AIR))
        places = [0] * len(order)
        for axis in reversed(order):
            turn, places[axis] = divmod(turn, len(self.axes[axis]))
        build = 0
        for own, place in zip(self.axes, places, strict=True):
            build = build * len(own) + place
        return build

    def value(self, given: Any, key: int) -> float | str:
        """A value in SI, or as text; a number that cannot be read as its key's kind stays the text it is."""
        if self.kinds[key] == "text":
            return given if isinstance(given, str) else shown_value(given)
        try:
            return quantities.parse(given, self.kinds[key]).value
        except quantities.QuantityError:
            return math.nan


def grid_of(given: Any) -> Grid:
    """A mapping of key paths to ranges or values, or a table: a pandas frame, or a sequence of mappings, a build each.

    Column names may carry the unit of their numbers, "rotor.speed [rad/s]". Raises ScenarioError.
    """
    if hasattr(given, "to_dict") and hasattr(given, "columns"):
        given = given.to_dict("records")
    if isinstance(given, Mapping):
        axes = {str(key): _axis(str(key), values) for key, values in given.items()}
        if not axes:
            raise refused("", "no keys", f"what to vary, for example rotor.speed = {EXAMPLE}")
        return Grid(tuple(axes), axes=tuple(axes.values()))
    if isinstance(given, Sequence) and given and all(isinstance(row, Mapping) for row in given):
        return _table(given)
    raise refused(
        "", shown_value(given), f"keys with their values, or a table of builds, for example {EXAMPLE}"
    )


def refused(key: str, given: str, expected: str) -> ScenarioError:
    """A refusal of what is to be varied."""
    return ScenarioError([Problem("sweep", None, key, given, expected)])


def _table(rows: Sequence[Mapping[str, Any]]) -> Grid:
    heads = [str(name) for name in rows[0]]
    found = []
    for number, row in enumerate(rows):
        if [str(name) for name in row] != heads:
            raise refused(
                "", f"row {number} with other columns than the first", "the same columns in every row"
            )
        found.append(
            tuple(_cell(head, value, number) for head, value in zip(heads, row.values(), strict=True))
        )
    keys = tuple(re.sub(r"\s*\[[^\]]*\]$", "", head) for head in heads)
    if len(set(keys)) < len(keys) or not keys:
        raise refused("", f"the columns {', '.join(heads)}", "a column for each key that varies, each once")
    return Grid(keys, rows=tuple(found))


def _cell(head: str, value: Any, row: int) -> Any:
    """A value of a table; a number under a heading with a unit is in that unit."""
    if value is None or value == "" or (isinstance(value, float) and math.isnan(value)):
        raise refused(
            head, f"nothing in row {row}", "a value in every row (what the base has, where it is to stay)"
        )
    unit = re.search(r"\[([^\]]*)\]$", head)
    if unit and isinstance(value, int | float) and not isinstance(value, bool):
        return f"{float(value)!r} {unit[1]}"
    return handed(value)


def _axis(key: str, given: Any) -> Row:
    if isinstance(given, str):
        return tuple(values_in(key, given))
    if hasattr(given, "magnitude") and hasattr(given.magnitude, "__len__"):  # an array with its unit
        return tuple(handed(one) for one in given)
    if not isinstance(given, Iterable) or isinstance(given, Mapping):
        raise refused(key, shown_value(given), f"its values, for example {EXAMPLE}")
    values = tuple(handed(one) for one in given)
    if not values:
        raise refused(key, "no values", f"some, for example {EXAMPLE}")
    return values


def values_in(key: str, text: str) -> list[str]:
    """The values of a range "A..B:N", or of a list "A, B, C", as typed."""
    if ".." not in text or "../" in text:  # the latter a file in another folder
        apart = ";" if ";" in text else r",(?![0-9])"  # 9,5 mm is one length to many
        return [one.strip() for one in re.split(apart, text) if one.strip()] or [text]
    ends, colon, number = text.rpartition(":")
    first, _, last = ends.partition("..")
    try:
        count = int(number) if colon else 0
        high, high_unit = split_number(last, grouped="rpm" in last)
        first = first if re.search("[a-z]", first) else f"{first} {high_unit}"
        low, low_unit = split_number(first, grouped="rpm" in last)
    except (ValueError, NotOneNumber):
        count = 0
    if not 2 <= count <= MOST_IN_RANGE:
        expected = f"a range of 2 values or more, its ends with their unit, for example {EXAMPLE}"
        raise refused(key, text, expected)
    if low_unit and low_unit != high_unit:
        raise refused(key, text, f"both ends in one unit, for example {EXAMPLE}")
    steps = [low + (high - low) * step / (count - 1) for step in range(count)]
    return [f"{plain(one)} {high_unit}".rstrip() for one in (*steps[:-1], high)]


def plain(number: float) -> str:
    """A number as one would type it, to fifteen digits: steps of a tenth have no tail of nines."""
    return f"{number:.15g}"


def known(grid: Grid, build: Scenario) -> Grid:
    """The grid with what kinds its keys are of, by a build of it that was read; its values as they would be typed."""
    kinds = tuple(kind_of(build, key) for key in grid.keys)

    def told(row: Iterable[Any]) -> Row:
        return tuple(_told(value, kind) for value, kind in zip(row, kinds, strict=True))

    axes = tuple(
        tuple(_told(value, kind) for value in axis) for axis, kind in zip(grid.axes, kinds, strict=False)
    )
    return Grid(grid.keys, axes, tuple(told(row) for row in grid.rows), kinds)


def _told(value: Any, kind: str) -> Any:
    """A value as a file would hold it: plain data that any process understands."""
    if kind == "text":
        return value if isinstance(value, str | int | float | bool | list) else str(value)
    told = typed(value, kind)
    return float(told) if isinstance(told, float) else told


def kind_of(build: Scenario, key: str) -> str:
    """The kind of quantity at a key path as typed; "ratio" for plain numbers, "text" for what is no number."""
    path = setting_path(key)
    try:
        _, field = looked_up(build, dotted(path or ()))
    except (LookupError, TypeError, ValueError, StopIteration, AttributeError):
        return "text"
    return field.kind if field is not None else "ratio"
