"""How much stress may swing: threads, head fillets and rubbed shanks under starts and once-per-turn loads.

Threads of bought bolts: VDI 2230-1, 0.85 (150/d + 45) N/mm^2 amplitude whatever the mean (read in public programs, not
in the guideline; its range begins at M6, so smaller ones get no more than M6). Everything: half the ultimate strength
of a polished bar, times the surface factor of machined steel 4.51 Rm^-0.265, over the notch factor, with the mean by
Goodman's line; both Shigley's Mechanical Engineering Design (read in extracts); notch factors of threads and fillets:
its table 8-16 (from memory). Where two of these apply, the worse counts. Only steels, stainless and titanium have a
value here: other metals never stop ageing.
"""

from __future__ import annotations

from featherbench.checks.strength import Strength

STARTS = 1e4
"""Starts and stops in a machine's life that are counted (assumed)."""
ONCE_PER_TURN = 0.1
"""Of the pull, taken as coming and going once per turn: uneven air, precession when the tail turns (assumed, no
source)."""
FRACTION = 0.7
"""Of the endurance limit that may be used (engineering judgement, no source)."""
LASTING, SLOPE = 2e6, 3.0
"""Cycles at which the limit is reached, and the exponent before: VDI 2230-1 (from memory)."""
SMALLEST = 6.0
"""mm: smaller threads get the endurance of this one."""
CUT = 0.79
"""Cut threads against rolled: 3.0/3.8, notch factors as above."""
RUBBED = 1.5
"""Notch factor of a plain shank that is rubbed in its hole (engineering judgement, no source)."""
SOFT = 620e6
"""Pa of ultimate strength, below which the notch factors of the softer grades hold."""
ENDURING = {"steel": 0.5, "stainless": 0.4, "titanium": 0.4}
"""Endurance of a polished bar over ultimate strength; the last two engineering judgement."""


def thread_endurance(diameter: float) -> float:
    """Amplitude, Pa, that a rolled thread of nominal diameter (m) bears for ever."""
    return 0.85 * (150.0 / max(1e3 * diameter, SMALLEST) + 45.0) * 1e6


def goodman_amplitude(mean: float, endurance: float, ultimate: float) -> float:
    """Amplitude that Goodman's line allows at a mean stress, Pa: S_e (1 - S_m / S_ut), never below 0."""
    return endurance * max(1.0 - mean / ultimate, 0.0)


def stress_amplitude(stress: float) -> float:
    """Amplitude that does as much for ever as starts and turns together, Pa: those of `stress` at over-speed."""
    return ONCE_PER_TURN * stress + 0.5 * stress * (STARTS / LASTING) ** (1.0 / SLOPE)


def notch_factor(strength: Strength, place: str) -> float:
    """Fatigue notch factor at a "thread", a "fillet" under a head, or on a plain "shank"."""
    soft = strength.ultimate < SOFT
    if place == "thread":
        rolled, cut = (2.2, 2.8) if soft else (3.0, 3.8)
        return rolled if strength.rolled else cut
    return (2.1 if soft else 2.3) if place == "fillet" else RUBBED


def endurance_at(strength: Strength, place: str, diameter: float, mean: float) -> float | None:
    """Amplitude, Pa, that a place of nominal diameter (m) may bear for ever with a mean stress; None: not known."""
    share = ENDURING.get(strength.family)
    if share is None:
        return None
    surface = min(4.51 * (strength.ultimate / 1e6) ** -0.265, 1.0)
    bare = share * strength.ultimate * surface / notch_factor(strength, place)
    allowed = goodman_amplitude(mean, bare, strength.ultimate)
    if place == "thread":
        allowed = min(allowed, thread_endurance(diameter) * (1.0 if strength.rolled else CUT))
    return FRACTION * allowed
