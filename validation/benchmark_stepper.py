"""How fast the stepper is against general stiff solvers on the same equations, as ratios taken in one run.

`python validation/benchmark_stepper.py [SCENARIO]` runs two jobs, each at equal accuracy: 0.5 % of every finding,
against the stepper itself at a fiftieth of its step.

* digital: the servo as it is. Duty is set once a drive period and held; a general solver has to stop there and start
  again. Rest, go to 80 % of the range, hold, go to the other side, hold. Findings: peak rod force, holding force and
  holding current.
* sine: the command swings at 3 Hz over 80 % of the range, and the position loop is taken as continuous, which no servo
  is but which suits a general solver best (the stepper then updates its loop in every step). Findings: peak rod force
  and effective motor current.

A general solver needs a smooth right-hand side, so for it Coulomb friction is a steep tanh, F tanh(speed / slip). It
creeps under load: the blunter the tanh, the further a hold drifts. Slip and tolerance are therefore searched together,
and the cheapest pair that is accurate enough is what counts. Compiled: the right-hand side is built from the program's
own laws, with the plant frozen into it, and LSODA is one call to scipy's odeint per piece. Radau is scipy's, which is
Python around it. Plain numpy: the equations as one would first write them, with the pair that LSODA needed compiled.
Not collected by pytest; takes about two minutes.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy.integrate import odeint, solve_ivp

from featherbench.bench.servo_run import start_state
from featherbench.bench.setup import Setup, build_setup
from featherbench.linkage import servo_angle_for
from featherbench.linkage.geometry import pitch_rod_travel, servo_rod_travel
from featherbench.plant import integrate as rec
from featherbench.plant import state as state_index
from featherbench.plant.chain import chain_step, drive_update
from featherbench.plant.contact import contact_force
from featherbench.plant.integrate import CommandSchedule, StepCounts, integrate
from featherbench.plant.parameters import Plant
from featherbench.plant.step_size import highest_mode, step_within
from featherbench.scenario import read
from featherbench.servo.motor import winding_for
from featherbench.servo.position_loop import duty, filter_speed
from smooth_chain import FREQUENCY, plain_rates, sine_duty, smooth_rates

DEFAULT = Path(__file__).parents[1] / "scenarios" / "survey-3kg" / "plain.toml"
REACH = 0.8
"""Share of the pitch range that is used."""
REST, HOLD = 0.1, 0.7
"""s at rest before the first move, and from one move to the next."""
TOLERANCES = (1e-2, 1e-3, 1e-4, 1e-5, 1e-6)
SLIPS = (1e-1, 1e-2, 1e-3, 1e-4, 3e-5, 1e-5)
"""rad/s at which the smoothed friction is at 76 % of its limit."""
ACCURATE = 5e-3
GIVE_UP, HOPELESS = 60.0, 3.0
"""A single case is given up after so many s, or once it has taken so many times the cheapest accurate one."""
SCALE = np.array([0.1, 10.0, 0.1, 10.0, 0.1, 10.0, 0.1])
"""Of the seven states, in the order of `smooth_rates`; a hundredth of the tolerance times this is the absolute one."""
REPEATS = 5
"""The quickest of so many runs counts, for the stepper and for every case of less than a second."""

Vector = NDArray[np.float64]
Rates = Callable[[Vector, float, float], Vector]
"""(y, t, x) -> dy/dt; x is the duty in the digital job, nothing in the sine job."""


class TooSlow(Exception):
    """A case took longer than it was given."""


class Case(NamedTuple):
    """One run: seconds it took, and its findings (N, A): see `Job.findings`."""

    spent: float
    found: Vector


def compiled(plant: Plant, spin: float, slip: float, reach: float | None) -> Rates:
    """The compiled right-hand side with the plant frozen into it: a call costs less than a microsecond."""
    if reach is None:

        @njit
        def rates(y, _, share):
            return smooth_rates(y, share, spin, plant, slip)
    else:

        @njit
        def rates(y, t, _):
            return smooth_rates(y, sine_duty(y, t, reach, plant.loop), spin, plant, slip)

    rates(np.zeros(7), 0.0, 0.0)
    return rates


def plain(plant: Plant, spin: float, slip: float, reach: float | None) -> Rates:
    """The plain one; its loop in plain numpy too."""
    if reach is None:
        return lambda y, _, share: plain_rates(y, share, spin, plant, slip)
    loop = plant.loop

    def rates(y: Vector, t: float, _: float) -> Vector:
        error = reach * np.sin(2.0 * np.pi * FREQUENCY * t) - y[4]
        asks = np.sign(error) * np.maximum(np.abs(error) - 0.5 * loop.dead_band, 0.0)
        return plain_rates(y, np.clip(asks / loop.proportional_band, -1.0, 1.0), spin, plant, slip)

    return rates


class Job:
    """One of the two jobs on one build: what is asked, and how its findings are read."""

    def __init__(self, setup: Setup, *, digital: bool) -> None:
        self.setup, self.plant, self.digital = setup, setup.plant, digital
        self.spin = float(setup.scenario.rotor.speed)
        low, high = (REACH * edge for edge in setup.scenario.rotor.pitch_range)
        self.targets = [servo_angle_for(edge, self.plant.linkage) for edge in (high, low)]
        self.reach = None if digital else float(self.targets[0])
        period = self.plant.loop.drive_period
        self.row = period / max(1, round(period / 1e-3))
        self.per_drive = round(period / self.row)

    def rows(self, span: float) -> int:
        """Rows of about 1 ms in `span` s, a whole number of drive periods."""
        return round(span / (self.row * self.per_drive)) * self.per_drive

    def command(self, moment: float) -> float:
        """Servo angle asked for at a time of the digital job, rad."""
        gone = int((moment - REST) // HOLD) if moment >= REST - 1e-9 else -1
        return 0.0 if gone < 0 else float(self.targets[gone % 2])

    def findings(self, force: Vector, current: Vector) -> Vector:
        """Peak rod force; digital: rod force and current at the end of the last hold; sine: effective current."""
        peak = np.abs(force).max()
        if not self.digital:
            return np.array([peak, np.sqrt(np.mean(current**2))])
        tail = max(10, round(0.05 / self.row))
        return np.array([peak, force[-tail:].mean(), current[-tail:].mean()])

    def step(self, share: float = 1.0) -> tuple[float, int]:
        """(step, steps per row)."""
        return step_within(self.row, highest_mode(self.plant), share)

    def stepped(self, span: float, share: float = 1.0, *, every_step: bool = False) -> tuple[float, Vector]:
        """(seconds, record) of the stepper; every_step records each step instead of means over rows."""
        step, count = self.step(share)
        record = np.zeros((self.rows(span) * (count if every_step else 1), rec.COLUMNS))
        per_row = 1 if every_step else count
        state, winding = start_state(self.setup), winding_for(self.plant.motor, step)
        begin = time.perf_counter()
        if self.digital:
            period = count * self.per_drive
            times, angles = self._programme(span)
            programme = CommandSchedule(times, angles, np.zeros(1), np.array([self.spin]))
            integrate(
                0.0, state, programme, self.plant, winding, StepCounts(step, period, period, per_row), record
            )
        else:
            follow_sine(state, self.reach, self.spin, self.plant, winding, step, per_row, record)
        return time.perf_counter() - begin, record

    def _programme(self, span: float) -> tuple[Vector, Vector]:
        """The commands as a course with jumps."""
        starts = np.arange(REST, max(span, REST) + HOLD, HOLD)
        angles = [self.command(start) for start in starts]
        times = np.concatenate([[0.0], np.repeat(starts, 2)])
        return times, np.concatenate([[0.0], np.repeat([0.0, *angles], 2)[1:-1]])

    def ours(self, span: float, share: float = 1.0) -> Case:
        """The stepper at `share` times its usual step."""
        spent, record = min((self.stepped(span, share) for _ in range(REPEATS)), key=lambda pair: pair[0])
        return Case(spent, self.findings(record[:, rec.ROD_FORCE], record[:, rec.MOTOR_CURRENT]))

    def reference(self, span: float) -> tuple[Vector, Vector]:
        """Findings at a fiftieth of the step: from means over rows, as the stepper records, and from samples."""
        _, record = self.stepped(span, 0.02, every_step=True)
        count = len(record) // self.rows(span)
        force, current = record[:, rec.ROD_FORCE], record[:, rec.MOTOR_CURRENT]
        means = [series.reshape(-1, count).mean(axis=1) for series in (force, current)]
        return self.findings(*means), self.findings(force[count - 1 :: count], current[count - 1 :: count])

    def solved(self, span: float, integrate: Callable[..., Vector], rates: Rates, allowed: float) -> Case:
        """The same by a general solver: `integrate(rates, y, times, share)` gives y at times[1:], rows of 7."""
        y, pieces = np.zeros(7), []
        guarded = _guard(rates, allowed)
        begin = time.perf_counter()
        if self.digital:
            filtered, last, loop = 0.0, 0.0, self.plant.loop
            for first in range(0, self.rows(span), self.per_drive):
                filtered = filter_speed(filtered, y[4], last, loop.drive_period)
                last = y[4]
                share = duty(self.command(first * self.row) - y[4], filtered, loop)
                pieces.append(integrate(guarded, y, np.arange(self.per_drive + 1) * self.row, share))
                y = pieces[-1][-1]
        else:
            pieces.append(integrate(guarded, y, np.arange(self.rows(span) + 1) * self.row, 0.0))
        spent = time.perf_counter() - begin
        course = np.vstack(pieces)
        return Case(
            spent, self.findings(np.array([_rod_force(row, self.plant) for row in course]), course[:, 0])
        )


@njit(cache=True)
def follow_sine(state, reach, spin, plant, winding, step, per_row, record):
    """The stepper's own laws under a sine, its loop updated in every step."""
    count = 0
    for row in range(record.shape[0]):
        force, current = 0.0, 0.0
        for _ in range(per_row):
            state[state_index.COMMAND] = reach * np.sin(2.0 * np.pi * FREQUENCY * count * step)
            drive_update(step, state, plant)
            chain_step(step, state, spin, 0.0, plant, winding)
            force += state[state_index.ROD_FORCE]
            current += state[state_index.CURRENT]
            count += 1
        record[row, rec.ROD_FORCE] = force / per_row
        record[row, rec.MOTOR_CURRENT] = current / per_row


