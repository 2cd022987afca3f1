"""The rank command: ordinary changes tried one at a time, ranked by what each does."""

from __future__ import annotations

from typing import Annotated

import typer

from featherbench.commands.manual import example
from featherbench.commands.option_groups import words
from featherbench.commands.options import (
    OutputOptions,
    SampleSeedOption,
    ScenarioOptions,
    WorkerOptions,
    settings_of,
)
from featherbench.commands.terminal import announce, refuse, working

BY = ("force", "hold", "hover", "play", "strength")


@example(
    'featherbench rank scenarios/survey-3kg/plain.toml --set linkage.servo_arm="12 mm" --report rank.html'
)
def rank(
    *,
    build: Annotated[
        ScenarioOptions,
        words(settings="A change of your own, tried alone beside the ordinary ones; repeatable."),
    ],
    only: Annotated[bool, typer.Option("--only-set", help="Try nothing but what --set says.")] = False,
    by: Annotated[str, typer.Option("--by", help="Rank by force, hold, hover, play or strength.")] = "force",
    runs: Annotated[
        int, typer.Option("--runs", min=0, max=256, help="Samples of each build for the range of its change.")
    ] = 6,
    seed: SampleSeedOption = 0,
    engine: WorkerOptions,
    outputs: Annotated[OutputOptions, words(csv="Write every change and measure, in SI.")],
) -> None:
    """Try ordinary changes one at a time, and rank them by what each does and costs."""
    from featherbench.checks import CAUTIONS, bench_checks
    from featherbench.judging.ranking import rank as run_ranking
    from featherbench.scenario import ScenarioError, read
    from featherbench.views.rank import rank_view

    if by not in BY:
        refuse(f"--by {by}: expected one of {', '.join(BY)}")
    if only and not build.settings:
        refuse("--only-set: expected at least one --set KEY.PATH=VALUE to try")
    scenario = read(build.file)
    outputs.check(scenario.source.files)
    own, refused = {}, []
    for text in build.settings:
        try:
            own[text] = read(build.file, settings_of([text]))
        except ScenarioError as error:
            refused.append(str(error))
    if refused:
        refuse("\n\n".join(dict.fromkeys(refused)))
    engine.check()
    announce(outputs.quiet)
    how = {"ordinary": not only, "by": by, "count": runs, "seed": seed}
    with working(outputs.quiet, "changes tried") as work, engine.pool() as pool:
        found = run_ranking(scenario, own, **how, executor=pool, progress=work.count)
    checks = bench_checks(found.base)
    view = rank_view(found, checks, CAUTIONS, outputs.units.value)
    told = rank_view(found, checks, CAUTIONS, outputs.units.value, ends=outputs.verbose)
    outputs.deliver(view, work, told=told, whole=found.complete)
