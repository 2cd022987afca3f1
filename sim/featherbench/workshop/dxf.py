"""The drawing as DXF: real geometry in millimetres of the part, on layers, with dimension entities."""

from __future__ import annotations

import io
from typing import Any

from featherbench.libraries import need
from featherbench.workshop.sheet import (
    ARROW,
    DIM_SIZE,
    PAPER,
    STAMP_HIGH,
    STAMP_SIZE,
    STAMP_TURN,
    Point,
    Sheet,
    Stamp,
)

LINETYPES = {"hidden": "DASHED", "axis": "CENTER"}
COLOURS = {"outline": 7, "hidden": 8, "thread": 8, "flat": 7, "diagonal": 8, "hatch": 8}
COLOURS |= {"sign": 8, "axis": 1, "frame": 8}


def sheet_dxf(sheet: Sheet) -> bytes:
    """The sheet as DXF (R2010) text; closed half sections, to be turned, lie on layers PROFILE-<piece>.

    Raises LibraryMissing without ezdxf.
    """
    need("ezdxf")
    import ezdxf
    from ezdxf import units

    ezdxf.options.write_fixed_meta_data_for_testing = (
        True  # no date, no random numbers: same sheet, same file
    )
    document = ezdxf.new("R2010", setup=True, units=units.MM)
    space = document.modelspace()
    for layer, colour in COLOURS.items():
        document.layers.add(layer.upper(), color=colour, linetype=LINETYPES.get(layer, "CONTINUOUS"))
    document.layers.add("DIMENSIONS", color=5)
    document.layers.add("TEXT", color=7)

    def real(point: Point) -> Point:
        return point[0] / sheet.scale, point[1] / sheet.scale

    for line in sheet.lines:
        name = _layer(line.layer)
        if name not in document.layers:
            document.layers.add(name, color=COLOURS["axis"], linetype="CENTER")
        space.add_line(real(line.start), real(line.end), dxfattribs={"layer": name})
    for circle in sheet.circles:
        space.add_circle(
            real(circle.centre), circle.radius / sheet.scale, dxfattribs={"layer": circle.layer.upper()}
        )
    for profile in sheet.profiles:
        name = _layer(f"profile {profile.piece}")
        if name not in document.layers:
            document.layers.add(name, color=3)
        space.add_lwpolyline(
            [real(point) for point in profile.points], close=True, dxfattribs={"layer": name}
        )
    for words in sheet.words:
        text = space.add_text(
            _text(words.text),
            height=0.72 * words.size / sheet.scale,
            dxfattribs={"layer": "TEXT", "style": "OpenSans"},
        )
        text.set_placement(real(words.at))
    _dimensions(document, space, sheet)
    if sheet.stamp is not None:
        _stamp(document, space, sheet, sheet.stamp)
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode("utf-8")


def _stamp(document: Any, space: Any, sheet: Sheet, stamp: Stamp) -> None:
    """The word across the sheet, and why, on a layer of their own that has its name."""
    from ezdxf.enums import TextEntityAlignment

    layer = _layer(stamp.word)
    document.layers.add(layer, color=COLOURS["axis"])
    style = {"layer": layer, "style": "OpenSans-Bold"}
    word = space.add_text(
        stamp.word, height=0.72 * STAMP_SIZE / sheet.scale, rotation=STAMP_TURN, dxfattribs=style
    )
    middle = (0.5 * PAPER[0] / sheet.scale, STAMP_HIGH / sheet.scale)
    word.set_placement(middle, align=TextEntityAlignment.MIDDLE_CENTER)
    for words in stamp.lines:
        text = space.add_text(_text(words.text), height=0.72 * words.size / sheet.scale, dxfattribs=style)
        text.set_placement((words.at[0] / sheet.scale, words.at[1] / sheet.scale))


def _text(text: str) -> str:
    """With what every DXF font has."""
    return text.replace("Ø", "dia.")


def _layer(name: str) -> str:
    return name.upper().replace(" ", "-")


def _dimensions(document: Any, space: Any, sheet: Sheet) -> None:
    """Linear dimensions whose text gives both units."""
    style = document.dimstyles.duplicate_entry("EZDXF", "WORKSHOP")
    unit = 1.0 / sheet.scale
    style.dxf.dimtxt, style.dxf.dimasz = 0.72 * DIM_SIZE * unit, ARROW * unit
    style.dxf.dimexo, style.dxf.dimexe, style.dxf.dimgap = 0.3 * unit, 1.5 * unit, 0.6 * unit
    style.dxf.dimscale, style.dxf.dimlfac, style.dxf.dimtad = 1.0, 1.0, 1
    style.dxf.dimblk = ""
    for dim in sheet.dims:
        level = (dim.through[0] * unit, dim.through[1] * unit)
        start, end = ((point[0] * unit, point[1] * unit) for point in (dim.start, dim.end))
        made = space.add_linear_dim(
            base=level,
            p1=start,
            p2=end,
            angle=0.0 if dim.along == "x" else 90.0,
            text=_text(dim.text),
            dimstyle="WORKSHOP",
            dxfattribs={"layer": "DIMENSIONS"},
        )
        wide = 0.62 * DIM_SIZE * len(dim.text) * unit
        if dim.along == "x" and abs(end[0] - start[0]) < wide:  # beside its dimension line
            made.set_location((max(start[0], end[0]) + 0.5 * wide + 2.0 * unit, level[1] + 1.5 * unit))
        made.render()