def _guard(rates: Rates, allowed: float) -> Rates:
    """The same, raising TooSlow once `allowed` s have passed."""
    deadline, calls = time.perf_counter() + allowed, 0

    def guarded(y: Vector, t: float, share: float) -> Vector:
        nonlocal calls
        calls += 1
        if calls % 512 == 0 and time.perf_counter() > deadline:
            raise TooSlow
        return rates(y, t, share)

    return guarded


def _rod_force(y: Vector, plant: Plant) -> float:
    made, arm = servo_rod_travel(y[4], plant.linkage)
    asked, horn, _, _ = pitch_rod_travel(y[6], plant.linkage)
    return contact_force(made - asked, arm * y[3] - horn * y[5], plant.joint)[0]


def lsoda(tolerance: float) -> Callable[..., Vector]:
    """scipy's odeint: LSODA from piece start to piece end in one call."""
    atol = tolerance * SCALE * 1e-2

    def integrate(rates: Rates, y: Vector, times: Vector, share: float) -> Vector:
        return odeint(rates, y, times, (share,), rtol=tolerance, atol=atol, mxstep=10_000_000)[1:]

    return integrate


def radau(tolerance: float) -> Callable[..., Vector]:
    """scipy's Radau IIA of order five."""
    atol = tolerance * SCALE * 1e-2

    def integrate(rates: Rates, y: Vector, times: Vector, share: float) -> Vector:
        result = solve_ivp(
            lambda t, value: rates(value, t, share),
            (times[0], times[-1]),
            y,
            method="Radau",
            rtol=tolerance,
            atol=atol,
            t_eval=times[1:],
        )
        return result.y.T

    return integrate


