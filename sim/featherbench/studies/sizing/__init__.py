"""Which part to make: weights of least centrifugal load that meet a target inside an envelope."""

from featherbench.studies.sizing.best import Alternative
from featherbench.studies.sizing.made import Made
from featherbench.studies.sizing.search import Sizing, size

__all__ = ["Alternative", "Made", "Sizing", "size"]
