"""What results have in common when somebody looks at them: one line of text, frames of columns, and HTML.

How a result is shown is the business of `notebook_cells`, which the rooms that make results must not know: the front
door of the package hands it in.
"""

from __future__ import annotations

import contextlib
import difflib
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, NoReturn

from featherbench import quantities
from featherbench.front_door import handed_in
from featherbench.libraries import needed
from featherbench.plain_text import plain

if TYPE_CHECKING:
    import pandas as pd


WIDEST = 80
"""Characters of the one line that a result is in text."""
GIST: dict[str, Callable[[Any], str]] = {
    "Scenario": lambda it: f"{it.rotor.blades} blades, {len(it.part)} parts",
    "Run": lambda it: f"{it.value('rod_force_push'):.3g} N push, {it.findings['release'].value}",
    "Comparison": lambda it: f"{len(it.runs)} builds",
    "Ranking": lambda it: f"{len(it.tried)} changes by {it.by}",
    "Sizing": lambda it: f"{len(it.alternatives)} ways to make the weights",
    "Bias": lambda it: f"{len(it.points)} builds" + ("" if it.chosen else ", none chosen"),
    "Wag": lambda it: str(it.verdict.value),
    "Spread": lambda it: f"{it.done} of {it.asked} samples, {len(it.findings)} findings",
    "Sweep": lambda it: f"{it.done:,} of {it.count:,} builds, {it.tally.refused:,} refused",
    "Sampled": lambda it: f"{len(it.builds)} builds, {it.asked} samples each",
    "Match": lambda it: it.verdict,
    "Calibration": lambda it: f"{len(it.to_frame())} figures fitted",
    "StaticCurves": lambda it: f"{len(it.pitch)} pitches",
    "BenchData": lambda it: f"{len(it.readings)} readings, {len(it.logs)} logs",
}
"""What a result comes to in a few words, by the name of its class."""


class OneLine:
    """Base of what is one short line as text: a terminal, a log or a notebook writes that for every value."""

    def __init_subclass__(cls, **more: Any) -> None:
        """Keep `dataclass` and other bases from giving the class a text of everything in it."""
        super().__init_subclass__(**more)
        cls.__repr__ = cls.__str__ = OneLine.__repr__  # type: ignore[method-assign, assignment]

    def __repr__(self) -> str:
        """Kind, title and what it comes to, in at most `WIDEST` characters."""
        name = type(self).__name__
        gist = ""
        with contextlib.suppress(Exception):  # a text of something half made must not fail
            gist = plain(GIST[name](self), WIDEST // 2)
        said = f": {gist}" if gist else ""
        title = plain(_title(self), WIDEST - len(f"<{name} ''{said}>"))
        return f"<{name} '{title}'{said}>" if title else f"<{name}{said}>"


def _title(result: Any) -> str:
    """The title of the build that a result is about, of the first where there are several."""
    for step in ("title", "scenario", "nominal", "base", "runs"):
        inner = getattr(result, step, None)
        if isinstance(inner, str):
            return inner.replace("'", "\u2019")
        if isinstance(inner, tuple) and inner:
            inner = inner[0]
        if inner is not None:
            return _title(inner)
    return ""


class ByName(dict[str, Any]):
    """Values by name; a name that is none is answered with those near it."""

    def __missing__(self, name: str) -> NoReturn:
        """Raise KeyError, with near names where there are some."""
        near = difflib.get_close_matches(str(name), self, 3, 0.5)
        raise KeyError(
            f"no {name!r}; did you mean {' or '.join(near)}?" if near else f"no {name!r} in {sorted(self)}"
        )


class HtmlDisplay(OneLine):
    """Base of what shows itself in a notebook."""

    def __post_init__(self) -> None:
        """Answer a mistyped name of a finding or a curve with those near it."""
        for name in ("findings", "curves"):
            found = getattr(self, name, None)
            if isinstance(found, dict) and not isinstance(found, ByName):
                object.__setattr__(self, name, ByName(found))

    def _repr_html_(self) -> str:
        """HTML that needs nothing else, for the cell of a notebook."""
        html: str = handed_in("as_html")(self)
        return html


def unit(kind: str) -> str:
    """The SI unit of a kind of quantity; "" for ratios and texts."""
    return quantities.si_unit(kind)


def frame(columns: Mapping[str, Any], kinds: Mapping[str, str]) -> pd.DataFrame:
    """A pandas frame of columns (n,), SI, the unit in each name that has one (e.g. "rod_force [N]")."""
    pd = needed("pandas")

    named = {name: unit(kinds.get(name, "text")) for name in columns}
    return pd.DataFrame(
        {f"{name} [{named[name]}]" if named[name] else name: values for name, values in columns.items()}
    )


def findings_frame(findings: Mapping[str, Any]) -> pd.DataFrame:
    """Findings by name: value (SI, text, or None) and its unit. Each has `value` and `kind`."""
    pd = needed("pandas")

    rows = [(finding.value, unit(finding.kind)) for finding in findings.values()]
    index = pd.Index(list(findings), name="finding")
    return pd.DataFrame(rows, columns=["value", "unit"], index=index, dtype=object)
