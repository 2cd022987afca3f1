"""What released blades do, in a sentence that says how sure it is."""

from __future__ import annotations

from math import degrees
from typing import TYPE_CHECKING

from featherbench.bench.release import Release, release_points
from featherbench.numerals import numeral

if TYPE_CHECKING:
    from featherbench.sampling.sampled import BuildSpread
    from featherbench.studies.run import Run

RELEASED = {
    "returns": ("return as far as {}", "returned as far as {}"),
    "stays": ("stay put", "stayed put"),
    "runs out": ("run to full pitch, {}", "ran to full pitch, {}"),
}
"""What the blades do, and did before, by verdict; {} is where they end."""


def release_told(run: Run, before: Run | None, spread: BuildSpread | None = None) -> str:
    """The sentence on the release test; of the low side only where it is another story. spread: what tolerances and
    doubts make of it.
    """
    places = release_points(run.setup)
    shares = [
        _in_samples(spread, name, one.verdict)
        for name, one in (("release", run.release_high), ("release_low", run.release_low))
    ]
    high = _released(run.release_high, before.release_high if before else None, shares[0])
    low = _released(run.release_low, before.release_low if before else None, shares[1])
    text = f"Released at {_degrees(places[0])}, the blades {high}"
    verdicts = [
        (one.release_high.verdict, one.release_low.verdict) for one in (run, before) if one is not None
    ]
    if all(of_high == of_low for of_high, of_low in verdicts) and shares[0] == shares[1]:
        return f"{text}."
    return f"{text}; at {_degrees(places[1])} they {low}."


def _in_samples(spread: BuildSpread | None, name: str, verdict: str) -> str:
    """In how many samples blades do what they do as written, where not in all, such as " in 39 of 64 samples"."""
    shares = spread.outcomes.get(name, {}) if spread is not None else {}
    samples = spread.done - spread.refused if spread is not None else 0
    same = round(samples * shares.get(verdict, 0.0))
    return f" in {same} of {samples} samples" if shares and same < samples else ""


def _released(now: Release, before: Release | None, share: str) -> str:
    text = RELEASED[now.verdict][0].format(_degrees(float(now.pitch[-1]))) + share
    if before is None:
        return text
    if now.verdict == before.verdict and (
        now.verdict == "stays" or _degrees(float(now.pitch[-1])) == _degrees(float(before.pitch[-1]))
    ):
        return f"{text}, as before"
    return f"{text}; before, they {RELEASED[before.verdict][1].format(_degrees(float(before.pitch[-1])))}"


def _degrees(pitch: float) -> str:
    return f"{numeral(degrees(pitch), 0)} deg"
