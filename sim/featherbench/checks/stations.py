"""The heights of a blade bolt at which it may give way: load, section and stress at each."""

from __future__ import annotations

from typing import NamedTuple

from featherbench.checks.bolt_joint import Bolt, Case, Overhang, PinJoint
from featherbench.checks.pin import pin_load
from featherbench.checks.sections import Section, ends, section_at


class Station(NamedTuple):
    """height m; moment of the blade's pull, and of what hangs over the grip, N m; shear N; where, in words; place:
    "thread", "fillet" under a head, or "shank".
    """

    height: float
    pin: float
    hung: float
    shear: float
    section: Section
    where: str
    place: str

    @property
    def bending(self) -> float:
        """Stress of both moments added, Pa. They often act against each other; the worse reading counts."""
        return (self.pin + self.hung) / self.section.modulus

    @property
    def shearing(self) -> float:
        """Mean shear stress, Pa."""
        return self.shear / self.section.area


class Hung(NamedTuple):
    """What hangs over the low and over the high face of the grip."""

    low: Overhang
    high: Overhang


def hung_over(case: Case, joint: PinJoint) -> Hung:
    """Beyond both outer faces of the grip."""
    low, high = joint.faces
    return Hung(case.hung(low), case.hung(high))


def stations(case: Case, joint: PinJoint, bolt: Bolt) -> list[Station] | str:
    """All that may decide, or a sentence where the bolt does not reach through the joint."""
    hung = hung_over(case, joint)
    inner = 0.5 * joint.root + joint.clearance
    named = {
        0.0: "middle of the blade root",
        0.5 * joint.root: "at the root's face",
        inner: "at the cheek's inner face",
        inner + joint.cheek: "at the grip's outer face",
    }
    heights = {
        round(joint.middle + side * away, 9): words for away, words in named.items() for side in (1.0, -1.0)
    }
    low, high = joint.faces
    for solid in bolt.solids:
        for end in ends(solid):
            if low < end < high and not any(abs(end - known) < 2e-6 for known in heights):
                heights[round(end, 9)] = "where the thread ends"
    found = []
    for height, words in sorted(heights.items()):
        section = section_at(bolt.solids, height)
        if section is None:
            return (
                f"part.{bolt.name} does not reach through the joint: nothing of it at {1e3 * height:.2f} mm"
            )
        found.append(_station(case, joint, bolt, hung, height, section, words))
    return [*found, *_beyond(case, joint, bolt)]


def _beyond(case: Case, joint: PinJoint, bolt: Bolt) -> list[Station]:
    """Where the bolt's section changes outside the grip: what hangs further out still bends it there."""
    found = []
    low, high = joint.faces
    heights = {
        round(end, 9) for solid in bolt.solids for end in ends(solid) if not low - 1e-7 <= end <= high + 1e-7
    }
    for height in sorted(heights):
        section, over = section_at(bolt.solids, height), case.hung(height)
        if (
            section is None
            or not over.load
            or (over.names == (bolt.name,) and section.width > 2.0 * over.lever)
        ):
            continue  # its own end or head, as long as thick: nothing hangs on it
        place = "thread" if section.thread else "fillet" if _under_head(bolt, height) else "shank"
        words = "above the grip" if height > high else "below the grip"
        load = over.load * case.squared
        found.append(
            Station(height, 0.0, load * over.lever, load, section, f"{words}, where it changes", place)
        )
    return found


def _station(
    case: Case, joint: PinJoint, bolt: Bolt, hung: Hung, height: float, section: Section, words: str
) -> Station:
    away = height - joint.middle
    load = pin_load(case.pull, joint.root, joint.cheek, joint.clearance, away)
    side = hung.high if away > 0.0 else hung.low
    into = (0.5 * joint.root + joint.clearance + joint.cheek - abs(away)) / joint.cheek
    left = max(1.0 - into, 0.0)  # the cheek takes up what hangs over it, evenly
    turning = side.load * side.lever * case.squared * left
    side_words = "" if abs(away) < 1e-9 else " above" if away > 0.0 else " below"
    place = "thread" if section.thread else "fillet" if _under_head(bolt, height) else "shank"
    shear = max(load.shear, side.load * case.squared * left)
    return Station(height, load.moment, turning, shear, section, words + side_words, place)


def _under_head(bolt: Bolt, height: float) -> bool:
    """Whether the bolt grows wider within a tenth of a millimetre of a height: a fillet."""
    widths = [solid.size[0] for solid in bolt.solids for end in ends(solid) if abs(end - height) < 1e-4]
    return len(set(round(width, 7) for width in widths)) > 1
