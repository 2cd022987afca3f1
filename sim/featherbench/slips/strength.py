"""Strengths, lengths of thread and thicknesses of the joint as stated, held against material, thread and parts."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from featherbench.assembly.hardware import MM, split_size, thread_of
from featherbench.assembly.material_strengths import metal_strength
from featherbench.assembly.refusal import PartRefused
from featherbench.checks.bolt_joint import bolt_joint
from featherbench.checks.strength import MOST_ULTIMATE, plausible_strength
from featherbench.slips.band import Band, Remark, within

if TYPE_CHECKING:
    from featherbench.bench.setup import Setup

ENGAGED = (0.3, 5.0)
"""Length of thread over its diameter."""
BY_PARTS = (0.8, 1.25)
"""Thickness stated in [joint] over that of the parts."""
BREAKS = Band("ultimate_strength", "pressure", 1.0, MOST_ULTIMATE, "beside the strength it yields at")
CLEARANCE = Band("joint.clearance", "length", 0.0, 0.25, "between root and cheek, for this root")
"""Times the root's thickness."""
ANYTHING = "for what a part is made of"
STATED = ("proof_strength", "yield_strength", "ultimate_strength")


def strength_remarks(setup: Setup) -> Iterator[Remark]:
    """Of every part and of [retention], and of [joint]."""
    scenario = setup.scenario
    for name, part in scenario.part.items():
        size = getattr(part, "size", None)
        thread = getattr(part, "thread", None) or (size if isinstance(size, str) else None)
        yield from _strengths(f"part.{name}", part)
        yield from _engagement(f"part.{name}.engagement", part.engagement, thread)
    yield from _strengths("retention", scenario.retention)
    yield from _plausible("retention.into_yield", scenario.retention.into_yield, scenario.retention.into)
    yield from _engagement("retention.engagement", scenario.retention.engagement, scenario.retention.thread)
    yield from _joint(setup)


def _strengths(where: str, stated: Any) -> Iterator[Remark]:
    for key in STATED:
        yield from _plausible(f"{where}.{key}", getattr(stated, key), stated.material)
    own = stated.proof_strength or stated.yield_strength or 0.0
    yield from within(BREAKS._replace(key=f"{where}.{BREAKS.key}"), stated.ultimate_strength, own)


def _plausible(key: str, value: float | None, name: str | None) -> Iterator[Remark]:
    metal = metal_strength(name)
    beside = f"for {metal.words}" if metal is not None else "for a plastic or laminate" if name else ANYTHING
    yield from within(Band(key, "pressure", *plausible_strength(name), beside), value)


def _engagement(key: str, value: float | None, thread: str | None) -> Iterator[Remark]:
    if value is None or thread is None:
        return
    try:
        diameter = thread_of(split_size(thread)[0]).diameter * MM
    except PartRefused:
        return
    yield from within(Band(key, "length", *ENGAGED, "of full thread at this size"), value, diameter)


def _joint(setup: Setup) -> Iterator[Remark]:
    """What is stated counts before the parts: the two must not differ by much."""
    stated, shown = setup.scenario.joint, bolt_joint(setup.assembly)
    if shown.root is None:
        return
    root = shown.root[1] - shown.root[0]
    yield from within(CLEARANCE, stated.clearance, root)
    by_root = Band("joint.root_thickness", "length", *BY_PARTS, "by the part of the blade root")
    yield from within(by_root, stated.root_thickness, root)
    if shown.grip is None:
        return
    cheek = 0.5 * (shown.grip[1] - shown.grip[0] - root) - stated.clearance
    by_grip = Band("joint.cheek_thickness", "length", *BY_PARTS, "by the parts of grip and root")
    yield from within(by_grip, stated.cheek_thickness, cheek)
