"""The text of a logger's file taken apart: encoding, delimiter, decimal mark, heading, rows; all of it said."""

from __future__ import annotations

import csv
import re
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from featherbench.bench.workbook import ENDINGS, NoWorkbook, workbook_text
from featherbench.scenario import Problem, ScenarioError
from featherbench.scenario.bench_data import LogFormat
from featherbench.standard_input import NothingHandedIn, handed_in, is_standard_input

LONGEST_LINE = 100_000
"""Bytes; no row of a log is as long, and what reads tables stops at longer cells."""
LARGEST_FILE = 60_000_000
"""Bytes; a bench run is far smaller."""
COMMENT = ("#", "%", "//")
DELIMITERS = {";": "semicolon", "\t": "tab", ",": "comma", "|": "bar", " ": "blanks"}
NOT_MEASURED = {"", "-", "--", "---", "nan", "na", "n/a", "#n/a", "null", "none", "inf", "-inf"}
OVERLOAD = {"ol", "o.l", "o.l.", "over", "ovl", "overload", "overrange", "err", "error", "#value!"}
_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_COMMA_NUMBER = re.compile(r"[+-]?[0-9]*,[0-9]+(?:[eE][+-]?[0-9]+)?")
_STAMP = re.compile(
    r"(?:[0-9]{1,4}[-./][0-9]{1,2}[-./][0-9]{1,4}[T ]+)?[0-9]{1,2}:[0-9]{2}(:[0-9]{2}([.,][0-9]+)?)?Z?"
)


class ReadingsRefused(ScenarioError):
    """Bench data that cannot be used: file, line, column, what was found, what would do."""


def refused(file: Path | str, line: int | None, column: str, given: str, expected: str) -> ReadingsRefused:
    """A refusal with one problem."""
    return ReadingsRefused([Problem(str(file), line, column, given, expected)])


@dataclass
class Table:
    """headings (columns) and units as written ("" where none); cells: rows of text; lines: line of each row.

    said: what was read, skipped, guessed and repaired, in words.
    """

    headings: list[str]
    units: list[str]
    cells: list[list[str]]
    lines: list[int]
    comma: bool
    said: list[str] = field(default_factory=list)


def file_text(path: Path) -> tuple[bytes, str, list[str]]:
    """Bytes, text and what was said about the encoding. Raises ReadingsRefused."""
    data = _bytes_of(path)
    if len(data) > LARGEST_FILE:
        raise refused(path, None, "", "more than 60 MB", "one bench run; cut the log to the run")
    if path.suffix.lower() in ENDINGS and data:
        try:
            return data, workbook_text(data), ["its first sheet was read"]
        except NoWorkbook as error:
            raise refused(path, None, "", str(error), "a workbook, or its sheet saved as CSV") from None
    if not data.strip():
        raise refused(path, None, "", "an empty file", "a log with a heading and rows of numbers")
    if max(map(len, data.split(b"\n"))) > LONGEST_LINE:
        raise refused(
            path, None, "", f"a line of more than {LONGEST_LINE:,} characters", "rows of numbers, one a line"
        )
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        try:
            return data, data.decode("utf-16"), ["read as UTF-16 text"]
        except UnicodeDecodeError:
            raise refused(path, None, "", "broken UTF-16 text", "the log saved as UTF-8 text") from None
    if b"\0" in data:
        raise refused(
            path, None, "", "a binary file", "text: export the log as CSV from the logger's own program"
        )
    try:
        return data, data.decode("utf-8-sig"), []
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")
        return data, text, ["not UTF-8: read as Western European text (Windows-1252)"]


def _bytes_of(path: Path) -> bytes:
    try:
        if is_standard_input(path):
            return handed_in("readings", LARGEST_FILE)
        if path.is_dir():
            raise refused(
                path, None, "", "a folder", "a file of readings (.toml, .csv) or a log (.csv, .txt)"
            )
        if not path.is_file():
            raise refused(path, None, "", "no such file", "an existing file of readings or a log")
        with path.open("rb") as stream:
            return stream.read(LARGEST_FILE + 1)
    except NothingHandedIn as error:
        raise refused(path, None, "", error.given, error.expected) from None
    except ReadingsRefused:
        raise
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "a name no file can have"
        raise refused(path, None, "", f"cannot be read ({reason})", "a readable file") from None


