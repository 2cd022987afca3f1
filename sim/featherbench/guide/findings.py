"""The names of what the program finds, what kind of quantity each is, and how it is said in words.

Names are part of the interface: add to them, do not rename.
"""

from __future__ import annotations

from typing import NamedTuple


class Meaning(NamedTuple):
    """kind: a key of `quantities.KINDS`, or "ratio", "text", "moment of mass"; label: what it is, in words."""

    kind: str
    label: str


FINDINGS_TABLE: dict[str, Meaning] = {
    "mass": Meaning("mass", "mass of one blade assembly"),
    "radial_moment": Meaning("moment of mass", "first moment about the shaft, one assembly"),
    "centrifugal_load": Meaning("force", "centrifugal load of one assembly"),
    "inertia_chordwise": Meaning("inertia", "second moment along the chord, I_c"),
    "inertia_normal": Meaning("inertia", "second moment along the normal, I_n"),
    "inertia_product": Meaning("inertia", "product, I_cn"),
    "compensation": Meaning("ratio", "compensation (share of the mass pull cancelled)"),
    "feathering_frequency": Meaning(
        "rotation", "feathering frequency of the free blade (negative: divergent)"
    ),
    "swing_angle": Meaning("angle", "blade swing on its bolt, tip forward"),
    "propeller_moment_low": Meaning("moment", "propeller moment per blade, low end"),
    "propeller_moment_high": Meaning("moment", "propeller moment per blade, high end"),
    "rod_force_push": Meaning("force", "largest push on the rod"),
    "rod_force_pull": Meaning("force", "largest pull on the rod"),
    "rod_force_high": Meaning("force", "rod force at the high end, moving there (push positive)"),
    "rod_force_high_back": Meaning("force", "rod force at the high end, moving back (push positive)"),
    "rod_force_low": Meaning("force", "rod force at the low end, moving there (push positive)"),
    "rod_force_low_back": Meaning("force", "rod force at the low end, moving back (push positive)"),
    "rod_force_neutral_up": Meaning("force", "rod force passing zero pitch upward (push positive)"),
    "rod_force_neutral_down": Meaning("force", "rod force passing zero pitch downward (push positive)"),
    "rod_force_breakout": Meaning("force", "force to start moving from neutral"),
    "rod_force_loop": Meaning("force", "mean width of the force loop (twice the friction)"),
    "gauge_push": Meaning("force", "gauge shows, push"),
    "gauge_pull": Meaning("force", "gauge shows, pull"),
    "release": Meaning("text", "blades released on the high side"),
    "release_low": Meaning("text", "blades released on the low side"),
    "servo_force": Meaning("force", "least force the servo has over the range"),
    "servo_torque_peak": Meaning("moment", "largest torque on the servo, moving"),
    "servo_torque_share": Meaning("ratio", "the same as a share of what the servo can give"),
    "current_peak_high": Meaning("current", "supply current, moving to the high end"),
    "current_peak_low": Meaning("current", "supply current, moving to the low end"),
    "current_hold_high": Meaning("current", "supply current, holding at the high end"),
    "current_hold_low": Meaning("current", "supply current, holding at the low end"),
    "holding_high": Meaning("current", "holding at the high end, however the stick got there"),
    "holding_low": Meaning("current", "holding at the low end, however the stick got there"),
    "hold_least_high": Meaning("current", "least supply current that holds at the high end"),
    "hold_least_low": Meaning("current", "least supply current that holds at the low end"),
    "hold_most_high": Meaning("current", "most supply current that friction lets stand at the high end"),
    "hold_most_low": Meaning("current", "most supply current that friction lets stand at the low end"),
    "hold_slam_high": Meaning("current", "holding at the high end after a stick slam"),
    "hold_slam_low": Meaning("current", "holding at the low end after a stick slam"),
    "hold_hand_high": Meaning("current", "holding at the high end after a hand's move of 0.4 s"),
    "hold_hand_low": Meaning("current", "holding at the low end after a hand's move of 0.4 s"),
    "hold_overshoot_high": Meaning("current", "holding at the high end, the stick taken too far and back"),
    "hold_overshoot_low": Meaning("current", "holding at the low end, the stick taken too far and back"),
    "motor_current_hold_high": Meaning("current", "winding current, holding at the high end"),
    "motor_current_hold_low": Meaning("current", "winding current, holding at the low end"),
    "hold_place_high": Meaning(
        "ratio", "place in the friction band at the high hold (1 upper, -1 lower edge)"
    ),
    "hold_place_low": Meaning("ratio", "place in the friction band at the low hold (1 upper, -1 lower edge)"),
    "current_raw_peak": Meaning("current", "instantaneous supply peak (start or braking)"),
    "arrival_high": Meaning("time", "time to reach the high end"),
    "arrival_low": Meaning("time", "time to reach the low end"),
    "meter_peak": Meaning("current", "meter shows, peak"),
    "meter_peak_high": Meaning("current", "meter shows, largest while moving to the high end"),
    "meter_peak_low": Meaning("current", "meter shows, largest while moving to the low end"),
    "meter_peak_slam": Meaning("current", "meter shows, largest of moves with a stick slam"),
    "meter_peak_hand": Meaning("current", "meter shows, largest of moves of 0.4 s by hand"),
    "meter_hold": Meaning("current", "meter shows, holding"),
    "thrust_high": Meaning("force", "thrust at the high end"),
    "thrust_low": Meaning("force", "thrust at the low end"),
    "power": Meaning("power", "largest power the tail rotor takes at either end"),
    "rod_force_zero_low": Meaning("angle", "pitch nearest the low end at which the rod carries no load"),
    "rod_force_zero_high": Meaning("angle", "pitch nearest the high end at which the rod carries no load"),
    "stall_low": Meaning("angle", "pitch past which the blade is stalled, low side"),
    "stall_high": Meaning("angle", "pitch past which the blade is stalled, high side"),
    "hover_pitch": Meaning("angle", "pitch that holds the tail in hover"),
    "hover_thrust": Meaning("force", "thrust that hover needs"),
    "hover_power": Meaning("power", "power the tail rotor takes in hover"),
    "rod_force_hover": Meaning("force", "rod force in hover, without friction (push positive)"),
    "current_hold_hover": Meaning("current", "supply current, holding the hover pitch"),
    "charge_hover": Meaning("charge", "charge the servo draws in ten minutes of hover"),
    "size_compensation": Meaning("ratio", "compensation with the sized weights"),
    "size_residue": Meaning("ratio", "what rounding leaves of the target (target less achieved)"),
    "size_mass": Meaning("mass", "mass added per blade"),
    "size_load": Meaning("force", "centrifugal load added per blade"),
    "float_low": Meaning("angle", "low end of the pitch window in which the blades float in the play"),
    "float_high": Meaning("angle", "high end of the pitch window in which the blades float in the play"),
    "lost_motion": Meaning("angle", "largest pitch lost when the rod reverses"),
    "seat_ratio_hover": Meaning("ratio", "least load over friction in the hover band (below 1 play shows)"),
    "seat_ratio_trim": Meaning("ratio", "load over friction at the hover pitch itself"),
    "wag_heading": Meaning("angle", "tail wag in hover, heading peak to peak within a second"),
    "wag_heading_rms": Meaning("angle", "tail wag in hover, heading rms"),
    "wag_travel": Meaning("length", "travel of the tail tip, peak to peak"),
    "wag_frequency": Meaning("frequency", "frequency of the wag"),
    "wag_settling": Meaning("time", "time to come to rest after a kick of 4 deg (none: never)"),
    "wag_reversals": Meaning("frequency", "times a second the linkage crosses its play"),
    "wag_undisturbed": Meaning("angle", "the same without gusts and noise, peak to peak"),
    "wag_without_play": Meaning("angle", "the same without any play or disturbance, peak to peak"),
    "wag_estimate": Meaning("angle", "heading peak to peak, quick estimate"),
    "wag_estimate_frequency": Meaning("frequency", "frequency, quick estimate"),
    "gyro_margin": Meaning("ratio", "gyro gain margin before hunting (no play)"),
    "gyro_rate_gain": Meaning("time", "gyro's rate gain, blade pitch per yaw rate"),
    "gyro_hold_gain": Meaning("ratio", "gyro's hold gain, blade pitch per heading"),
    "gyro_hunts_at": Meaning("time", "rate gain at which the tail just hunts (no play, no weights)"),
    "share_visible": Meaning("ratio", "share of draws in which play shows"),
    "share_healthy": Meaning(
        "ratio", "share of draws in which the tail would be seen to wag without any play"
    ),
    "current_flown": Meaning("current", "supply current in hover as flown, idle included"),
    "charge_flown": Meaning("charge", "charge the servo draws in five minutes of hover as flown"),
    "winding_flown": Meaning("temperature", "motor winding after long in such a hover, in air of 20 degC"),
    "wag_verdict": Meaning("text", "verdict on the wag"),
    "bias_compensation": Meaning("ratio", "compensation of the chosen bias"),
    "bias_phase": Meaning("angle", "weights' phase of the chosen bias"),
    "bias_rod_force": Meaning("force", "largest rod force at the chosen bias"),
    "bias_rod_force_hover": Meaning("force", "rod force in hover at the chosen bias"),
    "bias_current_hold": Meaning("current", "holding current in hover at the chosen bias"),
    "bias_charge": Meaning("charge", "charge the servo draws in five minutes of hover at the chosen bias"),
    "bias_winding": Meaning(
        "temperature", "motor winding after long in hover at the chosen bias, air at 20 degC"
    ),
    "bias_wag_heading": Meaning("angle", "wag at the chosen bias, median of the draws"),
    "bias_share_visible": Meaning("ratio", "share of draws in which play shows at the chosen bias"),
    "bias_seat_ratio": Meaning("ratio", "least load over friction in the hover band at the chosen bias"),
    "energy_error": Meaning("ratio", "energy audit, relative error"),
    "step_error": Meaning("ratio", "largest change of a force or current at half the step"),
}


def in_words(name: str) -> str:
    """A finding's name as a person says it; of what is not registered (a logged column), its words apart."""
    return FINDINGS_TABLE[name].label if name in FINDINGS_TABLE else name.replace("_", " ")
