"""Is this meant? What is probably a slip of typing: a unit taken for another, a decimal point, a place left out."""

from featherbench.slips.band import HEAD
from featherbench.slips.remarks import Remark, remark_list, remarks

__all__ = ["HEAD", "Remark", "remark_list", "remarks"]
