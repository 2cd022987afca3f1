"""A figure as SVG to be set into a page: text as text, its own names, colours that follow the page."""

from __future__ import annotations

import html
import io
import re
from typing import TYPE_CHECKING

from featherbench.pictures import style

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_NAMES = re.compile(r'(\bid="|url\(#|href="#)')
_NO_METADATA = {"Date": None, "Creator": None, "Format": None, "Type": None}


def inline_svg(figure: Figure, name: str, description: str) -> str:
    """The <svg> element of a figure.

    name: prefix of every id, unique on the page; description: what a screen reader says. Every colour of
    `style.COLOURS` becomes var(--role); the page has to define them (`colour_rules`).
    """
    stream = io.StringIO()
    with style.applied():
        figure.savefig(stream, format="svg", metadata=_NO_METADATA)
    text = stream.getvalue()
    text = text[text.index("<svg") :].strip()
    head, body = text.split(">", 1)
    box = re.search(r'viewBox="[^"]*"', head)
    assert box is not None
    body = re.sub(r"<style.*?</style>", "", body, count=1, flags=re.DOTALL).replace("xlink:href", "href")
    body = _NAMES.sub(rf"\g<1>{name}-", body)
    for role, shade in style.COLOURS.items():
        body = body.replace(f": {shade.light}", f": var(--{role})")
    return f'<svg {box[0]} role="img" aria-label="{html.escape(description, quote=True)}">{body}'


def colour_rules(dark: bool) -> str:
    """CSS declarations of the colours for a light or a dark page."""
    return " ".join(
        f"--{role}: {shade.dark if dark else shade.light};" for role, shade in style.COLOURS.items()
    )
