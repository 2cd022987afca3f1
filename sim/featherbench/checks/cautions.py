"""The cautions that go with every result: two lines for a terminal, the whole text for pages, drawings and windows."""

from __future__ import annotations

from featherbench.checks.thrown import thrown_cautions
from featherbench.studies.run import Run

CAUTIONS = (
    "Spinning blades and thrown weights maim and kill. Nobody in the plane of the tail rotor; clamp the helicopter to "
    "something solid; guard or distance, and eye protection, for every run.",
    "A counterweight pulls with hundreds to thousands of times its own weight at speed. A bolt that breaks throws "
    "blade and weight: use new, rated bolts, full thread engagement, and inspect after every run.",
    "Start below the speed you mean to reach and go up in steps; weigh weights and blades in pairs.",
    "These are predictions from the figures given, not a certificate. The makers' limits, local rules and licensed "
    "practice come first. Model aircraft only: never for anything that carries a person.",
)
"""To be shown with every result, whatever it says."""
SHORT_CAUTIONS = (
    "CAUTION: blades and thrown weights kill. Clamp it, guard it, stand clear.",
    "New rated bolts; inspect; go up in steps; keep local rules; never man-carrying.",
)
"""For a terminal, where the whole text would push the answer off the screen."""


def run_cautions(*runs: Run) -> tuple[str, ...]:
    """The standing cautions, then what a blade or weight of these builds carries when it comes off."""
    return tuple(dict.fromkeys([*CAUTIONS, *(said for run in runs for said in thrown_cautions(run))]))
