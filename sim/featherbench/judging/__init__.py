"""May it be run: what all checks, samples and release tests of a build come to, and the studies that ask it."""

from featherbench.judging.judgement import Judgement, judge

__all__ = ["Judgement", "judge"]
