"""The verdict on a wag, taken over draws, and from when on a wag is seen at all."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from featherbench.hovering.play_verdict import GUSTS, KICK, Cause, DrawnWag, shown_in

VISIBLE_HEADING = float(np.deg2rad(0.25))
VISIBLE_TRAVEL = 3e-3
"""A wag smaller than either of these is not seen: rad, m at the tail tip. 3 mm at 5 m are two minutes of arc; an eye
of usual sharpness tells one (ISO 8596), a boom that moves in the open somewhat more (judgement).
"""


class WagVerdict(StrEnum):
    """What a wag is from; the text is the word of documents."""

    HUNTS = "hunts without any play"
    PLAY = "sustained limit cycle from play"
    SOMETIMES = "play shows under some conditions"
    NOT_PLAY = "a cycle that play has no part in"
    DISTURBED = "only disturbed"
    QUIET = "quiet"

    @property
    def told(self) -> str:
        """What the tail does, for a person."""
        return _TOLD.get(self, str(self))

    @property
    def advice(self) -> str:
        """What to do about it."""
        return _ADVICE[self]


_TOLD = {
    WagVerdict.HUNTS: "the tail hunts without any play",
    WagVerdict.PLAY: "the tail keeps hunting, because of play",
    WagVerdict.NOT_PLAY: "the tail keeps wagging, and play is not blamed for it",
    WagVerdict.DISTURBED: "only gusts and the main rotor move the tail",
}
_ADVICE = {
    WagVerdict.HUNTS: "the loop itself is unstable: lower the gyro's gains",
    WagVerdict.PLAY: (
        "take play out of the linkage, or leave a slight bias so that the load keeps the play to one side"
    ),
    WagVerdict.SOMETIMES: (
        "it depends on servo, friction and play as they are: measure the play, or leave a little more bias"
    ),
    WagVerdict.NOT_PLAY: "it stays with all play taken out: see below what makes it go",
    WagVerdict.DISTURBED: "without gusts and with a steady main rotor it is quiet: there is no cycle to cure",
    WagVerdict.QUIET: "nothing to cure",
}


@dataclass(frozen=True)
class Limits:
    """When a wag counts: visible_heading rad, visible_travel m at the tail tip (the stricter one counts)."""

    visible_heading: float = VISIBLE_HEADING
    visible_travel: float = VISIBLE_TRAVEL

    def heading(self, tail_arm: float) -> float:
        """The heading (rad, peak to peak) from which a wag is seen on a tail of this arm (m)."""
        return min(self.visible_heading, self.visible_travel / tail_arm)


def judge(flown: tuple[DrawnWag, ...], seen: float, causes: tuple[Cause, ...]) -> WagVerdict:
    """Of the draws of a build, as most of them have it; seen: rad from which a wag counts."""
    half = 0.5 * len(flown)
    if sum(one.tight >= KICK for one in flown) > half:
        return WagVerdict.HUNTS
    shown = shown_in(flown, seen).hits
    if shown > half:
        return WagVerdict.PLAY
    if sum(one.wag > seen for one in flown) > half:
        return WagVerdict.DISTURBED if causes and _is_disturbed(causes) else WagVerdict.NOT_PLAY
    return WagVerdict.SOMETIMES if 12 * shown > len(flown) else WagVerdict.QUIET


def _is_disturbed(causes: tuple[Cause, ...]) -> bool:
    return next((2 * one.quiet.hits > one.quiet.of for one in causes if one.name == GUSTS), False)
