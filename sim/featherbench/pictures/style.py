"""How every picture looks: one set of fonts, sizes, line styles and colours.

Colours stay apart for colour-blind readers, and line styles tell the same in grey. Each colour stands for a
role; on a page it becomes a variable with a light and a dark value (see `report.pages.svg`).
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, NamedTuple


class Colour(NamedTuple):
    """light: drawn, and shown on white; dark: shown on a dark page."""

    light: str
    dark: str


class Stroke(NamedTuple):
    """How a line is drawn: a role of COLOURS, width in points, dash pattern ("" or points on, off, ...)."""

    role: str
    width: float = 1.4
    dashes: tuple[float, ...] = ()


COLOURS: dict[str, Colour] = {
    "ink": Colour("#1b2026", "#e9ecf0"),
    "faint": Colour("#5d6670", "#a9b2bd"),
    "rule": Colour("#c9ced4", "#414953"),
    "paper": Colour("#ffffff", "#14171b"),
    "blue": Colour("#1559a6", "#78b4f5"),
    "orange": Colour("#b8540a", "#f2a159"),
    "green": Colour("#12735f", "#5fd0b4"),
    "plum": Colour("#86337f", "#df9ad8"),
    "grey": Colour("#6a7178", "#9aa3ad"),
}

WIDTH = 5.4
"""Inches; small, so that the writing stays readable when a phone shrinks the picture."""
TEXT, SMALL = 10.0, 9.0
"""Font sizes, points."""

CASES: tuple[Stroke, ...] = (
    Stroke("grey", 1.5, (5.0, 2.0)),
    Stroke("blue", 1.9),
    Stroke("orange", 1.6, (7.0, 1.5, 1.5, 1.5)),
    Stroke("green", 1.6, (2.0, 1.5)),
    Stroke("plum", 1.6, (9.0, 2.0)),
)
"""The base first; the builds set against it after it."""
ALONE = Stroke("blue", 1.7)
LIMIT = Stroke("orange", 1.2, (1.5, 1.5))
"""What the servo has."""

GROUPS: dict[str, Stroke] = {
    "blade": Stroke("blue", 1.4),
    "grip": Stroke("green", 1.4, (6.0, 2.0)),
    "bolt": Stroke("grey", 1.4, (2.0, 1.5)),
    "counterweight": Stroke("orange", 1.6, (8.0, 1.5, 1.5, 1.5)),
    "other": Stroke("plum", 1.4, (4.0, 1.5, 1.5, 1.5, 1.5, 1.5)),
    "air": Stroke("plum", 1.4, (1.0, 1.0)),
}
SUM = Stroke("ink", 2.4)


def colour(role: str) -> str:
    """The hex colour to draw a role in."""
    return COLOURS[role].light


def case_stroke(number: int, count: int) -> Stroke:
    """Stroke of case `number` of `count`."""
    return ALONE if count == 1 else CASES[number % len(CASES)]


@contextmanager
def applied() -> Iterator[None]:
    """Within it, matplotlib draws and saves in this style; nothing stays changed outside."""
    import matplotlib

    settings: Any = {
        "font.family": "sans-serif",
        "font.sans-serif": ["DejaVu Sans", "Verdana", "Arial", "sans-serif"],
        "font.size": TEXT,
        "text.color": colour("ink"),
        "text.parse_math": False,
        "axes.labelcolor": colour("ink"),
        "axes.labelsize": TEXT,
        "axes.edgecolor": colour("faint"),
        "axes.linewidth": 0.8,
        "axes.facecolor": "none",
        "axes.spines.top": False,
        "axes.spines.right": False,
        "axes.unicode_minus": True,
        "axes.formatter.use_mathtext": False,
        "axes.formatter.useoffset": False,
        "axes.formatter.limits": (-6, 7),
        "xtick.color": colour("faint"),
        "ytick.color": colour("faint"),
        "xtick.labelcolor": colour("ink"),
        "ytick.labelcolor": colour("ink"),
        "xtick.labelsize": SMALL,
        "ytick.labelsize": SMALL,
        "grid.color": colour("rule"),
        "grid.linewidth": 0.6,
        "figure.facecolor": "none",
        "savefig.facecolor": "none",
        "svg.fonttype": "none",
        "svg.hashsalt": "featherbench",
        "path.simplify": True,
        "path.simplify_threshold": 0.2,
    }
    with matplotlib.rc_context(settings):
        yield
