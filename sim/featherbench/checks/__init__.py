"""Will it hold together; cautions."""

from featherbench.checks.bench import CAUTIONS, bench_checks
from featherbench.checks.check import Check

__all__ = ["CAUTIONS", "Check", "bench_checks"]
