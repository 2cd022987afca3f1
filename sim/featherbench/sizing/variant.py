"""The variant file that says the same as the part to make, ready to be compared with its base."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from featherbench.sizing.search import Sizing
from featherbench.studies.variant_file import variant_file


def variant_text(sizing: Sizing, folder: Path, comments: Sequence[str] = ()) -> str:
    """The variant as it is written into `folder`, comments first; raises ScenarioError when the scenario came from no
    file.
    """
    return variant_file(
        sizing.given,
        folder,
        heading="Written by featherbench size; parts of the base that are replaced stay in it as the build to compare "
        "with.",
        title=f"{sizing.plain.title}: {sizing.best.words}",
        remove=sizing.taken_off,
        comments=comments,
        tables={"part": sizing.best.build.parts},
    )
