"""Libraries that only some of the program needs: what for, and how to come by one that is not installed.

Whatever predicts does without these; an installation of `DEVELOPERS.md` for machines that only compute leaves them out.
Standard library only.
"""

from __future__ import annotations

import importlib
import importlib.util
from collections.abc import Iterable
from typing import Any, NamedTuple


class Use(NamedTuple):
    """what: what goes without the library, in the plural; install: what to hand to pip."""

    what: str
    install: str


EXPORT = '"featherbench[export]"'
USES: dict[str, Use] = {
    "matplotlib": Use("pictures, pages and the window", "matplotlib"),
    "jinja2": Use("pages", "jinja2"),
    "pandas": Use("frames and tables over several builds", "pandas"),
    "ezdxf": Use("DXF drawings", "ezdxf"),
    "trimesh": Use("parts given as STL files", '"featherbench[mesh]"'),
    "distributed": Use("runs on a dask cluster", '"featherbench[cluster]"'),
    "pyarrow": Use("Parquet files", EXPORT),
    "xarray": Use("NetCDF files", EXPORT),
    "openpyxl": Use("XLSX workbooks", EXPORT),
}
"""By the name that is imported."""


class LibraryMissing(ImportError):
    """What was asked for needs a library that is not installed; the message says which, and how to install it."""


def need(*names: str) -> None:
    """Refuse, before any work is done for it, what needs a library that is not there. Raises LibraryMissing."""
    missing = [name for name in names if importlib.util.find_spec(name) is None]
    if missing:
        raise LibraryMissing(words(missing), name=missing[0])


def needed(name: str) -> Any:
    """The library of that name, which may be a module inside one, loaded. Raises LibraryMissing."""
    need(name.partition(".")[0])
    return importlib.import_module(name)


def words(missing: Iterable[str]) -> str:
    """What is missing, what for, and what to type."""
    uses = {name: USES[name] for name in missing}
    told = "; ".join(f"{use.what} need {name}, which is not installed" for name, use in uses.items())
    return f"{told}: pip install {' '.join(dict.fromkeys(use.install for use in uses.values()))}"


def words_for(error: ModuleNotFoundError) -> str | None:
    """What to say when loading a library has failed, if it is one of these; else None."""
    name = (error.name or "").partition(".")[0]
    return words([name]) if name in USES else None
