"""From the scenario's [linkage] to kernel geometry, stiffness and play at the rod, and what had to be
assumed."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, degrees, inf

import numpy as np

from featherbench import quantities
from featherbench.assembly.materials import Material, material
from featherbench.assembly.refusal import PartRefused
from featherbench.linkage.geometry import Linkage, linkage_geometry, pitch_rod_travel
from featherbench.linkage.play import play_at_rod
from featherbench.linkage.reach import LinkageReach, servo_angles_for
from featherbench.linkage.stiffness import in_series, rod_section, rod_stiffness
from featherbench.scenario import Assumed, Problem, Scenario, ScenarioError
from featherbench.scenario.schema import Linkage as LinkageTable

USUAL_STIFFNESS = 40e3
"""N/m at the rod of arms, levers and slider of which nothing is known, alone or beside a known rod (common practice,
no source)."""
USUAL_ROD_MATERIAL = "carbon/epoxy"
USUAL_ROD_DIAMETER = 2e-3
"""m, for the mass of a rod of which nothing is known (common practice, no source)."""
PITCHES_TRIED = 61
"""Places along the pitch range at which reach and servo travel are checked, ends included."""


@dataclass(frozen=True)
class LinkageSetup:
    """A linkage ready for the plant.

    stiffness: N/m at the rod, of everything between servo output and slider. play: peak to peak at the rod,
    m, of every joint together. rod_mass: kg. servo_angles: servo output at the low and the high end of the
    pitch range, rad from where it stands at zero pitch; positive pushes.
    """

    geometry: Linkage
    stiffness: float
    play: float
    rod_mass: float
    servo_angles: tuple[float, float]
    assumed: tuple[Assumed, ...]


@dataclass(frozen=True)
class Rod:
    """Stiffness N/m (inf: taken as rigid) and mass kg of the rod, and what was assumed for them."""

    stiffness: float
    mass: float
    assumed: tuple[Assumed, ...]


def build_linkage(scenario: Scenario) -> LinkageSetup:
    """Kernel parameters, stiffness, play and rod mass of a scenario's linkage.

    Raises ScenarioError when horn, lever or arm cannot reach the pitch range, when that needs more than
    servo.travel, when play takes up the whole stroke, and for a rod material that is not known or has no known modulus.
    """
    table = scenario.linkage
    geometry = _geometry(table)
    angles = _servo_angles(scenario, geometry)
    rod = _rod(table)
    stiffness, assumed = _stiffness(table, rod)
    if table.pitch_link is None:
        link = Assumed("linkage.pitch_link", "long", "not given: it stays parallel to the shaft")
    else:
        link = Assumed("linkage.pitch_link", "pushes", "it is taken to push the horn when pitch rises")
    play = play_at_rod(geometry, rod=table.play.rod, slider=table.play.slider, horn=table.play.horn)
    _refuse_play_without_stroke(scenario, geometry, play)
    return LinkageSetup(
        geometry=geometry,
        stiffness=stiffness,
        play=play,
        rod_mass=rod.mass,
        servo_angles=angles,
        assumed=(*assumed, link),
    )


def _geometry(table: LinkageTable) -> Linkage:
    """The table's lengths and angles as kernel parameters."""
    lever = None
    if table.lever_out is not None and table.lever_in is not None:
        lever = (table.lever_out, table.lever_in)
    return linkage_geometry(
        servo_arm=table.servo_arm,
        rod_length=table.rod_length,
        horn_arm=table.horn_arm,
        lever=lever,
        pitch_link=inf if table.pitch_link is None else table.pitch_link,
        neutral=(table.arm_neutral, table.lever_neutral, table.horn_neutral),
        reverse=table.reversed,
    )


def _servo_angles(scenario: Scenario, geometry: Linkage) -> tuple[float, float]:
    """Servo angles (rad) at both ends of the pitch range; raises ScenarioError when one cannot be had."""
    low, high = scenario.rotor.pitch_range
    pitches = np.linspace(low, high, PITCHES_TRIED)
    try:
        angles = servo_angles_for(pitches, geometry)
    except LinkageReach as error:
        given = f"{quantities.text(low, 'angle')} to {quantities.text(high, 'angle')}"
        expected = f"a range that the linkage reaches: {error}"
        raise ScenarioError([Problem(key="rotor.pitch_range", given=given, expected=expected)]) from None
    worst = int(np.argmax(np.abs(angles)))
    needed, travel = abs(angles[worst]), scenario.servo.travel
    if needed > travel:
        raise ScenarioError(
            [
                Problem(
                    key="servo.travel",
                    given=quantities.text(travel, "angle"),
                    expected=f"at least {ceil(10.0 * degrees(needed)) / 10.0:.1f} deg each way, which pitch"
                    f" {degrees(pitches[worst]):.1f} deg takes with a servo arm of"
                    f" {quantities.text(geometry.servo_arm, 'length')}; or a longer servo_arm,"
                    " or a smaller pitch_range",
                )
            ]
        )
    return float(angles[0]), float(angles[-1])


