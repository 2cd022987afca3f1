"""The screw, nut or spindle that holds a grip on its axis: it carries the whole centrifugal load of one assembly."""

from __future__ import annotations

from math import pi

from featherbench.assembly.hardware import core_diameter, split_size, thread_of
from featherbench.assembly.material_strengths import metal_strength
from featherbench.assembly.refusal import PartRefused
from featherbench.checks.bolt import COMBINED_FRACTION, PRELOAD_FRACTION
from featherbench.checks.bolt_joint import Case
from featherbench.checks.check import Check, unknown
from featherbench.checks.endurance import ONCE_PER_TURN, STARTS, endurance_at, stress_amplitude
from featherbench.checks.strength import Strength, plausible_strength, resolved
from featherbench.checks.thread import stripping_load
from featherbench.scenario.built_tables import Retention

PULL = "what holds the grip on its axis"
LASTS = "what holds the grip, starts and turns"
STRIPS = "thread of what holds the grip"
FRACTION = COMBINED_FRACTION - PRELOAD_FRACTION
"""Of proof stress left for the load beside the preload, which a pull adds to in the worse reading."""
UNEVEN = 1.5
"""Share of the load, over an even one, that the worse of several takes (engineering judgement, no source)."""
WANTED = (
    'state [retention]: thread = "M4", property_class = "12.9" (or its material), engagement = "6 mm", into = "steel" '
    "of the screw, nut or spindle that holds the grip against flying outward"
)


def retention_checks(case: Case) -> tuple[Check, ...]:
    """Pull at the weakest section, starts and turns, and its thread."""
    stated = case.scenario.retention
    problem = _missing(stated)
    if problem:
        return (unknown(PULL + case.at, "force", problem, case.whole),)
    bought = stated.property_class is not None
    strength = resolved(stated, "retention", bought=bought)
    if isinstance(strength, str):
        return (unknown(PULL + case.at, "force", strength, case.whole),)
    each = case.whole / stated.number * (UNEVEN if stated.number > 1 else 1.0)
    width, words, place = _section(stated)
    area = pi / 4.0 * width**2
    source = f"{strength.source}: {FRACTION:g} of proof stress beside the preload"
    if stated.number > 1:
        source += f"; the worse of {stated.number} takes {UNEVEN:g} times its share (assumed)"
    pull = Check(
        PULL + case.at, "force", each, FRACTION * strength.proof * area, source, words, load_path=True
    )
    return (
        pull,
        _lasting(case, each / area, strength, width, words, place),
        *_strips(case, stated, each, strength),
    )


def _missing(stated: Retention) -> str:
    if stated.thread is None and stated.diameter is None:
        return WANTED
    if stated.thread is not None:
        try:
            thread_of(stated.thread)
        except PartRefused as refused:
            return f"retention.thread: {refused.given}; expected {refused.expected}"
    return ""


def _section(stated: Retention) -> tuple[float, str, str]:
    """Width that carries, m, in words, and its kind: the thinner of core and neck."""
    core = core_diameter(stated.thread) if stated.thread is not None else None
    if core is None or (stated.diameter is not None and stated.diameter < core):
        assert stated.diameter is not None
        return stated.diameter, f"plain neck, {1e3 * stated.diameter:.2f} mm", "fillet"
    return core, f"thread {stated.thread}, core d3 = {1e3 * core:.2f} mm", "thread"


def _lasting(case: Case, stress: float, strength: Strength, width: float, words: str, place: str) -> Check:
    preload = PRELOAD_FRACTION * strength.proof
    allowed = endurance_at(strength, place, width, preload + 0.5 * stress)
    if allowed is None:
        metal = strength.family or "a material not stated"
        return unknown(LASTS + case.at, "stress", f"no endurance is known for {metal}: use one of steel")
    source = (
        f"endurance by VDI 2230 and a textbook, the worse; {STARTS:,.0f} starts, {100.0 * ONCE_PER_TURN:.0f} % of the "
        "load once per turn (assumed)"
    )
    return Check(LASTS + case.at, "stress", stress_amplitude(stress), allowed, source, words, load_path=True)


def _strips(case: Case, stated: Retention, each: float, strength: Strength) -> tuple[Check, ...]:
    other = _hub_yield(stated)
    if isinstance(other, str):
        return (unknown(STRIPS + case.at, "force", other, each),)
    assert stated.thread is not None
    assert stated.engagement is not None
    size = split_size(stated.thread)[0]
    allowed = FRACTION * stripping_load(size, stated.engagement, strength.proof, other)
    source = (
        f"{FRACTION:g} of what the weaker thread bears at its tolerance limits, FED-STD-H28, one pitch at its ends not "
        "counted"
    )
    where = f"{1e3 * stated.engagement:g} mm of {size} in {stated.into or 'what is stated'}"
    return (Check(STRIPS + case.at, "force", each, allowed, source, where, load_path=True),)


def _hub_yield(stated: Retention) -> float | str:
    """Yield, Pa, of what the thread is in, or what to state."""
    if stated.thread is None:
        return "state retention.thread and retention.engagement: how the spindle's end is held"
    if stated.engagement is None or (stated.into is None and stated.into_yield is None):
        return 'state retention.engagement, for example "6 mm", and retention.into, for example "steel"'
    metal, own = metal_strength(stated.into), stated.into_yield
    if stated.into is not None and metal is None:
        return (
            f"a thread in {stated.into} creeps under a pull that lasts, whatever its yield: use one in metal"
        )
    if own is not None and own <= plausible_strength(stated.into)[1]:
        return own
    if metal is not None:  # nothing of that material bears more
        return metal.yield_strength
    return 'retention.into_yield is beyond anything: state retention.into, for example "steel"'
