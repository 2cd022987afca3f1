"""Will it hold together; cautions."""

from featherbench.checks.bench import CAUTIONS, bench_checks, run_cautions
from featherbench.checks.check import Check

__all__ = ["CAUTIONS", "Check", "bench_checks", "run_cautions"]
