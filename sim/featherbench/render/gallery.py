"""From a view's pictures to figures and files; what draws each kind is loaded when it is asked for."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from featherbench.libraries import need
from featherbench.pictures import style
from featherbench.render.files import OutputExists, OutputRefused, write_whole

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from featherbench.views.view import Picture

KINDS = ("svg", "png")
DOTS_PER_INCH = 200
PAINTERS: dict[str, str] = {
    "force": "bench.force_figure",
    "moments": "bench.moments_figure",
    "release": "bench.release_figure",
    "course": "course.course_figure",
    "play": "play.play_figure",
    "parts": "root.root_figure",
    "drawing": "workshop_sheet.sheet_figure",
    "shares": "spread.spread_figure",
    "log": "match.match_figure",
    "flight": "hover.wag_figure",
    "sweep": "sweep.bias_figure",
    "fitted": "calibrate.calibrate_figure",
    "rank": "rank.rank_figure",
    "map": "sweep_map.map_figure",
    "hung": "swing.swing_figure",
}
"""By kind of picture: module and function of `pictures`, which takes the picture's subject."""


def figure_of(picture: Picture) -> Figure:
    """Draw it. Raises KeyError for a kind that nothing draws."""
    figure: Figure = painter(picture.kind or picture.name)(*picture.subject)
    return figure


def painter(kind: str) -> Callable[..., Figure]:
    """What draws a kind of picture. Raises LibraryMissing without matplotlib."""
    need("matplotlib")
    module, _, name = PAINTERS[kind].partition(".")
    found: Callable[..., Figure] = getattr(import_module(f"featherbench.pictures.{module}"), name)
    return found


def check_folder(folder: Path, force: bool) -> None:
    """Refuse a folder that cannot take pictures, or holds some already; raises OutputRefused."""
    if folder.exists() and not folder.is_dir():
        raise OutputRefused(f"{folder} is a file: give a folder for the pictures")
    if not folder.exists() and not folder.parent.is_dir():
        raise OutputRefused(
            f"{folder} cannot be made: there is no folder {folder.parent}; make it, or give another"
        )
    if folder.is_dir() and not force:
        there = sorted(path.name for path in folder.iterdir() if path.suffix.lower()[1:] in KINDS)
        if there:
            raise OutputExists(
                f"{folder} holds pictures already ({there[0]}): give another folder, or --force to overwrite "
                "those of the same name"
            )


def write_pictures(folder: Path, pictures: Sequence[Picture], force: bool = False) -> list[Path]:
    """Write each picture as NAME.svg and NAME.png; the folder is made. Raises OutputRefused."""
    check_folder(folder, force)
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise OutputRefused(f"{folder} cannot be made: {error.strerror or error}") from error
    written = []
    for one in pictures:
        figure = figure_of(one)
        for kind in KINDS:
            path = folder / f"{one.name}.{kind}"
            write_whole(path, picture_bytes(figure, kind, one.title), force)
            written.append(path)
    return written


def picture_bytes(figure: Figure, kind: str, title: str) -> bytes:
    """The figure on white paper as a file of `kind` "svg" or "png"; the same figure gives the same bytes."""
    metadata = {"Title": title} | ({"Date": None, "Creator": None} if kind == "svg" else {"Software": None})
    target = io.BytesIO()
    with style.applied():
        figure.savefig(target, format=kind, dpi=DOTS_PER_INCH, facecolor="white", metadata=metadata)
    return target.getvalue()