class Contest(NamedTuple):
    """One solver on one job: printed name, integrator, right-hand side, simulated span s, what to search."""

    name: str
    method: Callable[[float], Callable[..., Vector]]
    build: Callable[..., Rates]
    span: float
    pairs: tuple[tuple[float, float], ...]


def search(job: Job, contest: Contest) -> tuple[float, float] | None:
    """Print every (slip, tolerance) tried; the pair of the cheapest that is accurate, None when none is."""
    reference, ours = job.reference(contest.span)[1], job.ours(contest.span)
    cheapest, pair, accurate = GIVE_UP, None, set()
    for slip, tolerance in contest.pairs:
        if slip in accurate:
            continue  # at a looser tolerance already
        rates = contest.build(job.plant, job.spin, slip, job.reach)
        label = f"  {contest.name:18s} slip {slip:6.0e} rad/s  tolerance {tolerance:6.0e}"
        allowed = min(GIVE_UP, HOPELESS * cheapest)
        try:
            case = job.solved(contest.span, contest.method(tolerance), rates, allowed)
            for _ in range(REPEATS - 1 if case.spent < 1.0 else 0):
                again = job.solved(contest.span, contest.method(tolerance), rates, allowed)
                case = min(case, again, key=lambda one: one.spent)
        except TooSlow:
            print(f"{label}  given up after {allowed:.2g} s", flush=True)
            continue
        error = np.abs(case.found / reference - 1.0).max()
        print(
            f"{label} {contest.span / case.spent:9.3g} x real time  error {error:7.2%}"
            f"  takes {case.spent / ours.spent:.0f} times as long",
            flush=True,
        )
        if error <= ACCURATE:
            accurate.add(slip)
            if case.spent < cheapest:
                cheapest, pair = case.spent, (slip, tolerance)
    if pair is None:
        print(f"  {contest.name:18s} -> never within {ACCURATE:.1%}")
    else:
        print(f"  {contest.name:18s} -> at equal accuracy takes {cheapest / ours.spent:.0f} times as long")
    return pair


