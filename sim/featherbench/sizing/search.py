"""Finds the part to make: every choice judged statically, the lightest good one run in full."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from featherbench.bench.setup import Setup, build_setup
from featherbench.notebook import HtmlDisplay, frame
from featherbench.scenario import Problem, Scenario, ScenarioError, located
from featherbench.sizing.arms import arm_choices
from featherbench.sizing.best import Alternative, Judge, best_of, nothing_against, rank, with_parts
from featherbench.sizing.choices import Choices
from featherbench.sizing.collars import collar_choices
from featherbench.sizing.design_space import DesignSpace, find_design_space, reference
from featherbench.sizing.machined import NOTHING
from featherbench.sizing.own import own_choices
from featherbench.sizing.sizing_target import SizingTarget, sizing_target_of
from featherbench.sizing.standard import standard_choices
from featherbench.sizing.tolerance import Tolerances, tolerances
from featherbench.sizing.turned import bolt_choices
from featherbench.studies.engines import Sent
from featherbench.studies.ensemble import run_many
from featherbench.studies.findings import Finding, finding
from featherbench.studies.prediction import predict
from featherbench.studies.run import Run

if TYPE_CHECKING:
    import pandas as pd

ROUTES: dict[str, Callable[[DesignSpace], tuple[list[Choices], list[str]]]] = {
    "bolt": bolt_choices,
    "arms": arm_choices,
    "collars": collar_choices,
    "standard": standard_choices,
    "own": own_choices,
}


@dataclass(frozen=True)
class Sizing(HtmlDisplay):
    """What size found. best is alternatives[0]; run: its full prediction; scenario: the variant, ready to run;
    plain: the build without weights; taken_off: names of counterweights that were removed.
    """

    plain: Scenario
    given: Scenario
    space: DesignSpace
    quantity: str
    target: float
    alternatives: tuple[Alternative, ...]
    scenario: Scenario
    run: Run
    findings: dict[str, Finding]
    tolerances: Tolerances
    taken_off: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def best(self) -> Alternative:
        """The part to make."""
        return self.alternatives[0]

    def to_frame(self, what: str = "pieces") -> pd.DataFrame:
        """A pandas frame, SI. what: "pieces" (each thing to make or buy for one blade, the mass that of one), or
        "alternatives" (the best of each route and material, the chosen one first). Raises KeyError for another name.
        """
        pieces = ("name", "count", "material", "standard", "thread", "length", "diameter", "mass", "radius")
        others = ("route", "words", "achieved", "residue", "mass", "load", "reached")
        rows, names = {"pieces": (self.best.build.made, pieces), "alternatives": (self.alternatives, others)}[
            what
        ]
        kinds = {
            "length": "length",
            "diameter": "length",
            "radius": "length",
            "mass": "mass",
            "load": "force",
        }
        return frame({name: [getattr(row, name) for row in rows] for name in names}, kinds)


def size(
    scenario: Scenario,
    route: str = "auto",
    judge: Judge = nothing_against,
    weights: str = "replace",
    *,
    executor: Executor | None = None,
) -> Sizing:
    """Weights of least added centrifugal load that meet the scenario's target inside its [envelope], and hold.

    route: "bolt", "arms", "collars", "standard", "own" or "auto". judge: what speaks against a build, check by check;
    what it passes comes first, and where nothing passes each alternative says why. weights: what becomes
    of those that the scenario has: "replace", "keep" (the new ones come on top and the target counts all) or "refuse".
    executor: what judges the ways and materials, several at a time; one by one if None.
    Raises ScenarioError without an [envelope], or when nothing fits.

    >>> import featherbench as fb
    >>> found = fb.size(fb.read(fb.example("survey-3kg/plain")), "bolt")
    >>> found.best.words
    'turned bolt and nut, steel 4140 normalised'
    >>> found.to_frame()["name"].tolist()
    ['weight bolt', 'weight nut']
    """
    plain, taken_off = reference(scenario, weights)
    setup = build_setup(plain)
    try:
        space = find_design_space(plain, setup.assembly)
    except ScenarioError as error:
        raise located(error, scenario) from None
    choices, reasons = _all_choices(space, route)
    if not choices:
        place = scenario.source.place("envelope")
        raise ScenarioError(
            [Problem(place[0], place[1], "envelope", "; ".join(reasons), "room for some weight")]
        )
    targets = {choice.removed: sizing_target_of(setup, choice.removed) for choice in choices}
    each = _one_by_one if executor is None else _Elsewhere(executor, route)
    alternatives, chosen, run = _settled(setup, choices, targets, judge, each)
    best = alternatives[0]
    quantity = targets[choices[0].removed].quantity
    without = float(sizing_target_of(setup, ()).measure(NOTHING, space.radius, space.chord)[0])
    reseated = () if best.route == "arms" else space.reseated
    notes = [*_notes(best, targets[choices[0].removed], taken_off, without), *_buried(best), *reseated]
    notes += reasons
    return Sizing(
        plain=plain,
        given=scenario,
        space=space,
        quantity=quantity,
        target=targets[choices[0].removed].value,
        alternatives=tuple(alternatives),
        scenario=chosen,
        run=run,
        findings=_findings(run, best),
        tolerances=tolerances(best.build, targets[_removed(choices, best)], space, plain, run),
        taken_off=taken_off,
        notes=tuple(notes),
    )


def _removed(choices: list[Choices], best: Alternative) -> tuple[str, ...]:
    return next(choice.removed for choice in choices if choice.words == best.words)


def _all_choices(space: DesignSpace, route: str) -> tuple[list[Choices], list[str]]:
    found: list[Choices] = []
    reasons: list[str] = []
    for name, make in ROUTES.items():
        if route == name or (route == "auto" and (name != "own" or space.own)):
            if name != "arms" and space.carried:
                held = ", ".join(space.carried)
                reasons.append(
                    f"{name}: {held} would come off with the bolt: replace all weights, or use arms"
                )
                continue
            choices, why = make(space)
            found += [choice for choice in choices if choice.count]
            reasons += why
    return found, reasons


def _one_by_one(
    setup: Setup, choices: list[Choices], aims: list[SizingTarget], judge: Judge
) -> list[Alternative]:
    return [best_of(setup, choice, aim, judge) for choice, aim in zip(choices, aims, strict=True)]


@dataclass(frozen=True)
class _Elsewhere:
    """The best of each way and material by other processes, which find the choices anew, once: how one is made cannot
    travel."""

    executor: Executor
    route: str

    def __call__(
        self, setup: Setup, _: list[Choices], aims: list[SizingTarget], judge: Judge
    ) -> list[Alternative]:
        sent = Sent.of(_There(setup, self.route, judge))
        done = run_many(sent, list(enumerate(aims)), executor=self.executor)
        if done.interrupted:
            raise KeyboardInterrupt
        return list(done.results.values())


class _There:
    """What one of them needs; called with the number of a way and material, and its target."""

    def __init__(self, setup: Setup, route: str, judge: Judge) -> None:
        self.setup, self.route, self.judge = setup, route, judge

    @cached_property
    def choices(self) -> list[Choices]:
        return _all_choices(find_design_space(self.setup.scenario, self.setup.assembly), self.route)[0]

    def __call__(self, way: tuple[int, SizingTarget]) -> Alternative:
        return best_of(self.setup, self.choices[way[0]], way[1], self.judge)


def _settled(
    setup: Setup,
    choices: list[Choices],
    targets: dict[tuple[str, ...], SizingTarget],
    judge: Judge,
    each: Callable[..., list[Alternative]] = _one_by_one,
) -> tuple[list[Alternative], Scenario, Run]:
    """Alternatives, best first, with the full run of the best; a force is read off the gauge run and corrected for."""
    for turn in range(4):
        aims = [targets[choice.removed] for choice in choices]
        alternatives = sorted(each(setup, choices, aims, judge), key=rank)
        best = alternatives[0]
        variant = with_parts(setup.scenario, best.build, best.words)
        run = predict(variant)
        target = next(iter(targets.values()))
        if target.quantity != "rod_force":
            return alternatives, variant, run
        seen = max(run.value("rod_force_push"), run.value("rod_force_pull"))
        if turn == 3 or abs(seen - best.achieved) < 0.002 * target.value:
            best = replace(best, achieved=seen, residue=target.value - seen)
            return [best, *alternatives[1:]], variant, run
        factor = seen / best.achieved
        targets = {key: replace(one, gain=one.gain * factor) for key, one in targets.items()}
    raise AssertionError("the loop returns")


def _findings(run: Run, best: Alternative) -> dict[str, Finding]:
    kind = {"size_residue": best.residue}
    return {
        "size_compensation": run.findings["compensation"],
        **{name: finding(name, value) for name, value in kind.items()},
        "size_mass": finding("size_mass", best.mass),
        "size_load": finding("size_load", best.load),
    }


def _buried(best: Alternative) -> list[str]:
    """What of studs goes into the grip: it is counted, and what is drilled out is not."""
    if not any(one.screwed_in for one in best.build.made):
        return []
    mass = 1e3 * float(best.build.beside.mass)
    return [f"what is screwed into the grip is counted, less what is drilled out: {mass:.2g} g a blade."]


def _limit(name: str) -> str:
    """A limit's key: of [envelope] where it is not one of [[own]]."""
    return name if "." in name else f"envelope.{name}"


