"""How much of the stroke gets lost between servo and blades: in play, and in what the linkage gives under its load."""

from __future__ import annotations

from featherbench.checks.check import Check
from featherbench.linkage.geometry import pitch_rod_travel
from featherbench.studies.run import Run

NAME = "stroke lost in play and give of the linkage"
LOST_SHARE = 0.2
"""Of the rod's stroke that may be lost (engineering judgement, no source: beyond it nobody steers the blades)."""


def stroke_check(run: Run) -> Check:
    """Play at the rod, and give between the largest pull and the largest push, against the rod's stroke."""
    plant = run.setup.plant
    low, high = run.scenario.rotor.pitch_range
    ends = [pitch_rod_travel(float(end), plant.linkage)[0] for end in (low, high)]
    forces = run.statics.rod_force
    give = float(forces.max() - forces.min()) / plant.joint.stiffness
    play = 2.0 * plant.joint.half_play
    source = f"{LOST_SHARE:g} of the rod's stroke between the ends of rotor.pitch_range"
    section = "play, peak to peak" if play > give else "give under load (linkage.stiffness)"
    return Check(NAME, "length", play + give, LOST_SHARE * abs(ends[1] - ends[0]), source, section)
