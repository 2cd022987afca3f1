"""Frames of results as files for other programs: Parquet, NetCDF, XLSX, CSV; one kind of value in each column."""

from __future__ import annotations

import io
import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from featherbench.libraries import need, needed
from featherbench.render.files import check_target, write_whole

if TYPE_CHECKING:
    import pandas as pd

_NAMED = re.compile(r"(.*) \[(.+)\]")
NEEDS = {".parquet": ("pyarrow",), ".nc": ("xarray", "scipy"), ".xlsx": ("openpyxl",), ".csv": ()}
"""By the ending of a file's name, what writes it beside pandas."""


def frame(result: Any, what: str | None = None, units: str = "names") -> pd.DataFrame:
    """Rows of a result, SI, as a pandas frame whose columns each hold one kind of value: numbers, or texts.

    result: whatever has `to_frame()`, or a pandas frame; what: as its `to_frame` takes it. An index becomes columns; a
    column that mixes numbers and texts becomes two, the second `NAME_text`; no number is nan, no text is "".
    units: "names" ("rod_force [N]"), or "attrs" ("rod_force", and {"rod_force": "N"} as `frame.attrs["units"]`).
    Raises ValueError for other units, TypeError for what has no rows, LibraryMissing without pandas.

    >>> import featherbench as fb
    >>> plain = fb.read(fb.example("survey-3kg/plain"))
    >>> fb.frame(fb.moments(plain), units="attrs").attrs["units"]["rod_force"]
    'N'
    """
    pd = needed("pandas")
    if units not in ("names", "attrs"):
        raise ValueError(f'units are in the "names" of columns or in "attrs", not {units!r}')
    if not isinstance(result, pd.DataFrame):
        if not hasattr(result, "to_frame"):
            raise TypeError(f"{type(result).__name__} has no rows")
        result = result.to_frame() if what is None else result.to_frame(what)
    flat = result if isinstance(result.index, pd.RangeIndex) else result.reset_index()
    columns: dict[str, Any] = {}
    for name in flat.columns:
        columns |= _of_one_kind(str(name), flat[name])
    tidy = pd.DataFrame(columns)
    if units == "attrs":
        found = {name: match for name in tidy.columns if (match := _NAMED.fullmatch(name))}
        tidy = tidy.rename(columns={name: match[1] for name, match in found.items()})
        tidy.attrs["units"] = {match[1]: match[2] for match in found.values()}
    return tidy


def _of_one_kind(name: str, column: Any) -> dict[str, Any]:
    pd = needed("pandas")
    if column.dtype.kind in "biufM":
        return {name: column.to_numpy()}
    values = [None if value is None or value != value else value for value in column]
    texts = [value if isinstance(value, str) else "" for value in values]
    numbers = [float("nan") if value is None or isinstance(value, str) else float(value) for value in values]
    mixed = any(isinstance(value, str) for value in values)
    if not mixed:
        return {name: numbers}
    if any(number == number for number in numbers):
        return {name: numbers, f"{name}_text": pd.Series(texts)}
    return {name: pd.Series(texts)}


def export(
    result: Any,
    path: str | os.PathLike[str],
    what: str | None = None,
    *,
    units: str = "names",
    decimal: str = ".",
    force: bool = False,
) -> Path:
    """Write the rows of a result as `.parquet`, `.nc` (NetCDF), `.xlsx` or `.csv`, by the ending of the name.

    what, units: as `fb.frame` takes them; in NetCDF units are attributes of the variables, whatever is asked for.
    decimal: "," writes a CSV for spreadsheets set to it, with semicolons between columns. force: over a file that is
    there. Raises ValueError for another ending or mark, OutputRefused, and LibraryMissing, before anything is written.

    >>> import featherbench as fb
    >>> plain = fb.read(fb.example("survey-3kg/plain"))
    >>> import tempfile
    >>> fb.export(fb.moments(plain), f"{tempfile.mkdtemp()}/moments.csv", decimal=",").name
    'moments.csv'
    """
    target = Path(path)
    ending = target.suffix.lower()
    if ending not in NEEDS:
        raise ValueError(f"{target.name}: the name has to end in one of {', '.join(NEEDS)}")
    if decimal not in (".", ","):
        raise ValueError(f'a decimal mark is "." or ",", not {decimal!r}')
    need("pandas", *NEEDS[ending])
    check_target(target, force)
    rows = frame(result, what, "attrs" if ending == ".nc" else units)
    makers: dict[str, Callable[[Any], bytes]] = {
        ".parquet": _parquet,
        ".nc": _netcdf,
        ".xlsx": _workbook,
        ".csv": lambda rows: _csv(rows, decimal),
    }
    write_whole(target, makers[ending](rows), force)
    return target


def _csv(rows: Any, decimal: str) -> bytes:
    separator = ";" if decimal == "," else ","
    text: str = rows.to_csv(index=False, sep=separator, decimal=decimal, lineterminator="\n")
    return text.encode("utf-8")


def _parquet(rows: Any) -> bytes:
    stream = io.BytesIO()
    rows.to_parquet(stream, engine="pyarrow", index=False)
    return stream.getvalue()


def _netcdf(rows: Any) -> bytes:
    """In the classic format, which every reader of NetCDF knows."""
    xarray = needed("xarray")
    whole = xarray.Dataset.from_dataframe(rows.rename_axis(index="row").astype(_for_netcdf(rows)))
    for name, unit in rows.attrs.get("units", {}).items():
        whole[name].attrs["units"] = unit
    whole.attrs["source"] = "featherbench"
    return bytes(whole.to_netcdf(engine="scipy"))


def _for_netcdf(rows: Any) -> dict[str, Any]:
    """Texts as plain objects: the array library that pandas keeps them in is none of NetCDF's."""
    return {name: object for name in rows.columns if rows[name].dtype.kind not in "biufM"}


def _workbook(rows: Any) -> bytes:
    """Texts are texts in it: none is taken for a formula, whatever it begins with."""
    book = needed("openpyxl").Workbook()
    sheet = book.active
    for at, line in enumerate([list(rows.columns), *rows.itertuples(index=False)], start=1):
        for column, value in enumerate(line, start=1):
            if value != value:
                continue
            plain = value.item() if hasattr(value, "item") else value
            cell = sheet.cell(at, column, plain)
            if isinstance(plain, str):
                cell.data_type = "s"
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()
