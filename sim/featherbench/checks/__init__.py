"""Will it hold together; may it be run; cautions."""

from featherbench.checks.bench import bench_checks
from featherbench.checks.cautions import CAUTIONS, SHORT_CAUTIONS, run_cautions
from featherbench.checks.check import Check, Verdict
from featherbench.checks.wording import lacking, short_name, times_text, verdict_text, worst_first

__all__ = [
    "CAUTIONS",
    "SHORT_CAUTIONS",
    "Check",
    "Verdict",
    "bench_checks",
    "lacking",
    "run_cautions",
    "short_name",
    "times_text",
    "verdict_text",
    "worst_first",
]
