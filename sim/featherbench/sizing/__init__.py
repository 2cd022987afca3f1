"""Which part to make: weights of least centrifugal load that meet a target inside an envelope."""

from featherbench.sizing.best import Alternative
from featherbench.sizing.machined import MachinedPart
from featherbench.sizing.search import Sizing, size

__all__ = ["Alternative", "MachinedPart", "Sizing", "size"]
