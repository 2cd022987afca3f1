"""Runs and comparisons in each form that a view takes, for tests."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rich.console import Console

from featherbench.checks import Check
from featherbench.render.document import document, json_text, series_text
from featherbench.render.files import write_whole
from featherbench.render.page import page
from featherbench.render.terminal import print_view
from featherbench.sampling.sampled import Sampled
from featherbench.studies.run import Comparison, Run
from featherbench.views.bench import comparison_view, run_view

__all__ = ["comparison_document", "comparison_page", "csv_text", "json_text", "print_comparison", "print_run"]
__all__ += ["run_document", "run_page", "write_whole"]


def print_run(
    run: Run,
    checks: Sequence[Check],
    cautions: Sequence[str],
    system: str,
    console: Console,
    verbose: bool = True,
    sampled: Sampled | None = None,
) -> None:
    """On a terminal."""
    print_view(run_view(run, checks, cautions, system, sampled=sampled), console, verbose)


def print_comparison(
    comparison: Comparison,
    checks: Sequence[Sequence[Check]],
    cautions: Sequence[str],
    system: str,
    console: Console,
    verbose: bool = True,
    sampled: Sampled | None = None,
) -> None:
    """On a terminal."""
    print_view(comparison_view(comparison, checks, cautions, system, sampled=sampled), console, verbose)


def run_document(run: Run, checks: Sequence[Check], cautions: Sequence[str], **more: Any) -> dict[str, Any]:
    """For a program."""
    return document(run_view(run, checks, cautions, "trade", **more))


def comparison_document(
    comparison: Comparison, checks: Sequence[Sequence[Check]], cautions: Sequence[str], **more: Any
) -> dict[str, Any]:
    """For a program."""
    return document(comparison_view(comparison, checks, cautions, "trade", **more))


def csv_text(run: Run) -> str:
    """For a spreadsheet."""
    return series_text(run_view(run, (), (), "metric"))


def run_page(
    run: Run,
    checks: Sequence[Check],
    cautions: Sequence[str],
    system: str,
    command: str = "",
    sampled: Sampled | None = None,
) -> str:
    """A page."""
    return page(run_view(run, checks, cautions, system, sampled=sampled), command)


def comparison_page(
    comparison: Comparison,
    checks: Sequence[Sequence[Check]],
    cautions: Sequence[str],
    system: str,
    command: str = "",
    sampled: Sampled | None = None,
) -> str:
    """A page."""
    return page(comparison_view(comparison, checks, cautions, system, sampled=sampled), command)
