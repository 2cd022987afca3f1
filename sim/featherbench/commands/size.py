"""The size command: balance weights to machine for a target, with a variant to compare and a drawing to print."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from featherbench.commands import completion
from featherbench.commands.manual import example
from featherbench.commands.option_groups import words
from featherbench.commands.options import OutputOptions, ScenarioOptions, WorkerOptions
from featherbench.commands.terminal import announce, end, refuse, working
from featherbench.commands.tolerances import RangeOptions
from featherbench.libraries import need

if TYPE_CHECKING:
    from featherbench.sizing import Sizing
    from featherbench.views.first_lines import FirstLines
    from featherbench.views.view import View

ROUTES = ("auto", "bolt", "arms", "collars", "standard", "own")
WEIGHTS = ("replace", "keep", "refuse")
DRAWINGS = (".svg", ".pdf", ".dxf")


@example(
    "featherbench size scenarios/survey-3kg/plain.toml --route bolt --variant bolt.toml --drawing bolt.pdf"
)
def size(
    *,
    build: Annotated[ScenarioOptions, words(file="Scenario file with [envelope].")],
    route: Annotated[
        str,
        typer.Option(
            "--route",
            help="bolt: turned bolt and nut; arms: weights on arms; collars: turned collars on the bolt "
            "that the file has; standard: washers, nuts and a longer screw; "
            "own: the best stack of what [[own]] lists; auto: the lightest of them.",
            autocompletion=completion.routes,
        ),
    ] = "auto",
    weights: Annotated[
        str,
        typer.Option(
            "--weights",
            help="Weights that the file has: replace them, keep them (the target counts all), or refuse such a file.",
            autocompletion=completion.weights,
        ),
    ] = "replace",
    variant: Annotated[
        Path | None,
        typer.Option("--variant", metavar="OUT.toml", help="Write the variant, ready to compare."),
    ] = None,
    drawing: Annotated[
        Path | None,
        typer.Option(
            "--drawing",
            metavar="OUT.svg|pdf|dxf",
            help="Write the drawing, by the name's ending: a sheet of the parts and one of the assembly.",
            autocompletion=completion.drawing_files,
        ),
    ] = None,
    ranges: RangeOptions,
    engine: WorkerOptions,
    outputs: Annotated[OutputOptions, words(report="Write a page: the plain build against the sized one.")],
    strict: Annotated[
        bool, typer.Option("--strict", help="Exit with 1 when the target is missed or a check fails.")
    ] = False,
) -> None:
    """Find the balance weights to machine, or to put together, for a target."""
    from featherbench.checks import bench_checks, run_cautions
    from featherbench.judging.sizing import size as run_size
    from featherbench.studies.variant_file import own_file
    from featherbench.views.first_lines import of_sizing
    from featherbench.views.size import size_view

    _check_choices(route, weights, drawing)
    ranges.check()
    engine.check()
    scenario = build.read()
    outputs.check(scenario.source.files, also=_sheets(drawing), kept=[variant])
    if variant is not None:
        own_file(scenario)
    announce(outputs.quiet)
    with working(outputs.quiet, "sizing") as work, engine.pool() as pool:
        found = run_size(scenario, route, weights, executor=pool)
    checks, cautions = bench_checks(found.run), run_cautions(found.run)
    sampled = ranges.of([found.run], False, outputs.quiet)
    view = size_view(found, checks, cautions, outputs.units.value, sampled=sampled, seed=ranges.seed)
    wrote = _write(found, variant, drawing, outputs.force, of_sizing(found, checks, sampled), cautions)
    if build.settings and variant is not None:
        wrote.append("what --set changed is not in the variant file: write it there too")
    drawn, drawn_whole = _beside(found, ranges, outputs) if outputs.targets.drawn else (None, True)
    whole = drawn_whole and (sampled is None or sampled.complete)
    outputs.deliver(view, work, drawn=drawn, whole=whole, wrote=() if outputs.quiet else wrote)
    end(strict, checks, missed=not found.best.reached)


def _check_choices(route: str, weights: str, drawing: Path | None) -> None:
    if route not in ROUTES:
        refuse(f"--route {route}: expected one of {', '.join(ROUTES)}")
    if weights not in WEIGHTS:
        refuse(f"--weights {weights}: expected one of {', '.join(WEIGHTS)}")
    if drawing is not None and drawing.suffix.lower() not in DRAWINGS:
        refuse(f"--drawing {drawing}: expected a name that ends in {', '.join(DRAWINGS)}")
    if drawing is not None:
        need("ezdxf" if drawing.suffix.lower() == ".dxf" else "matplotlib")


def _write(
    sizing: Sizing,
    variant: Path | None,
    drawing: Path | None,
    force: bool,
    first: FirstLines,
    cautions: Sequence[str],
) -> list[str]:
    """The variant, which never overwrites, and the drawing; what to say of them."""
    from featherbench.render.files import write_whole
    from featherbench.sizing.variant import variant_text

    if variant is not None:
        write_whole(variant, variant_text(sizing, variant.parent, first.comment()), False)
    if drawing is not None:
        for path, content in _drawn(sizing, drawing, first, cautions).items():
            write_whole(path, content, force)
    return [f"wrote {path}" for path in (variant, *_sheets(drawing)) if path is not None]


def _sheets(drawing: Path | None) -> list[Path]:
    """Files of the drawing: a PDF holds both sheets, else the second, of the assembly, has a file of its own."""
    if drawing is None:
        return []
    beside = drawing.with_name(f"{drawing.stem}-assembly{drawing.suffix}")
    return [drawing] if drawing.suffix.lower() == ".pdf" else [drawing, beside]


def _drawn(sizing: Sizing, drawing: Path, first: FirstLines, cautions: Sequence[str]) -> dict[Path, bytes]:
    """What to write into each of them."""
    from featherbench.render.sheets import drawn_sheets

    contents = drawn_sheets(sizing, cautions, first, drawing.suffix.lower()[1:])
    return dict(zip(_sheets(drawing), contents, strict=True))


def _beside(sizing: Sizing, ranges: RangeOptions, outputs: OutputOptions) -> tuple[View, bool]:
    """The build without weights and the sized one side by side; whether all samples of their tolerances were run."""
    from featherbench.checks import bench_checks, run_cautions
    from featherbench.studies import compared, predict
    from featherbench.views.size import sized_view

    comparison = compared([predict(sizing.plain), sizing.run])
    sampled = ranges.of(comparison.runs, True, outputs.quiet)
    checks = [bench_checks(run) for run in comparison.runs]
    cautions = run_cautions(*comparison.runs)
    view = sized_view(sizing, comparison, checks, cautions, outputs.units.value, sampled)
    return view, sampled is None or sampled.complete
