"""All remarks on one build, those that throw metal first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from featherbench.slips.band import Remark
from featherbench.slips.linkage import linkage_remarks
from featherbench.slips.parts import part_remarks, proportion_remarks
from featherbench.slips.rotor import pull_remarks, rotor_remarks
from featherbench.slips.servo import servo_remarks
from featherbench.slips.strength import strength_remarks
from featherbench.slips.tables import table_remarks
from featherbench.slips.tolerance import tolerance_remarks

if TYPE_CHECKING:
    from featherbench.bench.setup import Setup


def remark_list(setup: Setup) -> tuple[Remark, ...]:
    """Everything typed in a build that is probably a slip; empty for a build with nothing unusual.

    What follows from a figure that has its own remark gets none: a blade drawn too large is not too light as well.
    """
    doubted = tuple(tolerance_remarks(setup))
    found = list(rotor_remarks(setup))
    outline = {remark.key for remark in found if remark.key.startswith("blade.")}
    if "blade.tip" in outline:  # everything is held against it
        return tuple(found)
    parts = list(part_remarks(setup))
    if outline:
        apart = _drawn_by_the_blade(setup)
        parts = [remark for remark in parts if remark.key.endswith(".mass") and remark.key not in apart]
    found += parts
    if not parts and not outline:
        found += proportion_remarks(setup)
    if not found:
        found += pull_remarks(setup)
    rotor = bool(found)
    found += strength_remarks(setup)
    found += (*linkage_remarks(setup), *servo_remarks(setup))
    found += (r for r in table_remarks(setup) if not (rotor and r.key.startswith("aircraft.")))
    slipped = {remark.key for remark in found}
    return (*(remark for remark in doubted if remark.key not in slipped), *found)


def _drawn_by_the_blade(setup: Setup) -> set[str]:
    return {f"part.{name}.mass" for name, part in setup.scenario.part.items() if part.shape == "aerofoil"}


def remarks(setup: Setup) -> tuple[str, ...]:
    """The same as sentences, one a line: key, what was given, what is usual, and why where it needs saying.

    They stand before any answer and below what says that a build must not be run. No remark is a refusal: whoever
    means the figure reads on.
    """
    return tuple(remark.sentence for remark in remark_list(setup))