def _refuse_play_without_stroke(scenario: Scenario, geometry: Linkage, play: float) -> None:
    low, high = (pitch_rod_travel(pitch, geometry)[0] for pitch in scenario.rotor.pitch_range)
    stroke = abs(high - low)
    if play < stroke:
        return
    given = f"play of {quantities.text(play, 'length')} at the rod, all joints together"
    expected = f"less than the rod's whole stroke of {quantities.text(stroke, 'length')}: nothing would move the blades"
    raise ScenarioError([Problem(key="linkage.play", given=given, expected=expected)])


def _rod(table: LinkageTable) -> Rod:
    """Rod stiffness and mass from diameter and material, as far as they are known."""
    assumed: list[Assumed] = []
    diameter, stuff = table.rod_diameter, _rod_material(table)
    if diameter is None:
        mass = table.rod_mass
        if mass is None:
            mass = stuff.density * rod_section(USUAL_ROD_DIAMETER) * table.rod_length
            size = f"{quantities.text(USUAL_ROD_DIAMETER, 'length')} of {stuff.name}"
            why = f"no rod_diameter: {size} (common practice, no source)"
            assumed.append(Assumed("linkage.rod_mass", quantities.text(mass, "mass", digits=3), why))
        return Rod(inf, float(mass), tuple(assumed))
    section = rod_section(diameter, table.rod_bore)
    asks_modulus = table.stiffness is None and table.rod_modulus is None
    if table.rod_material is None and (asks_modulus or table.rod_mass is None):
        assumed.append(Assumed("linkage.rod_material", stuff.name, "not given (common practice, no source)"))
    modulus = table.rod_modulus if table.rod_modulus is not None else stuff.modulus
    if modulus is None and asks_modulus:
        expected = f'a modulus, e.g. "120 GPa": none is known for {stuff.name}; or stiffness, at the rod'
        raise ScenarioError([Problem(key="linkage.rod_modulus", given="not given", expected=expected)])
    mass = table.rod_mass
    if mass is None:
        mass = stuff.density * section * table.rod_length
        why = "not given: the rod alone, from its size; ends not counted"
        assumed.append(Assumed("linkage.rod_mass", quantities.text(mass, "mass", digits=3), why))
    stiffness = inf if modulus is None else rod_stiffness(modulus, section, table.rod_length)
    return Rod(stiffness, float(mass), tuple(assumed))


def _rod_material(table: LinkageTable) -> Material:
    """The rod's material, the usual one when none is named; raises ScenarioError for an unknown name."""
    try:
        return material(table.rod_material or USUAL_ROD_MATERIAL, "linkage.rod_material")
    except PartRefused as error:
        raise ScenarioError([Problem(key=error.key, given=error.given, expected=error.expected)]) from None


def _stiffness(table: LinkageTable, rod: Rod) -> tuple[float, tuple[Assumed, ...]]:
    """Stiffness at the rod (N/m) and everything assumed for rod and stiffness.

    What is stated or known from its size goes in series with an assumed rest, so that saying more about one member
    never makes the others rigid.
    """
    if table.stiffness is not None:
        return float(table.stiffness), rod.assumed
    stated = {"arm": table.arm_stiffness}
    if table.lever_out is not None:
        stated["lever"] = table.lever_stiffness
    known = [value for value in (rod.stiffness, *stated.values()) if value is not None and value < inf]
    if not known:
        why = "no stiffness, rod_diameter or arm_stiffness given (common practice, no source)"
        usual = Assumed("linkage.stiffness", quantities.text(USUAL_STIFFNESS, "stiffness"), why)
        return USUAL_STIFFNESS, (*rod.assumed, usual)
    guessed: list[tuple[str, float]] = []
    if rod.stiffness == inf:
        guessed.append(("a rod of the usual size", _usual_rod_stiffness(table)))
    if left := [name for name, value in stated.items() if value is None]:
        guessed.append((" and ".join([*left, "slider"]), USUAL_STIFFNESS))
    total = in_series(*known, *(value for _, value in guessed))
    if not guessed:
        return total, rod.assumed
    rest = ", ".join(f"{quantities.text(value, 'stiffness', digits=3)} for {what}" for what, value in guessed)
    why = (
        f"in series: {quantities.text(in_series(*known), 'stiffness', digits=4)} from what is stated, and, assumed, "
        f"{rest} (common practice, no source); hang a weight on the rod and measure"
    )
    return total, (
        *rod.assumed,
        Assumed("linkage.stiffness", quantities.text(total, "stiffness", digits=3), why),
    )


def _usual_rod_stiffness(table: LinkageTable) -> float:
    """N/m of a rod of which only the length, and perhaps the material, is known."""
    modulus = table.rod_modulus or _rod_material(table).modulus or material(USUAL_ROD_MATERIAL).modulus
    assert modulus is not None  # the usual material has one
    return rod_stiffness(modulus, rod_section(USUAL_ROD_DIAMETER), table.rod_length)
