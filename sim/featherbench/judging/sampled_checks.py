"""What the checks say of each sampled build of a spread, small enough to be kept beside its findings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from featherbench.checks.bench import bench_checks
from featherbench.checks.check import Verdict
from featherbench.checks.wording import short_name
from featherbench.sampling.checkpoint import Values
from featherbench.studies.run import Run

FAILING, UNKNOWN_PATHS = "checks_failing", "load_paths_unknown"
"""Names under which a sample keeps them: names of checks, "; " between; "" for none."""
BETWEEN = "; "


def sample_checks(run: Run, *, within: bool = False) -> Values:
    """Names of the checks that a sampled build fails, and of its load paths that are not known.

    within: of a build as written, whose tolerances count at their worse end.

    >>> import featherbench as fb
    >>> fb.sample_checks(fb.predict(fb.read(fb.example("survey-3kg/plain"))))
    {'checks_failing': '', 'load_paths_unknown': ''}
    """
    checks = bench_checks(run, within=within)
    return {
        key: BETWEEN.join(short_name(check) for check in checks if check.verdict is verdict)
        for key, verdict in ((FAILING, Verdict.FAILS), (UNKNOWN_PATHS, Verdict.UNKNOWN))
    }


def failing_samples(samples: Sequence[Values]) -> list[Values]:
    """Those of the samples that fail a check, or have a load path that is not known."""
    return [values for values in samples if values.get(FAILING) or values.get(UNKNOWN_PATHS)]


def named(samples: Sequence[Values]) -> str:
    """Checks by how many of these samples fail them, most first, such as "thrust bearing 3, rod ball link 1"."""
    counts = Counter(
        name
        for values in samples
        for key in (FAILING, UNKNOWN_PATHS)
        for name in str(values.get(key) or "").split(BETWEEN)
        if name
    )
    return ", ".join(f"{name} {count}" for name, count in counts.most_common())
