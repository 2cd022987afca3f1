"""What the answers on hover rest on: how the gyro is set, and from when on a wag is seen."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from featherbench.aircraft.gyro_setting import GyroSetting, SettingKind
from featherbench.hovering.play_verdict import DRAW_SECONDS, KICK, PLAY_SHOWS
from featherbench.hovering.wag_readings import WINDOW
from featherbench.hovering.wag_verdict import WagVerdict
from featherbench.numerals import quantity, row_texts
from featherbench.studies.free_play import HOVER_BAND

if TYPE_CHECKING:
    from featherbench.hovering.bias_choice import Bias
    from featherbench.hovering.draw_doubt import Range
    from featherbench.hovering.wag import Wag
    from featherbench.studies.findings import Finding


CHOICE_RULES = (
    "chosen is the least rod force of what holds, does not run to full pitch and keeps quiet; of forces within 2 % of "
    "each other, less weight",
    "a build keeps quiet where play shows in about 1 of 12 draws at most, evened out over all builds in the order of "
    "load over friction; too close to tell: chance alone would part them so far more than once in twenty",
)
"""By what an amount of weight is chosen."""


def said_of(setting: GyroSetting) -> str:
    """The gyro's setting in one sentence."""
    gains = f"rate gain {setting.rate_gain:.3g} s, hold gain {setting.hold_gain:.3g}"
    if setting.kind is SettingKind.STATED:
        return f"gyro: {gains}, {setting.kind}"
    hunts = (
        ""
        if np.isnan(setting.hunts_at)
        else f" (it hunts from {setting.hunts_at:.2g} s on, known to 5 %, then at {setting.frequency:.2g} Hz)"
    )
    return (
        f"gyro: {gains}: {setting.kind}{hunts}, {100.0 * setting.back_off:.0f} % taken back (aircraft.gyro.back_off); "
        "set without play and without weights"
    )


def seen_from(seen: float) -> str:
    """From when on a wag counts, in words; seen: rad."""
    return (
        f"a wag is seen from {np.rad2deg(seen):.2g} deg within {WINDOW:g} s (--visible-heading, --visible-travel: 3 mm "
        "are two minutes of arc from 5 m); what is slower is steered by hand"
    )


def healthy_words(found: Wag) -> tuple[str, ...]:
    """What is to be said of a tail that would be seen to wag without any play."""
    if not found.tight_causes:
        return ()
    best = found.tight_causes[0]
    quiet = f"{best.quiet.hits} of these {best.quiet.of}"
    named = f"; without {best.name} it is quiet in {quiet}" if best.quiet.hits else ""
    return (f"Without any play it would be seen to wag in {found.healthy} draws{named}.",)


def choice_words(found: Bias) -> tuple[str, ...]:
    """How often the choice changes over draws of air and loop."""
    if not found.choices or found.chosen is None:
        return ()
    count = sum(times for _, times in found.choices)
    each = ", ".join(f"{kappa:.2f} in {times}" for kappa, times in found.choices)
    return (f"chosen anew in {count} draws of air, loop and play: {each}",)


def wag_rests_on(found: Wag) -> tuple[str, ...]:
    """Every threshold of a flight in hover, with how to change it."""
    pitch, low, high = (
        number_of(found.findings[name]) for name in ("hover_pitch", "float_low", "float_high")
    )
    overlaps = pitch is not None and found.free_play.floats_between(pitch - HOVER_BAND, pitch + HOVER_BAND)
    window = "" if low is None or high is None else f" ({np.rad2deg(low):.1f} to {np.rad2deg(high):.1f} deg)"
    return (
        said_of(found.setting),
        f"the float window{window} {'overlaps' if overlaps else 'stays clear of'} the hover band, "
        f"{np.rad2deg(HOVER_BAND):g} deg to either side of the hover pitch",
        seen_from(found.seen),
        f"play shows in a draw when its wag is seen and is {PLAY_SHOWS:g} times that without play in the same gusts",
        f"the build as written flies for as long as --seconds says, {DRAW_SECONDS:g} s in each draw, from "
        f"{np.rad2deg(KICK):g} deg off heading; the last two thirds are read",
        "frequency of the wag: the largest line of a flight without gusts and noise, none where that comes to rest",
        "ranges over the draws hold 95 % of them, of a dozen the least and the greatest; a share's is what so many "
        "draws can tell",
        "a gyro margin of 8 stands for 8 or more",
    )


def number_of(one: Finding) -> float | None:
    """A finding's number; None of a text and of what was not found."""
    return one.value if isinstance(one.value, float) else None


def over_words(found: Wag | Bias, name: str, system: str) -> str:
    """A finding's range over the draws, as people say it; as it is where they do not scatter it."""
    one = found.findings[name]
    low, high = found.ranges.get(name, (float("nan"), float("nan")))
    if not np.isfinite([low, high]).all():
        return told_words(name, one, system)
    if one.kind == "temperature":
        return f"{low - 273.15:.0f} to {high - 273.15:.0f} degC"
    texts, unit, _ = row_texts([low, high], one.kind, system, 2)
    said = texts[0] if texts[0] == texts[1] else f"{texts[0]} to {texts[1]}"
    return f"{said} {unit}".rstrip()


def pace_words(found: Wag, system: str) -> str:
    """How often it swings, where it keeps up a cycle without gusts in most draws."""
    kept = sum(np.isfinite(one.frequency) for one in found.draws)
    return f", {over_words(found, 'wag_frequency', system)}" if 2 * kept > len(found.draws) else ""


def rest_words(found: Wag, system: str) -> str:
    """Whether the tail comes to rest after a kick, over the draws."""
    still = sum(np.isfinite(one.rests) for one in found.draws)
    if not still:
        return "after a kick it does not come to rest"
    within = over_words(found, "wag_settling", system)
    return f"after a kick it rests within {within} in {still} of {len(found.draws)} draws"


def ends_of(own: Range | None) -> dict[str, float]:
    """A range as a document has it; nothing of none."""
    return {} if own is None else dict(zip(("low", "high"), own, strict=True))


def told_words(name: str, one: Finding, system: str) -> str:
    """A finding for people; a temperature has an offset, so that no factor tells it."""
    if isinstance(one.value, float) and one.kind == "temperature":
        return f"{one.value - 273.15:.0f} degC"
    if name == "wag_verdict" and one.value in list(WagVerdict):
        return WagVerdict(one.value).told
    return one.value if isinstance(one.value, str) else quantity(one.value, one.kind, system)
