"""The size command: balance weights to machine for a target, with a variant to compare and a drawing to print."""

from __future__ import annotations

import os
import shlex
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from featherbench.studies.sizing import Sizing

CHECK_FAILED, REFUSED = 1, 2
ROUTES = ("auto", "bolt", "arms", "standard")
DRAWINGS = (".svg", ".pdf", ".dxf")


def size(
    file: Annotated[Path, typer.Argument(help="Scenario file with [envelope].")],
    route: Annotated[
        str,
        typer.Option(
            "--route",
            help="bolt: turned bolt and nut; arms: weights on arms; standard: washers, nuts and a longer screw; "
            "auto: the lightest of them.",
        ),
    ] = "auto",
    variant: Annotated[
        Path | None,
        typer.Option("--variant", metavar="OUT.toml", help="Write the variant, ready to compare."),
    ] = None,
    drawing: Annotated[
        Path | None,
        typer.Option("--drawing", metavar="OUT.svg|pdf|dxf", help="Write the drawing, by the name's ending."),
    ] = None,
    settings: Annotated[
        list[str],
        typer.Option("--set", metavar="KEY.PATH=VALUE", help="Override one key of the scenario; repeatable."),
    ] = [],  # noqa: B006 - typer reads the default, nothing changes it
    units: Annotated[str, typer.Option("--units", help="metric, or trade: ozf, ozf*inch, inch.")] = "metric",
    report: Annotated[
        Path | None,
        typer.Option(
            "--report", metavar="FILE.html", help="Write a page: the plain build against the sized one."
        ),
    ] = None,
    json_file: Annotated[
        str | None,
        typer.Option("--json", metavar="FILE", help="Write everything in SI; - for standard output."),
    ] = None,
    seed: Annotated[int, typer.Option("--seed", help="Seed of anything random (sizing has nothing).")] = 0,
    force: Annotated[bool, typer.Option("--force", help="Overwrite files that exist.")] = False,
    strict: Annotated[
        bool, typer.Option("--strict", help="Exit with 1 when the target is missed or a check fails.")
    ] = False,
    quiet: Annotated[bool, typer.Option("--quiet", help="Print no tables, progress or cautions.")] = False,
) -> None:
    """Find the balance weights to machine, or to put together, for a target."""
    from featherbench.checks import CAUTIONS, bench_checks
    from featherbench.report.files import check_target
    from featherbench.scenario import read
    from featherbench.studies.sizing import size as run_size

    _check_choices(route, units, drawing)
    named = Path(json_file) if json_file and json_file != "-" else None
    targets = [path for path in (drawing, report, named) if path is not None]
    for target in targets:
        check_target(target, force)
    if variant is not None:
        check_target(variant, False)
    names = [os.path.realpath(path) for path in (*targets, variant, file) if path is not None]
    if len(set(names)) < len(names):
        _refuse("two of the files have the same name: give each its own")
    found = run_size(read(file, _settings(settings)), route)
    checks = bench_checks(found.run)
    _write(found, variant, drawing, force, quiet)
    if report is not None:
        _page(found, report, units, force)
    from featherbench.report.document import json_text
    from featherbench.report.files import write_whole
    from featherbench.report.sheet_text import print_size, size_document

    if json_file is not None:
        text = json_text(size_document(found, checks, CAUTIONS, seed=seed))
        if named is not None:
            write_whole(named, text, force)
        else:
            typer.echo(text, nl=False)
    if not quiet and json_file != "-":
        from rich.console import Console

        plain = bool(os.environ.get("NO_COLOR")) or not sys.stdout.isatty()
        print_size(found, checks, CAUTIONS, units, Console(highlight=False, no_color=plain))
        if settings and variant is not None:
            typer.echo("note: what --set changed is not in the variant file", err=True)
    if strict and (not found.best.reached or any(check.verdict == "fails" for check in checks)):
        raise typer.Exit(CHECK_FAILED)


def _check_choices(route: str, units: str, drawing: Path | None) -> None:
    if route not in ROUTES:
        _refuse(f"--route {route}: expected one of {', '.join(ROUTES)}")
    if units not in ("metric", "trade"):
        _refuse(f"--units {units}: expected metric or trade")
    if drawing is not None and drawing.suffix.lower() not in DRAWINGS:
        _refuse(f"--drawing {drawing}: expected a name that ends in {', '.join(DRAWINGS)}")


def _write(found: Sizing, variant: Path | None, drawing: Path | None, force: bool, quiet: bool) -> None:
    """The variant, which never overwrites, and the drawing."""
    from featherbench.checks import CAUTIONS
    from featherbench.report.files import write_whole
    from featherbench.studies.sizing.variant import variant_text

    if variant is not None:
        write_whole(variant, variant_text(found, variant.parent), False)
    if drawing is not None:
        from featherbench.report.sheet import draw_sheet

        sheet = draw_sheet(found, CAUTIONS)
        kind = drawing.suffix.lower()[1:]
        if kind == "dxf":
            from featherbench.report.sheet_dxf import sheet_dxf

            content = sheet_dxf(sheet)
        else:
            from featherbench.report.sheet_page import sheet_bytes

            content = sheet_bytes(sheet, kind)
        write_whole(drawing, content, force)
    for path in (variant, drawing):
        if path is not None and not quiet:
            typer.echo(f"wrote {path}", err=True)


def _page(found: Sizing, report: Path, units: str, force: bool) -> None:
    """The page of the plain build against the sized one."""
    from featherbench.checks import CAUTIONS, bench_checks
    from featherbench.report.files import write_whole
    from featherbench.report.page import comparison_page
    from featherbench.studies import compared, predict

    comparison = compared([predict(found.plain), found.run])
    checks = tuple(bench_checks(run) for run in comparison.runs)
    command = "featherbench " + " ".join(shlex.quote(word) for word in sys.argv[1:])
    write_whole(report, comparison_page(comparison, checks, CAUTIONS, units, command), force)


def _settings(given: list[str]) -> dict[str, str]:
    """--set KEY.PATH=VALUE, taken apart."""
    settings = {}
    for text in given:
        key, sign, value = text.partition("=")
        if not sign or not key.strip():
            _refuse(f'--set {text}: expected KEY.PATH=VALUE, for example --set rotor.speed="9000 rpm"')
        settings[key.strip()] = value.strip()
    return settings


def _refuse(message: str) -> None:
    typer.echo(message, err=True)
    raise typer.Exit(REFUSED)
