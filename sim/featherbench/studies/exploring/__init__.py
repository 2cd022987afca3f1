"""Playing with a build: what can be moved, what it comes to at once, and the variant file that says the same."""

from featherbench.studies.exploring.exploration import Exploration, State
from featherbench.studies.exploring.overlap import overlaps
from featherbench.studies.exploring.sliders import ADDED, Slider
from featherbench.studies.exploring.snapshot import Snapshot
from featherbench.studies.exploring.variant import explored_scenario, explored_variant

__all__ = [
    "ADDED",
    "Exploration",
    "Slider",
    "Snapshot",
    "State",
    "explored_scenario",
    "explored_variant",
    "overlaps",
]
