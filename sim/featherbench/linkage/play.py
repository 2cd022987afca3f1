"""Play of the joints, referred from where each was measured to the rod."""

from __future__ import annotations

from featherbench.linkage.geometry import Linkage, pitch_rod_travel


def play_at_rod(linkage: Linkage, *, rod: float, slider: float, horn: float) -> float:
    """Total play at the rod, peak to peak, m: each play times the rod travel per travel of its own place.

    rod, slider, horn: peak to peak, m, measured along the rod, along the shaft at the slider, and along the
    pitch link at the horn's ball. Referred at zero pitch, where the link lies along the shaft, so that a
    horn's play counts as the slider's does. It lies beyond the slider's friction, though, and is counted before it:
    lost motion comes out too long by it, never too short, where the load is between the friction of the bearings and
    all friction (near neutral, in 5 to 9 % of the shipped builds' strokes: checked in validation).
    """
    _, per_pitch, _, slider_per_pitch = pitch_rod_travel(0.0, linkage)
    return rod + (slider + horn) * abs(per_pitch / slider_per_pitch)
