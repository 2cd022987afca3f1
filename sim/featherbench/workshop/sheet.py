"""What a workshop drawing is put together from: paper, lines, circles, dimensions and words, before any file format.

Coordinates are millimetres on paper; divided by the scale they are millimetres of the part.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

PAPER = (297.0, 210.0)
LEFT, RIGHT, BOTTOM, TOP = 23.5, 273.5, 12.0, 198.0
"""Frame, mm on A4 paper; 250 mm wide, so that it also lies within Letter paper with the sheet centred."""
BLOCK = 58.0
"""Height of the words below the views, mm."""
SCALES = (10.0, 5.0, 2.0, 1.0)
"""Enlargements of ISO 5455, and true size (MEM)."""
ROW, SIDES, GAP = 28.0, 42.0, 40.0
"""Room for dimensions above and below a view, beside it, and between side and end view, mm."""
INCH = 25.4
DIM_SIZE, ARROW = 2.6, 2.2
"""Of a dimension's text and arrow, mm."""
STAMP_SIZE, STAMP_TURN, STAMP_HIGH = 24.0, 18.0, 125.0
"""Of the word across the sheet: mm, degrees, mm from the foot."""

Point = tuple[float, float]


class Line(NamedTuple):
    """layer: outline, hidden, thread, flat, diagonal, axis, frame."""

    layer: str
    start: Point
    end: Point


class Circle(NamedTuple):
    """layer as of a line."""

    layer: str
    centre: Point
    radius: float


class Dim(NamedTuple):
    """A linear dimension between two points, its line through `through`; along "x" or "y"."""

    start: Point
    end: Point
    through: Point
    along: str
    text: str


class Words(NamedTuple):
    """One line of text, its lower left corner at `at`; size: height of capitals about 0.7 of it, mm."""

    at: Point
    size: float
    text: str
    bold: bool = False


class Stamp(NamedTuple):
    """What forbids to make or run what is drawn. word: across the whole sheet; lines: why, over its frame."""

    word: str
    lines: tuple[Words, ...]


class Profile(NamedTuple):
    """A closed half section to be turned about its axis (y = axis); piece: the name of what is made."""

    piece: str
    points: tuple[Point, ...]
    axis: float


@dataclass
class Sheet:
    """Everything on the paper. scale: paper over part."""

    scale: float
    title: str
    lines: list[Line] = field(default_factory=list)
    circles: list[Circle] = field(default_factory=list)
    dims: list[Dim] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)
    profiles: list[Profile] = field(default_factory=list)
    stamp: Stamp | None = None


def millimetres(length: float) -> str:
    """A length (m) to a thousandth of a millimetre, without trailing zeros."""
    return f"{length * 1e3:.3f}".rstrip("0").rstrip(".")


def both(length: float, sign: str = "") -> str:
    """A length (m) in millimetres and inches."""
    return f"{sign}{millimetres(length)} mm ({length * 1e3 / INCH:.4f} in)"
