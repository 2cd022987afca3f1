"""Where a result goes: the terminal, a page, a document, a table; refused before any work is done for it."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from featherbench.libraries import need
from featherbench.numerals import display_factor
from featherbench.render import document
from featherbench.render.files import OutputExists, OutputRefused, check_target, write_whole
from featherbench.render.gallery import check_folder, write_pictures

if TYPE_CHECKING:
    from rich.console import Console

    from featherbench.studies.motion import Motion
    from featherbench.views.first_lines import FirstLines
    from featherbench.views.view import Picture, View

STANDARD_OUTPUT = "-"


class Forms(NamedTuple):
    """A result in every form it can take; each is made only when somebody asked for it.

    tables: prints to a console; document: for the JSON file; page: HTML; series: comma-separated text, and
    pictures, where the result has any; first: what has to be read first; motion: the moving picture, force_unit:
    N to what it shows, and the name of that.
    """

    tables: Callable[[Console], None]
    document: Callable[[], dict[str, Any]]
    page: Callable[[], str]
    series: Callable[[], str] | None = None
    pictures: Callable[[], Sequence[Picture]] | None = None
    first: FirstLines | None = None
    motion: Callable[[], Motion] | None = None
    force_unit: tuple[float, str] = (1.0, "N")


def forms_of(view: View, command: str, told: View | None = None, everything: bool = False) -> Forms:
    """A view in every form. command: how it was asked for; told: what the terminal shows instead, where it differs."""

    def tables(console: Console) -> None:
        from featherbench.render.terminal import print_view

        print_view(view if told is None else told, console, everything)

    def whole_page() -> str:
        from featherbench.render.page import page

        return page(view, command)

    return Forms(
        tables,
        lambda: document.document(view),
        whole_page,
        series=lambda: document.series_text(view),
        pictures=lambda: tuple(
            filter(None, (*(table.picture for table in view.tables), *view.pictures, view.parts))
        ),
        first=view.first,
        motion=view.motion,
        force_unit=display_factor("force", view.system),
    )


@dataclass(frozen=True)
class Outputs:
    """What was asked for. json: a file's name, or "-" for standard output, then nothing else goes there.

    figures: a folder for the pictures; quiet: no tables and no remarks; force: files that exist are overwritten.
    """

    page: Path | None = None
    json: str | None = None
    series: Path | None = None
    figures: Path | None = None
    quiet: bool = False
    force: bool = False

    @property
    def drawn(self) -> bool:
        """Whether anything with pictures is to be written."""
        return self.page is not None or self.figures is not None

    @property
    def files(self) -> tuple[Path, ...]:
        """Every file that is to be written."""
        document = None if self.json in (None, STANDARD_OUTPUT) else Path(str(self.json))
        return tuple(path for path in (document, self.series, self.page) if path is not None)

    def check(
        self, inputs: Iterable[str] = (), also: Iterable[Path | None] = (), kept: Iterable[Path | None] = ()
    ) -> None:
        """Refuse targets that cannot be written, are asked for twice, or are one of the input files.

        also: other files that a command writes by the same rule; kept: those that it never overwrites, force
        or not. None stands for a file not asked for. To be called before anything is computed. Raises
        OutputRefused, and LibraryMissing where what draws or lays out is not installed.
        """
        if self.drawn:
            need("matplotlib", *(["jinja2"] if self.page else []))
        taken, kept = {os.path.realpath(name) for name in inputs}, tuple(kept)
        asked: set[str] = set()
        targets = [(path, self.force) for path in (*self.files, *also)] + [(path, False) for path in kept]
        for path, force in targets:
            if path is None:
                continue
            target = str(check_target(path, force=True))
            if target in taken:
                raise OutputRefused(f"{path} is one of the input files: give another name")
            if target in asked:
                raise OutputRefused(f"{path} is asked for twice: give each file a name of its own")
            asked.add(target)
            if path in kept and os.path.exists(target):
                raise OutputExists(f"{path} exists, and --force does not overwrite it: give another name")
            check_target(path, force)
        if self.figures is not None:
            check_folder(self.figures, self.force)

    @property
    def untold(self) -> bool:
        """Whether no table goes to standard output, so that what has to be read first must be said elsewhere."""
        return self.quiet or self.json == STANDARD_OUTPUT

    @property
    def asked(self) -> bool:
        """Whether anything is to be written."""
        return bool(self.files) or self.figures is not None

    def deliver(self, forms: Forms, console: Callable[[], Console], say: Callable[[str], None]) -> None:
        """Write the files, then print: a reader that closes the pipe early loses no file. Raises OutputRefused."""
        self.write(forms, say)
        self.show(forms, console)

    def write(self, forms: Forms, say: Callable[[str], None]) -> None:
        """Write the files; say: takes one remark for each. Raises OutputRefused."""
        if self.json is not None and self.json != STANDARD_OUTPUT:
            self._write(Path(self.json), document.json_text(forms.document()), say)
        if self.series is not None and forms.series is not None:
            self._write(self.series, forms.series(), say)
        if self.page is not None:
            self._write(self.page, forms.page(), say)
        if self.figures is not None and forms.pictures is not None:
            self._write_pictures(self.figures, forms.pictures(), say)
            if forms.motion is not None:
                self._write_motion(self.figures, forms, say)

    def show(self, forms: Forms, console: Callable[[], Console]) -> None:
        """Print the document where standard output was asked for, else the tables; console: makes one for them."""
        if self.json == STANDARD_OUTPUT:
            print(document.json_text(forms.document()), end="")
        elif not self.quiet:
            forms.tables(console())

    def _write(self, path: Path, content: str, say: Callable[[str], None]) -> None:
        write_whole(path, content, self.force)
        if not self.quiet:
            say(f"wrote {path}")

    def _write_pictures(self, folder: Path, drawn: Sequence[Picture], say: Callable[[str], None]) -> None:
        if not drawn:
            say(f"no picture for {folder}: there is nothing to draw")
            return
        written = write_pictures(folder, drawn, self.force)
        if not self.quiet:
            say(f"wrote {len(written)} pictures to {folder}: {', '.join(one.name for one in drawn)}")

    def _write_motion(self, folder: Path, forms: Forms, say: Callable[[str], None]) -> None:
        """The moving picture as a GIF, where there is a library that writes one."""
        from featherbench.pictures.motion import can_move, motion_gif

        assert forms.motion is not None
        if not can_move():
            say("no moving picture: pip install pillow")
            return
        write_whole(folder / "motion.gif", motion_gif(forms.motion(), forms.force_unit), self.force)
        if not self.quiet:
            say(f"wrote {folder / 'motion.gif'}")
