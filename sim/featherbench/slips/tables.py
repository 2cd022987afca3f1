"""Bench, instruments, limits, aircraft and room for weights, held against rotor and servo."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import inf, pi
from typing import TYPE_CHECKING

from featherbench.checks.balance import grade_speed
from featherbench.slips.band import Band, Remark, within

if TYPE_CHECKING:
    from featherbench.bench.setup import Setup

ON, STALL = "at this tip radius", "beside the servo's stall current"
ALONE = (
    Band("bench.current_window", "time", 3e-4, 0.2),
    Band("gauge.rate", "frequency", 0.9, 5000.0),
    Band("gauge.sweep", "time", 1.5, 90.0),
    Band("gauge.stiffness", "stiffness", 4.5e3, 190e3, "for a small force gauge"),
    Band("meter.resolution", "current", 0.0, 0.06),
    Band("meter.uncertainty", "current", 0.0, 0.15),
    Band("meter.window", "time", 0.005, 2.0),
    Band("meter.rate", "frequency", 0.5, 2000.0),
    Band("scale.inertia", "ratio", 0.5, 2.0),
    Band("scale.air_moment", "ratio", 0.2, 5.0),
)
BY_AREA = (
    Band("gauge.resolution", "force", 0.0, 25.0, ON),
    Band("gauge.uncertainty", "force", 0.0, 75.0, ON),
    Band("limits.rod_ball_link", "force", 950.0, 47e3, ON),
)
"""Times the square of the tip radius."""
BY_CURRENT = (Band("limits.regulator_current", "current", 0.55, 18.0, STALL),)
BY_TORQUE = (Band("limits.servo_continuous_torque", "moment", 0.06, 1.0, "beside the servo's stall torque"),)
TAIL = Band("aircraft.tail_arm", "length", 2.5, 16.0, ON)
BY_RADIUS = (
    Band("envelope.height_above", "length", 0.03, 0.5, ON),
    Band("envelope.height_below", "length", 0.03, 0.5, ON),
    Band("envelope.diameter", "length", 0.02, 0.3, ON),
    Band("envelope.clear_inboard", "length", 0.02, 0.4, ON),
    Band("envelope.clear_outboard", "length", 0.12, 1.5, ON),
    Band("envelope.arm_radius", "length", 0.05, 0.7, ON),
    Band("envelope.arm_foot", "length", 0.01, 0.3, ON),
    Band("envelope.seat_above", "length", 0.005, 0.3, ON),
    Band("envelope.seat_below", "length", 0.005, 0.3, ON),
    Band("envelope.bolt_length", "length", 0.05, 1.0, ON),
    TAIL,
    Band("aircraft.main_radius", "length", 2.0, 12.0, ON),
)
LEAST_MISMATCH = Band("limits.blade_mismatch", "moment of mass", 5e-9, inf, "that a scale can tell")
MISMATCH = Band("limits.blade_mismatch", "moment of mass", 0.0, 1.7e-3, "beside mass x radius of one blade")
HOLD = Band("bench.programme hold", "time", 0.25, 12.0)
STEP = Band("envelope.lathe_step", "length", 0.015e-3, 0.6e-3)
STOCK = Band("envelope.stock", "length", 0.1, 4.0, "beside envelope.diameter")
COMPENSATION = Band("envelope.target.compensation", "ratio", 0.1, 1.4)
THRUST = Band("aircraft.main_torque", "moment", 0.001, 0.02, "for this tail arm and rotor")
MERIT = Band("aircraft.figure_of_merit", "ratio", 0.25, 0.85)
YAW = Band("aircraft.yaw_inertia", "inertia", 45.0, 900.0, "for this tail arm and rotor")
MASS = Band("aircraft.mass", "mass", 450.0, 9000.0, "for a helicopter with this tail rotor")
MAIN_SPEED = Band("aircraft.main_speed", "rotation", 25.0, 180.0, "at this main radius")
GYRO = (
    Band("rate_gain", "time", 0.005, 3.0),
    Band("hold_gain", "ratio", 0.0, 20.0),
    Band("rate", "frequency", 30.0, 5000.0),
    Band("delay", "time", 0.0, 0.025),
)


GRADES = (0.4e-3, 16e-3)
"""m/s, of balance quality: from precision spindles to drive shafts; ISO 21940-11 has fans at G6.3 (from memory)."""


def _grade(setup: Setup) -> Iterator[Remark]:
    """A grade that forgives any unbalance is none."""
    stated = setup.scenario.limits.balance_grade
    speed = grade_speed(stated) if stated else None
    if speed is not None and not GRADES[0] <= speed <= GRADES[1]:
        yield Remark("limits.balance_grade", str(stated), "G0.4 to G16", "ISO 21940-11 has fans at G6.3")


def table_remarks(setup: Setup) -> Iterator[Remark]:
    """What is typed beside blades, linkage and servo."""
    scenario, tip = setup.scenario, float(setup.scenario.blade.tip)
    yield from _all(setup, ALONE, 1.0)
    yield from _all(setup, BY_AREA, tip**2)
    yield from _all(setup, BY_CURRENT, scenario.servo.stall_current)
    yield from _all(setup, BY_TORQUE, scenario.servo.stall_torque)
    yield from _all(setup, BY_RADIUS, tip)
    yield from _mismatch(setup)
    yield from _grade(setup)
    for move in scenario.bench.programme:
        yield from within(HOLD, move.hold)
    yield from _envelope(setup)
    if not list(within(TAIL, getattr(scenario.aircraft, "tail_arm", None), tip)):
        yield from _aircraft(setup)


def _mismatch(setup: Setup) -> Iterator[Remark]:
    """No two blades are alike to nothing, nor to less than a scale can tell."""
    stated = setup.scenario.limits.blade_mismatch
    if stated == 0.0:
        usual = 'what is left after pairing, for example "0.1 g*mm"'
        yield Remark(MISMATCH.key, "0 g*mm", usual, "no two blades are that equal: it is not counted")
    yield from within(LEAST_MISMATCH, stated)
    yield from within(MISMATCH, stated, setup.moments.radial)


def _all(setup: Setup, bands: Iterable[Band], reference: float) -> Iterator[Remark]:
    for band in bands:
        table, _, key = band.key.partition(".")
        yield from within(band, getattr(getattr(setup.scenario, table), key, None), reference)


def _envelope(setup: Setup) -> Iterator[Remark]:
    envelope = setup.scenario.envelope
    if envelope is None:
        return
    yield from within(STEP, envelope.lathe_step)
    for bar in envelope.stock:
        yield from within(STOCK, bar, envelope.diameter)
    yield from within(COMPENSATION, envelope.target.compensation)


def _aircraft(setup: Setup) -> Iterator[Remark]:
    """A tail rotor's size, arm and thrust go together with what it steers."""
    aircraft = setup.scenario.aircraft
    if aircraft is None:
        return
    tip, speed = float(setup.scenario.blade.tip), float(setup.scenario.rotor.speed)
    pressure = setup.air.state.density * (speed * tip) ** 2 * pi * tip**2
    yield from within(THRUST, aircraft.main_torque, aircraft.tail_arm * pressure)
    yield from within(YAW, aircraft.yaw_inertia, aircraft.tail_arm**2 * tip**3)
    yield from within(MASS, aircraft.mass, tip**3)
    yield from within(MERIT, aircraft.figure_of_merit)
    if aircraft.main_radius is not None:
        yield from within(MAIN_SPEED, aircraft.main_speed, 1.0 / aircraft.main_radius)
    for band in GYRO:
        value = getattr(aircraft.gyro, band.key)
        yield from within(band._replace(key=f"aircraft.gyro.{band.key}"), value)
