"""The bench runs with the tolerances varied that predict, compare and size make for the range beside each figure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Annotated

import typer

from featherbench.commands.options import OutputOptions, SampleSeedOption
from featherbench.commands.terminal import refuse, remark, working

if TYPE_CHECKING:
    from featherbench.sampling.sampled import Sampled
    from featherbench.studies import Run
    from featherbench.views.view import View

LEAST = 16
"""Fewer runs say next to nothing of a 95 % interval."""

BY_DEFAULT = 32
"""Runs for the terminal and for documents: enough to say how wide a range is, and about a second of waiting."""


@dataclass(frozen=True)
class RangeOptions:
    """How often a finished bench run is repeated with its tolerances and doubts varied."""

    runs: Annotated[
        int | None,
        typer.Option(
            "--runs",
            min=0,
            max=65536,
            show_default="32, 64 with --report or --figures",
            help="Bench runs with tolerances and doubts varied, for the range of each figure: 16 or more, or 0 for "
            "none, which is faster.",
        ),
    ] = None
    seed: SampleSeedOption = 0

    def check(self) -> None:
        """Refuse a number of runs that is not worth having."""
        if self.runs is not None and 0 < self.runs < LEAST:
            refuse(f"--runs {self.runs}: expected 0, or {LEAST} or more")

    def of(self, runs: Sequence[Run], drawn: bool, quiet: bool) -> Sampled | None:
        """What tolerances and doubts do to finished runs, with progress on standard error; None when there are none,
        or nobody wants to know.

        drawn: whether a page or pictures are wanted. An interrupt gives what was done so far.
        """
        if self.runs == 0 or (self.runs is None and not (drawn or BY_DEFAULT)):
            return None
        from featherbench.sampling.sampled import COUNT, sampled
        from featherbench.views.sampled_notes import NONE_STATED

        count = self.runs if self.runs is not None else COUNT if drawn else BY_DEFAULT
        with working(quiet, "bench runs with the tolerances varied") as work:
            found = sampled(runs, count, seed=self.seed, progress=work.count)
        if found is None and self.runs is not None and not quiet:
            remark(NONE_STATED)
        return found


def with_matter(view: View, run: Run, outputs: OutputOptions) -> View:
    """The view, saying which assumptions of a run matter, where a person reads its short form and nothing is drawn."""
    if outputs.targets.untold or outputs.targets.drawn or outputs.verbose:
        return view
    from featherbench.sampling.assumptions import assumptions_that_matter

    with working(outputs.quiet, "trying what was assumed"):
        return replace(view, matter=assumptions_that_matter(run))


def with_reason(view: View, runs: Sequence[Run], drawn: bool) -> View:
    """The view of runs, saying why it gives no ranges where a page or pictures should have had them."""
    from featherbench.views.sampled_notes import sampled_note

    return replace(view, ranges=sampled_note(runs, None)) if drawn and not view.ranges else view