def read_table(path: Path, text: str, style: LogFormat) -> Table:
    """Rows and headings of a log. Raises ReadingsRefused when no table of numbers can be found."""
    said: list[str] = []
    kept, told = _without_comments(text, style.delimiter)
    if told:
        said.append(f"{told} comment line{'s' * (told > 1)} skipped")
    delimiter = style.delimiter or _guessed_delimiter(kept)
    if delimiter is None:
        raise refused(
            path, kept[0][0] if kept else 1, "", _short(kept[0][1]) if kept else "only comments",
            'columns set apart by "," ";" a tab or blanks, or [log] delimiter = ";"',
        )  # fmt: skip
    rows = [(number, _split(line, delimiter)) for number, line in kept]
    comma = _decimal_comma(path, rows, delimiter, style.decimal)
    if style.delimiter is None or style.decimal is None:
        mark = "comma" if comma else "point"
        said.append(f"columns set apart by {DELIMITERS[delimiter]}, decimal {mark}")
    first = _first_row(rows, comma)
    if first is None:
        raise refused(
            path,
            rows[0][0],
            "",
            _short(" | ".join(rows[0][1])) or "an empty cell",  # a quote alone is a column without a text
            "at least two rows of numbers under the heading",
        )
    width = Counter(len(cells) for _, cells in rows[first:]).most_common(1)[0][0]
    headings, units, at = _headings(rows[:first], width)
    if at > 0:
        said.append(f"{at} line{'s' * (at > 1)} before the heading skipped")
    table = Table(headings, units, [], [], comma, said)
    _take_rows(table, rows[first:], width)
    return table


def number(cell: str, comma: bool) -> float | None:
    """The number in a cell; None when there is none."""
    text = cell.strip().replace("\u2212", "-").replace("\u00a0", "")
    if comma:
        text = (text.replace(".", "") if "," in text else text).replace(",", ".")
    return float(text) if _NUMBER.fullmatch(text) else None


def is_stamp(cell: str) -> bool:
    """Whether a cell holds a clock time, with or without its date."""
    return _STAMP.fullmatch(cell.strip()) is not None


def _without_comments(text: str, delimiter: str | None) -> tuple[list[tuple[int, str]], int]:
    kept, told = [], 0
    for row, line in enumerate(re.split(r"\r\n|\r|\n", text), start=1):
        bare = line.strip()
        if not bare.strip(";, \t|"):
            continue
        if bare.startswith(COMMENT) or re.match(r"sep=.$", bare):
            told += 1
            continue
        kept.append((row, line if delimiter == "\t" or "\t" in line else bare))
    return kept, told


def _guessed_delimiter(kept: list[tuple[int, str]]) -> str | None:
    """The one that cuts most lines into the same number of cells; decimal commas do not count for `,`."""
    best, score = None, 0.0
    for delimiter in (";", "\t", "|", ",", " "):
        counts = Counter(len(_split(line, delimiter)) for _, line in kept)
        width, hits = max(
            ((w, n) for w, n in counts.items() if w > 1), key=lambda pair: pair[1], default=(1, 0)
        )
        value = hits / max(len(kept), 1)
        if width > 1 and value > score + 0.1:
            best, score = delimiter, value
    if best is not None:
        return best
    single = sum(1 for _, line in kept if _NUMBER.fullmatch(line.strip().replace(",", ".")))
    return ";" if single > 0.5 * len(kept) else None


def _split(line: str, delimiter: str) -> list[str]:
    if delimiter == " ":
        return line.split()
    cells = next(csv.reader([line], delimiter=delimiter), [])
    return [cell.strip() for cell in cells]


def _decimal_comma(path: Path, rows: list[tuple[int, list[str]]], delimiter: str, stated: str | None) -> bool:
    cells = [(line, cell) for line, row in rows for cell in row]
    commas = [(line, cell) for line, cell in cells if _COMMA_NUMBER.fullmatch(cell.replace(".", ""))]
    points = [(line, cell) for line, cell in cells if "." in cell and _NUMBER.fullmatch(cell)]
    if stated is not None:
        comma = stated == "comma"
        if comma and delimiter == ",":
            raise refused(path, None, "", "a comma both between columns and in numbers",
                          "another delimiter: export with ; or tabs")  # fmt: skip
        return comma
    if delimiter == ",":
        _refuse_split_numbers(path, rows)
        return False
    if len(commas) > 2 and len(points) > 2:
        line = commas[0][0] if len(commas) < len(points) else points[0][0]
        raise refused(path, line, "", "numbers with a decimal comma and others with a decimal point",
                      'one of the two, or [log] decimal = "comma"')  # fmt: skip
    return len(commas) > len(points)


