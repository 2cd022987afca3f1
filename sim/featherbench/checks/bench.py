"""Checks that a bench prediction can make by itself, and the cautions that go with every result."""

from __future__ import annotations

from featherbench.checks.check import Check
from featherbench.studies.run import Run

CAUTIONS = (
    "Spinning blades and thrown weights maim and kill. Nobody in the plane of the tail rotor; clamp the helicopter to "
    "something solid; guard or distance, and eye protection, for every run.",
    "A counterweight pulls with hundreds to thousands of times its own weight at speed. A bolt that breaks throws "
    "blade and weight: use new, rated bolts, full thread engagement, and inspect after every run.",
    "Start below the speed you mean to reach and go up in steps; weigh weights and blades in pairs.",
    "These are predictions from the figures given, not a certificate. The makers' limits, local rules and licensed "
    "practice come first. Model aircraft only: never for anything that carries a person.",
)


def bench_checks(run: Run) -> tuple[Check, ...]:
    """Demand against allowable for what a bench run shows; a missing allowable is said, not assumed."""
    limits = run.scenario.limits
    setup = run.setup
    stall = setup.drive.stall_torque(setup.plant.supply.voltage)
    force = max(run.gauge.push, run.gauge.pull)
    peak = max(leg.peak for leg in run.servo.legs) + setup.plant.supply.idle
    over = limits.over_speed**2
    return (
        Check(
            "servo torque against stall",
            "moment",
            run.servo.torque_peak,
            stall,
            "servo data sheet, at supply voltage",
        ),
        Check(
            "servo torque held against continuous",
            "moment",
            max(abs(leg.rod_hold) for leg in run.servo.legs) * setup.scenario.linkage.servo_arm,
            limits.servo_continuous_torque,
            "limits.servo_continuous_torque",
        ),
        Check(
            "supply current against the regulator",
            "current",
            peak,
            limits.regulator_current,
            "limits.regulator_current",
        ),
        Check("rod ball link", "force", force, limits.rod_ball_link, "limits.rod_ball_link"),
        Check(
            f"thrust bearing at {limits.over_speed:g} x speed",
            "force",
            run.value("centrifugal_load") * over,
            run.scenario.bearing.static_rating,
            "bearing.static_rating",
        ),
    )
