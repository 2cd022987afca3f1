"""What the program costs: how long it takes to start, and how its work grows.

    python validation/benchmark_cost.py [--figure FILE.svg]

prints processor time (of all cores together, so that others on the machine disturb less), never wall time. Starting is
compared with loading numpy and numba by themselves, in the same run: the ratio is worth more than the seconds. Growth
is measured at four sizes each, with the power by which the last of them is reached from the first: 1 where twice the
size takes twice the time. Not collected by pytest; takes about a minute.
"""

from __future__ import annotations

import argparse
import os
import resource
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from math import log
from pathlib import Path
from typing import NamedTuple

import numpy as np

from featherbench.bench.servo_run import run_servo
from featherbench.bench.setup import build_setup
from featherbench.rotor.air_table import tabulate
from featherbench.rotor.blade_stations import blade_stations, rotor_air
from featherbench.sampling.inputs import spread_inputs
from featherbench.sampling.samples import run_sample, sample_checks, sample_places, shortened_task
from featherbench.scenario import read, scenario_of
from featherbench.scenario.bench_tables import Move
from featherbench.studies import predict

PLAIN = Path(__file__).parents[1] / "scenarios" / "survey-3kg" / "plain.toml"
REPEATS = 5
"""The quickest of so many counts."""


class Growth(NamedTuple):
    """What was made larger, its sizes, and the seconds (of one core) that each took."""

    what: str
    sizes: list[float]
    seconds: list[float]

    @property
    def power(self) -> float:
        """p of seconds ~ size^p, from the first to the last."""
        return log(self.seconds[-1] / self.seconds[0]) / log(self.sizes[-1] / self.sizes[0])


def of_child(words: list[str], repeats: int = REPEATS, **environ: str) -> float:
    """Least processor time of a process, s, loading included. Bytecode is kept, as an installation keeps it."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"} | environ
    spent = []
    for _ in range(repeats):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(words, check=True, capture_output=True, env=kept)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        spent.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(spent)


def start() -> None:
    """Print what it takes to start."""
    python, program = [sys.executable, "-c"], [sys.executable, "-m", "featherbench"]
    predicted = [*program, "predict", str(PLAIN)]
    of_child(predicted, 1)  # compiles
    libraries = of_child([*python, "import numpy, numba"])
    bare = of_child([*python, "pass"])
    with tempfile.TemporaryDirectory() as empty:
        first = of_child(predicted, 1, NUMBA_CACHE_DIR=empty)
    for what, seconds in (
        ("python by itself", bare),
        ("import featherbench", of_child([*python, "import featherbench"])),
        ("featherbench --help", of_child([*program, "--help"])),
        ("import numpy, numba", libraries),
        ("featherbench predict", of_child(predicted)),
        ("the same, first use ever", first),
    ):
        print(f"{what:26s} {seconds:7.3f} s {seconds / libraries:6.2f} x loading numpy and numba")


def of_own(work: Callable[[], object], repeats: int = REPEATS) -> float:
    """Least processor time of a piece of work in this process, s."""
    spent = []
    for _ in range(repeats):
        begun = time.process_time()
        work()
        spent.append(time.process_time() - begun)
    return min(spent)


def by_runs() -> Growth:
    """Sampled bench runs, as `spread` makes them, checks included."""
    scenario = read(PLAIN)
    inputs = spread_inputs(scenario)
    task = replace(shortened_task(predict(scenario), inputs), also=sample_checks())
    places = [tuple(row) for row in sample_places(len(inputs), 64, 0).tolist()]
    run_sample(task, places[0])
    sizes = [8, 16, 32, 64]
    spent = [
        of_own(lambda count=count: [run_sample(task, place) for place in places[:count]], 2)
        for count in sizes
    ]
    return Growth("sampled runs", sizes, spent)


def by_seconds() -> Growth:
    """Seconds that the servo test goes on for."""
    setup = build_setup(read(PLAIN))
    sizes = [2.0, 8.0, 32.0, 128.0]
    moves = [[Move.model_construct(go=1.0, hold=seconds, over=0.0)] for seconds in sizes]
    return Growth("bench seconds", sizes, [of_own(partial(run_servo, setup, one)) for one in moves])


def by_parts() -> Growth:
    """Parts of a blade assembly, most of them crumbs of mass; the air is known."""
    tables = tomllib.loads(PLAIN.read_text(encoding="utf-8"))
    shape = {
        "shape": "point",
        "group": "counterweight",
        "mass": "0.01 g",
        "at": {"radius": "22 mm", "normal": "9 mm"},
    }
    air = build_setup(read(PLAIN)).air
    sizes, spent = [8, 32, 128, 512], []
    for count in sizes:
        more = {f"piece-{number}": shape for number in range(count - len(tables["part"]))}
        scenario = scenario_of({**tables, "part": {**tables["part"], **more}}, folder=PLAIN.parent)
        spent.append(of_own(partial(build_setup, scenario, air)))
    return Growth("parts", sizes, spent)


def by_annuli() -> Growth:
    """Annuli of the blade for which the inflow is solved, at every pitch and axial flow of the table."""
    scenario = read(PLAIN)
    air, blade = build_setup(scenario).air, scenario.blade
    sizes, spent = [40, 80, 160, 320], []
    for count in sizes:
        cut = blade_stations(blade.root, blade.tip, blade.chord, axis_at=blade.axis_at, annuli=count)
        rotors = [
            rotor_air(scenario.rotor.blades, cut, air.state, speed)
            for speed in np.linspace(900.0, 1000.0, REPEATS)
        ]
        spent.append(
            min(of_own(partial(tabulate, rotor, -0.7, 0.7), 1) for rotor in rotors)
        )  # each is kept once solved
    return Growth("annuli", sizes, spent)


def draw(grown: list[Growth], path: Path) -> None:
    """A line for each, time over that of the smallest, on logarithmic axes."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(6.0, 4.0), layout="constrained")
    axes = figure.add_subplot()
    for one in grown:
        sizes, seconds = np.array(one.sizes) / one.sizes[0], np.array(one.seconds) / one.seconds[0]
        axes.loglog(sizes, seconds, marker="o", label=f"{one.what}: {one.power:.2f}")
    axes.set_xlabel("size, over the smallest")
    axes.set_ylabel("time, over that of the smallest")
    axes.legend(title="grows by the power", frameon=False)
    figure.savefig(path)


def main() -> None:
    """Print both tables; draw the second where asked."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--figure", type=Path, help="draw the growth into this file")
    figure = asked.parse_args().figure
    start()
    print()
    grown = [by_runs(), by_seconds(), by_parts(), by_annuli()]
    for one in grown:
        cells = "  ".join(
            f"{size:5g}: {1e3 * spent:7.1f} ms" for size, spent in zip(one.sizes, one.seconds, strict=True)
        )
        print(f"{one.what:14s} {cells}   power {one.power:.2f}")
    if figure is not None:
        draw(grown, figure)


if __name__ == "__main__":
    main()
