"""Playing with a build: what can be moved, what it comes to at once, and the variant file that says the same."""

from featherbench.exploring.exploration import Exploration, State
from featherbench.exploring.overlap import overlaps
from featherbench.exploring.sliders import ADDED, Slider
from featherbench.exploring.snapshot import Snapshot
from featherbench.exploring.variant import explored_scenario, explored_variant
from featherbench.exploring.whole_range import RangeWork, WholeRange

__all__ = [
    "ADDED",
    "Exploration",
    "RangeWork",
    "Slider",
    "Snapshot",
    "State",
    "WholeRange",
    "explored_scenario",
    "explored_variant",
    "overlaps",
]
