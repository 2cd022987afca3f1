"""The drawing of sized weights as the bytes of files: one sheet of the parts, one of the assembly."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from featherbench.sizing import Sizing
    from featherbench.views.first_lines import FirstLines


def drawn_sheets(sizing: Sizing, cautions: Sequence[str], first: FirstLines, kind: str) -> list[bytes]:
    """What to write, kind "svg", "pdf" or "dxf"; a PDF holds both sheets, of the others each has a file of its own.

    first: what has to be read first, which is stamped on each. Raises LibraryMissing.
    """
    from featherbench.workshop.assembly_view import draw_assembly
    from featherbench.workshop.drawing import draw_sheet

    how = (sizing, cautions, first.stamp, first.lines)
    sheets = (draw_sheet(*how), draw_assembly(*how))
    if kind == "dxf":
        from featherbench.workshop.dxf import sheet_dxf

        return [sheet_dxf(sheet) for sheet in sheets]
    from featherbench.pictures.workshop_sheet import sheet_bytes, sheets_pdf

    return [sheets_pdf(sheets)] if kind == "pdf" else [sheet_bytes(sheet, kind) for sheet in sheets]