def _refuse_split_numbers(path: Path, rows: list[tuple[int, list[str]]]) -> None:
    """A file of decimal commas set apart by commas has twice the cells of its heading."""
    heading = next((row for _, row in rows if sum(map(_wordy, row)) >= 2), None)
    if heading is None or not rows:
        return
    wide = [(line, row) for line, row in rows if len(row) == 2 * len(heading) and not any(map(_wordy, row))]
    if len(wide) > 0.5 * len(rows):
        raise refused(path, wide[0][0], "", "a comma both between columns and in numbers",
                      "another delimiter: export with ; or tabs, or with a decimal point")  # fmt: skip


def _wordy(cell: str) -> bool:
    return bool(re.search(r"[A-Za-zÀ-ÿ]", cell)) and number(cell, False) is None and not is_stamp(cell) and (
        cell.lower() not in NOT_MEASURED | OVERLOAD
    )  # fmt: skip


def _first_row(rows: list[tuple[int, list[str]]], comma: bool) -> int | None:
    """Index of the first row of data: numbers in it and in the next one, of the same width."""
    for index in range(len(rows) - 1):
        one, two = rows[index][1], rows[index + 1][1]
        if len(one) == len(two) and _numeric(one, comma) and _numeric(two, comma):
            return index
    return None


def _numeric(cells: list[str], comma: bool) -> bool:
    good = sum(number(cell, comma) is not None or is_stamp(cell) for cell in cells)
    return good >= 1 and not any(map(_wordy, cells))


def _headings(above: list[tuple[int, list[str]]], width: int) -> tuple[list[str], list[str], int]:
    """Headings, units and how many lines before them are none of the table."""
    fits = [index for index, (_, row) in enumerate(above) if len(row) == width and any(map(_wordy, row))]
    if not fits:
        return [""] * width, [""] * width, len(above)
    last = fits[-1]
    units = [""] * width
    if last - 1 in fits and all(_unit_like(cell) for cell in above[last][1]):
        units = [cell.strip("[]() ") for cell in above[last][1]]
        last -= 1
    return list(above[last][1]), units, last


def _unit_like(cell: str) -> bool:
    bare = cell.strip("[]() ")
    return bare in {"", "-", "s", "ms", "us", "min", "h", "N", "mN", "kN", "gf", "kgf", "g", "ozf", "lbf", "A", "mA",
                    "rpm", "1/min", "U/min", "min-1", "rad/s", "deg", "°", "rad", "V", "hh:mm:ss", "Hz"}  # fmt: skip


def _take_rows(table: Table, rows: list[tuple[int, list[str]]], width: int) -> None:
    """Rows of the right width; the rest is skipped and said, with its lines."""
    stray: list[int] = []
    short: list[int] = []
    repeated: list[int] = []
    for line, row in rows:
        cells = row[:-1] if len(row) == width + 1 and row[-1] == "" else row
        if cells == table.headings:
            repeated.append(line)
        elif any(map(_wordy, cells)) or len(cells) > width:
            stray.append(line)
        elif len(cells) < width:
            short.append(line)
            if len(cells) > 1:
                table.cells.append([*cells, *[""] * (width - len(cells))])
                table.lines.append(line)
        else:
            table.cells.append(cells)
            table.lines.append(line)
    for lines, what in (
        (repeated, "heading repeated: taken once"),
        (stray, "not a row of the table: skipped"),
        (short, "too few cells: the missing ones are taken as not measured"),
    ):
        if lines:
            table.said.append(f"{listed(lines)}: {what}")


def listed(lines: list[int]) -> str:
    """ "line 7", "lines 7, 9", "lines 7, 9, 12 and 20 more"."""
    head = ", ".join(str(line) for line in lines[:3])
    more = f" and {len(lines) - 3} more" if len(lines) > 3 else ""
    return f"line{'s' * (len(lines) > 1)} {head}{more}"


def _short(text: str) -> str:
    return text if len(text) < 60 else text[:56] + " ..."
