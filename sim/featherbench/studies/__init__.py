"""Questions asked of one or many runs."""

from featherbench.studies.prediction import compare, compared, moments, predict
from featherbench.studies.run import Change, Comparison, Run

__all__ = ["Change", "Comparison", "Run", "compare", "compared", "moments", "predict"]
