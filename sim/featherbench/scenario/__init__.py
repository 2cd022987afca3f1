"""What a person may write, how a file and its base become a checked scenario, and the errors."""

from featherbench.scenario.assumed import Assumed
from featherbench.scenario.checked import Scenario, Source, from_tables, located, read, scenario_of
from featherbench.scenario.problems import Problem, ScenarioError

__all__ = [
    "Assumed",
    "Problem",
    "Scenario",
    "ScenarioError",
    "Source",
    "from_tables",
    "located",
    "read",
    "scenario_of",
]
