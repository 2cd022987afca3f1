"""The changes that builders ordinarily think of: linkage, servo, rotor, blades; parts and weights in `part_changes`."""

from __future__ import annotations

import math
from collections.abc import Iterator

from featherbench.assembly import Assembly
from featherbench.bench.setup import Setup
from featherbench.ranking.change import Change, Setting, altered, left_out, scaled, with_masses
from featherbench.ranking.part_changes import bolt_changes, grip_changes, weight_changes
from featherbench.scenario import Scenario

STEP = 0.1
"""Share by which arms and levers are made longer or shorter: a hole or two further in or out (common practice)."""
BOTH_WAYS = ((1.0 - STEP, "shorter"), (1.0 + STEP, "longer"))
RANGE_LESS = math.radians(2.0)
"""rad, off each end of the pitch range."""
SLOWER = 0.05
STRONGER = 0.3
STIFFER = 1.5
LESS_WORN = 0.5
LESS_GREASE = 0.5
LESS_BLADE = 0.1


def ordinary_changes(base: Setup) -> tuple[Change, ...]:
    """All of them, those that the build cannot take with the reason."""
    scenario, assembly = base.scenario, base.assembly
    return (
        *_arms(scenario),
        *_linkage(scenario),
        *grip_changes(scenario, assembly),
        *bolt_changes(scenario),
        *weight_changes(base),
        *_blades(scenario, assembly),
        *_rotor(scenario),
        *_servo(scenario),
    )


def _arms(scenario: Scenario) -> Iterator[Change]:
    """Arms and levers a tenth longer and shorter."""
    for name, key in (("servo arm", "servo_arm"), ("pitch horn arm", "horn_arm")):
        for factor, how in BOTH_WAYS:
            yield scaled(scenario, f"{name} 10 % {how}", {f"linkage.{key}": factor})
    for factor, how in BOTH_WAYS:
        words = f"bellcrank rod arm 10 % {how}"
        if scenario.linkage.lever_in is None:
            yield left_out(words, "no bellcrank in the file (linkage.lever_in)")
        else:
            yield scaled(scenario, words, {"linkage.lever_in": factor})


def _linkage(scenario: Scenario) -> Iterator[Change]:
    """Stiffer, less worn, freer."""
    yield scaled(scenario, "linkage 50 % stiffer", {"linkage.stiffness": STIFFER})
    play = scenario.linkage.play
    names = [name for name in type(play).model_fields if getattr(play, name) > 0.0]
    words = "half the play in the linkage"
    if names:
        less = play.model_copy(update={name: LESS_WORN * getattr(play, name) for name in names})
        settings = tuple(
            Setting(f"linkage.play.{name}", "length", getattr(play, name), getattr(less, name))
            for name in names
        )
        linkage = scenario.linkage.model_copy(update={"play": less})
        yield altered(scenario, words, {"linkage": linkage}, settings=settings)
    else:
        yield left_out(words, "no play in the file (linkage.play)")
    friction = [name for name in ("slider_friction", "rod_friction") if getattr(scenario.linkage, name)]
    words = "half the friction at slider and rod"
    if friction:
        yield scaled(scenario, words, {f"linkage.{name}": LESS_WORN for name in friction})
    else:
        yield left_out(words, "no friction of slider or rod in the file")
    yield scaled(
        scenario,
        "half the grease drag in the bearings",
        {"bearing.starting_moment": LESS_GREASE},
        remark="what the pull on the bearing rubs stays",
    )


def _blades(scenario: Scenario, assembly: Assembly) -> Iterator[Change]:
    names = [name for name, part in scenario.part.items() if part.shape == "aerofoil"]
    if not names:
        yield left_out("blades 10 % lighter", "no part of shape aerofoil in the file")
        return
    factors = {name: 1.0 - LESS_BLADE for name in names}
    yield with_masses(scenario, assembly, "blades 10 % lighter", factors)
    rows = scenario.blade.chord
    narrow = [(radius, (1.0 - LESS_BLADE) * chord) for radius, chord in rows]
    own = with_masses(scenario, assembly, "blades 10 % less in chord", factors)
    if own.scenario is not None:
        settings = (Setting("blade.chord", "length", rows[0][1], narrow[0][1]), *own.settings)
        blade = scenario.blade.model_copy(update={"chord": narrow})
        own = altered(
            own.scenario, own.words, {"blade": blade}, remark="mass with the chord", settings=settings
        )
    yield own


def _rotor(scenario: Scenario) -> Iterator[Change]:
    low, high = scenario.rotor.pitch_range
    words = "pitch range 2 deg less each end"
    ends = (low + RANGE_LESS, high - RANGE_LESS)
    if ends[0] >= 0.0 or ends[1] <= 0.0:
        yield left_out(words, "the range would end short of zero pitch")
    else:
        settings = tuple(
            Setting(f"rotor.pitch_range.{number}", "angle", before, after)
            for number, (before, after) in enumerate(zip((low, high), ends, strict=True))
        )
        rotor = scenario.rotor.model_copy(update={"pitch_range": ends})
        yield altered(scenario, words, {"rotor": rotor}, settings=settings)
    yield scaled(scenario, "rotor speed 5 % less", {"rotor.speed": 1.0 - SLOWER})


def _servo(scenario: Scenario) -> Iterator[Change]:
    more = 1.0 + STRONGER
    yield scaled(
        scenario,
        "servo 30 % stronger, as fast",
        {"servo.stall_torque": more, "servo.stall_current": more},
        remark="its stall current taken as 30 % more, all else as it is",
    )
    yield scaled(
        scenario,
        "servo geared 30 % lower",
        {"servo.stall_torque": more, "servo.transit_60": more, "servo.gear_ratio": more},
        remark="so much more torque and so much slower, the same currents",
    )
