"""Where everything stands in the window, in inches from its size, so that no writing overlaps at any usual size."""

from __future__ import annotations

from typing import NamedTuple

from featherbench.window.panel import LEFT

SIZE = (12.0, 6.6)
"""Inches to begin with: fits a small laptop's screen with the frame that a window has."""
STOP, CAUTION = 0.4, 0.28
"""Band at the top that says whether the build may be run; line at the foot with the cautions and their button."""
HEADER, STRIP = 0.62 + STOP, 0.56 + CAUTION
ABOVE, BELOW, RIGHT = 0.5, 0.56, 0.16
"""Room about each picture."""
TABLE, BUTTONS = 1.28, 0.44
SECTION = (0.27, 0.9, 1.3)
"""Width of the small view beside the currents: share of their column, least and most."""
ROW = (0.4, 0.56)
"""Least and most height of a slider with its writing."""
MARGIN = 0.083
ASK = 1.5
"""Width of the button that shows the cautions."""

Box = tuple[float, float, float, float]
"""Left, bottom, width, height, as shares of the window."""


class Layout(NamedTuple):
    """Boxes and points. panels, sliders: the axes; the cells are the room about them that nothing else stands in."""

    panels: tuple[Box, ...]
    panel_cells: tuple[Box, ...]
    section: Box
    section_cell: Box
    sliders: tuple[Box, ...]
    slider_cells: tuple[Box, ...]
    buttons: tuple[Box, ...]
    table: Box
    strip: Box
    stop: Box
    caution: Box
    caution_button: Box
    header: tuple[float, float]
    key: Box


def layout(width: float, height: float, sliders: int) -> Layout:
    """For a window of this size, inches."""
    side = min(max(0.29 * width, 3.1), 3.9)
    area, rows = width - side - 0.2, (height - HEADER - STRIP) / 2.0
    column = area / 2.0

    def box(left: float, bottom: float, wide: float, tall: float) -> Box:
        return left / width, bottom / height, max(wide, 0.2) / width, max(tall, 0.05) / height

    view = min(max(SECTION[0] * column, SECTION[1]), SECTION[2])
    taken = (0.0, 0.0, view, 0.0)  # of the currents' width
    corners = [(place * column, STRIP + (1 - row) * rows) for row in (0, 1) for place in (0, 1)]
    left, wide = area + 0.25, side - 0.4
    row = min(max((height - HEADER - STRIP - TABLE - BUTTONS - 0.2) / sliders, ROW[0]), ROW[1])
    top = height - HEADER + 0.28
    feet = [top - (place + 1) * row for place in range(sliders)]
    half = (wide - 0.12) / 2.0
    return Layout(
        panels=tuple(
            box(x + LEFT, y + BELOW, column - less - LEFT - RIGHT, rows - ABOVE - BELOW)
            for (x, y), less in zip(corners, taken, strict=True)
        ),
        panel_cells=tuple(
            box(x, y, column - less, rows) for (x, y), less in zip(corners, taken, strict=True)
        ),
        section=box(column - view + 0.02, STRIP + BELOW, view - 0.08, rows - ABOVE - BELOW),
        section_cell=box(column - view, STRIP, view, rows - ABOVE + 0.02),
        sliders=tuple(box(left, foot, wide, 0.16) for foot in feet),
        slider_cells=tuple(box(left - 0.12, foot - 0.06, wide + 0.24, row - 0.02) for foot in feet),
        buttons=tuple(box(left + place * (half + 0.12), STRIP + 0.02, half, 0.32) for place in (0, 1)),
        table=box(left, feet[-1] - 0.14 - TABLE, wide, TABLE),
        strip=box(MARGIN, CAUTION, width - 2.0 * MARGIN, STRIP - CAUTION - 0.02),
        stop=box(MARGIN, height - STOP, width - 2.0 * MARGIN, STOP),
        caution=box(MARGIN, 0.0, width - 2.0 * MARGIN - ASK, CAUTION),
        caution_button=box(width - MARGIN - ASK, 0.03, ASK, CAUTION - 0.05),
        header=(MARGIN / width, 1.0 - (0.1 + STOP) / height),
        key=box(MARGIN, height - 0.52 - STOP, 6.2, 0.2),
    )