def _notes(best: Alternative, target: SizingTarget, taken_off: tuple[str, ...], without: float) -> list[str]:
    notes = []
    if not best.holds:
        notes.append(f"do not make it: nothing that was tried holds; against it: {'; '.join(best.against)}.")
    if target.quantity == "seat_ratio":
        notes.append(
            f"without weights the load over friction is {without:.3g}; weights short of neutral only lower it."
        )
    if taken_off:
        notes.append(f"what of the scenario was taken off and is replaced: {', '.join(taken_off)}.")
    if not best.reached and target.quantity == "seat_ratio" and target.value > without:
        notes.append(
            "the target cannot be met: more of it takes load on the rod, so less weight or none, or less friction."
        )
    elif not best.reached:
        limits = ", ".join(_limit(name) for name in best.touching) or "the coarse steps of the hardware"
        more = " and the density of the materials" if best.touching else ""
        notes.append(
            f"the target of {target.value:g} cannot be met: {limits}{more} end it. "
            f"Nearest is {best.achieved:.3g}, with {best.words}."
        )
    elif best.touching:
        notes.append(f"it uses up {', '.join(_limit(name) for name in best.touching)}.")
    if best.route == "bolt":
        notes.append(
            "a turned bolt has no property class: use bar of the strength that the checks name, cut the thread "
            "cleanly, keep it out of the joint, leave a radius under the head, and check it before it holds a blade."
        )
    if best.route == "own":
        notes.append(
            "rings lie as listed in the variant, densest outermost, each against the next; lock the nut that does not "
            "lock itself. Every way to stack what you own was looked at."
        )
    if best.route == "standard":
        notes.append(
            "the screw clamps the grip through washers and nuts; the last nut below locks the one before it. "
            "Use thread lock."
        )
    if best.route == "collars":
        notes.append(
            "the bolt stays the file's own: a ring lies between grip and head or nut, which then stand that much "
            "farther out; a tapped collar goes on with thread lock and is no nut, but where it is said to "
            "take the nut's place."
        )
    if best.route == "arms":
        notes.append("an arm screws into the grip, as deep as its engagement says. Lock arm and weight.")
    return notes
