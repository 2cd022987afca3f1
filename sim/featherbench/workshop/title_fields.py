"""Fields of the title block that its owner fills in (ISO 7200, MEM), and the sign of projection (ISO 5456-2, MEM)."""

from __future__ import annotations

from featherbench.workshop.sheet import BOTTOM, RIGHT, Circle, Line, Sheet, Words

LOW, HIGH = BOTTOM + 7.6, 3.8
"""Foot of the fields, and height of each row, mm."""
LEFT, WIDTH = 190.0, RIGHT - 190.0
ROWS = (
    (("owner", 0.0), ("drawing no.", 0.5)),
    (("drawn", 0.0), ("approved", 0.28), ("date", 0.56), ("", 0.78)),
)
"""From the lowest row: label and where it begins, as a share of the width."""
LABEL = 1.7
FIELDS_TOP = LOW + HIGH * len(ROWS)


def write_fields(sheet: Sheet, of: str = "sheet 1 of 2") -> None:
    """Empty fields with their labels, which of the sheets it is, and the sign of projection at the lower right."""
    for row, fields in enumerate(ROWS):
        low = LOW + HIGH * row
        sheet.lines.append(Line("frame", (LEFT, low + HIGH), (RIGHT, low + HIGH)))
        for label, share in fields:
            x = LEFT + share * WIDTH
            if share:
                sheet.lines.append(Line("frame", (x, low), (x, low + HIGH)))
            sheet.words.append(Words((x + 0.8, low + 2.2), LABEL, label or of))
    sheet.lines.append(Line("frame", (LEFT, LOW), (RIGHT, LOW)))
    third_angle(sheet, RIGHT - 18.0, BOTTOM + 4.3)


def third_angle(sheet: Sheet, x: float, y: float) -> None:
    """A cone cut short, its small end towards the rings that are its view from there: rings at (x, y), cone beside."""
    for radius in (1.3, 2.6):
        sheet.circles.append(Circle("sign", (x, y), radius))
    near, far = x + 6.0, x + 13.0
    for start, end in (
        ((near, y - 1.3), (near, y + 1.3)),
        ((far, y - 2.6), (far, y + 2.6)),
        ((near, y - 1.3), (far, y - 2.6)),
        ((near, y + 1.3), (far, y + 2.6)),
    ):
        sheet.lines.append(Line("sign", start, end))
    sheet.lines.append(Line("sign", (x - 3.4, y), (far + 1.0, y)))
    sheet.lines.append(Line("sign", (x, y - 3.4), (x, y + 3.4)))
