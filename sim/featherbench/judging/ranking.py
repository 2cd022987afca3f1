"""Changes tried one at a time, with what each does to what holds the machine together."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from featherbench.checks.bench import bench_checks
from featherbench.checks.check import Verdict
from featherbench.checks.wording import short_name, times_text
from featherbench.ranking.change import Change
from featherbench.ranking.outcome import NOT_KNOWN, Ranking, Strength
from featherbench.ranking.ranked import ranked
from featherbench.scenario import Scenario
from featherbench.studies.run import Run


def strength_of(run: Run, within: bool) -> Strength:
    """Least of what is allowed over what is demanded in what holds blades and weights on; and what fails of all that
    was checked, or is not known.
    """
    checks = bench_checks(run, within=within)
    safeties = [
        check.safety for check in checks if check.load_path and not check.holding and check.safety is not None
    ]
    bad = {
        short_name(check): NOT_KNOWN if check.safety is None else times_text(check.safety)
        for check in checks
        if check.verdict in (Verdict.FAILS, Verdict.UNKNOWN)
    }
    return Strength(min(safeties) if safeties else None, bad)


def rank(scenario: Scenario, own: Mapping[str, Scenario] | None = None, **options: Any) -> Ranking:
    """Try ordinary changes of a build one at a time by the full model, and rank them by the force that each takes away.

    own: changes of your own, by what to call them: each a whole build. options: ordinary (False: only your own), count
    (samples of each build), seed, executor, progress, as of `ranking.ranked`. An interrupt gives what was done.

    >>> import featherbench as fb
    >>> plain = fb.read(fb.example("survey-3kg/plain"))
    >>> slower = fb.read(fb.example("survey-3kg/plain"), {"rotor.speed": "9000 rpm"})
    >>> found = fb.rank(plain, {"slower": slower}, ordinary=False, count=0)
    >>> [one.change.words for one in found.tried], round(found.tried[0].gain(), 1)
    (['slower'], 0.2)
    """
    changes = [Change(words, build) for words, build in (own or {}).items()]
    return ranked(scenario, strength_of, own=changes, **options)
