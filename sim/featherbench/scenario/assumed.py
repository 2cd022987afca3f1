"""What was left to the schema's defaults and matters, and why each default is what it is.

Defaults that need physics (servo friction, rod stiffness, air) are stated where that physics lives.
"""

from __future__ import annotations

from typing import NamedTuple

from featherbench import quantities
from featherbench.scenario.schema import ScenarioTables
from featherbench.scenario.servo_kinds import WHY


class Assumed(NamedTuple):
    """Something the user did not state: key path, the value taken, and why, in plain words."""

    key: str
    value: str
    why: str


_DEFAULTS: tuple[tuple[str, str, str], ...] = (
    ("blade.swing", "", "not stated: the blade is taken as held by its bolt"),
    ("bearing.starting_moment", "moment", "not stated: friction without load (grease, seals) is left out"),
    (
        "linkage.slider_friction",
        "force",
        "not stated: pushing and pulling forces then differ by less than they will",
    ),
    (
        "linkage.rod_friction",
        "force",
        "not stated: pushing and pulling forces then differ by less than they will",
    ),
    (
        "linkage.slider_load_friction",
        "ratio",
        "of slider and joints, as a share of what they carry (judgement)",
    ),
    (
        "linkage.rod_load_friction",
        "ratio",
        "of the rod's ball at the servo, as a share of what it carries (judgement)",
    ),
    ("linkage.slider_mass", "mass", "not stated: matters for quick movements only"),
    ("linkage.damping_ratio", "ratio", "of the joint in contact (common practice, no source)"),
    ("servo.idle_current", "current", "not stated: nothing is taken off the currents of the data sheet"),
    ("servo.gear_play", "angle", "not stated: the servo's own play is left out"),
    ("servo.dead_band", "angle", WHY),
    ("servo.proportional_band", "angle", WHY),
    ("servo.drive_rate", "frequency", WHY),
    ("servo.damping", "time", "not stated: none of a loop whose band is stated, else usual of its kind"),
    ("servo.output_friction", "moment", "not stated: the arm may then chatter between two plays"),
    ("supply.resistance", "resistance", "not stated: the supply does not sag"),
    (
        "shaking.passing",
        "moment",
        "of one blade, as often a turn as there are blades (judgement): lets friction go",
    ),
    ("shaking.unlike", "moment", "of all blades together, once a turn (judgement): lets friction go"),
    ("shaking.slider", "force", "of rod and boom, once a turn (judgement): lets friction go"),
    ("bench.programme", "", "not stated: to the high end, to the low end and back to zero pitch"),
    ("bench.current_window", "time", "peaks of current are averages over this window"),
    ("gauge.resolution", "force", "not stated: the gauge is taken to show every digit"),
    ("gauge.rate", "frequency", "samples of the force gauge (common practice, no source)"),
    ("gauge.stiffness", "stiffness", "of a small force gauge (common practice, no source)"),
    ("gauge.sweep", "time", "slow enough to leave inertia out"),
    ("meter.resolution", "current", "of a hand-held meter (common practice, no source)"),
    ("meter.window", "time", "averaging of a hand-held meter (common practice, no source)"),
    ("meter.rate", "frequency", "readings of a hand-held meter (common practice, no source)"),
    ("meter.zero_idle", "", "idle current is taken off the reading"),
    ("joint.clearance", "length", "between blade root and cheek, each side (common practice, no source)"),
    (
        "limits.over_speed",
        "ratio",
        "highest speed for the strength checks over the stated one (common practice, no source)",
    ),
)


def left_to_defaults(scenario: ScenarioTables) -> tuple[Assumed, ...]:
    """The defaults that were taken and that a finding can depend on."""
    found = []
    for key, kind, why in _DEFAULTS:
        table_name, _, name = key.partition(".")
        table = getattr(scenario, table_name)
        if name not in table.model_fields_set:
            found.append(Assumed(key, _said(getattr(table, name), kind), why))
    if not scenario.linkage.play.model_fields_set:
        found.append(
            Assumed("linkage.play", "none", "not stated: no float, no lost motion and no wag can show")
        )
    if scenario.supply.limit is None:
        found.append(Assumed("supply.limit", "none", "not stated: the supply gives whatever is drawn"))
    return tuple(found)


def _said(value: object, kind: str) -> str:
    """A default in words or with its unit."""
    if isinstance(value, float) and kind:
        return quantities.text(value, kind)
    if isinstance(value, bool):
        return "true" if value else "false"
    return value if isinstance(value, str) else "the usual moves"
