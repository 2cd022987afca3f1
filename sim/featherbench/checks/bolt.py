"""Does the blade bolt hold: shear, pressure, bending by what hangs over the grip, all together, and the thread.

Loads are centrifugal at rotor speed times limits.over_speed, at zero pitch. Allowables are a stated fraction of what
the property class bears (the fractions: engineering judgement, no source; a load that comes with every start and wears
on a thread is no place for the last tenth). Left out: fatigue, notches beyond the core diameter, bending between the
cheeks of a loose grip.
"""

from __future__ import annotations

from math import pi
from typing import NamedTuple

from featherbench.assembly import Assembly
from featherbench.assembly.materials import material
from featherbench.assembly.refusal import PartRefused
from featherbench.checks.bolt_joint import (
    Bolt,
    BoltJoint,
    Overhang,
    beside_bolt,
    bolt_joint,
    find_bolt,
    overhang,
    thread_engaged,
)
from featherbench.checks.check import Check, not_checked
from featherbench.checks.fasteners import (
    CLASSES,
    SHEAR_SHARE,
    PropertyClass,
    combined_stress,
    property_class,
    round_modulus,
)
from featherbench.scenario import Scenario
from featherbench.studies.run import Run

DESIGN_FRACTION = 0.5
"""Of shear strength, proof stress or yield that one load by itself may use."""
COMBINED_FRACTION = 0.8
"""Of proof stress that preload, bending and shear together may use."""
PRELOAD_FRACTION = 0.3
"""Of proof stress, left in a blade bolt by tightening: done up by feel, not to a torque."""
SHEAR = "blade bolt, shear in two planes"
BENDING = "blade bolt, bending at the grip face"
COMBINED = "blade bolt, all stresses together"
BESIDE = "fixing of the weights beside the blade bolt"
THREAD = "thread of the blade bolt in its nut"


class Loads(NamedTuple):
    """shear: pull of the blade on the bolt, N; hung: what hangs over the worse grip face; bending: its moment, N m."""

    shear: float
    hung: Overhang | None
    bending: float | None


def bolt_checks(run: Run) -> tuple[Check, ...]:
    """All checks of the blade bolt; what the scenario does not show is said."""
    scenario, assembly = run.scenario, run.setup.assembly
    bolt, joint = find_bolt(scenario), bolt_joint(assembly)
    speed = f" at {scenario.limits.over_speed:g} x speed"
    loads = _loads(scenario, assembly, joint)
    if isinstance(bolt, str):
        missing = [
            (SHEAR, "force", loads.shear),
            (BENDING, "moment", loads.bending),
            (COMBINED, "stress", None),
        ]
        return tuple(not_checked(name + speed, kind, bolt, demand) for name, kind, demand in missing)
    return (
        *_strength(scenario, bolt, loads, speed),
        *_pressures(scenario, bolt, joint, loads, speed),
        _engagement(assembly, scenario, bolt),
        *_beside(scenario, assembly, speed),
    )


def _beside(scenario: Scenario, assembly: Assembly, speed: str) -> tuple[Check, ...]:
    """Counterweights that the bolt does not carry: their load is said, how they are held is not known here."""
    names = beside_bolt(assembly)
    load = sum(part.moments.radial for part in assembly.parts if part.name in names)
    squared = (float(scenario.rotor.speed) * scenario.limits.over_speed) ** 2
    wanted = f"{', '.join(names)}: how they are held is not in the scenario; work it out for {load * squared:.3g} N"
    return (not_checked(BESIDE + speed, "force", wanted, load * squared),) if names else ()


def _loads(scenario: Scenario, assembly: Assembly, joint: BoltJoint) -> Loads:
    """Loads at over-speed."""
    squared = (float(scenario.rotor.speed) * scenario.limits.over_speed) ** 2
    shear = assembly.swinging.radial * squared
    if joint.grip is None:
        return Loads(shear, None, None)
    hung = max((overhang(assembly, face) for face in joint.grip), key=lambda one: one.load * one.lever)
    return Loads(shear, hung, hung.load * hung.lever * squared)


