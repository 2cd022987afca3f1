"""What to change: ordinary changes of a build, each tried alone by the full model, and ranked."""

from featherbench.ranking.change import Change, Setting
from featherbench.ranking.measures import COSTS, MEASURES
from featherbench.ranking.outcome import NOT_KNOWN, Ranking, Reach, Strength, Tried
from featherbench.ranking.ranked import COUNT, ranked

__all__ = [
    "COSTS",
    "COUNT",
    "MEASURES",
    "NOT_KNOWN",
    "Change",
    "Ranking",
    "Reach",
    "Setting",
    "Strength",
    "Tried",
    "ranked",
]
