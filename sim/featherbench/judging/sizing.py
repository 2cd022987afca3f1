"""Sizing whose answer holds: the search, with the strength checks as its judge."""

from __future__ import annotations

from concurrent.futures import Executor
from dataclasses import replace

from featherbench.bench.setup import Setup, build_setup
from featherbench.checks.load_path import load_path_checks, not_holding
from featherbench.checks.sections import ends
from featherbench.checks.wording import short_name
from featherbench.scenario import Scenario
from featherbench.sizing import Alternative, Sizing
from featherbench.sizing import size as search
from featherbench.sizing.best import with_parts
from featherbench.sizing.tolerance import UNMATCHED, set_mismatch


def against(setup: Setup) -> tuple[str, ...]:
    """What fails or is not known of what keeps blades and weights on, check by check; and what the builder's scale,
    where it is stated, cannot match to the grade that is stated.
    """
    weak = tuple(
        f"{check.name} {check.safety:.2g} x" if check.safety is not None else f"{check.name}: {check.source}"
        for check in not_holding(setup)
    )
    return (*weak, *_too_coarse(setup))


def _too_coarse(setup: Setup) -> tuple[str, ...]:
    """Why the sets of two blades cannot be matched; () where they can, or nobody said on what scale."""
    scenario = setup.scenario
    if "scale_step" not in scenario.workshop.model_fields_set:
        return ()
    weights = [part.moments for part in setup.assembly.parts if part.group == "counterweight"]
    radius = max((float(one.centre[0]) for one in weights), default=setup.assembly.bolt.radius)
    unlike = set_mismatch(scenario, float(setup.moments.mass), radius)
    if unlike.shows:
        return ()
    return (
        f"{UNMATCHED} to {unlike.grade} asks {1e6 * unlike.allowed:.2g} mg, workshop.scale_step is "
        f"{1e6 * unlike.step:.2g} mg: a finer scale, or limits.balance_grade = "
        f'"G{1e3 * unlike.of_step:.2g}" and above',
    )


def size(
    scenario: Scenario,
    route: str = "auto",
    weights: str = "replace",
    *,
    executor: Executor | None = None,
) -> Sizing:
    """Weights of least added centrifugal load that meet the scenario's target inside its [envelope], and hold.

    route: "bolt", "arms", "collars", "standard", "own" (what [[own]] lists) or "auto". Where nothing holds,
    `best.holds` is False and `best.against` says why. weights: what becomes of those that the scenario has, "replace",
    "keep" or "refuse". executor: what judges ways and materials, several at a time; one by one if None. The result is
    the same. Raises ScenarioError without an [envelope], or when nothing fits.

    >>> import featherbench as fb
    >>> found = fb.size(fb.read(fb.example("survey-3kg/plain")), "bolt")
    >>> found.best.words, found.best.holds
    ('turned bolt and nut, steel 4140 normalised', True)
    """
    found = search(scenario, route, against, weights, executor=executor)
    others = tuple(_measured(found, one) for one in found.alternatives)
    return replace(found, alternatives=others)


def _measured(found: Sizing, one: Alternative) -> Alternative:
    """With its reach, and the least of what is allowed over what is demanded of what keeps blades and weights on."""
    own = found.run.setup
    setup = build_setup(with_parts(found.plain, one.build, one.words), own.air)
    solids = [solid for part in setup.assembly.parts if part.name in one.build.parts for solid in part.solids]
    reach = [end for solid in solids for end in ends(solid)]
    judged = [check for check in load_path_checks(setup) if not check.holding and check.safety is not None]
    weakest = min(judged, key=lambda check: check.safety or 0.0, default=None)
    return replace(
        one,
        above=max(*reach, 0.0),
        below=max(*(-end for end in reach), 0.0),
        margin=weakest.safety if weakest else None,
        weakest=short_name(weakest) if weakest else "",
    )
