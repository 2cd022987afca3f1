"""The outline of a section: coordinate files in either usual order, the chord line, thickness and mean line.

Two orders of coordinate files are in use. Selig: from the trailing edge over one side round the leading edge and
back over the other. Lednicer: the counts of both sides, then each side from the leading edge (M. S. Selig, UIUC
Airfoil Coordinates Database, its page on formats; from memory).
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

Points = NDArray[np.float64]

EXAMPLE = 'a 4-digit symmetric section such as "NACA 0012", or a coordinate file such as "section.dat"'
ORDERS = "points from the trailing edge round the nose and back, or both sides after their counts"
FEWEST = 8
"""Points of an outline; with fewer the nose is a corner."""
WIDEST_GAP = 0.25
"""Chords between the two ends of an outline at a thick trailing edge; further apart, they are not both there."""
FURTHEST_BACK = 1.02
"""Chords from the nose to the rearmost point of an outline; further, and its ends are not at the trailing edge."""
BEYOND = 1.5
"""A first row of whole numbers this many times as large as all others holds counts."""


class SectionRefused(ValueError):
    """A section that cannot be. given: what was named and what is wrong with it; expected: what would do."""

    def __init__(self, given: str, expected: str) -> None:
        """Keep both texts; the message joins them."""
        super().__init__(f"{given}; expected {expected}")
        self.given = given
        self.expected = expected


def read_outline(name: str, folder: Path) -> Points:
    """The outline (m, 2) in the coordinate file `name` of `folder`, as `on_chord_line` gives it.

    Raises SectionRefused for a file that cannot be read or holds no section.
    """
    try:
        text = (folder / name).read_text(encoding="utf-8", errors="replace")
    except (OSError, ValueError) as error:  # ValueError: a name no file can have
        reason = getattr(error, "strerror", None) or "cannot be read"
        raise SectionRefused(f"{name} ({reason})", EXAMPLE) from None
    try:
        return on_chord_line(_in_one_round(np.array(_number_pairs(text)).reshape(-1, 2)))
    except SectionRefused as refused:
        raise SectionRefused(f"{name} ({refused.given})", refused.expected) from None


def on_chord_line(points: ArrayLike) -> Points:
    """An outline (m, 2), from the trailing edge round the nose and back, laid on its chord line and scaled to it.

    The chord line runs from the middle of the trailing edge to the point furthest from it; the nose comes to (0, 0),
    the trailing edge to (1, 0). So pitch means the same to masses and air, however the coordinates lay. Raises
    SectionRefused when the points are no such outline.
    """
    outline = np.asarray(points, dtype=float)
    if len(outline) < FEWEST:
        expected = f"a coordinate file with a pair x y on each line, {FEWEST} points or more"
        raise SectionRefused(f"{len(outline)} points", expected)
    outline = outline / max(float(np.abs(outline).max()), 1e-300)  # squares of any numbers stay finite
    tail = 0.5 * (outline[0] + outline[-1])
    nose = outline[int(np.argmax(np.hypot(*(outline - tail).T)))]
    chord = tail - nose
    length = float(np.hypot(*chord))
    begins_elsewhere = "the points do not begin and end at the trailing edge"
    if not length > 1e-6 or chord[0] < 0.5 * length:
        raise SectionRefused(begins_elsewhere, ORDERS)
    along, across = chord / length, np.array([-chord[1], chord[0]]) / length
    laid = np.column_stack([(outline - nose) @ along, (outline - nose) @ across]) / length
    if laid[:, 0].max() > FURTHEST_BACK:
        raise SectionRefused(begins_elsewhere, ORDERS)
    if abs(laid[0, 1] - laid[-1, 1]) > WIDEST_GAP or np.ptp(laid[[0, -1], 0]) > WIDEST_GAP:
        raise SectionRefused("the points do not end where they begin", ORDERS)
    if np.ptp(laid[:, 1]) > 1.0:
        raise SectionRefused("thicker than long", "x along the chord, y across it")
    if not greatest_thickness(laid) > 0.0:
        raise SectionRefused("encloses nothing", "a closed section outline")
    return laid


def greatest_thickness(outline: Points) -> float:
    """Greatest width across the chord line, chords; outline (m, 2) as of `on_chord_line`."""
    first, second = _between(outline, np.unique(outline[:, 0]))
    return float(np.max(np.abs(first - second)))


def mean_line(outline: Points, count: int = 200) -> tuple[Points, Points]:
    """(x, y) of the mean line (count,), chords; outline (m, 2) as of `on_chord_line`."""
    x = 0.5 * (1.0 - np.cos(np.linspace(0.0, math.pi, count)))
    first, second = _between(outline, x)
    return x, 0.5 * (first + second)


def _between(outline: Points, x: Points) -> tuple[Points, Points]:
    """Both sides of an outline at x, straight between its points."""
    nose = int(np.argmin(np.hypot(*outline.T)))
    sides = []
    for side in (outline[: nose + 1], outline[nose:]):
        ordered = side[np.lexsort((side[:, 1], side[:, 0]))]
        sides.append(np.interp(x, ordered[:, 0], ordered[:, 1]))
    return sides[0], sides[1]


def _in_one_round(rows: Points) -> Points:
    """The points of a file (n, 2) in Selig order; where its first row counts the points of two sides, these joined."""
    if len(rows) < 3:
        return rows
    counts, points = rows[0], rows[1:]
    whole = counts.min() >= 2.0 and bool((counts == np.round(counts)).all())
    if whole and counts.sum() == len(points):
        upper = int(counts[0])
        sides = (points[:upper], points[upper:])
        from_nose = [side if side[0, 0] <= side[-1, 0] else side[::-1] for side in sides]
        return np.vstack([from_nose[0][::-1], from_nose[1]])
    if whole and counts[0] > BEYOND * np.abs(points[:, 0]).max():
        given = f"its first line counts {counts[0]:.0f} and {counts[1]:.0f} points, but {len(points)} follow"
        raise SectionRefused(given, ORDERS)
    return rows


def _number_pairs(text: str) -> list[tuple[float, float]]:
    """The lines that hold exactly two numbers, in order; titles and blank lines are passed over."""
    pairs = []
    for line in text.splitlines():
        words = line.replace(",", " ").split()
        if len(words) != 2:
            continue
        try:
            pair = (float(words[0]), float(words[1]))
        except ValueError:
            continue
        if math.isfinite(pair[0]) and math.isfinite(pair[1]):
            pairs.append(pair)
    return pairs
