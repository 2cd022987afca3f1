"""Will it hold together; may it be run; cautions."""

from featherbench.checks.bench import CAUTIONS, bench_checks, run_cautions
from featherbench.checks.check import Check, Verdict
from featherbench.checks.judgement import Judgement, judge

__all__ = ["CAUTIONS", "Check", "Judgement", "Verdict", "bench_checks", "judge", "run_cautions"]
