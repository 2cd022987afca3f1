"""How hard the blade bolt presses into the blade root and into the cheeks of the grip."""

from __future__ import annotations

from featherbench.checks.bolt import DESIGN_FRACTION
from featherbench.checks.bolt_joint import Bolt, Case, find_bolt, pin_joint
from featherbench.checks.check import Check, unknown
from featherbench.checks.sections import ends
from featherbench.checks.strength import part_strength

ROOT, GRIP = "bolt pressure in the blade root", "bolt pressure in the grip"


def pressure_checks(case: Case) -> tuple[Check, Check]:
    """Pressure over diameter x length against the softer of the bolt and what it presses on."""
    bolt, joint, shown = find_bolt(case), pin_joint(case), case.shown
    if isinstance(bolt, str) or isinstance(joint, str):
        missing = bolt if isinstance(bolt, str) else str(joint)
        return (unknown(ROOT + case.at, "stress", missing), unknown(GRIP + case.at, "stress", missing))
    half = 0.5 * joint.root
    inside = (joint.middle - half, joint.middle + half)
    root = case.pull / (_narrowest(bolt, inside) * joint.root)
    grip = case.pull / (_narrowest(bolt, joint.faces) * 2.0 * joint.thin_cheek)
    return (
        _pressure(
            case, ROOT, root, bolt, shown.root_parts, "joint.root_thickness gives no material: state the root"
        ),
        _pressure(
            case,
            GRIP,
            grip,
            bolt,
            shown.grip_parts,
            "joint.cheek_thickness gives no material: state the grip",
        ),
    )


def _narrowest(bolt: Bolt, between: tuple[float, float]) -> float:
    """Least outside width of the bolt there, m; a thread presses with what it weighs as."""
    widths = [
        min(solid.size[0], solid.size[1])
        for solid in bolt.solids
        if min(ends(solid)[1], between[1]) - max(ends(solid)[0], between[0]) > 1e-7
    ]
    return min(widths, default=min(min(solid.size[0], solid.size[1]) for solid in bolt.solids))


def _pressure(
    case: Case, name: str, stress: float, bolt: Bolt, parts: tuple[str, ...], missing: str
) -> Check:
    if not parts:
        return unknown(name + case.at, "stress", missing, stress)
    found = []
    for part in (*parts, bolt.name):
        strength = part_strength(case.scenario, part)
        if isinstance(strength, str):
            return unknown(name + case.at, "stress", strength, stress)
        found.append((strength.proof, part, strength.source))
    least, part, source = min(found)
    allowed = DESIGN_FRACTION * least
    said = (
        f"{DESIGN_FRACTION:g} of the yield strength of part.{part} ({source}), the softer of it and the bolt"
    )
    return Check(name + case.at, "stress", stress, allowed, said, f"part.{part}", load_path=True)
