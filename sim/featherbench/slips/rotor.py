"""Rotor, air, blade and bearing held against the rotor's own size."""

from __future__ import annotations

from collections.abc import Iterator
from math import radians
from typing import TYPE_CHECKING

from featherbench import quantities
from featherbench.checks.bearing import most_rating
from featherbench.slips.band import Band, Remark, within

if TYPE_CHECKING:
    from featherbench.bench.setup import Setup

FASTEST_TIP = 0.65
"""Mach number of a tip that no model's tail rotor reaches (common practice, no source)."""
SLOWEST_TIP = 40.0
"""m/s."""
LARGEST_PULL = 3000.0
"""N, centrifugal, of one blade with all that pitches with it: some thousand newtons (common practice, no source)."""
ON = "at this tip radius"
LENGTHS = (
    Band("blade.root", "length", 0.12, 0.7, ON),
    Band("blade.bolt_radius", "length", 0.1, 0.6, ON),
    Band("bearing.mean_diameter", "length", 0.015, 0.25, ON),
)
TIP = Band("blade.tip", "length", 0.03, 0.3, "for a model's tail rotor")
CHORD = Band("blade.chord", "length", 0.08, 0.45, ON)
THICKNESS = Band("blade.thickness", "length", 0.04, 0.3, "at this chord")
AXIS = Band("blade.axis_at", "ratio", 0.15, 0.6, "chords behind the leading edge")
CONING = Band("rotor.coning", "angle", 0.0, radians(8.0))
DENSITY = Band("air.density", "density", 0.6, 1.6, "for air")
ALTITUDE = Band("air.altitude", "altitude", 0.0, 4500.0, "above sea level")
TEMPERATURE = Band("air.temperature", "temperature", 233.0, 323.0)
COEFFICIENT = Band("bearing.coefficient", "ratio", 2e-4, 0.03, "for a ball bearing")
STARTING = Band("bearing.starting_moment", "moment", 0.0, 0.09, ON)
RATING = Band("bearing.static_rating", "force", 5e6, most_rating(1.0), "for a bearing of this diameter")


def rotor_remarks(setup: Setup) -> Iterator[Remark]:
    """Speed, pull, pitch range, outline, air and bearing."""
    scenario = setup.scenario
    tip, blade, bearing = scenario.blade.tip, scenario.blade, scenario.bearing
    if found := list(within(TIP, tip)):
        yield from found
        return
    yield from _speed(setup)
    yield from _range(setup)
    yield from within(CONING, scenario.rotor.coning)
    for band in LENGTHS:
        table, _, key = band.key.partition(".")
        yield from within(band, getattr(getattr(scenario, table), key), tip)
    yield from _first(within(CHORD, chord, tip) for _, chord in blade.chord)
    widest = max(chord for _, chord in blade.chord)
    yield from _first(within(THICKNESS, value, widest) for _, value in blade.thickness or ())
    yield from within(AXIS, blade.axis_at)
    for band, given in (
        (DENSITY, scenario.air.density),
        (ALTITUDE, scenario.air.altitude),
        (TEMPERATURE, scenario.air.temperature),
        (COEFFICIENT, bearing.coefficient),
    ):
        yield from within(band, given)
    yield from within(STARTING, bearing.starting_moment, tip**2)
    yield from within(RATING, bearing.static_rating, (bearing.mean_diameter or 0.0) ** 2)


def _first(found: Iterator[Iterator[Remark]]) -> Iterator[Remark]:
    """One remark is enough for a table of values."""
    for remark in (remark for one in found for remark in one):
        yield remark
        return


def _speed(setup: Setup) -> Iterator[Remark]:
    speed, tip = float(setup.scenario.rotor.speed), float(setup.scenario.blade.tip)
    sound = setup.air.state.sound_speed
    tips = f"the tips would go {speed * tip:.0f} m/s, {speed * tip / sound:.2g} x the speed of sound"
    band = Band("rotor.speed", "rotation", SLOWEST_TIP / tip, FASTEST_TIP * sound / tip, ON, tips)
    yield from within(band, speed)


def pull_remarks(setup: Setup) -> Iterator[Remark]:
    """On the pull of one blade, where no single figure explains it."""
    pull = setup.moments.radial * float(setup.scenario.rotor.speed) ** 2
    if pull > LARGEST_PULL:
        why = "mass x radius x speed squared: see rotor.speed and the masses and places of the parts"
        given = f"{pull:,.0f} N"
        yield Remark("outward pull of one blade", given, f"less than {LARGEST_PULL:,.0f} N", why)


def _range(setup: Setup) -> Iterator[Remark]:
    """A range in the wrong unit, or with one end a tenth of the other."""
    low, high = (float(end) for end in setup.scenario.rotor.pitch_range)
    given = f"{quantities.text(low, 'angle', digits=3)} to {quantities.text(high, 'angle', digits=3)}"
    widest, least = max(abs(low), abs(high)), min(abs(low), abs(high))
    if widest < radians(8.0):
        yield Remark("rotor.pitch_range", given, "20 to 30 deg to each side")
    elif low < 0.0 < high and least < 0.13 * widest:
        yield Remark("rotor.pitch_range", given, "two ends of a like size")
    elif widest > radians(45.0):
        yield Remark(
            "rotor.pitch_range", given, "20 to 30 deg to each side", "a blade is stalled long before"
        )
