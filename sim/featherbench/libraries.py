"""Libraries that only some of the program needs: what for, and how to come by one that is not installed.

Whatever predicts does without these; an installation of `DEVELOPERS.md` for machines that only compute leaves them out.
Standard library only.
"""

from __future__ import annotations

import importlib
import importlib.util
from collections.abc import Iterable
from typing import Any

USES: dict[str, str] = {
    "matplotlib": "pictures, pages and the window",
    "jinja2": "pages",
    "pandas": "frames and tables over several builds",
    "ezdxf": "DXF drawings",
    "trimesh": "parts given as STL files",
    "distributed": "runs on a dask cluster",
    "pyarrow": "Parquet files",
    "xarray": "NetCDF files",
    "openpyxl": "XLSX workbooks",
}
"""What goes without a library, in the plural, by the name that is imported and that pip knows; an extra would be found
only from the folder that the program was installed from."""


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
    told = "; ".join(f"{use} need {name}, which is not installed" for name, use in uses.items())
    return f"{told}: pip install {' '.join(uses)}"


def words_for(error: ModuleNotFoundError) -> str | None:
    """What to say when loading a library has failed, if it is one of these; else None."""
    name = (error.name or "").partition(".")[0]
    return words([name]) if name in USES else None
