"""What is kept of each build: findings by name, what the checks say, or what a function of the user's makes of its run.

Only what is named is run: without a test of the gauge or the servo a build costs a tenth of a whole prediction or less.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from featherbench.bench.setup import Setup, build_setup
from featherbench.checks.check import Verdict
from featherbench.checks.load_path import load_path_checks
from featherbench.guide.findings import FINDINGS_TABLE, Meaning
from featherbench.hovering.bias import largest_force
from featherbench.judging.sampled_checks import FAILING, UNKNOWN_PATHS, sample_checks
from featherbench.scenario import Scenario
from featherbench.studies.bench_tests import PREDICTED, needed_for
from featherbench.studies.prediction import bench_run
from featherbench.studies.run import Run

Found = dict[str, float | str | None]
Asked = Sequence[str] | Callable[[Run], Any]

OWN: dict[str, Meaning] = {
    "rod_force_static": Meaning("force", "largest force on the rod, moved slowly against friction"),
    "strength": Meaning("ratio", "least strength over load of what holds blades and weights on"),
    "load_path": Meaning("text", "what holds blades and weights on"),
    FAILING: Meaning("text", "checks that fail"),
    UNKNOWN_PATHS: Meaning("text", "what holds blades or weights on and is not known"),
}
"""Values beside the findings of a bench run. load_path: "holds", "fails" or "unknown"."""
USUAL = (
    "rod_force_static",
    "release",
    "release_low",
    "hover_pitch",
    "float_low",
    "float_high",
    "strength",
    "load_path",
)
"""What is kept where nobody says otherwise: enough for the map, without a test of gauge or servo."""


def meaning(name: str) -> Meaning:
    """Kind and label of a value; a column of the user's own is a plain number."""
    return OWN.get(name) or FINDINGS_TABLE.get(name) or Meaning("ratio", name.replace("_", " "))


def checked_names(asked: Asked) -> Asked:
    """The names as they are, or the function. Raises ValueError, in words, for a name that no bench run gives."""
    if callable(asked):
        return asked
    names = (asked,) if isinstance(asked, str) else tuple(asked)
    may = (*PREDICTED, *OWN)
    for name in names:
        if name in may:
            continue
        if name in FINDINGS_TABLE:
            raise ValueError(f"{name} is no finding of a bench run, which is all that is run of each build")
        near = difflib.get_close_matches(str(name), may, 3, 0.5)
        hint = f"did you mean {' or '.join(near)}?" if near else f"there are {', '.join(may)}"
        raise ValueError(f"no finding {name!r}; {hint}")
    if not names:
        raise ValueError("no values: name findings, or give a function of a run")
    return tuple(dict.fromkeys(names))


def values(scenario: Scenario, asked: Asked = USUAL) -> Found:
    """Findings of one build by name, SI or text, None where it has none; only the tests that they need are run.

    asked: names of findings (of those of `predict`, and of "rod_force_static", "strength", "load_path"), or a function
    of a `Run` that gives a number, a text, or several by name. What is not asked is not run, and so cannot refuse the
    build. Raises ScenarioError when the build cannot be, ValueError for an unknown name.

    >>> import featherbench as fb
    >>> from scipy.optimize import minimize_scalar
    >>> weighted = fb.read(fb.example("survey-3kg/weighted"))
    >>> def force(length):  # of the collar on the bolt's head, m
    ...     build = fb.read(weighted, {"part.head-collar.length": float(length)})
    ...     return fb.values(build, ["rod_force_static"])["rod_force_static"]
    >>> best = minimize_scalar(force, bounds=(2e-3, 8e-3), method="bounded", options={"maxiter": 8})
    >>> bool(best.fun < min(force(2e-3), force(8e-3)))
    True
    """
    return values_of(build_setup(scenario), checked_names(asked))


def values_of(setup: Setup, asked: Asked) -> Found:
    """The same of a build made ready."""
    if callable(asked):
        return named(asked, asked(bench_run(setup)))
    wanted = set(asked)
    tests = needed_for(setup, wanted)
    found: Found = dict.fromkeys(wanted & set(PREDICTED))
    found |= {name: one.value for name, one in tests.findings(found).items()}
    if "rod_force_static" in wanted:
        found["rod_force_static"] = largest_force(tests.statics)
    if wanted & {"strength", "load_path"}:
        found |= _strength(setup)
    if wanted & {FAILING, UNKNOWN_PATHS}:
        found |= sample_checks(bench_run(setup), within=True)
    return {name: found[name] for name in asked}


def named(function: Callable[[Run], Any], given: Any) -> Found:
    """What a user's function gave, by name; a value alone takes the name of the function.

    Raises TypeError for what is neither number nor text.
    """
    if not isinstance(given, Mapping):
        given = {getattr(function, "__name__", "value").strip("<>"): given}
    found: Found = {}
    for name, value in given.items():
        if value is None or isinstance(value, str):
            found[str(name)] = value
        elif isinstance(value, bool | int | float) or (
            hasattr(value, "item") and getattr(value, "size", 0) == 1
        ):
            found[str(name)] = float(value.item() if hasattr(value, "item") else value)
        else:
            raise TypeError(f"{name} is a {type(value).__name__}: a number, a text or None is needed")
    return found


def _strength(setup: Setup) -> Found:
    """Of all that keeps blades and weights on, at the worse end of the build's tolerances."""
    checks = load_path_checks(setup)
    safeties = [one.safety for one in checks if not one.holding and one.safety is not None]
    verdicts = {one.verdict for one in checks}
    word = next((one for one in (Verdict.FAILS, Verdict.UNKNOWN) if one in verdicts), Verdict.HOLDS)
    return {"strength": min(safeties) if safeties else None, "load_path": str(word)}
