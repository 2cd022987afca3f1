"""Does the blade bolt hold: in shear, as a pin between the cheeks, by what hangs over the grip, all together, for long.

Loads are centrifugal at rotor speed times limits.over_speed, at zero pitch. Allowables are a stated fraction of what
the bolt's own strength bears (the fractions: engineering judgement, no source; a load that comes with every start and
wears on a thread is no place for the last tenth). Friction of clamped cheeks helps nothing: it counts as loose.
"""

from __future__ import annotations

from featherbench.checks.bolt_joint import Case, PinJoint, find_bolt, pin_joint
from featherbench.checks.check import Check, unknown
from featherbench.checks.endurance import ONCE_PER_TURN, STARTS, endurance_at, stress_amplitude
from featherbench.checks.fasteners import SHEAR_SHARE, combined_stress
from featherbench.checks.stations import Station, hung_over, stations
from featherbench.checks.strength import Strength, part_strength

DESIGN_FRACTION = 0.5
"""Of shear strength, proof stress or yield that one load by itself may use."""
COMBINED_FRACTION = 0.8
"""Of proof stress that preload, bending and shear together may use."""
PRELOAD_FRACTION = 0.3
"""Of proof stress, left in a blade bolt by tightening: done up by feel, not to a torque."""
SHEAR = "blade bolt, shear in two planes"
PIN = "blade bolt, bending between the cheeks"
BENDING = "blade bolt, bending at the grip face"
COMBINED = "blade bolt, all stresses together"
LASTS = "blade bolt, starts and turns"
_KINDS = {SHEAR: "force", PIN: "moment", BENDING: "moment", COMBINED: "stress", LASTS: "stress"}


def bolt_checks(case: Case) -> tuple[Check, ...]:
    """The bolt's own checks; what the scenario does not show is said, and not run."""
    bolt, joint = find_bolt(case), pin_joint(case)
    if isinstance(bolt, str) or isinstance(joint, str):
        missing = bolt if isinstance(bolt, str) else str(joint)
        return _unknown(case, missing)
    strength, found = part_strength(case.scenario, bolt.name), stations(case, joint, bolt)
    if isinstance(strength, str) or isinstance(found, str):
        return _unknown(case, strength if isinstance(strength, str) else str(found))
    return (
        _shear(case, joint, found, strength),
        _pin(case, found, strength),
        _grip_face(case, joint, found, strength),
        _together(case, found, strength),
        _lasting(case, found, strength),
    )


def _unknown(case: Case, missing: str) -> tuple[Check, ...]:
    demands = {SHEAR: case.pull}
    return tuple(unknown(name + case.at, kind, missing, demands.get(name)) for name, kind in _KINDS.items())


def _shear(case: Case, joint: PinJoint, found: list[Station], strength: Strength) -> Check:
    inner = 0.5 * joint.root
    between = [
        one
        for one in found
        if inner - 1e-7 <= abs(one.height - joint.middle) <= inner + joint.clearance + 1e-7
    ]
    weakest = min(between, key=lambda one: one.section.area)
    source = f"{strength.source}: {DESIGN_FRACTION:g} of the shear strength, {SHEAR_SHARE:g} x ultimate"
    allowed = DESIGN_FRACTION * SHEAR_SHARE * strength.ultimate * 2.0 * weakest.section.area
    return Check(SHEAR + case.at, "force", case.pull, allowed, source, _said(weakest), load_path=True)


def _pin(case: Case, found: list[Station], strength: Strength) -> Check:
    worst = max(found, key=lambda one: one.pin / one.section.modulus)
    loose = (
        "" if case.scenario.blade.swing == "free" else "; counted as loose, friction of the cheeks left out"
    )
    source = (
        f"{strength.source}: {DESIGN_FRACTION:g} of proof stress; pin joint of EN 1993-1-8, 3.13, load spread over "
        f"root and cheeks{loose}"
    )
    allowed = DESIGN_FRACTION * strength.proof * worst.section.modulus
    return Check(PIN + case.at, "moment", worst.pin, allowed, source, _said(worst), load_path=True)


def _grip_face(case: Case, joint: PinJoint, found: list[Station], strength: Strength) -> Check:
    worst = max(found, key=lambda one: one.hung / one.section.modulus)
    both = hung_over(case, joint)
    names = (both.high if worst.height > joint.middle else both.low).names
    source = f"{strength.source}: {DESIGN_FRACTION:g} of proof stress; {', '.join(names) or 'nothing'} beyond the face"
    allowed = DESIGN_FRACTION * strength.proof * worst.section.modulus
    return Check(BENDING + case.at, "moment", worst.hung, allowed, source, _said(worst), load_path=True)


def _together(case: Case, found: list[Station], strength: Strength) -> Check:
    preload = PRELOAD_FRACTION * strength.proof

    def stress(one: Station) -> float:
        return combined_stress(preload + one.bending, one.shearing)

    worst = max(found, key=stress)
    source = (
        f"{strength.source}: {COMBINED_FRACTION:g} of proof stress; tightened to {PRELOAD_FRACTION:g} of it (assumed), "
        "shear and bending taken at one section, both moments adding up"
    )
    allowed = COMBINED_FRACTION * strength.proof
    return Check(COMBINED + case.at, "stress", stress(worst), allowed, source, _said(worst), load_path=True)


def _lasting(case: Case, found: list[Station], strength: Strength) -> Check:
    preload, rows = PRELOAD_FRACTION * strength.proof, []
    for one in found:
        stress = combined_stress(one.bending, one.shearing)
        allowed = endurance_at(strength, one.place, one.section.nominal, preload + 0.5 * stress)
        if allowed is None:
            metal = strength.family or "a material not stated"
            return unknown(LASTS + case.at, "stress", f"no endurance is known for {metal}: use a steel bolt")
        rows.append((stress_amplitude(stress), allowed, one))
    amplitude, allowed, worst = max(rows, key=lambda row: row[0] / max(row[1], 1.0))
    source = (
        f"endurance by VDI 2230 and a textbook, the worse; {STARTS:,.0f} starts, {100.0 * ONCE_PER_TURN:.0f} % of the "
        "pull once per turn (assumed), tightened as above"
    )
    return Check(LASTS + case.at, "stress", amplitude, allowed, source, _said(worst), load_path=True)


def _said(one: Station) -> str:
    return f"{one.section.words}, {one.where}"
