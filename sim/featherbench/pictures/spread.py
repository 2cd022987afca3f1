"""Which tolerance matters: one page, the tolerances ranked, a bar for each finding that is ranked by."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from featherbench.guide.findings import FINDINGS_TABLE
from featherbench.numerals import percent
from featherbench.pictures import style
from featherbench.views.spread_summary import drawn_findings, interval, ranking

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from featherbench.sampling.spread import FindingSpread, Spread

MOST_ROWS = 12
"""Tolerances drawn; the rest are summed up in one row."""
ROW, HEAD, LEFT, RIGHT, BOTTOM = 0.22, 0.62, 2.05, 0.55, 0.12
"""Inches: a row, the room over a panel, margins."""
LONGEST = 29
"""Characters of a key on one line; two are written closer."""
REST = "all others"


def spread_figure(spread: Spread, system: str, axes: Sequence[Axes] | None = None) -> Figure:
    """Horizontal bars of the shares of variance, tolerances in order of rank, a panel a finding.

    Filled: by the tolerance alone; outlined: with what it makes together with others. axes: of your own, for as many
    findings as there are axes. Raises ValueError when there is nothing to rank.
    """
    from matplotlib.figure import Figure

    found, ranked = drawn_findings(spread), ranking(spread)
    if not found:
        raise ValueError("no finding varies: there is nothing to rank")
    keys = [candidate.key for candidate in ranked[:MOST_ROWS]]
    rest = [candidate.key for candidate in ranked[MOST_ROWS:]]
    rows = len(keys) + bool(rest)
    with style.applied():
        if axes is not None:
            owner = axes[0].get_figure(root=True)
            assert owner is not None
            for ax, one in zip(axes, found, strict=False):
                _bars(ax, one, keys, rest, system)
            return owner
        panel = HEAD + ROW * rows
        total = panel * len(found) + BOTTOM
        figure = Figure(figsize=(style.WIDTH, total))
        for number, one in enumerate(found):
            place = (
                LEFT / style.WIDTH,
                (total - panel * (number + 1)) / total,
                1.0 - (LEFT + RIGHT) / style.WIDTH,
                ROW * rows / total,
            )
            _bars(figure.add_axes(place), one, keys, rest, system)
        return figure


def _bars(ax: Axes, finding: FindingSpread, keys: list[str], rest: list[str], system: str) -> None:
    alone = [finding.shares[key] for key in keys]
    whole = [finding.total_shares[key] for key in keys]
    names = [_in_lines(key) for key in keys]
    if rest:
        alone.append(sum(finding.shares[key] for key in rest))
        whole.append(max(alone[-1], 0.0))
        names.append(REST)
    places = range(len(names))
    ax.barh(places, whole, height=0.66, facecolor="none", edgecolor=style.colour("blue"), linewidth=0.9)
    ax.barh(places, alone, height=0.66, color=style.colour("blue"), linewidth=0.0)
    for place, share in zip(places, whole, strict=True):
        text = percent(share, sign=False)
        ax.text(max(share, 0.0) + 0.012, place, text, fontsize=style.SMALL, verticalalignment="center")
    ax.set_yticks(list(places), names)
    for label in ax.get_yticklabels():
        label.set_linespacing(0.8)
        label.set_fontsize(style.SMALL if "\n" in label.get_text() else style.TEXT)
    ax.set_ylim(len(names) - 0.4, -0.6)
    ax.set_xlim(0.0, 1.0)
    ax.set_xticks([])
    ax.tick_params(axis="y", length=0.0)
    ax.spines["bottom"].set_visible(False)
    value, low, high, unit = interval(finding, system)
    ax.annotate(
        f"{FINDINGS_TABLE[finding.name].label.split(' (')[0]}: {low} to {high} {unit}, as written {value}".replace(
            " ,", ","
        ),
        (0.0, 1.0),
        xytext=(-LEFT * 72.0 + 4.0, 8.0),
        xycoords="axes fraction",
        textcoords="offset points",
        fontsize=style.TEXT,
        annotation_clip=False,
    )


def _in_lines(key: str) -> str:
    """A key path whole, without the word that every part's begins with; a long one goes on behind a point."""
    text = key.removeprefix("part.")
    if len(text) <= LONGEST:
        return text
    breaks = [place + 1 for place, letter in enumerate(text) if letter in "._-"]
    middle = min(breaks, key=lambda place: abs(place - len(text) / 2), default=len(text))
    return f"{text[:middle]}\n{text[middle:]}".rstrip("\n")