def run(job: Job) -> None:
    """Compiled LSODA searches all pairs on the whole job; the slow ones start from what it needed, Radau on a piece."""
    whole, piece = (REST + 2 * HOLD, REST + 0.2) if job.digital else (1.0, 1.0)
    job.stepped(0.01)  # compiles
    ours = job.ours(whole)
    reference = job.reference(whole)[0]
    print(
        f"{'digital' if job.digital else 'sine'}: {whole:g} s; all ratios are to the stepper at its usual step"
    )
    for share in (1.0, 2.0, 3.0, 4.0):
        coarse = job.ours(whole, share)
        error = np.abs(coarse.found / reference - 1.0).max()
        print(
            f"  stepper at {job.step(share)[0] * 1e6:4.0f} us{' (usual)' if share == 1.0 else '':8s} "
            f"{whole / coarse.spent:6.0f} x real time, energy audit included, error {error:.2%}, "
            f"{ours.spent / coarse.spent:.1f} times as fast"
        )
    everything = tuple((slip, tolerance) for slip in SLIPS for tolerance in TOLERANCES)
    found = search(job, Contest("compiled LSODA", lsoda, compiled, whole, everything))
    slip, loosest = found or (SLIPS[-1], TOLERANCES[-1])
    search(job, Contest("plain numpy LSODA", lsoda, plain, whole, ((slip, loosest),)))
    tighter = tuple((slip, tolerance) for tolerance in TOLERANCES if tolerance <= loosest)
    search(job, Contest("compiled Radau", radau, compiled, piece, tighter[:2]))
    print()


def main() -> None:
    """Print the table."""
    path = sys.argv[1] if len(sys.argv) > 1 else DEFAULT
    print(f"{read(path).title}\n")
    run(Job(build_setup(read(path)), digital=True))
    # a continuous loop has no drive period over which to filter a speed
    run(Job(build_setup(read(path, {"servo.damping": "0 ms"})), digital=False))


if __name__ == "__main__":
    main()
