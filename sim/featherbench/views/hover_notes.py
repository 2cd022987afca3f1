"""What the answers on hover rest on: how the gyro is set, and from when on a wag is seen."""

from __future__ import annotations

import numpy as np

from featherbench.aircraft.gyro_setting import GyroSetting, SettingKind
from featherbench.hovering.wag_readings import WINDOW


def said_of(setting: GyroSetting) -> str:
    """The gyro's setting in one sentence."""
    gains = f"rate gain {setting.rate_gain:.3g} s, hold gain {setting.hold_gain:.3g}"
    if setting.kind is SettingKind.STATED:
        return f"gyro: {gains}, {setting.kind}"
    hunts = (
        ""
        if np.isnan(setting.hunts_at)
        else f" (it hunts from {setting.hunts_at:.3g} s on, at {setting.frequency:.2g} Hz)"
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
