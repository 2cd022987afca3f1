"""Which part to make: weights of least centrifugal load that meet a target inside an envelope."""

from featherbench.studies.sizing.best import Alternative
from featherbench.studies.sizing.machined import MachinedPart
from featherbench.studies.sizing.search import Sizing, size

__all__ = ["Alternative", "MachinedPart", "Sizing", "size"]