def _strength(scenario: Scenario, bolt: Bolt, loads: Loads, speed: str) -> tuple[Check, Check, Check]:
    """Shear, bending, and both with the preload, against the property class."""
    own = _class(scenario)
    area = pi / 4.0 * bolt.core**2
    modulus = round_modulus(bolt.core)
    if isinstance(own, str):
        return (
            not_checked(SHEAR + speed, "force", own, loads.shear),
            not_checked(BENDING + speed, "moment", own, loads.bending),
            not_checked(COMBINED + speed, "stress", own),
        )
    shear = Check(
        SHEAR + speed,
        "force",
        loads.shear,
        DESIGN_FRACTION * SHEAR_SHARE * own.ultimate * 2.0 * area,
        f"{own.source}: {DESIGN_FRACTION:g} of the shear strength, {SHEAR_SHARE:g} x ultimate, on the thread's core",
    )
    if loads.bending is None or loads.hung is None:
        wanted = 'state the grip as a part of group "grip" that the bolt passes through: its faces are needed'
        return (
            shear,
            not_checked(BENDING + speed, "moment", wanted),
            not_checked(COMBINED + speed, "stress", wanted),
        )
    hung = ", ".join(loads.hung.names) or "nothing"
    preload = PRELOAD_FRACTION * own.proof
    stress = combined_stress(preload + loads.bending / modulus, loads.shear / (2.0 * area))
    return (
        shear,
        Check(
            BENDING + speed,
            "moment",
            loads.bending,
            DESIGN_FRACTION * own.proof * modulus,
            f"{own.source}: {DESIGN_FRACTION:g} of proof stress on the core; {hung} beyond the face",
        ),
        Check(
            COMBINED + speed,
            "stress",
            stress,
            COMBINED_FRACTION * own.proof,
            f"{own.source}: {COMBINED_FRACTION:g} of proof stress; tightened to {PRELOAD_FRACTION:g} of it (assumed), "
            "shear and bending taken at one section",
        ),
    )


def _class(scenario: Scenario) -> PropertyClass | str:
    given = scenario.limits.bolt_class
    if given is None:
        return 'state limits.bolt_class, for example "10.9"'
    found = property_class(given)
    return found if found is not None else f"limits.bolt_class: known are {', '.join(CLASSES)}"


def _pressures(
    scenario: Scenario, bolt: Bolt, joint: BoltJoint, loads: Loads, speed: str
) -> tuple[Check, Check]:
    """Pressure of the bolt in the blade root and in the cheeks of the grip, over diameter x length."""
    root_name = f"bolt pressure in the blade root{speed}"
    grip_name = f"bolt pressure in the grip{speed}"
    if joint.root is None:
        wanted = (
            "state the blade's root as a part that the bolt passes through and that swings with the blade"
        )
        return not_checked(root_name, "stress", wanted), not_checked(grip_name, "stress", wanted)
    inside = joint.root[1] - joint.root[0]
    root = _pressure(root_name, loads.shear, bolt.diameter * inside, scenario, joint.root_parts)
    cheeks = (joint.grip[1] - joint.grip[0] - inside) if joint.grip is not None else 0.0
    if cheeks <= 0.0:
        wanted = "state the grip as a part higher than the blade root, which the bolt passes through"
        return root, not_checked(grip_name, "stress", wanted)
    return root, _pressure(grip_name, loads.shear, bolt.diameter * cheeks, scenario, joint.grip_parts)


def _pressure(name: str, load: float, area: float, scenario: Scenario, parts: tuple[str, ...]) -> Check:
    stress = load / area
    for part in parts:
        stated = scenario.part[part].material
        if stated is None:
            return not_checked(
                name, "stress", f"state part.{part}.material, one with a known yield strength", stress
            )
        try:
            stuff = material(stated)
        except PartRefused:
            continue
        if stuff.yield_strength is None:
            return not_checked(
                name, "stress", f"no yield strength is known for {stuff.name} of part.{part}", stress
            )
        source = f"{DESIGN_FRACTION:g} of the yield strength of {stuff.name} ({stuff.source})"
        return Check(name, "stress", stress, DESIGN_FRACTION * stuff.yield_strength, source)
    return not_checked(name, "stress", "state the material of the parts about the bolt", stress)


def _engagement(assembly: Assembly, scenario: Scenario, bolt: Bolt) -> Check:
    if not bolt.thread:
        return not_checked(THREAD, "length", "the blade bolt is a plain pin: state the screw that it is")
    found = thread_engaged(assembly, scenario, bolt)
    if found is None:
        return not_checked(THREAD, "length", 'state its nut as a part of shape "nut" on the bolt')
    wanted, engaged = found
    return Check(
        THREAD,
        "length",
        wanted,
        engaged,
        "thread inside the nut, from the parts; the whole of its hexagon is wanted",
    )
