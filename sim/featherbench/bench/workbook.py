"""The first sheet of an XLSX workbook as the text that it would be when saved as a table set apart by tabs."""

from __future__ import annotations

import io
import warnings
from typing import Any

from featherbench.libraries import needed

ENDINGS = (".xlsx", ".xlsm")
MOST_CELLS = 5_000_000
"""A bench run is far smaller; a damaged or hostile workbook may claim any size."""


class NoWorkbook(ValueError):
    """The file is no workbook that can be read; the message says what is in the way."""


def workbook_text(data: bytes) -> str:
    """Rows of its first sheet, as computed when it was last saved. Raises NoWorkbook, LibraryMissing."""
    openpyxl = needed("openpyxl")
    lines, cells = [], 0
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of styles and extensions, which hold no readings
            book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
            for row in book.worksheets[0].iter_rows(values_only=True):
                cells += len(row)
                if cells > MOST_CELLS:
                    raise NoWorkbook(f"more than {MOST_CELLS:,} cells")
                lines.append("\t".join(map(_cell, row)).rstrip("\t"))
    except NoWorkbook:
        raise
    except Exception as error:  # whatever the parser trips over, the file is what is wrong
        raise NoWorkbook(f"no readable workbook ({type(error).__name__})") from None
    return "\n".join(lines)


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return repr(value)
    text = value.isoformat(sep=" ") if hasattr(value, "hour") and hasattr(value, "year") else str(value)
    return " ".join(text.split())
