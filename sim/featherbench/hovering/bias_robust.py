"""How often the chosen amount of weight changes over draws of air and of servo loop, shaking, friction and play.

In each draw the air is one that the doubts of its laws allow, and the flights are those that were flown under that
draw; the amount is chosen anew by force, release and whether play shows, at the phase of the choice.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import replace
from functools import partial

from featherbench.bench.setup import Setup, build_setup
from featherbench.bench.statics import static_curves
from featherbench.hovering.bias import largest_force, worse_release
from featherbench.hovering.bias_choice import Bias, choose, evened
from featherbench.hovering.hover_draws import DOUBTS
from featherbench.hovering.swept_point import Point
from featherbench.hovering.weight_amounts import varied as with_amount
from featherbench.sampling.inputs import values_at, varied, varied_inputs
from featherbench.sampling.samples import sample_places
from featherbench.scenario import Scenario
from featherbench.studies.ensemble import run_many


def with_choices(found: Bias, *, seed: int = 0, executor: Executor | None = None) -> Bias:
    """The sweep with how often each compensation is chosen; as it is where nothing was chosen or drawn, and where an
    interrupt left some draws out, then marked as interrupted.
    """
    if found.chosen is None or not found.draws:
        return found
    row = found.row(found.chosen.phase)
    airs = aired_scenarios(found.scenario, len(found.draws), seed + 1)

    work = list(enumerate(airs))
    done = run_many(partial(_choice, found, row), work, executor=executor)
    if done.interrupted:
        return replace(found, interrupted=True)
    counted = Counter(done.results.values())
    return replace(found, choices=tuple(sorted(counted.items())))


def _choice(found: Bias, row: Sequence[Point], draw: tuple[int, Scenario]) -> float:
    """The compensation that is chosen in the air of a draw; NaN for none."""
    number, scenario = draw
    base = build_setup(scenario)
    points = evened(tuple(_redrawn(point, number, base) for point in row))
    again = choose(replace(found, points=points, asked=len(points), interrupted=False)).chosen
    return again.compensation if again else float("nan")


def aired_scenarios(scenario: Scenario, count: int, seed: int) -> list[Scenario]:
    """The scenario in so many airs within the doubts of the air laws, the rest as written."""
    inputs = tuple(own for own in varied_inputs(scenario) if own.of_model and own.key not in DOUBTS)
    if not inputs:
        return [scenario] * count
    places = sample_places(len(inputs), count, seed)
    return [varied(scenario, inputs, values_at(inputs, tuple(place))) for place in places.tolist()]


def _redrawn(point: Point, number: int, base: Setup) -> Point:
    """The build in the air of a draw, with what its flight under that draw showed."""
    build = with_amount(base, point.compensation, point.phase)
    force = largest_force(static_curves(build, groups=False))
    return replace(point, rod_force=force, release=worse_release(build).value, shows=(point.shows[number],))
